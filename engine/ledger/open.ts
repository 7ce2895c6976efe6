/** The front door of the ledger, for the server and the command line. */
import { join } from "node:path";
import type { SqliteDriver } from "./connection.ts";
import type { LastingLedger, Ledger } from "./ledger.ts";
import { MemoryLedger } from "./memory.ts";
import { openSqlite } from "./sqlite.ts";

export { canonicalJson, verifyChain } from "./chain.ts";
export type { ChainCheck, Head } from "./chain.ts";
export { availableDrivers } from "./connection.ts";
export type { SqliteDriver } from "./connection.ts";
export { LEDGER_FAULTS, LEDGER_REFUSALS, LedgerCannotOpen, LedgerFault, SEAT_KINDS } from "./ledger.ts";
export type {
  AppendResult,
  CommandKey,
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

/** The ledger's name inside its data folder. */
export const LEDGER_FILE = "ledger.sqlite";

/**
 * Opens the ledger of a data folder (made if missing), of one file (a backup, say), or one that lives in
 * memory only. Rejects with LedgerCannotOpen, whose message is one sentence for the person who started it.
 */
export async function openLedger(where: {
  readonly memory: true;
  readonly shared?: boolean;
}): Promise<Ledger>;
export async function openLedger(
  where: ({ readonly dir: string } | { readonly file: string }) & {
    readonly driver?: SqliteDriver | undefined;
  },
): Promise<LastingLedger>;
export async function openLedger(
  where:
    | { readonly memory: true; readonly shared?: boolean }
    | (({ readonly dir: string } | { readonly file: string }) & {
        readonly driver?: SqliteDriver | undefined;
      }),
): Promise<Ledger> {
  if ("memory" in where) return new MemoryLedger(where.shared);
  return openSqlite("dir" in where ? join(where.dir, LEDGER_FILE) : where.file, where.driver);
}
