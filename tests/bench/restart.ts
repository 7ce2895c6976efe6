/** A restart with a long season in the ledger: from the start of the process to its first page, and what it then holds. */
import { spawn, type ChildProcess } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, rmSync, statSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { atMost, median, rounded, type BenchRow } from "./parts/rows.ts";
import { writeSeason } from "./parts/season.ts";

const BOUTS = 10_000;
const STARTS = 5;
/** Milliseconds until the first answer. */
const GOAL_MS = 2_000;

interface Start {
  /** From the start of the process to the coach's page, all of it. */
  readonly firstPageMs: number;
  /** Resident memory then, and when the whole season has been read; megabytes. */
  readonly residentMb: number;
  readonly readMb: number;
  readonly allReadMs: number;
}

export async function rows(): Promise<BenchRow[]> {
  const built = join(process.cwd(), ".build");
  mkdirSync(built, { recursive: true });
  const dir = mkdtempSync(join(built, "bench-season-"));
  const empty = mkdtempSync(join(built, "bench-empty-"));
  try {
    const { events } = await writeSeason(dir, BOUTS);
    const bytes = statSync(join(dir, "ledger.sqlite")).size;
    await start(empty);
    const [full, bare]: [Start[], Start[]] = [[], []];
    for (let round = 0; round < STARTS; round += 1) {
      full.push(await start(dir, round === 0));
      bare.push(await start(empty));
    }
    return [told(full, bare, events, bytes)];
  } finally {
    for (const each of [dir, empty]) rmSync(each, { recursive: true, force: true });
  }
}

function told(full: readonly Start[], bare: readonly Start[], events: number, bytes: number): BenchRow {
  const first = median(full.map(({ firstPageMs }) => firstPageMs));
  const floor = median(bare.map(({ firstPageMs }) => firstPageMs));
  const { residentMb = 0, readMb = 0, allReadMs = 0 } = full[0] ?? {};
  const season = `${BOUTS.toLocaleString("en")} bouts, ${events.toLocaleString("en")} events, ${Math.round(bytes / 1e6)} MB`;
  const more = [
    `an empty ledger: ${Math.round(floor)} ms`,
    `resident ${Math.round(residentMb)} MB at the first page`,
    `${Math.round(readMb)} MB when all was read after ${rounded(allReadMs / 1000, 1)} s`,
  ].join("; ");
  return atMost(`restart to the first page, ${season} (${more})`, Math.round(first), "ms", GOAL_MS);
}

const residentMb = ({ pid }: ChildProcess): number =>
  Number(/VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, "utf8"))?.[1] ?? Number.NaN) / 1024;

/** Processor time of a process so far, in clock ticks (proc(5): fields 14 and 15 of stat). */
function ticksOf({ pid }: ChildProcess): number {
  const fields = readFileSync(`/proc/${pid}/stat`, "utf8")
    .replace(/^.*\) /, "")
    .split(" ");
  return Number(fields[11]) + Number(fields[12]);
}

/** Starts the command over a folder, opens the coach's page, and ends it. `toTheEnd`: waits until it has read everything. */
async function start(dir: string, toTheEnd = false): Promise<Start> {
  const began = performance.now();
  const child = spawn(
    process.execPath,
    [join("table-ui", "cli", "launch.mjs"), "serve", "--data", dir, "--port", "0"],
    { stdio: ["ignore", "pipe", "inherit"] },
  );
  const left = new Promise<void>((done) => child.once("exit", () => done()));
  try {
    const page = await fetch(await linkSaidBy(child));
    const text = await page.text();
    if (page.status !== 200 || !text.includes("</html>")) throw new Error(`the first page: ${page.status}`);
    const firstPageMs = performance.now() - began;
    const first = residentMb(child);
    if (toTheEnd) await untilQuiet(child);
    return {
      firstPageMs,
      residentMb: first,
      readMb: residentMb(child),
      allReadMs: performance.now() - began,
    };
  } finally {
    child.kill("SIGTERM");
    await left;
  }
}

function linkSaidBy(child: ChildProcess): Promise<string> {
  let said = "";
  return new Promise((found, failed) => {
    child.stdout?.on("data", (chunk: Buffer) => {
      said += chunk.toString();
      const link = /http:\/\/\S+\/seat\/[\w-]{22}/.exec(said)?.[0];
      if (link !== undefined) found(link);
    });
    child.once("exit", (code) => failed(new Error(`serve ended with ${String(code)}: ${said}`)));
  });
}

/** Until a second has passed in which it did next to nothing. */
async function untilQuiet(child: ChildProcess): Promise<void> {
  for (;;) {
    const before = ticksOf(child);
    await sleep(1000);
    if (ticksOf(child) - before < 5) return;
  }
}
