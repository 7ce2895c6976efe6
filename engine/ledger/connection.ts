/** The two SQLite drivers behind one small interface: only what the ledger needs of either. */
import { createRequire } from "node:module";
import { LedgerCannotOpen } from "./ledger.ts";

/** In order of preference: what the running Node brings itself, then the optional package. */
export const SQLITE_DRIVERS = ["node:sqlite", "libsql"] as const;
export type SqliteDriver = (typeof SQLITE_DRIVERS)[number];

type SqlValue = string | number | null | Uint8Array;

export interface Statement {
  run(...values: SqlValue[]): unknown;
  get(...values: SqlValue[]): unknown;
  all(...values: SqlValue[]): unknown[];
}

export interface Connection {
  readonly driver: SqliteDriver;
  exec(sql: string): void;
  prepare(sql: string): Statement;
  /** Lets go of the file and its lock. */
  close(): void;
}

/** SQLite's primary result codes that the ledger tells apart (https://www.sqlite.org/rescode.html). */
export const SQLITE = {
  PERM: 3,
  BUSY: 5,
  LOCKED: 6,
  READONLY: 8,
  IOERR: 10,
  CORRUPT: 11,
  FULL: 13,
  CANTOPEN: 14,
  NOTADB: 26,
} as const;

type Database = Omit<Connection, "driver">;
type DatabaseClass = new (file: string) => Database;

/** The drivers that load here, the preferred first. */
export function availableDrivers(): readonly SqliteDriver[] {
  return SQLITE_DRIVERS.filter((driver) => load(driver) !== undefined);
}

/** One connection; SQLite touches the file only with the first statement. */
export function connect(file: string, driver: SqliteDriver | undefined = availableDrivers()[0]): Connection {
  const Database = driver && load(driver);
  if (Database === undefined) {
    const wanted = driver === undefined ? "no SQLite" : `no ${driver}`;
    throw new LedgerCannotOpen(
      "no-driver",
      `This Node (${process.version}) has ${wanted}: run npm install without --omit=optional, or use Node 24.`,
    );
  }
  return wrap(driver ?? "libsql", new Database(file));
}

/** The primary result code of an error from either driver; undefined if it is no SQLite error. */
export function resultCode(error: unknown): number | undefined {
  if (!(error instanceof Error)) return undefined;
  if ("errcode" in error && typeof error.errcode === "number") return error.errcode & 0xff;
  if ("rawCode" in error && typeof error.rawCode === "number") return error.rawCode & 0xff;
  // libsql gives the code of a failed opening only inside its message.
  const opening = /^ConnectionFailed\(.*: (\d+)"\)$/.exec(error.message)?.[1];
  return opening === undefined ? undefined : Number(opening) & 0xff;
}

function wrap(driver: SqliteDriver, database: Database): Connection {
  return {
    driver,
    exec: (sql) => database.exec(sql),
    prepare: (sql) => database.prepare(sql),
    close() {
      if (driver === "libsql") releaseLock(database);
      database.close();
    },
  };
}

/**
 * libsql keeps the file open, and with it the exclusive lock, until its statements are collected as
 * garbage. Leaving WAL mode is the one way to give the lock back by hand
 * (https://www.sqlite.org/pragma.html#pragma_locking_mode).
 */
function releaseLock(database: Database): void {
  try {
    database.exec(
      "PRAGMA journal_mode = DELETE; PRAGMA locking_mode = NORMAL; SELECT 1 FROM sqlite_schema LIMIT 1",
    );
  } catch {
    // A disk that has failed: nothing is lost, the lock goes with the process.
  }
}

const loaded = new Map<SqliteDriver, DatabaseClass | undefined>();

function load(driver: SqliteDriver): DatabaseClass | undefined {
  if (!loaded.has(driver)) loaded.set(driver, driver === "libsql" ? loadLibsql() : loadNodeSqlite());
  return loaded.get(driver);
}

function loadNodeSqlite(): DatabaseClass | undefined {
  const module: unknown = withoutSqliteWarning(() => process.getBuiltinModule?.("node:sqlite"));
  if (typeof module !== "object" || module === null || !("DatabaseSync" in module)) return undefined;
  return isDatabaseClass(module.DatabaseSync) ? module.DatabaseSync : undefined;
}

function loadLibsql(): DatabaseClass | undefined {
  try {
    const module: unknown = createRequire(import.meta.url)("libsql");
    return isDatabaseClass(module) ? module : undefined;
  } catch {
    return undefined; // optional: not installed, or not built for this machine
  }
}

function isDatabaseClass(value: unknown): value is DatabaseClass {
  if (typeof value !== "function") return false;
  const prototype: unknown = value.prototype;
  return typeof prototype === "object" && prototype !== null && "prepare" in prototype && "exec" in prototype;
}

/** Node warns once that its SQLite is experimental; a person starting an evening can do nothing about it. */
function withoutSqliteWarning<T>(work: () => T): T {
  const emit = process.emitWarning;
  const quiet = (...told: unknown[]): void => {
    if (told[1] === "ExperimentalWarning" && String(told[0]).startsWith("SQLite ")) return;
    Reflect.apply(emit, process, told);
  };
  process.emitWarning = quiet;
  try {
    return work();
  } finally {
    process.emitWarning = emit;
  }
}
