/** What a look at a whole PostgreSQL ledger finds wrong in its tables. */
import type { ClientBase } from "pg";
import { CURES, type Difference } from "../verify/difference.ts";
import { verifyChain } from "./chain.ts";
import { eventsOf } from "./postgres-statements.ts";

/** Every stream that has events or a head, in order of bytes. */
async function names(client: ClientBase): Promise<readonly string[]> {
  const { rows } = await client.query<{ readonly stream: string }>(
    "SELECT stream FROM heads UNION SELECT stream FROM events ORDER BY stream",
  );
  return rows.map(({ stream }) => stream);
}

/** A sentence for each stream whose chain does not verify. */
export async function chainFlaws(client: ClientBase): Promise<readonly string[]> {
  const flaws: string[] = [];
  for (const stream of await names(client)) {
    const checked = verifyChain(await eventsOf(client, stream, 0));
    if (!checked.ok) flaws.push(checked.sentence);
  }
  return flaws;
}

interface WrongHead {
  readonly stream: string;
  readonly head: number;
  readonly last: number;
}

/** Heads that are not where their stream ends: its end was cut off, or events were added by another hand. */
async function wrongHeads(client: ClientBase): Promise<readonly Difference[]> {
  const { rows } = await client.query<WrongHead>(
    `SELECT stream, coalesce(heads.version, 0) AS head, coalesce(last.version, 0) AS last
     FROM heads FULL JOIN (SELECT DISTINCT ON (stream) stream, version, chain FROM events
       ORDER BY stream, version DESC) AS last USING (stream)
     WHERE coalesce(heads.version, 0) <> coalesce(last.version, 0)
       OR coalesce(heads.chain, '') <> coalesce(last.chain, '')
     ORDER BY stream`,
  );
  return rows.map(({ stream, head, last }) => {
    const sentence =
      head === last
        ? `The last event of ${stream} is another one than was noted: the stream was written anew.`
        : `The stream ${stream} ends at event ${last}, and was noted to end at event ${head}.`;
    return { where: stream, sentence, cure: CURES.goBack };
  });
}

/** Commands whose events are missing, and events whose command is. */
async function strayCommands(client: ClientBase): Promise<readonly Difference[]> {
  const { rows } = await client.query<{ readonly id: string; readonly stream: string }>(
    `SELECT id, stream FROM commands WHERE last - first + 1 <>
       (SELECT count(*) FROM events
        WHERE events.stream = commands.stream AND version BETWEEN first AND last AND command = commands.id)
     UNION SELECT command, stream FROM events WHERE NOT EXISTS (SELECT FROM commands WHERE id = command)
     ORDER BY id`,
  );
  return rows.map(({ id, stream }) => ({
    where: stream,
    sentence: `The command ${id} does not match its events.`,
    cure: CURES.goBack,
  }));
}

/** Everything that the tables show to be wrong, beside the chains. */
export const tableFlaws = async (client: ClientBase): Promise<readonly Difference[]> => [
  ...(await wrongHeads(client)),
  ...(await strayCommands(client)),
];
