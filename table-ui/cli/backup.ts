import { createWriteStream, existsSync, rmSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { pipeline } from "node:stream/promises";
import type { Command } from "commander";
import {
  LEDGER_FILE,
  LedgerFault,
  openLedger,
  placeAs,
  type LedgerReport,
} from "../../engine/ledger/open.ts";
import { defaultData } from "./data.ts";
import { register, summary, told } from "./report.ts";
import { findRunning, refusedBy, type RunningServer } from "./running.ts";
import { CannotDo, EXIT_FAULTS } from "./say.ts";
import { asCannotDo, verifyFile } from "./verify.ts";

/** Why a file could not be written. */
const failed = (file: string, error: unknown): CannotDo =>
  new CannotDo(
    `${file} could not be written: ${error instanceof Error ? error.message : String(error)}. Nothing was left behind.`,
  );

/** What a running server sends, into a file that takes its name only when all of it is on disk. */
async function fetchCopy(server: RunningServer, file: string): Promise<void> {
  const answer = await server.ask("ledger.sqlite");
  if (answer.statusCode !== 200) throw await refusedBy(answer);
  const part = `${file}.part`;
  try {
    rmSync(part, { force: true });
    await pipeline(answer, createWriteStream(part, { flags: "wx", mode: 0o600 }));
    // A line that was cut ends the pipeline with an error; a server that sent less than it said does too.
    if (!answer.complete) throw new Error("the server stopped sending");
    placeAs(part, file);
  } catch (error) {
    rmSync(part, { force: true });
    throw failed(file, error);
  }
}

async function copyStopped(dir: string, file: string): Promise<void> {
  if (!existsSync(join(dir, LEDGER_FILE)))
    throw new CannotDo(`There is no ledger in ${dir}: name its folder with --data.`);
  try {
    const ledger = await openLedger({ dir });
    try {
      await ledger.noteHeads(Date.now());
      await ledger.backupTo(file);
    } finally {
      await ledger.close();
    }
  } catch (error) {
    if (error instanceof LedgerFault) throw new CannotDo(error.message);
    throw asCannotDo(error);
  }
}

async function backup(file: string, dir: string): Promise<LedgerReport> {
  if (existsSync(file))
    throw new CannotDo(`${file} exists already: name another file, because a backup overwrites nothing.`);
  if (!existsSync(dirname(file))) throw new CannotDo(`There is no folder ${dirname(file)}: make it first.`);
  const server = await findRunning(dir);
  if (server === undefined) await copyStopped(dir, file);
  else await fetchCopy(server, file);
  return verifyFile(file);
}

/** Adds `garland backup`: exit 0 written and sound, 1 written with differences, 2 not written. */
export function backupCommand(program: Command): void {
  program
    .command("backup")
    .description("write a whole copy of a ledger, also while a server runs on it, and verify the copy")
    .argument("<file>", "the file to write; it must not exist yet")
    .option("--data <dir>", "the folder of the ledger", defaultData)
    .addHelpText("after", "\nExample:\n  npm run -s garland -- backup thursday.garland --data thursday")
    .action(async (named: string, given: { readonly data: string }) => {
      const file = resolve(named);
      const report = await backup(file, resolve(given.data));
      const sound = report.differences.length === 0;
      process.stdout.write(`Backed up to ${file}.\n${sound ? `${summary(report)}\n` : told(report)}`);
      process.stdout.write(`${register(report.people)}\n`);
      if (!sound) process.exitCode = EXIT_FAULTS;
    });
}
