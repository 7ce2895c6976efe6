/**
 * Text in a file that is no Unicode any more, found without reading it as text: one of the drivers ends the whole process
 * at the first such byte, so this is looked at before anything else.
 */
import { setImmediate as giveWay } from "node:timers/promises";
import type { Difference } from "../verify/difference.ts";
import { CURES } from "../verify/difference.ts";
import type { Connection } from "./connection.ts";
import { LedgerFault } from "./ledger.ts";

/** Rows that are looked at between two turns of everybody else. */
const AT_ONCE = 500;

/** Tables without streams, with their texts as one. */
const TABLES = [
  ["commands", "id || digest || stream"],
  ["rule sets", "hash || text", "rule_sets"],
  ["people", "id || name || short_name || notes || consents"],
  ["seats", "id || kind || secret_hash || coalesce(ring, '') || coalesce(person, '')"],
  ["heads", "stream || chain"],
  ["digests", "kind || id || digest"],
] as const;

/** One driver gives bytes as an array of them, the other as their buffer. */
function asBytes(value: unknown): Uint8Array {
  if (value instanceof Uint8Array) return value;
  if (value instanceof ArrayBuffer) return new Uint8Array(value);
  throw new Error("the driver gave no bytes where bytes were asked for");
}

function isUnicode(bytes: Uint8Array): boolean {
  try {
    new TextDecoder("utf-8", { fatal: true }).decode(bytes);
    return true;
  } catch {
    return false;
  }
}

type Row = Readonly<Record<string, unknown>>;
const isRow = (row: unknown): row is Row => typeof row === "object" && row !== null;

/** The first of these rows' versions whose texts are no Unicode. */
const firstBroken = (rows: readonly unknown[]): number | undefined => {
  const broken = rows.filter(isRow).find((row) => !isUnicode(asBytes(row["texts"])));
  return broken && Number(broken["version"]);
};

/** Tables that are read as a whole. */
export type WholeTable = "people" | "seats" | "rule_sets";

/**
 * Looks at what is about to be read as text, once: while the file is held nobody else writes to it. Throws ("damaged") where
 * it is no Unicode. Only for the driver that would end the process; the other one reads on, and the chain tells.
 */
export class Readable {
  readonly #connection: Connection;
  readonly #file: string;
  readonly #tables = new Set<string>();
  readonly #upTo = new Map<string, number>();

  constructor(connection: Connection, file: string) {
    this.#connection = connection;
    this.#file = file;
  }

  table(table: WholeTable): void {
    if (this.#passes(table)) return;
    const [where, texts] = TABLES.find(([name, , stored = name]) => stored === table) ?? [table, "''"];
    const rows = this.#connection.prepare(
      `SELECT 1 AS version, CAST(${texts} AS BLOB) AS texts FROM ${table}`,
    );
    if (firstBroken(rows.all()) !== undefined) throw this.#damaged(`A text in ${where}`);
  }

  /** The names of all streams. */
  names(): void {
    if (this.#passes("names")) return;
    const rows = this.#connection.prepare(
      `WITH RECURSIVE names(stream) AS (
         SELECT min(stream) FROM events
         UNION ALL SELECT (SELECT min(stream) FROM events WHERE stream > names.stream) FROM names
         WHERE names.stream IS NOT NULL)
       SELECT 1 AS version, CAST(stream AS BLOB) AS texts FROM names WHERE stream IS NOT NULL`,
    );
    if (firstBroken(rows.all()) !== undefined) throw this.#damaged("The name of a stream");
  }

  /** The events of one stream. */
  events(stream: string): void {
    if (this.#connection.driver !== "libsql") return;
    const known = this.#upTo.get(stream) ?? 0;
    const rows = this.#connection
      .prepare(
        "SELECT version, CAST(type || data || chain || command AS BLOB) AS texts FROM events " +
          "WHERE stream = ? AND version > ? ORDER BY version",
      )
      .all(stream, known);
    const broken = firstBroken(rows);
    if (broken !== undefined) throw this.#damaged(`A text of event ${broken} of ${stream}`);
    this.#upTo.set(stream, known + rows.length);
  }

  #passes(what: string): boolean {
    if (this.#connection.driver !== "libsql" || this.#tables.has(what)) return true;
    this.#tables.add(what);
    return false;
  }

  #damaged(what: string): LedgerFault {
    return new LedgerFault(
      "damaged",
      `${what} in ${this.#file} is no Unicode any more: the ledger is damaged; restore a backup.`,
    );
  }
}

/** Every event, and every table, in which a text is no Unicode. While this finds anything, nothing is safe to read. */
export async function brokenTexts(connection: Connection): Promise<readonly Difference[]> {
  const found: Difference[] = [];
  for (const [where, texts, table = where] of TABLES) {
    const rows = connection.prepare(`SELECT CAST(${texts} AS BLOB) AS texts FROM ${table}`).all();
    if (rows.every((row) => isRow(row) && isUnicode(asBytes(row["texts"])))) continue;
    found.push({ where, sentence: "A text in it is no Unicode any more.", cure: CURES.goBack });
    await giveWay();
  }
  return [...found, ...(await brokenEvents(connection))];
}

async function brokenEvents(connection: Connection): Promise<readonly Difference[]> {
  const next = connection.prepare(
    `SELECT CAST(stream AS BLOB) AS stream, version,
       CAST(stream || type || data || chain || command AS BLOB) AS texts
     FROM events WHERE (stream, version) > (CAST(? AS TEXT), ?) ORDER BY stream, version LIMIT ${AT_ONCE}`,
  );
  const found: Difference[] = [];
  let stream: Uint8Array = new Uint8Array();
  let version = 0;
  for (;;) {
    const rows = next.all(stream, version).filter(isRow);
    for (const row of rows) {
      stream = asBytes(row["stream"]);
      version = Number(row["version"]);
      if (isUnicode(asBytes(row["texts"]))) continue;
      const sentence = `A text of event ${version} is no Unicode any more.`;
      found.push({ where: new TextDecoder().decode(stream), version, sentence, cure: CURES.goBack });
    }
    if (rows.length < AT_ONCE) return found;
    await giveWay();
  }
}
