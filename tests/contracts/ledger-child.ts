/** The program of ledger-process.ts: `child.mjs hold|append|grow FOLDER DRIVER`, one JSON line for each thing done. */
import { join } from "node:path";
import { takeHold } from "../../engine/ledger/hold.ts";
import { LEDGER_FILE, LedgerCannotOpen, LedgerFault, openLedger } from "../../engine/ledger/open.ts";
import type { LastingLedger, SqliteDriver } from "../../engine/ledger/open.ts";
import { STEPS } from "../../engine/ledger/schema.ts";

const [, , what = "", dir = "", driver] = process.argv;

function say(told: unknown): void {
  process.stdout.write(`${JSON.stringify(told)}\n`);
}

/** Appends without end; a version is said only after the ledger has answered for it. */
async function appendOn(ledger: LastingLedger): Promise<void> {
  const from = (await ledger.streams()).find(({ stream }) => stream === "bout/1")?.version ?? 0;
  for (let n = from; ; n += 1) {
    const event = { type: "ExchangeRecorded", data: { exchange: n + 1, pad: "x".repeat(200) }, at: n };
    const result = await ledger.append("bout/1", n, [event], { id: `c-${n}`, digest: "d" });
    if (result.outcome !== "appended") throw new Error(`Append ${n} was ${result.outcome}.`);
    say({ version: result.version });
    // Lets the line out and a kill in.
    await new Promise((resolve) => setImmediate(resolve));
  }
}

/** After the newest step: rows without end inside its transaction. */
const ENDLESS = `CREATE TABLE never (i INTEGER, pad TEXT);
  WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) INSERT INTO never SELECT i, hex(zeroblob(400)) FROM n;`;

try {
  if (what === "grow") {
    say({ growing: true });
    await takeHold(join(dir, LEDGER_FILE), driver as SqliteDriver, [
      ...STEPS.slice(0, -1),
      `${STEPS.at(-1)}${ENDLESS}`,
    ]);
  }
  const ledger = await openLedger({ dir, driver: driver === "" ? undefined : (driver as SqliteDriver) });
  say({ opened: ledger.driver });
  if (what === "append") await appendOn(ledger);
  // Holds the ledger until its parent lets go of it.
  process.stdin.on("end", () => void ledger.close()).resume();
} catch (error) {
  if (!(error instanceof LedgerCannotOpen || error instanceof LedgerFault)) throw error;
  say({ refused: error.code, sentence: error.message });
  process.exit(2);
}
