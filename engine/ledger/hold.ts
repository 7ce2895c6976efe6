/** Taking hold of a ledger's file: looked at first, locked for one process, safe settings read back, or refused. */
import {
  closeSync,
  existsSync,
  fsyncSync,
  fstatSync,
  mkdirSync,
  openSync,
  readSync,
  realpathSync,
} from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { connect, resultCode, SQLITE } from "./connection.ts";
import type { Connection, SqliteDriver } from "./connection.ts";
import { LedgerCannotOpen } from "./ledger.ts";
import { APPLICATION_ID, PARTS, SCHEMA_VERSION, STEPS } from "./schema.ts";

/** A held file: closing gives it back. */
export interface Hold {
  readonly file: string;
  readonly connection: Connection;
  release(): void;
}

/**
 * POSIX locks do not hold within one process: a second library, or any close of a second handle on the
 * file, would silently drop the first one's lock. So this process also keeps its own list.
 */
const heldHere = new Set<string>();

/** Two starts at the same moment can stop each other; each tries again, later by its process id. */
const TRIES = 4;

export async function takeHold(path: string, driver?: SqliteDriver): Promise<Hold> {
  const file = makePlace(path);
  if (heldHere.has(file)) throw held(file);
  heldHere.add(file);
  let connection: Connection | undefined;
  try {
    lookAtHeader(file);
    connection = await lock(file, driver);
    refuseForeign(connection, file);
    requireSafeSettings(connection, file);
    growSchema(connection, file);
  } catch (error) {
    connection?.close();
    heldHere.delete(file);
    throw asRefusal(error, file);
  }
  const taken = connection;
  return {
    file,
    connection,
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

export function flushFolder(folder: string): void {
  if (process.platform === "win32") return; // folders cannot be opened there
  const handle = openSync(folder, "r");
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

/** Refuses what the header already shows, before SQLite touches the file (https://www.sqlite.org/fileformat.html 1.3). */
function lookAtHeader(file: string): void {
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
  if (application === APPLICATION_ID) refuseNewer(file, header.readInt32BE(60));
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

function refuseForeign(connection: Connection, file: string): void {
  const application = pragma(connection, "application_id");
  if (application !== APPLICATION_ID && (application !== 0 || partsOf(connection).size > 0)) {
    throw damaged(file, "it belongs to another program");
  }
  refuseNewer(file, Number(pragma(connection, "user_version")));
}

function growSchema(connection: Connection, file: string): void {
  const version = Number(pragma(connection, "user_version"));
  if (version < SCHEMA_VERSION) {
    connection.exec(
      `BEGIN IMMEDIATE; ${STEPS.slice(version).join("")}
       PRAGMA application_id = ${APPLICATION_ID}; PRAGMA user_version = ${SCHEMA_VERSION}; COMMIT`,
    );
  }
  const parts = partsOf(connection);
  const missing = PARTS.filter((part) => !parts.has(part));
  if (missing.length > 0) throw damaged(file, `it lacks ${missing.join(", ")}`);
}

function partsOf(connection: Connection): ReadonlySet<string> {
  const rows = connection.prepare("SELECT name FROM sqlite_schema WHERE type IN ('table', 'trigger')").all();
  return new Set(
    rows.map((row) => (typeof row === "object" && row !== null && "name" in row ? String(row.name) : "")),
  );
}

function refuseNewer(file: string, version: number): void {
  if (version <= SCHEMA_VERSION) return;
  throw new LedgerCannotOpen(
    "newer",
    `The ledger ${file} was written by a newer Garland (its schema is ${version}, this one knows ` +
      `${SCHEMA_VERSION}): start the newer one.`,
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

function damaged(file: string, why: string): LedgerCannotOpen {
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
