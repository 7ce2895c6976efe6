/**
 * Reaching a PostgreSQL that may be away for a while. Reads are simply asked again. A write whose connection broke may have
 * been committed or not; it is sent again too, because its key makes the second sending harmless.
 */
import { setTimeout as wait } from "node:timers/promises";
import pg from "pg";
import type { ClientBase, PoolConfig } from "pg";
import { LedgerCannotOpen, LedgerFault } from "./ledger.ts";

/** How long a statement may take before it counts as unanswered. */
const ANSWER_MS = 15_000;
const FIRST_WAIT_MS = 25;
const LONGEST_WAIT_MS = 500;

/** The address as it may be shown: without its password. */
export function shownAddress(address: string): string {
  const url = new URL(address);
  url.password = "";
  url.search = "";
  return url.toString();
}

/** PostgreSQL's bigint as a number: versions and milliseconds stay far below 2^53. */
const types: NonNullable<PoolConfig["types"]> = {
  getTypeParser: ((oid: number, format?: "text" | "binary") =>
    oid === pg.types.builtins.INT8
      ? Number
      : pg.types.getTypeParser(oid, format)) as typeof pg.types.getTypeParser,
};

export function openPool(address: string, schema: string, max: number): pg.Pool {
  const pool = new pg.Pool({
    connectionString: address,
    max,
    application_name: "garland",
    keepAlive: true,
    connectionTimeoutMillis: ANSWER_MS,
    statement_timeout: ANSWER_MS,
    query_timeout: 2 * ANSWER_MS,
    // Said at the start of each connection, so that no setting of a role or a database is in their place.
    options:
      `-c search_path=${schema} -c synchronous_commit=on -c default_transaction_isolation=read\\ committed ` +
      "-c client_min_messages=warning",
    types,
  });
  // A connection that breaks while nobody uses it is replaced; without a listener it would end the process.
  pool.on("error", () => undefined);
  return pool;
}

const codeOf = (error: unknown): string =>
  error instanceof Error && "code" in error && typeof error.code === "string" ? error.code : "";

export const UNIQUE_VIOLATION = "23505";
export const isUniqueViolation = (error: unknown): boolean => codeOf(error) === UNIQUE_VIOLATION;

/** SQLSTATE classes and codes after which the same statement may be sent again (PostgreSQL manual, appendix A). */
const PASSES = [
  /^08/, // the connection broke
  /^57P0/, // shutting down, crashed, starting up
  /^(57014|55P03)$/, // cancelled, a lock was not to be had
  /^(40001|40P01)$/, // a serialisation failure, a deadlock
  /^(53300|53400)$/, // too many connections
  /^25P0/, // a transaction that was ended from outside
  /^25006$/, // a standby that will become the server
];
const BROKEN = /^(ECONNREFUSED|ECONNRESET|EPIPE|ETIMEDOUT|EHOSTUNREACH|ENETUNREACH|ENOTFOUND|EAI_AGAIN)$/;
const BROKEN_WORDS = /connection terminated|timeout|connection error|not queryable|socket/i;

/** Whether the database was out of reach or busy, so that nobody knows what became of the statement. */
export function isPassing(error: unknown): boolean {
  const code = codeOf(error);
  if (code !== "") return BROKEN.test(code) || PASSES.some((each) => each.test(code));
  return error instanceof Error && BROKEN_WORDS.test(error.message);
}

/** An error of the database in the ledger's own words; what is no such error stays as it is. */
export function asFault(error: unknown, shown: string): unknown {
  switch (codeOf(error)) {
    case "53100":
      return new LedgerFault("disk-full", `The disk of ${shown} is full; nothing was written.`, error);
    case "58030":
      return new LedgerFault("disk-failed", `The disk of ${shown} failed while writing.`, error);
    case "XX001":
    case "XX002":
      return new LedgerFault("damaged", `The ledger ${shown} is damaged; restore a backup.`, error);
    default:
      return isPassing(error) ? unreachable(shown, error) : error;
  }
}

export const unreachable = (shown: string, cause?: unknown): LedgerFault =>
  new LedgerFault(
    "unreachable",
    `The database ${shown} cannot be reached; whether this was written is not known, so send it again.`,
    cause,
  );

export const cannotReach = (shown: string, error: unknown): LedgerCannotOpen =>
  new LedgerCannotOpen(
    "unreachable",
    `The database ${shown} cannot be opened: ${error instanceof Error ? error.message : String(error)}. ` +
      "Start it, or check the address.",
  );

/** Tries until it works, until another error comes, or until the time is over; then the last error is thrown. */
export async function persist<T>(limitMs: number, work: () => Promise<T>): Promise<T> {
  const end = performance.now() + limitMs;
  for (let pause = FIRST_WAIT_MS; ; pause = Math.min(2 * pause, LONGEST_WAIT_MS)) {
    try {
      return await work();
    } catch (error) {
      if (!isPassing(error) || performance.now() + pause > end) throw error;
    }
    await wait(pause);
  }
}

/** Whoever can be asked a statement: the pool, or the one connection of a turn. */
export type Asked = Pick<ClientBase, "query">;
