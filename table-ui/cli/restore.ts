import { createHash } from "node:crypto";
import { existsSync, readFileSync, statSync } from "node:fs";
import { join, resolve } from "node:path";
import type { Command } from "commander";
import {
  CannotRestore,
  LedgerFault,
  openCopy,
  restoreInto,
  verifyLedger,
  type LastingLedger,
  type LedgerReport,
  type Restored,
} from "../../engine/ledger/open.ts";
import { isAlive, openedIn } from "../server/opened.ts";
import { defaultData } from "./data.ts";
import { register, told } from "./report.ts";
import { CannotDo, EXIT_FAULTS } from "./say.ts";
import { asCannotDo } from "./verify.ts";
import { findRunning } from "./running.ts";

interface Given {
  readonly data: string;
  readonly replace?: boolean;
  readonly anyway?: boolean;
}

/** Whether the coach's secret in this folder opens the coach's seat of this ledger. */
async function keepsCoachLink(dir: string, ledger: LastingLedger): Promise<boolean> {
  const file = join(dir, "coach.seat");
  if (!existsSync(file)) return false;
  const hash = createHash("sha256").update(readFileSync(file, "utf8").trim()).digest("hex");
  return (await ledger.seats()).some(
    ({ kind, secretHash, revoked }) => kind === "coach" && !revoked && secretHash === hash,
  );
}

/** What becomes of the links, which hang on files beside the ledger. */
async function linksSaid(dir: string, ledger: LastingLedger): Promise<string> {
  const coach = (await keepsCoachLink(dir, ledger))
    ? "The coach's link stays as it is."
    : "The coach's link is made anew at the next start, which prints it.";
  const others = existsSync(join(dir, "house.secret"))
    ? ""
    : " Links that were given out open their seats as before; the coach's page shows those again that it issues anew.";
  return `${coach}${others}`;
}

async function refuseRunning(dir: string): Promise<void> {
  const opened = openedIn(dir);
  const runs = opened !== undefined && isAlive(opened.pid) && (await findRunning(dir)) !== undefined;
  if (runs)
    throw new CannotDo(`A Garland runs on ${dir}: stop it first, or name another folder with --data.`);
}

interface Outcome {
  readonly report: LedgerReport;
  /** Missing where the backup is not sound. */
  readonly done?: Restored & { readonly links: string };
}

async function restore(file: string, { data, replace = false, anyway = false }: Given): Promise<Outcome> {
  const dir = resolve(data);
  if (!existsSync(file) || !statSync(file).isFile()) throw new CannotDo(`${file}: there is no such file.`);
  await refuseRunning(dir);
  try {
    const { ledger, remove } = await openCopy(file);
    try {
      const report = await verifyLedger(ledger);
      if (report.differences.length > 0 && !anyway) return { report };
      const restored = await restoreInto(dir, ledger, { replace, at: Date.now() });
      return { report, done: { ...restored, links: await linksSaid(dir, ledger) } };
    } finally {
      await remove();
    }
  } catch (error) {
    if (error instanceof CannotRestore || error instanceof LedgerFault) throw new CannotDo(error.message);
    throw asCannotDo(error);
  }
}

/** Adds `garland restore`: exit 0 restored, 1 the backup differs and nothing was done, 2 it could not be done. */
export function restoreCommand(program: Command): void {
  program
    .command("restore")
    .description("put a backup in the place of a ledger, after verifying it; nothing is lost")
    .argument("<file>", "the backup")
    .option("--data <dir>", "the folder of the ledger; no server may run on it", defaultData)
    .option("--replace", "move the ledger that lies there aside, under a dated name")
    .option("--anyway", "restore it although it is not sound, when there is no better one")
    .addHelpText("after", "\nExample:\n  npm run -s garland -- restore thursday.garland --data friday")
    .action(async (named: string, given: Given) => {
      const { report, done } = await restore(resolve(named), given);
      if (done === undefined) {
        process.stdout.write(
          `${named} is not sound, and nothing was restored. Take an older backup, or add --anyway.\n${told(report)}`,
        );
        process.exitCode = EXIT_FAULTS;
        return;
      }
      const aside = done.aside === undefined ? [] : [`What lay there before is now ${done.aside}.`];
      const lines = [
        `Restored into ${done.file}.`,
        told(report).trimEnd(),
        ...aside,
        done.links,
        register(report.people),
      ];
      process.stdout.write(`${lines.join("\n")}\n`);
    });
}
