/** The front door of the ledger, for the server and the command line. */
import { join } from "node:path";
import type { SqliteDriver } from "./connection.ts";
import type { LastingLedger, Ledger } from "./ledger.ts";
import { MemoryLedger } from "./memory.ts";
import { LEDGER_FILE } from "./schema.ts";
import { openPostgres, type PostgresLedger, type PostgresOptions } from "./postgres.ts";
import { openSqlite } from "./sqlite.ts";

export { canonicalJson, verifyChain } from "./chain.ts";
export type { ChainCheck, Head } from "./chain.ts";
export { availableDrivers } from "./connection.ts";
export type { SqliteDriver } from "./connection.ts";
export { LEDGER_FAULTS, LEDGER_REFUSALS, LedgerCannotOpen, LedgerFault, SEAT_KINDS } from "./ledger.ts";
export type {
  AppendResult,
  CommandKey,
  Examined,
  HeldStream,
  LastingLedger,
  Ledger,
  LedgerFaultCode,
  LedgerRefusal,
  NewEvent,
  Person,
  SeatKind,
  StoredEvent,
  StoredRuleSet,
  StoredSeat,
} from "./ledger.ts";
export { placeAs } from "./backup.ts";
export { CannotRestore, openCopy, restoreInto } from "./restore.ts";
export type { OpenedCopy, Restored } from "./restore.ts";
export { LEDGER_FILE } from "./schema.ts";
export { verifyLedger } from "./verify.ts";
export type { LedgerReport, VerifyOptions } from "./verify.ts";
export type { Difference } from "../verify/difference.ts";

/**
 * Opens the ledger of a data folder (made if missing), of one file (a backup, say), of a PostgreSQL, or one that lives in
 * memory only. Rejects with LedgerCannotOpen, whose message is one sentence for the person who started it.
 */
export async function openLedger(where: {
  readonly memory: true;
  readonly shared?: boolean;
}): Promise<Ledger>;
export async function openLedger(where: PostgresOptions): Promise<PostgresLedger>;
export async function openLedger(
  where: ({ readonly dir: string } | { readonly file: string }) & {
    readonly driver?: SqliteDriver | undefined;
  },
): Promise<LastingLedger>;
export async function openLedger(
  where:
    | { readonly memory: true; readonly shared?: boolean }
    | PostgresOptions
    | (({ readonly dir: string } | { readonly file: string }) & {
        readonly driver?: SqliteDriver | undefined;
      }),
): Promise<Ledger> {
  if ("postgres" in where) return openPostgres(where);
  if ("memory" in where) return new MemoryLedger(where.shared);
  return openSqlite("dir" in where ? join(where.dir, LEDGER_FILE) : where.file, where.driver);
}
