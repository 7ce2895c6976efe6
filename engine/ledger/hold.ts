/** Taking hold of a ledger's file: looked at first, locked for one process, safe settings read back, or refused. */
import { closeSync, existsSync, fstatSync, mkdirSync, openSync, readSync, realpathSync } from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { connect, resultCode, SQLITE } from "./connection.ts";
import type { Connection, SqliteDriver } from "./connection.ts";
import { flushFolder } from "./flush.ts";
import { growSchema, lacking, namesIn, versionOf, type Grown } from "./grow.ts";
import { LedgerCannotOpen } from "./ledger.ts";
import { logBeside, type LogState } from "./log-check.ts";
import { APPLICATION_ID, STEPS } from "./schema.ts";

/** A held file: closing gives it back. */
export interface Hold {
  readonly file: string;
  readonly connection: Connection;
  /** What was done to an older file; missing: nothing. */
  readonly grown?: Grown;
  /** Its log ended in what was not written whole, and that was left out. */
  readonly cut?: true;
  release(): void;
}

/**
 * POSIX locks do not hold within one process: a second library, or any close of a second handle on the
 * file, would silently drop the first one's lock. So this process also keeps its own list.
 */
const heldHere = new Set<string>();

/** Two starts at the same moment can stop each other; each tries again, later by its process id. */
const TRIES = 4;

/** `steps`: the form that the file is brought to; another than the newest for tests only. */
export async function takeHold(
  path: string,
  driver?: SqliteDriver,
  steps: readonly string[] = STEPS,
): Promise<Hold> {
  const file = makePlace(path);
  if (heldHere.has(file)) throw held(file);
  heldHere.add(file);
  let connection: Connection | undefined;
  let grown: Grown | undefined;
  let log: LogState;
  try {
    lookAtHeader(file, steps.length);
    log = await logBeside(file);
    // SQLite would pass over it without a word, and then throw it away.
    if (log === "broken") throw damaged(file, "its log has lost what was recorded last");
    connection = await lock(file, driver);
    refuseForeign(connection, file, steps.length);
    requireSafeSettings(connection, file);
    grown = growSchema(connection, file, steps);
    const missing = lacking(connection, steps);
    if (missing.length > 0) throw damaged(file, `it lacks ${missing.join(", ")}`);
  } catch (error) {
    connection?.close();
    heldHere.delete(file);
    throw asRefusal(error, file);
  }
  const taken = connection;
  return {
    file,
    connection,
    ...(grown === undefined ? {} : { grown }),
    ...(log === "cut" ? { cut: true as const } : {}),
    release() {
      try {
        taken.close();
      } finally {
        heldHere.delete(file);
      }
    },
  };
}

/**
 * Takes the file for a moment, so that what lies in its log goes into it and the file can be moved. Refuses ("held") where
 * a running Garland has it; a file that cannot be read is left as it is.
 */
export async function settle(path: string, driver?: SqliteDriver): Promise<void> {
  const file = realpathSync(path);
  if (heldHere.has(file)) throw held(file);
  try {
    // SQLite would throw the log of a file away that it takes for no database.
    lookAtHeader(file, Number.MAX_SAFE_INTEGER);
    (await lock(file, driver)).close();
  } catch (error) {
    const refused = asRefusal(error, file);
    if (refused instanceof LedgerCannotOpen && refused.code === "held") throw refused;
  }
}

/**
 * Sets what makes "committed" mean "on disk", and reads it back: write-ahead log, a flush at every commit,
 * one holder, and erased text overwritten. Refuses ("unsafe") where SQLite answers with anything else.
 */
export function requireSafeSettings(connection: Connection, file: string): void {
  // On macOS a plain fsync does not reach the disk; elsewhere the two fullfsync settings do nothing.
  connection.exec("PRAGMA fullfsync = ON; PRAGMA checkpoint_fullfsync = ON; PRAGMA trusted_schema = OFF");
  const settings = [
    ["journal_mode", "WAL", "wal"],
    ["synchronous", "FULL", 2],
    ["locking_mode", "EXCLUSIVE", "exclusive"],
    ["secure_delete", "ON", 1],
  ] as const;
  for (const [name, wanted, answer] of settings) {
    connection.prepare(`PRAGMA ${name} = ${wanted}`).all();
    const found = pragma(connection, name);
    if (found === answer) continue;
    throw new LedgerCannotOpen(
      "unsafe",
      `The ledger ${file} cannot be kept safely here: ${name} is ${String(found)} instead of ${wanted}. ` +
        `Put the data folder on a local disk.`,
    );
  }
}

function pragma(connection: Connection, name: string): unknown {
  const row: unknown = connection.prepare(`PRAGMA ${name}`).get();
  return typeof row === "object" && row !== null ? Object.values(row)[0] : undefined;
}

/** Makes the folder and an empty file, for their owner only; answers with the file's real path. */
function makePlace(path: string): string {
  const file = resolve(path);
  const folder = dirname(file);
  try {
    const first = mkdirSync(folder, { recursive: true, mode: 0o700 });
    if (first !== undefined) flushFolders(folder, dirname(first));
    const named = join(realpathSync(folder), basename(file));
    const real = existsSync(named) ? realpathSync(named) : named;
    // Not opened again while it is held here: closing that handle would drop the lock.
    if (!heldHere.has(real)) closeSync(openSync(real, "a", 0o600));
    return real;
  } catch (error) {
    throw unwritable(file, error);
  }
}

/** A new folder lasts through a power cut once the folders above it are flushed. */
function flushFolders(from: string, upTo: string): void {
  for (let folder = from; ; folder = dirname(folder)) {
    flushFolder(folder);
    if (folder === upTo || folder === dirname(folder)) return;
  }
}

/** Refuses what the header already shows, before SQLite touches the file (https://www.sqlite.org/fileformat.html 1.3). */
function lookAtHeader(file: string, known: number): void {
  const header = Buffer.alloc(100);
  const handle = openSync(file, "r");
  try {
    if (fstatSync(handle).size === 0) return;
    const length = readSync(handle, header, 0, 100, 0);
    if (length < 100 || header.toString("latin1", 0, 16) !== "SQLite format 3\0") {
      throw damaged(file, "it is no SQLite file");
    }
  } finally {
    closeSync(handle);
  }
  const application = header.readUInt32BE(68);
  // 0 may still be ours: the first commit can lie in the write-ahead log.
  if (application !== 0 && application !== APPLICATION_ID)
    throw damaged(file, "it belongs to another program");
  if (application === APPLICATION_ID) refuseNewer(file, header.readInt32BE(60), known);
}

async function lock(file: string, driver: SqliteDriver | undefined): Promise<Connection> {
  for (let tries = 1; ; tries += 1) {
    const connection = connect(file, driver);
    try {
      // No prepared statement before the lock is ours, so that a refused connection closes at once.
      connection.exec("PRAGMA locking_mode = EXCLUSIVE; BEGIN EXCLUSIVE; COMMIT");
      return connection;
    } catch (error) {
      connection.close();
      if (tries === TRIES || resultCode(error) !== SQLITE.BUSY) throw error;
    }
    await wait(5 + (process.pid % 8) * 4 * tries);
  }
}

function refuseForeign(connection: Connection, file: string, known: number): void {
  const application = pragma(connection, "application_id");
  if (application !== APPLICATION_ID && (application !== 0 || namesIn(connection).size > 0)) {
    throw damaged(file, "it belongs to another program");
  }
  refuseNewer(file, versionOf(connection), known);
}

function refuseNewer(file: string, version: number, known: number): void {
  if (version <= known) return;
  throw new LedgerCannotOpen(
    "newer",
    `The ledger ${file} was written by a newer Garland (its schema is ${version}, this one knows ` +
      `${known}): start the newer one.`,
  );
}

function asRefusal(error: unknown, file: string): unknown {
  if (error instanceof LedgerCannotOpen) return error;
  switch (resultCode(error)) {
    case SQLITE.BUSY:
    case SQLITE.LOCKED:
      return held(file);
    case SQLITE.CORRUPT:
    case SQLITE.NOTADB:
      return damaged(file, "SQLite cannot read it");
    case SQLITE.PERM:
    case SQLITE.READONLY:
    case SQLITE.IOERR:
    case SQLITE.FULL:
    case SQLITE.CANTOPEN:
      return unwritable(file, error);
    default:
      return error;
  }
}

function held(file: string): LedgerCannotOpen {
  return new LedgerCannotOpen(
    "held",
    `The ledger ${file} is held by a Garland that is running: stop that one, or start with another data folder.`,
  );
}

/** The refusal of a file that is no ledger, or no whole one. */
export function damaged(file: string, why: string): LedgerCannotOpen {
  return new LedgerCannotOpen(
    "damaged",
    `The file ${file} is not a sound Garland ledger: ${why}. Put a backup in its place, or move it away to begin anew.`,
  );
}

function unwritable(file: string, error: unknown): LedgerCannotOpen {
  const why = error instanceof Error ? error.message.replace(/\.$/, "") : String(error);
  return new LedgerCannotOpen(
    "unwritable",
    `I cannot write the ledger ${file}: ${why}. Name a data folder that I may write in.`,
  );
}
