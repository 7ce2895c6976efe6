/** What PostgreSQL's errors mean for a ledger: whether anything was written, and what to tell. */
import { DatabaseError } from "pg";
import { LedgerCannotOpen, LedgerFault } from "./ledger.ts";

/**
 * SQLSTATEs after which nothing was written and the same may be sent again
 * (https://www.postgresql.org/docs/current/errcodes-appendix.html).
 */
const NOTHING_WRITTEN = new Set([
  "40001", // serialization_failure
  "40P01", // deadlock_detected
  "55P03", // lock_not_available
  "57014", // query_canceled: it waited too long, mostly for a lock
  "53300", // too_many_connections
  "57P03", // cannot_connect_now: starting up or shutting down
  "25006", // read_only_sql_transaction: a standby that may be promoted
]);

/** SQLSTATEs that end the connection: whether the statement was committed is unknown. */
const CONNECTION_ENDS = new Set([
  "57P01", // admin_shutdown, pg_terminate_backend
  "57P02", // crash_shutdown
  "57P05", // idle_session_timeout
  "25P03", // idle_in_transaction_session_timeout
]);

/**
 * - "again": nothing was written; the same may be sent again.
 * - "lost": the connection is gone; whether it was written is unknown.
 * - "final": sending it again changes nothing.
 */
export type Verdict = "again" | "lost" | "final";

export function verdictOn(error: unknown): Verdict {
  if (error instanceof LedgerFault || error instanceof LedgerCannotOpen) return "final";
  if (error instanceof TypeError || error instanceof RangeError) return "final";
  const code = sqlState(error);
  // Without a SQLSTATE it is the network's or the driver's word, not the database's.
  if (code === undefined) return "lost";
  if (NOTHING_WRITTEN.has(code)) return "again";
  return CONNECTION_ENDS.has(code) || code.startsWith("08") ? "lost" : "final";
}

export const sqlState = (error: unknown): string | undefined =>
  error instanceof DatabaseError ? error.code : undefined;

/** Whether a key is there already (23505), and of which constraint; undefined for any other error. */
export const takenKey = (error: unknown): string | undefined =>
  error instanceof DatabaseError && error.code === "23505" ? (error.constraint ?? "") : undefined;

const why = (error: unknown): string =>
  error instanceof Error ? error.message.replace(/\.$/, "") : String(error);

/** `where`: "host:port/database", without user and password. */
export function unreachable(where: string, cause: unknown): LedgerFault {
  return new LedgerFault(
    "unreachable",
    `The database ${where} is out of reach (${why(cause)}): send it again when it is back.`,
    cause,
  );
}

/** An error that sending again does not mend, as a fault of the ledger where it is one. */
export function asFault(error: unknown, where: string): unknown {
  // What a new connection finds unsafe, while the ledger is open already.
  if (error instanceof LedgerCannotOpen) return new LedgerFault("unreachable", error.message, error);
  const code = sqlState(error);
  if (code === undefined) return error;
  if (code === "53100")
    return new LedgerFault("disk-full", `The disk of ${where} is full; nothing was written.`, error);
  const damaged = ["XX", "23", "42", "P0", "58"].includes(code.slice(0, 2));
  return damaged
    ? new LedgerFault("damaged", `The ledger in ${where} does not work as it must: ${why(error)}.`, error)
    : error;
}

/** Why it could not be opened, in a sentence for whoever started it. */
export function asPostgresRefusal(error: unknown, where: string): unknown {
  const cause = error instanceof LedgerFault ? error.cause : error;
  if (cause instanceof LedgerCannotOpen) return cause;
  const code = sqlState(cause);
  if (code === "42501")
    return new LedgerCannotOpen(
      "unwritable",
      `I may not write the ledger in ${where}: ${why(cause)}. Give this user the right to create a schema there.`,
    );
  const outOfReach = error instanceof LedgerFault && error.code === "unreachable";
  // 28: the user is not let in; 3D: no such database.
  if (!outOfReach && !["28", "3D"].includes(code?.slice(0, 2) ?? "")) return error;
  return new LedgerCannotOpen(
    "unreachable",
    `I cannot reach the ledger in ${where}: ${why(cause)}. Check its address and that PostgreSQL runs.`,
  );
}
