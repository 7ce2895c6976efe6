/** A turn on a stream: a transaction that holds the stream's lock while somebody's work appends to it. */
import type { ClientBase, PoolClient } from "pg";
import type { Head } from "./chain.ts";
import { LedgerFault } from "./ledger.ts";
import type { AppendResult, HeldStream, StoredEvent } from "./ledger.ts";
import { append } from "./postgres-append.ts";
import type { AppendJob, Write } from "./postgres-append.ts";
import { asFault, takenKey, unreachable, verdictOn } from "./postgres-faults.ts";
import type { Reach } from "./postgres-reach.ts";
import { appendAll, eventsOf, lockStream, repeated, standing } from "./postgres-statements.ts";
import { checkAppend } from "./storable.ts";
import { Turns } from "./turns.ts";

/** A key that is taken undoes the statement only, not the turn. */
const writeWithin: Write = async (client, asked) => {
  await client.query("SAVEPOINT append");
  try {
    return await appendAll(client, asked);
  } catch (error) {
    if (takenKey(error) === undefined) throw error;
    await client.query("ROLLBACK TO SAVEPOINT append");
    return false;
  }
};

/** What a turn's work may ask; one question after the other, for they share a transaction. */
class Held implements HeldStream {
  /** Where the streams stand for this turn: not true for anybody else before it is committed. */
  readonly heads: Map<string, Head>;
  readonly written: string[] = [];
  readonly #client: ClientBase;
  readonly #where: string;
  readonly #order = new Turns();
  #over = false;
  #broken: unknown;

  constructor(client: ClientBase, where: string, stream: string, head: Head) {
    this.#client = client;
    this.#where = where;
    this.heads = new Map([[stream, head]]);
  }

  async append(
    ...[stream, expected, events, command]: Parameters<HeldStream["append"]>
  ): Promise<AppendResult> {
    checkAppend(stream, expected, events, command);
    const job: AppendJob = { stream, expected, events, command };
    const result = await this.#ask(() => append(this.#client, this.heads, job, false, writeWithin));
    if (result.outcome === "appended") this.written.push(command.id);
    return result;
  }

  read(stream: string, after = 0): Promise<readonly StoredEvent[]> {
    return this.#ask(() => eventsOf(this.#client, stream, after));
  }

  outcomeOf(commandId: string): Promise<AppendResult | undefined> {
    return this.#ask(async () => {
      const { before } = await standing(this.#client, commandId, "");
      return before && repeated(this.#client, before);
    });
  }

  /** No more questions; throws where one failed, for then the transaction holds less than its work believes. */
  async end(): Promise<void> {
    await this.#order.wait("");
    this.#over = true;
    if (this.#broken !== undefined) throw this.#broken;
  }

  #ask<T>(question: () => Promise<T>): Promise<T> {
    return this.#order.run("", async () => {
      if (this.#over) throw new LedgerFault("closed", "This turn is over: take another.");
      try {
        return await question();
      } catch (error) {
        // A refusal of our own: nothing failed in the transaction.
        if (error instanceof LedgerFault) throw error;
        this.#broken ??=
          verdictOn(error) === "final" ? asFault(error, this.#where) : unreachable(this.#where, error);
        throw this.#broken;
      }
    });
  }
}

export interface TurnOn {
  readonly reach: Reach;
  /** Where streams were last seen; what the turn wrote is noted there once it is committed. */
  readonly heads: Map<string, Head>;
  readonly stream: string;
  /** By when the turn must have begun. */
  readonly deadline: number;
}

const begin =
  (stream: string) =>
  async (client: ClientBase): Promise<Head> => {
    await client.query("BEGIN");
    return lockStream(client, stream);
  };

/** Runs `work` in a turn; see the port. */
export async function takeTurn<T>(on: TurnOn, work: (held: HeldStream) => Promise<T>): Promise<T> {
  const { reach, stream, deadline } = on;
  const [client, head] = await reach.take(begin(stream), deadline);
  const held = new Held(client, reach.where, stream, head);
  let result: T;
  try {
    result = await work(held);
    await held.end();
  } catch (error) {
    await held.end().catch(() => undefined);
    await giveUp(client);
    throw error;
  }
  await commit(on, client, held);
  for (const [each, at] of held.heads) on.heads.set(each, at);
  return result;
}

async function giveUp(client: PoolClient): Promise<void> {
  const undone = await client.query("ROLLBACK").then(
    () => true,
    () => false,
  );
  client.release(!undone);
}

async function commit(on: TurnOn, client: PoolClient, held: Held): Promise<void> {
  try {
    // PostgreSQL answers a COMMIT of a transaction that had failed with ROLLBACK; held.end() has thrown by then.
    await client.query("COMMIT");
    client.release();
  } catch (error) {
    client.release(true);
    if (verdictOn(error) === "final") throw asFault(error, on.reach.where);
    if (held.written.length > 0 && !(await wasCommitted(on, held))) throw unreachable(on.reach.where, error);
  }
}

/**
 * Whether a turn was committed whose answer was lost. Having the stream's lock means that the turn has ended, one way or
 * the other: while it has not, the lock is waited for, for longer than the server itself waits for a lost turn's next word.
 */
async function wasCommitted({ reach, stream }: TurnOn, held: Held): Promise<boolean> {
  const [client] = await reach.take(begin(stream), reach.deadline(2));
  try {
    const { before } = await standing(client, held.written[0] ?? "", stream);
    return before !== undefined;
  } catch (error) {
    throw unreachable(reach.where, error);
  } finally {
    await giveUp(client);
  }
}
