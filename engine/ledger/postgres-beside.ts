/** What stands beside the streams in PostgreSQL: rule sets, people and seats, in the order of their first entry. */
import type { ClientBase } from "pg";
import type { Person, StoredRuleSet, StoredSeat } from "./ledger.ts";
import { personOf, seatOf } from "./postgres-rows.ts";
import type { PersonRow, SeatRow } from "./postgres-rows.ts";

type Values = readonly (string | number | boolean | null)[];

/** One statement that writes, and in the same commit changes the number which tells that something was written. */
async function write(client: ClientBase, sql: string, values: Values): Promise<boolean> {
  const { rows } = await client.query<{ readonly put: number }>(
    `WITH put AS (${sql} RETURNING 1),
       told AS (UPDATE beside SET n = n + 1 WHERE EXISTS (SELECT FROM put))
     SELECT count(*) AS put FROM put`,
    [...values],
  );
  return rows[0]?.put === 1;
}

async function all<Row extends object>(
  client: ClientBase,
  sql: string,
  values: Values = [],
): Promise<readonly Row[]> {
  return (await client.query<Row>(sql, [...values])).rows;
}

/** Whether it was new; one that is there already stays as it is. */
export const addRuleSet = (client: ClientBase, { hash, text }: StoredRuleSet): Promise<boolean> =>
  write(client, "INSERT INTO rule_sets (hash, text) VALUES ($1, $2) ON CONFLICT (hash) DO NOTHING", [
    hash,
    text,
  ]);

export async function ruleSetBy(client: ClientBase, hash: string): Promise<StoredRuleSet | undefined> {
  const [found] = await all<StoredRuleSet>(client, "SELECT hash, text FROM rule_sets WHERE hash = $1", [
    hash,
  ]);
  return found;
}

export const allRuleSets = (client: ClientBase): Promise<readonly StoredRuleSet[]> =>
  all(client, "SELECT hash, text FROM rule_sets ORDER BY no");

/** Whether it was written: it is not where the person was erased and this one is not. */
export const enterPerson = (client: ClientBase, p: Person): Promise<boolean> =>
  write(
    client,
    `INSERT INTO people (id, name, short_name, notes, consents, erased) VALUES ($1, $2, $3, $4, $5, $6)
     ON CONFLICT (id) DO UPDATE SET name = excluded.name, short_name = excluded.short_name,
       notes = excluded.notes, consents = excluded.consents, erased = excluded.erased
     WHERE excluded.erased OR NOT people.erased`,
    [p.id, p.name, p.shortName, p.notes, JSON.stringify(p.consents), p.erased],
  );

/** Whether there was such a person. */
export const emptyPerson = (client: ClientBase, id: string): Promise<boolean> =>
  write(
    client,
    "UPDATE people SET name = '', short_name = '', notes = '', consents = '[]', erased = true WHERE id = $1",
    [id],
  );

export async function allPeople(client: ClientBase): Promise<readonly Person[]> {
  const columns = "id, name, short_name, notes, consents, erased";
  return (await all<PersonRow>(client, `SELECT ${columns} FROM people ORDER BY no`)).map(personOf);
}

export const enterSeat = (client: ClientBase, s: StoredSeat): Promise<boolean> =>
  write(
    client,
    `INSERT INTO seats (id, kind, secret_hash, ring, judge, referee, person, revoked)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8)
     ON CONFLICT (id) DO UPDATE SET kind = excluded.kind, secret_hash = excluded.secret_hash,
       ring = excluded.ring, judge = excluded.judge, referee = excluded.referee,
       person = excluded.person, revoked = excluded.revoked`,
    [
      s.id,
      s.kind,
      s.secretHash,
      s.ring ?? null,
      s.judge ?? null,
      s.referee ?? null,
      s.person ?? null,
      s.revoked,
    ],
  );

export async function allSeats(client: ClientBase): Promise<readonly StoredSeat[]> {
  const columns = "id, kind, secret_hash, ring, judge, referee, person, revoked";
  return (await all<SeatRow>(client, `SELECT ${columns} FROM seats ORDER BY no`)).map(seatOf);
}

/** The number that every write beside the streams changes. */
export async function besideNumber(client: ClientBase): Promise<number> {
  const [row] = await all<{ readonly n: number }>(client, "SELECT n FROM beside");
  return row?.n ?? 0;
}

/** Writes that number as it stands: a commit like any other, with its flush. */
export async function writeNothing(client: ClientBase): Promise<void> {
  await client.query("UPDATE beside SET n = n");
}
