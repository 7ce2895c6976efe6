/** Every SQL statement of the open ledger, prepared once, with rows turned into the port's types. */
import type { Head, SealedEvent } from "./chain.ts";
import type { Connection, Statement } from "./connection.ts";
import { LedgerFault, SEAT_KINDS } from "./ledger.ts";
import type { Person, StoredRuleSet, StoredSeat } from "./ledger.ts";

/** What is kept of a command: its request's digest and the versions first..last that it caused (none: last < first). */
export interface Remembered {
  readonly digest: string;
  readonly stream: string;
  readonly first: number;
  readonly last: number;
}

export type Statements = ReturnType<typeof prepareAll>;

export function prepareAll(connection: Connection) {
  return {
    ...prepareTransaction(connection),
    ...prepareEvents(connection),
    ...prepareRuleSets(connection),
    ...preparePeople(connection),
    ...prepareSeats(connection),
    ...prepareCare(connection),
  };
}

function prepareTransaction(connection: Connection) {
  const begin = connection.prepare("BEGIN IMMEDIATE");
  const commit = connection.prepare("COMMIT");
  const rollback = connection.prepare("ROLLBACK");
  return {
    begin: () => void begin.run(),
    commit: () => void commit.run(),
    rollback: () => void rollback.run(),
  };
}

function prepareEvents(connection: Connection) {
  const head = connection.prepare(
    "SELECT version, chain FROM events WHERE stream = ? ORDER BY version DESC LIMIT 1",
  );
  const add = connection.prepare(
    "INSERT INTO events (stream, version, type, data, at, chain, command) VALUES (?, ?, ?, ?, ?, ?, ?)",
  );
  const events = connection.prepare(
    "SELECT stream, version, type, data, at, chain, command FROM events " +
      "WHERE stream = ? AND version > ? AND version <= ? ORDER BY version",
  );
  // One step in the index per stream; GROUP BY would read every event of every evening.
  const streams = connection.prepare(
    `WITH RECURSIVE names(stream) AS (
       SELECT min(stream) FROM events
       UNION ALL SELECT (SELECT min(stream) FROM events WHERE stream > names.stream) FROM names
       WHERE names.stream IS NOT NULL)
     SELECT stream, (SELECT max(version) FROM events WHERE events.stream = names.stream) AS version
     FROM names WHERE stream IS NOT NULL`,
  );
  const command = connection.prepare("SELECT digest, stream, first, last FROM commands WHERE id = ?");
  const addCommand = connection.prepare(
    "INSERT INTO commands (id, digest, stream, first, last) VALUES (?, ?, ?, ?, ?)",
  );
  return {
    head: (stream: string): Head | undefined => one(head, [stream], headOf),
    addEvent: (e: SealedEvent) => void add.run(e.stream, e.version, e.type, e.text, e.at, e.chain, e.command),
    /** The events with after < version <= last. */
    events: (stream: string, after: number, last: number) => many(events, [stream, after, last], sealedOf),
    streams: () =>
      many(streams, [], (row) => ({ stream: text(row, "stream"), version: whole(row, "version") })),
    command: (id: string): Remembered | undefined => one(command, [id], rememberedOf),
    addCommand: (id: string, { digest, stream, first, last }: Remembered) =>
      void addCommand.run(id, digest, stream, first, last),
  };
}

function prepareRuleSets(connection: Connection) {
  const add = connection.prepare("INSERT INTO rule_sets (hash, text) VALUES (?, ?)");
  const byHash = connection.prepare("SELECT hash, text FROM rule_sets WHERE hash = ?");
  const all = connection.prepare("SELECT hash, text FROM rule_sets ORDER BY rowid");
  return {
    addRuleSet: (ruleSet: StoredRuleSet) => void add.run(ruleSet.hash, ruleSet.text),
    ruleSet: (hash: string) => one(byHash, [hash], ruleSetOf),
    ruleSets: () => many(all, [], ruleSetOf),
  };
}

function preparePeople(connection: Connection) {
  const put = connection.prepare(
    `INSERT INTO people (id, name, short_name, notes, consents, erased) VALUES (?, ?, ?, ?, ?, ?)
     ON CONFLICT (id) DO UPDATE SET name = excluded.name, short_name = excluded.short_name,
       notes = excluded.notes, consents = excluded.consents, erased = excluded.erased`,
  );
  const columns = "SELECT id, name, short_name, notes, consents, erased FROM people";
  const byId = connection.prepare(`${columns} WHERE id = ?`);
  const all = connection.prepare(`${columns} ORDER BY rowid`);
  return {
    putPerson: (p: Person) =>
      void put.run(p.id, p.name, p.shortName, p.notes, JSON.stringify(p.consents), p.erased ? 1 : 0),
    person: (id: string) => one(byId, [id], personOf),
    people: () => many(all, [], personOf),
  };
}

function prepareSeats(connection: Connection) {
  const put = connection.prepare(
    `INSERT INTO seats (id, kind, secret_hash, ring, judge, referee, person, revoked) VALUES (?, ?, ?, ?, ?, ?, ?, ?)
     ON CONFLICT (id) DO UPDATE SET kind = excluded.kind, secret_hash = excluded.secret_hash,
       ring = excluded.ring, judge = excluded.judge, referee = excluded.referee,
       person = excluded.person, revoked = excluded.revoked`,
  );
  const all = connection.prepare(
    "SELECT id, kind, secret_hash, ring, judge, referee, person, revoked FROM seats ORDER BY rowid",
  );
  return {
    putSeat: (s: StoredSeat) =>
      void put.run(
        s.id,
        s.kind,
        s.secretHash,
        s.ring ?? null,
        s.judge ?? null,
        s.referee === undefined ? null : s.referee ? 1 : 0,
        s.person ?? null,
        s.revoked ? 1 : 0,
      ),
    seats: () => many(all, [], seatOf),
  };
}

function prepareCare(connection: Connection) {
  const emptyLog = connection.prepare("PRAGMA wal_checkpoint(TRUNCATE)");
  const copyInto = connection.prepare("VACUUM INTO ?");
  const version = connection.prepare("PRAGMA user_version");
  const check = connection.prepare("PRAGMA integrity_check");
  const stray = connection.prepare(
    `SELECT id FROM commands WHERE last - first + 1 <>
       (SELECT count(*) FROM events
        WHERE events.stream = commands.stream AND version BETWEEN first AND last AND command = commands.id)
     UNION SELECT command AS id FROM events WHERE command NOT IN (SELECT id FROM commands)`,
  );
  return {
    emptyLog: () => void emptyLog.all(),
    copyInto: (path: string) => void copyInto.run(path),
    /** Writes the version that stands there already: a commit like any other, with its flush. */
    writeNothing: () =>
      connection.exec(`PRAGMA user_version = ${one(version, [], (row) => whole(row, "user_version"))}`),
    /** SQLite's own findings; none when the file is sound. */
    fileFlaws: () => many(check, [], (row) => text(row, "integrity_check")).filter((found) => found !== "ok"),
    /** Commands whose events are missing, and events whose command is. */
    strayCommands: () => many(stray, [], (row) => text(row, "id")),
  };
}

type Row = Readonly<Record<string, unknown>>;
type Values = readonly (string | number)[];

function one<T>(statement: Statement, values: Values, read: (row: Row) => T): T | undefined {
  const row = statement.get(...values);
  return row === undefined ? undefined : read(asRow(row));
}

function many<T>(statement: Statement, values: Values, read: (row: Row) => T): T[] {
  return statement.all(...values).map((row) => read(asRow(row)));
}

function headOf(row: Row): Head {
  return { version: whole(row, "version"), chain: text(row, "chain") };
}

function sealedOf(row: Row): SealedEvent {
  return {
    stream: text(row, "stream"),
    version: whole(row, "version"),
    type: text(row, "type"),
    text: text(row, "data"),
    at: whole(row, "at"),
    chain: text(row, "chain"),
    command: text(row, "command"),
  };
}

function ruleSetOf(row: Row): StoredRuleSet {
  return { hash: text(row, "hash"), text: text(row, "text") };
}

function rememberedOf(row: Row): Remembered {
  return {
    digest: text(row, "digest"),
    stream: text(row, "stream"),
    first: whole(row, "first"),
    last: whole(row, "last"),
  };
}

function personOf(row: Row): Person {
  const consents: unknown = JSON.parse(text(row, "consents"));
  return {
    id: text(row, "id"),
    name: text(row, "name"),
    shortName: text(row, "short_name"),
    notes: text(row, "notes"),
    consents: Array.isArray(consents) ? consents.map(String) : [],
    erased: whole(row, "erased") === 1,
  };
}

function seatOf(row: Row): StoredSeat {
  const kind = SEAT_KINDS.find((known) => known === row["kind"]);
  if (kind === undefined) throw unreadable("kind", row["kind"]);
  return {
    id: text(row, "id"),
    kind,
    secretHash: text(row, "secret_hash"),
    ...(row["ring"] === null ? {} : { ring: text(row, "ring") }),
    ...(row["judge"] === null ? {} : { judge: whole(row, "judge") }),
    ...(row["referee"] === null ? {} : { referee: whole(row, "referee") === 1 }),
    ...(row["person"] === null ? {} : { person: text(row, "person") }),
    revoked: whole(row, "revoked") === 1,
  };
}

function asRow(row: unknown): Row {
  if (!isRow(row)) throw unreadable("a row", row);
  return row;
}

function isRow(value: unknown): value is Row {
  return typeof value === "object" && value !== null;
}

function text(row: Row, column: string): string {
  const value = row[column];
  if (typeof value !== "string") throw unreadable(column, value);
  return value;
}

function whole(row: Row, column: string): number {
  const value = row[column];
  if (typeof value !== "number" || !Number.isSafeInteger(value)) throw unreadable(column, value);
  return value;
}

function unreadable(column: string, value: unknown): LedgerFault {
  return new LedgerFault("damaged", `The ledger holds ${String(value)} where ${column} should be.`);
}
