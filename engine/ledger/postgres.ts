/** A ledger in one schema of a PostgreSQL, which any number of processes may write to at once. */
import type { ClientBase } from "pg";
import type { Head } from "./chain.ts";
import type {
  AppendResult,
  CommandKey,
  Examined,
  HeldStream,
  Ledger,
  NewEvent,
  Person,
  StoredEvent,
  StoredRuleSet,
  StoredSeat,
} from "./ledger.ts";
import { append, type AppendJob } from "./postgres-append.ts";
import {
  addRuleSet,
  allPeople,
  allRuleSets,
  allSeats,
  besideNumber,
  emptyPerson,
  enterPerson,
  enterSeat,
  ruleSetBy,
  writeNothing,
} from "./postgres-beside.ts";
import { chainFlaws, tableFlaws } from "./postgres-check.ts";
import type { Reach } from "./postgres-reach.ts";
import { openReach, type PostgresOptions } from "./postgres-open.ts";

export type { PostgresOptions } from "./postgres-open.ts";
import { eventsOf, repeated, standing, streamsOf } from "./postgres-statements.ts";
import { takeTurn } from "./postgres-turn.ts";
import {
  checkAppend,
  checkPerson,
  checkRuleSet,
  checkSeat,
  ledgerClosed,
  personErased,
  ruleSetDiffers,
} from "./storable.ts";
import { Turns } from "./turns.ts";

/** Opens or makes the ledger there, or rejects with LedgerCannotOpen. */
export async function openPostgres(place: PostgresOptions): Promise<PostgresLedger> {
  return new PostgresLedger(await openReach(place));
}

/**
 * A promise resolves with the commit on the database's disk. A connection that is lost is made anew, and what became of
 * the statement is read before it is sent again; only when that takes too long does a call reject with "unreachable".
 */
export class PostgresLedger implements Ledger {
  readonly driver = "postgres";
  readonly shared = true;
  readonly #reach: Reach;
  /** Where streams were last seen; others move them, and the statement that appends finds out. */
  readonly #heads = new Map<string, Head>();
  /**
   * This process's appends and turns on one stream, one after the other: at the same time they would only wait for each
   * other's lock, each on a connection that another stream could use.
   */
  readonly #turns = new Turns();
  #closed = false;

  constructor(reach: Reach) {
    this.#reach = reach;
  }

  async append(
    stream: string,
    expected: number,
    events: readonly NewEvent[],
    command: CommandKey,
  ): Promise<AppendResult> {
    if (this.#closed) throw ledgerClosed();
    checkAppend(stream, expected, events, command);
    const deadline = this.#reach.deadline();
    const job: AppendJob = { stream, expected, events, command };
    return this.#turns.run(stream, () =>
      this.#reach.ask((client, tries) => append(client, this.#heads, job, tries > 0), deadline),
    );
  }

  async inTurn<T>(stream: string, work: (held: HeldStream) => Promise<T>): Promise<T> {
    const on = { reach: this.#reach, heads: this.#heads, stream, deadline: this.#reach.deadline() };
    return this.#turns.run(stream, () => takeTurn(on, work));
  }

  async read(stream: string, after = 0): Promise<readonly StoredEvent[]> {
    return this.#reach.ask((client) => eventsOf(client, stream, after));
  }

  async streams(): Promise<readonly { readonly stream: string; readonly version: number }[]> {
    return this.#reach.ask(streamsOf);
  }

  async outcomeOf(commandId: string): Promise<AppendResult | undefined> {
    return this.#reach.ask(async (client) => {
      const { before } = await standing(client, commandId, "");
      return before && repeated(client, before);
    });
  }

  async putRuleSet(ruleSet: StoredRuleSet): Promise<void> {
    checkRuleSet(ruleSet);
    await this.#reach.ask(async (client) => {
      if (await addRuleSet(client, ruleSet)) return;
      const before = await ruleSetBy(client, ruleSet.hash);
      if (before?.text !== ruleSet.text) throw ruleSetDiffers(ruleSet.hash);
    });
  }

  async ruleSet(hash: string): Promise<StoredRuleSet | undefined> {
    return this.#reach.ask((client) => ruleSetBy(client, hash));
  }

  async ruleSets(): Promise<readonly StoredRuleSet[]> {
    return this.#reach.ask(allRuleSets);
  }

  async putPerson(person: Person): Promise<void> {
    const checked = checkPerson(person);
    await this.#reach.ask(async (client) => {
      if (!(await enterPerson(client, checked))) throw personErased(person.id);
    });
    if (checked.erased) await this.#forget();
  }

  async erasePerson(id: string): Promise<void> {
    if (await this.#reach.ask((client) => emptyPerson(client, id))) await this.#forget();
  }

  async people(): Promise<readonly Person[]> {
    return this.#reach.ask(allPeople);
  }

  async putSeat(seat: StoredSeat): Promise<void> {
    checkSeat(seat);
    await this.#reach.ask((client) => enterSeat(client, seat));
  }

  async seats(): Promise<readonly StoredSeat[]> {
    return this.#reach.ask(allSeats);
  }

  async beside(): Promise<number> {
    return this.#reach.ask(besideNumber);
  }

  async probe(): Promise<void> {
    await this.#reach.ask(writeNothing);
  }

  /** Looks at the tables, not at what the events mean; it reads everything, on a connection of its own. */
  async examine(): Promise<Examined> {
    return { differences: await this.#reach.slowly(tableFlaws), unreadable: false, leftOut: [] };
  }

  /** Every flaw found in the tables and in the chains, a sentence each; empty when all is sound. */
  async integrity(): Promise<readonly string[]> {
    const look = async (client: ClientBase): Promise<readonly string[]> => [
      ...(await chainFlaws(client)),
      ...(await tableFlaws(client)).map(({ sentence }) => sentence),
    ];
    return this.#reach.slowly(look);
  }

  async close(): Promise<void> {
    this.#closed = true;
    await this.#reach.close();
  }

  /**
   * PostgreSQL keeps a row's old text in its table until the table is vacuumed, which it does by itself in time; this does
   * it now. Where it cannot, the row is empty all the same. Its log and its backups are beyond our reach.
   */
  async #forget(): Promise<void> {
    await this.#reach.ask((client) => client.query("VACUUM people")).catch(() => undefined);
  }
}
