/** What the file notes of itself, and the check against it: heads of streams, digests of rows, commands and their events. */
import { createHash } from "node:crypto";
import { setImmediate as giveWay } from "node:timers/promises";
import type { Difference } from "../verify/difference.ts";
import { CURES } from "../verify/difference.ts";
import type { Connection } from "./connection.ts";
import type { Examined } from "./ledger.ts";
import { brokenTexts } from "./unicode.ts";

/** Rows that may change, or that no chain covers: their tables, and their columns in the order of the digest. */
const KEPT = {
  person: { table: "people", where: "people", columns: "id, name, short_name, notes, consents, erased" },
  seat: {
    table: "seats",
    where: "seats",
    columns: "id, kind, secret_hash, ring, judge, referee, person, revoked",
  },
  "rule set": { table: "rule_sets", where: "rule sets", columns: "hash, text" },
} as const;
export type Kept = keyof typeof KEPT;
const KINDS = ["person", "seat", "rule set"] as const satisfies readonly Kept[];

type Row = Readonly<Record<string, unknown>>;

/** Above this the pages' own check takes seconds, in which nobody would be answered. */
const SERVING_BYTES = 64 * 2 ** 20;
/** The streams' names: one step in the index for each. */
const NAMES = `WITH RECURSIVE names(stream) AS (
  SELECT min(stream) FROM events
  UNION ALL SELECT (SELECT min(stream) FROM events WHERE stream > names.stream) FROM names
  WHERE names.stream IS NOT NULL)`;
/** Commands that are looked at between two turns of everybody else. */
const AT_ONCE = 500;

const digestOf = (row: Row): string =>
  createHash("sha256")
    .update(JSON.stringify(Object.values(row)))
    .digest("hex");

const rowsOf = (rows: readonly unknown[]): readonly Row[] =>
  rows.filter((row): row is Row => typeof row === "object" && row !== null);

/** "2026-11-29 at 20:14 UTC", from milliseconds since 1970. */
function dayAndTime(at: number): string {
  const text = new Date(at).toISOString();
  return `${text.slice(0, 10)} at ${text.slice(11, 16)} UTC`;
}

/** Tells in the file's own words why a part of it could not be read. */
function unreadable(where: string, error: unknown): Difference {
  const why = error instanceof Error ? error.message : String(error);
  return { where, sentence: `It cannot be read: ${why}`, cure: CURES.goBack };
}

export class Notes {
  readonly #connection: Connection;
  readonly #noteHeads;
  readonly #putDigest;

  constructor(connection: Connection) {
    this.#connection = connection;
    this.#noteHeads = connection.prepare(
      `${NAMES}, tips(stream, version) AS (
         SELECT stream, (SELECT max(version) FROM events WHERE events.stream = names.stream)
         FROM names WHERE stream IS NOT NULL)
       INSERT INTO heads (stream, version, chain, at)
       SELECT tips.stream, tips.version, events.chain, ? FROM tips
       JOIN events ON events.stream = tips.stream AND events.version = tips.version
       WHERE NOT EXISTS (SELECT 1 FROM heads
         WHERE heads.stream = tips.stream AND heads.version = tips.version)`,
    );
    this.#putDigest = connection.prepare(
      `INSERT INTO digests (kind, id, digest) VALUES (?, ?, ?)
       ON CONFLICT (kind, id) DO UPDATE SET digest = excluded.digest`,
    );
  }

  /** Notes where every stream stands, and rows from before there were digests. To be called in a transaction. */
  note(at: number): void {
    this.#noteHeads.run(at);
    for (const kind of KINDS)
      for (const row of this.#undigested(kind)) this.#putDigest.run(kind, idOf(row), digestOf(row));
  }

  /** Notes one row as it stands in its table now. To be called in the transaction that wrote it. */
  keep(kind: Kept, id: string): void {
    const { table, columns } = KEPT[kind];
    const key = columns.split(", ")[0] ?? "id";
    const [row] = this.#all(`SELECT ${columns} FROM ${table} WHERE ${key} = ?`, id);
    if (row !== undefined) this.#putDigest.run(kind, id, digestOf(row));
  }

  /** Everything that the file itself shows to be wrong. */
  async examine(serving: boolean): Promise<Examined> {
    const differences: Difference[] = await this.#broken();
    if (differences.length > 0) {
      const sentence = "The rest was not checked, because that damage would end the program that reads it.";
      return { differences, unreadable: true, leftOut: [sentence] };
    }
    const big = serving && this.#bytes() > SERVING_BYTES;
    if (!big) differences.push(...attempt("file", () => this.#pages()));
    await giveWay();
    differences.push(...attempt("file", () => this.#heads()));
    await giveWay();
    for (const kind of KINDS) differences.push(...attempt(KEPT[kind].where, () => this.#changedRows(kind)));
    differences.push(...(await this.#commands()));
    const sentence =
      "The file's pages were not checked, because that would keep everybody waiting: verify a backup for it.";
    return { differences, unreadable: false, leftOut: big ? [sentence] : [] };
  }

  async #broken(): Promise<Difference[]> {
    try {
      return [...(await brokenTexts(this.#connection))];
    } catch (error) {
      return [unreadable("file", error)];
    }
  }

  #all(sql: string, ...values: (string | number)[]): readonly Row[] {
    return rowsOf(this.#connection.prepare(sql).all(...values));
  }

  #bytes(): number {
    const [row] = this.#all(
      "SELECT page_count * page_size AS bytes FROM pragma_page_count(), pragma_page_size()",
    );
    return Number(row?.["bytes"] ?? 0);
  }

  /** SQLite's own look at every page (https://www.sqlite.org/pragma.html#pragma_integrity_check). */
  #pages(): readonly Difference[] {
    return this.#all("PRAGMA integrity_check")
      .map((row) => String(row["integrity_check"]))
      .filter((found) => found !== "ok")
      .map((found) => ({ where: "file", sentence: `SQLite finds: ${found}.`, cure: CURES.goBack }));
  }

  #heads(): readonly Difference[] {
    const told = new Set<string>();
    return this.#all(
      `SELECT heads.stream AS stream, heads.version AS version, heads.at AS at, events.chain AS found
       FROM heads LEFT JOIN events ON events.stream = heads.stream AND events.version = heads.version
       WHERE events.chain IS NOT heads.chain ORDER BY heads.stream, heads.version`,
    ).flatMap((row): readonly Difference[] => {
      const where = String(row["stream"]);
      if (told.has(where)) return [];
      told.add(where);
      const version = Number(row["version"]);
      const noted = `Event ${version}, noted on ${dayAndTime(Number(row["at"]))},`;
      const sentence =
        row["found"] === null
          ? `${noted} is missing: the end of the stream was cut off.`
          : `${noted} is another one now: the stream was written anew.`;
      return [{ where, version, sentence, cure: CURES.goBack }];
    });
  }

  #undigested(kind: Kept): readonly Row[] {
    const { table, columns } = KEPT[kind];
    const key = columns.split(", ")[0] ?? "id";
    return this.#all(
      `SELECT ${columns} FROM ${table} WHERE ${key} NOT IN (SELECT id FROM digests WHERE kind = ?)`,
      kind,
    );
  }

  #changedRows(kind: Kept): readonly Difference[] {
    const { table, columns, where } = KEPT[kind];
    const noted = new Map(
      this.#all("SELECT id, digest FROM digests WHERE kind = ?", kind).map((row) => [
        idOf(row),
        row["digest"],
      ]),
    );
    const rows = new Map(this.#all(`SELECT ${columns} FROM ${table}`).map((row) => [idOf(row), row]));
    const changed = [...rows].filter(([id, row]) => noted.has(id) && noted.get(id) !== digestOf(row));
    const gone = [...noted.keys()].filter((id) => !rows.has(id));
    return [
      ...changed.map(([id]) => `The ${kind} ${id} was changed by another hand than Garland's.`),
      ...gone.map((id) => `The ${kind} ${id} was there and is gone.`),
    ].map((sentence) => ({ where, sentence, cure: CURES.goBackOrKeep }));
  }

  async #commands(): Promise<readonly Difference[]> {
    const found: Difference[] = [];
    for (let after: string | undefined = ""; after !== undefined; await giveWay()) {
      const from: string = after;
      const page = attemptRows(found, () => this.#commandsAfter(from));
      for (const row of page) if (row["counted"] !== row["due"]) found.push(strayCommand(row));
      const last = page.at(-1);
      after = page.length < AT_ONCE || last === undefined ? undefined : idOf(last);
    }
    for (const stream of attemptRows(found, () => this.#streams()).map((row) => String(row["stream"]))) {
      for (const row of attemptRows(found, () => this.#orphans(stream))) {
        const version = Number(row["version"]);
        const sentence = `Event ${version} came with the command ${String(row["command"])}, which the ledger lacks.`;
        found.push({ where: stream, version, sentence, cure: CURES.goBack });
      }
      await giveWay();
    }
    return found;
  }

  /** Events of a stream whose command is not there, the first of each. */
  #orphans(stream: string): readonly Row[] {
    return this.#all(
      `SELECT min(version) AS version, command FROM events
       WHERE stream = ? AND NOT EXISTS (SELECT 1 FROM commands WHERE commands.id = events.command)
       GROUP BY command`,
      stream,
    );
  }

  #streams(): readonly Row[] {
    return this.#all(`${NAMES} SELECT stream FROM names WHERE stream IS NOT NULL`);
  }

  #commandsAfter(id: string): readonly Row[] {
    return this.#all(
      `SELECT id, stream, first, last, last - first + 1 AS due,
         (SELECT count(*) FROM events WHERE events.stream = commands.stream
            AND version BETWEEN first AND last AND command = commands.id) AS counted,
         (SELECT max(version) FROM events WHERE events.stream = commands.stream) AS tip
       FROM commands WHERE id > ? ORDER BY id LIMIT ${AT_ONCE}`,
      id,
    );
  }
}

const idOf = (row: Row): string => String(row["id"] ?? row["hash"]);

function strayCommand(row: Row): Difference {
  const [first, last, tip] = [Number(row["first"]), Number(row["last"]), Number(row["tip"] ?? 0)];
  const where = String(row["stream"]);
  const what = `The command ${idOf(row)} does not match its events`;
  const sentence =
    last > tip
      ? `${what}: it wrote up to event ${last}, and the stream ends at ${tip}.`
      : `${what}: it wrote events ${first} to ${last}.`;
  return { where, version: first, sentence, cure: CURES.goBack };
}

function attempt(where: string, look: () => readonly Difference[]): readonly Difference[] {
  try {
    return look();
  } catch (error) {
    return [unreadable(where, error)];
  }
}

function attemptRows(found: Difference[], look: () => readonly Row[]): readonly Row[] {
  try {
    return look();
  } catch (error) {
    found.push(unreadable("file", error));
    return [];
  }
}
