/** The statements over a stream and its commands, on whichever connection, with rows turned into the port's types. */
import type { ClientBase } from "pg";
import type { Head, SealedEvent } from "./chain.ts";
import { EMPTY_HEAD, unseal } from "./chain.ts";
import type { AppendResult, StoredEvent } from "./ledger.ts";
import { sealedOf } from "./postgres-rows.ts";
import type { CommandRow, EventRow } from "./postgres-rows.ts";

/**
 * One statement, so one round trip and one commit. It moves the stream's head if that still stands where the events go on
 * from; this row is the lock, so of two at once the second waits, and finds the head moved. A head that has not moved
 * writes nothing. A key that is taken fails the whole statement (23505).
 */
const APPEND = `
  WITH moved AS (
    INSERT INTO heads AS head (stream, version, chain)
    SELECT $1::text, $4::bigint, $5::text WHERE $2::bigint = 0 OR EXISTS (SELECT FROM heads WHERE stream = $1::text)
    ON CONFLICT (stream) DO UPDATE SET version = excluded.version, chain = excluded.chain
      WHERE head.version = $2::bigint AND head.chain = $3::text
    RETURNING version
  ), keyed AS (
    INSERT INTO commands (id, digest, stream, first, last)
    SELECT $6::text, $7::text, $1::text, $2::bigint + 1, $4::bigint FROM moved
  ), added AS (
    INSERT INTO events (stream, version, type, data, at, chain, command)
    SELECT $1::text, $2::bigint + place, type, data, at, chain, $6::text
    FROM moved, unnest($8::text[], $9::text[], $10::bigint[], $11::text[])
      WITH ORDINALITY AS new (type, data, at, chain, place)
    ORDER BY place
  )
  SELECT count(*) AS moved FROM moved`;

/** What is to be written: the events go on from `from`, or nothing is written. */
export interface Appending {
  readonly stream: string;
  readonly from: Head;
  readonly to: Head;
  readonly events: readonly SealedEvent[];
  readonly command: { readonly id: string; readonly digest: string };
}

/** Whether it was written. */
export async function appendAll(client: ClientBase, asked: Appending): Promise<boolean> {
  const { stream, from, to, events, command } = asked;
  const { rows } = await client.query<{ readonly moved: number }>({
    name: "append",
    text: APPEND,
    values: [
      stream,
      from.version,
      from.chain,
      to.version,
      to.chain,
      command.id,
      command.digest,
      events.map(({ type }) => type),
      events.map(({ text }) => text),
      events.map(({ at }) => at),
      events.map(({ chain }) => chain),
    ],
  });
  return rows[0]?.moved === 1;
}

/** Events with after < version <= last, in order. */
export async function eventsOf(
  client: ClientBase,
  stream: string,
  after: number,
  last = Number.MAX_SAFE_INTEGER,
): Promise<readonly StoredEvent[]> {
  const { rows } = await client.query<EventRow>({
    name: "events",
    text: `SELECT stream, version, type, data, at, chain, command FROM events
      WHERE stream = $1 AND version > $2 AND version <= $3 ORDER BY version`,
    values: [stream, Math.max(0, after), last],
  });
  return rows.map((row) => unseal(sealedOf(row)));
}

/** What a command id led to, if it was appended, and where a stream stands; both at one moment. */
export interface Standing {
  readonly before: CommandRow | undefined;
  readonly head: Head;
}

type StandingRow = { [column in keyof (CommandRow & Head)]: (CommandRow & Head)[column] | null };

export async function standing(client: ClientBase, commandId: string, stream: string): Promise<Standing> {
  const { rows } = await client.query<StandingRow>({
    name: "standing",
    text: `SELECT commands.digest, commands.stream, commands.first, commands.last, heads.version, heads.chain
      FROM (SELECT) AS nothing LEFT JOIN commands ON commands.id = $1 LEFT JOIN heads ON heads.stream = $2`,
    values: [commandId, stream],
  });
  const { version = null, chain = null, ...command } = rows[0] ?? {};
  return {
    head: version === null || chain === null ? EMPTY_HEAD : { version, chain },
    before: isWhole(command) ? command : undefined,
  };
}

const isWhole = (command: Partial<Pick<StandingRow, keyof CommandRow>>): command is CommandRow =>
  typeof command.digest === "string";

/** The answer of that time. */
export async function repeated(
  client: ClientBase,
  { stream, first, last }: CommandRow,
): Promise<AppendResult> {
  return { outcome: "repeated", version: last, events: await eventsOf(client, stream, first - 1, last) };
}

/** Takes a stream's lock until the transaction ends, waiting for whoever has it; where the stream stands then. */
export async function lockStream(client: ClientBase, stream: string): Promise<Head> {
  await client.query(
    "INSERT INTO heads (stream, version, chain) VALUES ($1, 0, '') ON CONFLICT (stream) DO NOTHING",
    [stream],
  );
  const { rows } = await client.query<Head>("SELECT version, chain FROM heads WHERE stream = $1 FOR UPDATE", [
    stream,
  ]);
  return rows[0] ?? EMPTY_HEAD;
}

export interface StreamRow {
  readonly stream: string;
  readonly version: number;
}

/** Every stream that has events, in the order of the bytes of its name. */
export async function streamsOf(client: ClientBase): Promise<readonly StreamRow[]> {
  const { rows } = await client.query<StreamRow>(
    "SELECT stream, version FROM heads WHERE version > 0 ORDER BY stream",
  );
  return rows;
}
