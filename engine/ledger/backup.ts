/** A whole copy of a ledger's file, on disk before it takes its name. */
import { closeSync, existsSync, fsyncSync, linkSync, openSync, renameSync, rmSync } from "node:fs";
import { dirname, resolve } from "node:path";
import { flushFolder } from "./flush.ts";
import { LedgerFault } from "./ledger.ts";

/**
 * VACUUM INTO does not flush (https://www.sqlite.org/lang_vacuum.html), so the copy is written and flushed
 * aside first. Refuses ("backup-exists", "backup-failed"); then nothing is left behind.
 */
export function copyTo(path: string, copyInto: (part: string) => void): void {
  const file = resolve(path);
  if (existsSync(file)) {
    throw new LedgerFault("backup-exists", `The file ${file} exists already; name another for the backup.`);
  }
  const part = `${file}.part`;
  try {
    rmSync(part, { force: true });
    // An empty file of our own, because SQLite would let everybody read the names in it.
    closeSync(openSync(part, "wx", 0o600));
    copyInto(part);
    placeAs(part, file);
  } catch (error) {
    throw backupFailed(file, part, error);
  }
}

/** Flushes a finished file and gives it its name; a file that has this name by now is kept, and that is an error. */
export function placeAs(part: string, file: string): void {
  flush(part);
  try {
    // A link, unlike a renaming, never takes another's place.
    linkSync(part, file);
    rmSync(part);
  } catch (error) {
    if (existsSync(file)) throw error;
    // A disk without links: memory sticks have none.
    renameSync(part, file);
  }
  flushFolder(dirname(file));
}

function flush(file: string): void {
  const handle = openSync(file, "r+");
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

function backupFailed(file: string, part: string, error: unknown): LedgerFault {
  try {
    rmSync(part, { force: true });
  } catch {
    // The folder may be gone or unwritable: the first error says so.
  }
  const why = error instanceof Error ? error.message : String(error);
  return new LedgerFault("backup-failed", `The backup ${file} could not be written: ${why}`, error);
}
