/** How an older file grows into the newest form: a whole copy is put aside first, then one transaction or nothing. */
import { existsSync } from "node:fs";
import { copyTo } from "./backup.ts";
import type { Connection } from "./connection.ts";
import { LedgerCannotOpen, LedgerFault } from "./ledger.ts";
import { APPLICATION_ID, partsOf, STEPS } from "./schema.ts";

/** What was done to an older file. */
export interface Grown {
  readonly from: number;
  readonly to: number;
  /** Where it lies as it was before. */
  readonly aside: string;
}

/** The file's schema version; 0 for an empty file. */
export function versionOf(connection: Connection): number {
  const row: unknown = connection.prepare("PRAGMA user_version").get();
  return typeof row === "object" && row !== null ? Number(Object.values(row)[0]) : 0;
}

/**
 * Brings the file that `connection` holds to the form of `steps`; undefined where there was nothing to keep or to do.
 * Rejects ("unwritable") where the copy cannot be put aside; then the file is as it was.
 */
export function growSchema(
  connection: Connection,
  file: string,
  steps: readonly string[] = STEPS,
): Grown | undefined {
  const from = versionOf(connection);
  const to = steps.length;
  if (from >= to) return undefined;
  const aside = from === 0 ? undefined : putAside(connection, file, to);
  wholeOrNothing(
    connection,
    `${steps.slice(from).join("")}
     PRAGMA application_id = ${APPLICATION_ID}; PRAGMA user_version = ${to};`,
  );
  return aside === undefined ? undefined : { from, to, aside };
}

function wholeOrNothing(connection: Connection, sql: string): void {
  try {
    connection.exec(`BEGIN IMMEDIATE; ${sql} COMMIT`);
  } catch (error) {
    try {
      // Closing alone would not do: libsql keeps its lock for an open transaction.
      connection.exec("ROLLBACK");
    } catch {
      // SQLite has rolled back by itself.
    }
    throw error;
  }
}

/** The tables and triggers of `steps` that the file does not have. */
export function lacking(connection: Connection, steps: readonly string[] = STEPS): readonly string[] {
  const found = namesIn(connection);
  return partsOf(steps).filter((part) => !found.has(part));
}

/** Every table and trigger in the file. */
export function namesIn(connection: Connection): ReadonlySet<string> {
  const rows = connection.prepare("SELECT name FROM sqlite_schema WHERE type IN ('table', 'trigger')").all();
  return new Set(
    rows.map((row) => (typeof row === "object" && row !== null && "name" in row ? String(row.name) : "")),
  );
}

/** The sentence for whoever starts it. The copy holds names that may be erased later, so it must not be forgotten. */
export const grownSentence = ({ from, to, aside }: Grown): string =>
  `The ledger was brought from form ${from} to form ${to}. As it was, it lies in ${aside}: ` +
  `delete that copy once all is well, for it holds names and notes.`;

/** A try that was cut short leaves a copy; what was recorded since makes it worth another. */
function putAside(connection: Connection, file: string, to: number): string {
  const first = `${file}.before-${to}`;
  let aside = first;
  for (let n = 2; existsSync(aside); n += 1) aside = `${first}-${n}`;
  try {
    copyTo(aside, (part) => void connection.prepare("VACUUM INTO ?").run(part));
    return aside;
  } catch (error) {
    if (!(error instanceof LedgerFault)) throw error;
    throw new LedgerCannotOpen(
      "unwritable",
      `The ledger ${file} is of an older form, and the copy that must be put aside first failed: ${error.message} ` +
        `Make room for it, and start again.`,
    );
  }
}
