/** A ledger that lasts as long as the process: for tests, for trying things out, and as the measure of the others. */
import { EMPTY_HEAD, seal, unseal } from "./chain.ts";
import type { SealedEvent } from "./chain.ts";
import type {
  AppendResult,
  CommandKey,
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

interface Remembered {
  readonly digest: string;
  readonly stream: string;
  readonly first: number;
  readonly last: number;
}

export class MemoryLedger implements Ledger {
  readonly driver = "memory";
  readonly #streams = new Map<string, SealedEvent[]>();
  readonly #commands = new Map<string, Remembered>();
  readonly #ruleSets = new Map<string, StoredRuleSet>();
  readonly #people = new Map<string, Person>();
  readonly #seats = new Map<string, StoredSeat>();
  #closed = false;

  async append(
    stream: string,
    expected: number,
    events: readonly NewEvent[],
    command: CommandKey,
  ): Promise<AppendResult> {
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
    if (before === undefined) this.#ruleSets.set(hash, { hash, text });
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
  }

  async erasePerson(id: string): Promise<void> {
    this.#mustBeOpen();
    if (this.#people.has(id)) this.#people.set(id, emptied(id));
  }

  async people(): Promise<readonly Person[]> {
    this.#mustBeOpen();
    return [...this.#people.values()];
  }

  async putSeat(seat: StoredSeat): Promise<void> {
    this.#mustBeOpen();
    checkSeat(seat);
    this.#seats.set(seat.id, { ...seat });
  }

  async seats(): Promise<readonly StoredSeat[]> {
    this.#mustBeOpen();
    return [...this.#seats.values()];
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
