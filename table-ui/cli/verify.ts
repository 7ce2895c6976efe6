import { existsSync, statSync } from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import { createInterface } from "node:readline";
import type { Command } from "commander";
import {
  LEDGER_FILE,
  LedgerCannotOpen,
  openCopy,
  openLedger,
  verifyLedger,
  type Ledger,
  type LedgerReport,
} from "../../engine/ledger/open.ts";
import type { VerifyLine } from "../server/keeping.ts";
import { told } from "./report.ts";
import { findRunning, refusedBy, type RunningServer } from "./running.ts";
import { CannotDo, EXIT_FAULTS } from "./say.ts";
import { defaultData } from "./data.ts";

interface Given {
  readonly data?: string;
  readonly ledger?: string;
  readonly json?: boolean;
}

/** Why a ledger cannot be opened, as a sentence of this command. */
export function asCannotDo(error: unknown): unknown {
  return error instanceof LedgerCannotOpen ? new CannotDo(error.message) : error;
}

/** The check of a file that no server holds. It changes nothing in the file. */
export async function verifyFile(file: string): Promise<LedgerReport> {
  try {
    const { ledger, remove } = await openCopy(file);
    try {
      return await verifyLedger(ledger);
    } finally {
      await remove();
    }
  } catch (error) {
    throw asCannotDo(error);
  }
}

async function verifyRunning(server: RunningServer): Promise<LedgerReport> {
  const answer = await server.ask("verify");
  if (answer.statusCode !== 200) throw await refusedBy(answer);
  for await (const line of createInterface({ input: answer })) {
    const said = JSON.parse(line) as VerifyLine;
    if ("report" in said) return said.report;
    if (process.stderr.isTTY) process.stderr.write(`\r${said.done} of ${said.of} bouts `);
  }
  throw new CannotDo("The server stopped before it was done; verify again.");
}

/** The check of a data folder: a server that runs on it is asked, else its ledger is opened. */
async function verifyFolder(dir: string): Promise<LedgerReport> {
  const server = await findRunning(dir);
  if (server !== undefined) return verifyRunning(server);
  if (!existsSync(join(dir, LEDGER_FILE)))
    throw new CannotDo(`There is no ledger in ${dir}: name its folder with --data, or a backup's file.`);
  return verifyOpened(() => openLedger({ dir }));
}

async function verifyOpened(open: () => Promise<Ledger>): Promise<LedgerReport> {
  try {
    const ledger = await open();
    try {
      return await verifyLedger(ledger, { noteAt: Date.now() });
    } finally {
      await ledger.close();
    }
  } catch (error) {
    throw asCannotDo(error);
  }
}

async function verify(named: string | undefined, given: Given): Promise<LedgerReport> {
  const { data, ledger } = given;
  if ([named, data, ledger].filter((each) => each !== undefined).length > 1)
    throw new CannotDo("Name one of a file, a data folder (--data) and a database (--ledger).");
  if (ledger !== undefined) return verifyOpened(() => openLedger({ postgres: ledger }));
  if (named === undefined) return verifyFolder(resolve(data ?? defaultData));
  const file = resolve(named);
  if (!existsSync(file)) throw new CannotDo(`${named}: there is no such file.`);
  if (statSync(file).isDirectory()) return verifyFolder(file);
  // The very file that a server holds may not be copied while it is written to.
  if (basename(file) === LEDGER_FILE && (await findRunning(dirname(file))) !== undefined)
    return verifyFolder(dirname(file));
  return verifyFile(file);
}

/** Adds `garland verify`: exit 0 all sound, 1 differences, 2 it could not be done. */
export function verifyCommand(program: Command): void {
  program
    .command("verify")
    .description("compute every bout of a ledger anew and name each difference from what is stored")
    .argument("[file]", "a backup, or the ledger of a server that is stopped")
    .option(
      "--data <dir>",
      `the folder of the ledger; a server that runs on it is asked (default: ${defaultData})`,
    )
    .option("--ledger <address>", "a ledger in PostgreSQL (postgres://...)")
    .option("--json", "print one JSON object instead")
    .addHelpText("after", "\nExample:\n  npm run -s garland -- verify --data thursday")
    .action(async (file: string | undefined, given: Given) => {
      const report = await verify(file, given);
      process.stdout.write(given.json === true ? `${JSON.stringify(report)}\n` : told(report));
      if (report.differences.length > 0) process.exitCode = EXIT_FAULTS;
    });
}
