/** A ledger that lasts as long as the process: for tests, for trying things out, and as the measure of the others. */
import { EMPTY_HEAD, seal, unseal } from "./chain.ts";
import type { SealedEvent } from "./chain.ts";
import type {
  AppendResult,
  CommandKey,
  HeldStream,
  Ledger,
  NewEvent,
  Person,
  StoredEvent,
  StoredRuleSet,
  StoredSeat,
} from "./ledger.ts";
import {
  checkAppend,
  checkPerson,
  checkRuleSet,
  checkSeat,
  emptied,
  ledgerClosed,
  personErased,
  ruleSetDiffers,
} from "./storable.ts";
import { Turns } from "./turns.ts";

interface Remembered {
  readonly digest: string;
  readonly stream: string;
  readonly first: number;
  readonly last: number;
}

export class MemoryLedger implements Ledger {
  readonly driver = "memory";
  readonly shared: boolean;
  readonly #turns = new Turns();
  readonly #held: HeldStream = {
    append: async (...asked) => this.#append(...asked),
    read: (stream, after) => this.read(stream, after),
    outcomeOf: (commandId) => this.outcomeOf(commandId),
  };
  readonly #streams = new Map<string, SealedEvent[]>();
  readonly #commands = new Map<string, Remembered>();
  readonly #ruleSets = new Map<string, StoredRuleSet>();
  readonly #people = new Map<string, Person>();
  readonly #seats = new Map<string, StoredSeat>();
  #beside = 0;
  #closed = false;

  /** `shared`: several servers of this process write to it. */
  constructor(shared = false) {
    this.shared = shared;
  }

  async append(
    stream: string,
    expected: number,
    events: readonly NewEvent[],
    command: CommandKey,
  ): Promise<AppendResult> {
    while (this.#turns.wait(stream) !== undefined) await this.#turns.wait(stream);
    return this.#append(stream, expected, events, command);
  }

  inTurn<T>(stream: string, work: (held: HeldStream) => Promise<T>): Promise<T> {
    return this.#turns.run(stream, async () => work(this.#held));
  }

  #append(stream: string, expected: number, events: readonly NewEvent[], command: CommandKey): AppendResult {
    this.#mustBeOpen();
    checkAppend(stream, expected, events, command);
    const before = this.#commands.get(command.id);
    if (before !== undefined) {
      const same = before.digest === command.digest && before.stream === stream;
      return same ? this.#repeated(before) : { outcome: "key-reused" };
    }
    const stored = this.#streams.get(stream) ?? [];
    const head = stored.at(-1) ?? EMPTY_HEAD;
    if (head.version !== expected) return { outcome: "stale", version: head.version };
    const sealed = seal(stream, head, events, command.id);
    const version = expected + sealed.length;
    if (sealed.length > 0) this.#streams.set(stream, [...stored, ...sealed]);
    this.#commands.set(command.id, { digest: command.digest, stream, first: expected + 1, last: version });
    return { outcome: "appended", version, events: sealed.map(unseal) };
  }

  async read(stream: string, after = 0): Promise<readonly StoredEvent[]> {
    this.#mustBeOpen();
    return (this.#streams.get(stream) ?? []).slice(Math.max(0, after)).map(unseal);
  }

  async streams(): Promise<readonly { readonly stream: string; readonly version: number }[]> {
    this.#mustBeOpen();
    return Array.from(this.#streams, ([stream, events]) => ({ stream, version: events.length })).sort(
      (a, b) =>
        // By bytes, as a database without a collation orders them.
        Buffer.compare(Buffer.from(a.stream), Buffer.from(b.stream)),
    );
  }

  async outcomeOf(commandId: string): Promise<AppendResult | undefined> {
    this.#mustBeOpen();
    const before = this.#commands.get(commandId);
    return before && this.#repeated(before);
  }

  async putRuleSet(ruleSet: StoredRuleSet): Promise<void> {
    this.#mustBeOpen();
    checkRuleSet(ruleSet);
    const { hash, text } = ruleSet;
    const before = this.#ruleSets.get(hash);
    if (before !== undefined && before.text !== text) throw ruleSetDiffers(hash);
    if (before !== undefined) return;
    this.#ruleSets.set(hash, { hash, text });
    this.#beside += 1;
  }

  async ruleSet(hash: string): Promise<StoredRuleSet | undefined> {
    this.#mustBeOpen();
    return this.#ruleSets.get(hash);
  }

  async ruleSets(): Promise<readonly StoredRuleSet[]> {
    this.#mustBeOpen();
    return [...this.#ruleSets.values()];
  }

  async putPerson(person: Person): Promise<void> {
    this.#mustBeOpen();
    const checked = checkPerson(person);
    if (this.#people.get(person.id)?.erased && !person.erased) throw personErased(person.id);
    this.#people.set(person.id, checked);
    this.#beside += 1;
  }

  async erasePerson(id: string): Promise<void> {
    this.#mustBeOpen();
    if (!this.#people.has(id)) return;
    this.#people.set(id, emptied(id));
    this.#beside += 1;
  }

  async people(): Promise<readonly Person[]> {
    this.#mustBeOpen();
    return [...this.#people.values()];
  }

  async putSeat(seat: StoredSeat): Promise<void> {
    this.#mustBeOpen();
    checkSeat(seat);
    this.#seats.set(seat.id, { ...seat });
    this.#beside += 1;
  }

  async seats(): Promise<readonly StoredSeat[]> {
    this.#mustBeOpen();
    return [...this.#seats.values()];
  }

  async beside(): Promise<number> {
    this.#mustBeOpen();
    return this.#beside;
  }

  async close(): Promise<void> {
    this.#closed = true;
  }

  #repeated({ stream, first, last }: Remembered): AppendResult {
    const events = (this.#streams.get(stream) ?? []).slice(first - 1, last).map(unseal);
    return { outcome: "repeated", version: last, events };
  }

  #mustBeOpen(): void {
    if (this.#closed) throw ledgerClosed();
  }
}
