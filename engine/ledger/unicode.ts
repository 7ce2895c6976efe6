/**
 * Text in a file that is no Unicode any more, found without reading it as text: one of the drivers ends the whole process
 * at the first such byte, so this is looked at before anything else.
 */
import { setImmediate as giveWay } from "node:timers/promises";
import type { Difference } from "../verify/difference.ts";
import { TODO } from "../verify/difference.ts";
import type { Connection } from "./connection.ts";

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

/** Every event, and every table, in which a text is no Unicode. While this finds anything, nothing is safe to read. */
export async function brokenTexts(connection: Connection): Promise<readonly Difference[]> {
  const found: Difference[] = [];
  for (const [where, texts, table = where] of TABLES) {
    const rows = connection.prepare(`SELECT CAST(${texts} AS BLOB) AS texts FROM ${table}`).all();
    if (rows.every((row) => isRow(row) && isUnicode(asBytes(row["texts"])))) continue;
    found.push({ where, sentence: "A text in it is no Unicode any more.", todo: TODO.goBack });
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
      found.push({ where: new TextDecoder().decode(stream), version, sentence, todo: TODO.goBack });
    }
    if (rows.length < AT_ONCE) return found;
    await giveWay();
  }
}
