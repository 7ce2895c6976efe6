/** A ledger in one SQLite file, held by one process through one connection. */
import { setImmediate as giveWay } from "node:timers/promises";
import { copyTo } from "./backup.ts";
import { EMPTY_HEAD, seal, unseal, verifyChain } from "./chain.ts";
import type { Head } from "./chain.ts";
import { resultCode, SQLITE } from "./connection.ts";
import type { SqliteDriver } from "./connection.ts";
import { damaged, takeHold } from "./hold.ts";
import type { Hold } from "./hold.ts";
import { grownSentence } from "./grow.ts";
import { LedgerFault } from "./ledger.ts";
import type {
  AppendResult,
  CommandKey,
  Examined,
  HeldStream,
  LastingLedger,
  NewEvent,
  Person,
  StoredEvent,
  StoredRuleSet,
  StoredSeat,
} from "./ledger.ts";
import { Notes } from "./notes.ts";
import { Readable } from "./unicode.ts";
import { prepareAll } from "./statements.ts";
import type { Remembered, Statements } from "./statements.ts";
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

/**
 * Opens or makes the ledger in `file`, or rejects with LedgerCannotOpen. `driver` is for tests;
 * without it the running Node's own SQLite is taken, else libsql.
 */
export async function openSqlite(file: string, driver?: SqliteDriver): Promise<SqliteLedger> {
  const hold = await takeHold(file, driver);
  try {
    return new SqliteLedger(hold);
  } catch (error) {
    hold.release();
    throw resultCode(error) === undefined
      ? error
      : damaged(hold.file, "its tables are not as they were made");
  }
}

/**
 * Every method but `integrity` does its work before it first gives way, so two calls never mix and each
 * promise settles with the commit already on disk.
 */
export class SqliteLedger implements LastingLedger {
  readonly driver: string;
  readonly file: string;
  readonly grown: string | undefined;
  readonly cut: string | undefined;
  readonly shared = false;
  readonly #turns = new Turns();
  readonly #held: HeldStream = {
    append: async (...asked) => this.#append(...asked),
    read: (stream, after) => this.read(stream, after),
    outcomeOf: (commandId) => this.outcomeOf(commandId),
  };
  readonly #hold: Hold;
  readonly #sql: Statements;
  readonly #notes: Notes;
  readonly #readable: Readable;
  /** Heads already read; sound because nobody else writes while the file is held. */
  readonly #heads = new Map<string, Head>();
  /** Nobody else writes to the file, so counting here is enough. */
  #beside = 0;
  #state: "open" | "failed" | "closed" = "open";

  constructor(hold: Hold) {
    this.#hold = hold;
    this.file = hold.file;
    this.driver = `sqlite (${hold.connection.driver})`;
    this.#sql = prepareAll(hold.connection);
    this.#notes = new Notes(hold.connection);
    this.#readable = new Readable(hold.connection, hold.file);
    this.grown = hold.grown && grownSentence(hold.grown);
    this.cut = hold.cut && cutSentence(hold.file);
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
    return this.#write(() => {
      checkAppend(stream, expected, events, command);
      const before = this.#sql.command(command.id);
      if (before !== undefined) {
        const same = before.digest === command.digest && before.stream === stream;
        return same ? this.#repeated(before) : { outcome: "key-reused" };
      }
      const head = this.#heads.get(stream) ?? this.#sql.head(stream) ?? EMPTY_HEAD;
      if (head.version !== expected) return { outcome: "stale", version: head.version };
      const sealed = seal(stream, head, events, command.id);
      const version = expected + sealed.length;
      this.#commit(() => {
        for (const event of sealed) this.#sql.addEvent(event);
        this.#sql.addCommand(command.id, {
          digest: command.digest,
          stream,
          first: expected + 1,
          last: version,
        });
      });
      this.#heads.set(stream, { version, chain: sealed.at(-1)?.chain ?? head.chain });
      return { outcome: "appended", version, events: sealed.map(unseal) };
    });
  }

  async read(stream: string, after = 0): Promise<readonly StoredEvent[]> {
    return this.#read(() => {
      this.#readable.events(stream);
      return this.#sql.events(stream, after, Number.MAX_SAFE_INTEGER).map(unseal);
    });
  }

  async streams(): Promise<readonly { readonly stream: string; readonly version: number }[]> {
    return this.#read(() => {
      this.#readable.names();
      return this.#sql.streams();
    });
  }

  async outcomeOf(commandId: string): Promise<AppendResult | undefined> {
    return this.#read(() => {
      const before = this.#sql.command(commandId);
      return before && this.#repeated(before);
    });
  }

  async putRuleSet(ruleSet: StoredRuleSet): Promise<void> {
    this.#write(() => {
      checkRuleSet(ruleSet);
      const before = this.#sql.ruleSet(ruleSet.hash);
      if (before !== undefined && before.text !== ruleSet.text) throw ruleSetDiffers(ruleSet.hash);
      if (before !== undefined) return;
      this.#commit(() => {
        this.#sql.addRuleSet(ruleSet);
        this.#notes.keep("rule set", ruleSet.hash);
      });
      this.#beside += 1;
    });
  }

  async ruleSet(hash: string): Promise<StoredRuleSet | undefined> {
    return this.#read(() => this.#sql.ruleSet(hash));
  }

  async ruleSets(): Promise<readonly StoredRuleSet[]> {
    return this.#read(() => {
      this.#readable.table("rule_sets");
      return this.#sql.ruleSets();
    });
  }

  async putPerson(person: Person): Promise<void> {
    this.#write(() => {
      const checked = checkPerson(person);
      if (this.#sql.person(person.id)?.erased && !person.erased) throw personErased(person.id);
      this.#putPerson(checked);
      this.#beside += 1;
      if (checked.erased) this.#forget();
    });
  }

  async erasePerson(id: string): Promise<void> {
    this.#write(() => {
      if (this.#sql.person(id) === undefined) return;
      this.#putPerson(emptied(id));
      this.#beside += 1;
      this.#forget();
    });
  }

  async people(): Promise<readonly Person[]> {
    return this.#read(() => {
      this.#readable.table("people");
      return this.#sql.people();
    });
  }

  async putSeat(seat: StoredSeat): Promise<void> {
    this.#write(() => {
      checkSeat(seat);
      this.#commit(() => {
        this.#sql.putSeat(seat);
        this.#notes.keep("seat", seat.id);
      });
      this.#beside += 1;
    });
  }

  async seats(): Promise<readonly StoredSeat[]> {
    return this.#read(() => {
      this.#readable.table("seats");
      return this.#sql.seats();
    });
  }

  async beside(): Promise<number> {
    return this.#read(() => this.#beside);
  }

  async probe(): Promise<void> {
    this.#write(() => this.#sql.writeNothing());
  }

  async integrity(): Promise<readonly string[]> {
    const flaws = this.#read(() => this.#sql.fileFlaws());
    for (const { stream, version } of this.#read(() => this.#sql.streams())) {
      const checked = this.#read(() => verifyChain(this.#sql.events(stream, 0, version).map(unseal)));
      if (!checked.ok) flaws.push(checked.sentence);
      await giveWay();
    }
    for (const id of this.#read(() => this.#sql.strayCommands())) {
      flaws.push(`The command ${id} does not match its events.`);
    }
    return flaws;
  }

  async examine(serving = false): Promise<Examined> {
    if (this.#state === "closed") throw ledgerClosed();
    return this.#notes.examine(serving);
  }

  async noteHeads(at: number): Promise<void> {
    this.#write(() => this.#commit(() => this.#notes.note(at)));
  }

  async backupTo(path: string): Promise<void> {
    if (this.#state === "closed") throw ledgerClosed();
    copyTo(path, (part) => this.#sql.copyInto(part));
  }

  async close(): Promise<void> {
    if (this.#state === "closed") return;
    this.#state = "closed";
    this.#hold.release();
  }

  #repeated({ stream, first, last }: Remembered): AppendResult {
    return {
      outcome: "repeated",
      version: last,
      events: this.#sql.events(stream, first - 1, last).map(unseal),
    };
  }

  #putPerson(person: Person): void {
    this.#commit(() => {
      this.#sql.putPerson(person);
      this.#notes.keep("person", person.id);
    });
  }

  /** Old text must not linger in the write-ahead log after an erasure. */
  #forget(): void {
    this.#sql.emptyLog();
  }

  #commit(work: () => void): void {
    this.#sql.begin();
    try {
      work();
      this.#sql.commit();
    } catch (error) {
      try {
        this.#sql.rollback();
      } catch {
        // SQLite has rolled back by itself.
      }
      throw error;
    }
  }

  #write<T>(work: () => T): T {
    if (this.#state === "failed") throw diskFailed(this.file);
    return this.#read(work);
  }

  #read<T>(work: () => T): T {
    if (this.#state === "closed") throw ledgerClosed();
    try {
      return work();
    } catch (error) {
      throw this.#asFault(error);
    }
  }

  #asFault(error: unknown): unknown {
    switch (resultCode(error)) {
      case SQLITE.FULL:
        return new LedgerFault("disk-full", `The disk of ${this.file} is full; nothing was written.`, error);
      case SQLITE.IOERR:
      case SQLITE.READONLY:
      case SQLITE.CANTOPEN:
        // After a failed flush the kernel may call lost pages clean, so a later success would prove nothing.
        this.#state = "failed";
        return diskFailed(this.file, error);
      case SQLITE.CORRUPT:
      case SQLITE.NOTADB:
        return new LedgerFault("damaged", `The ledger ${this.file} is damaged; restore a backup.`, error);
      default:
        return error;
    }
  }
}

const cutSentence = (file: string): string =>
  `The ledger ${file} ends in an entry that was not written whole, as a power cut leaves it; it was left out. ` +
  "See that the last exchange of each bout is there.";

function diskFailed(file: string, cause?: unknown): LedgerFault {
  return new LedgerFault(
    "disk-failed",
    `The disk of ${file} failed while writing; nothing more is recorded until Garland is started again.`,
    cause,
  );
}
