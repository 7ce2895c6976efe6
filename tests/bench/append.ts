/** The durable append: one event of 300 bytes through the whole ledger, against a file's append + fdatasync. */
import { execFileSync } from "node:child_process";
import { closeSync, fdatasyncSync, mkdirSync, mkdtempSync, openSync, rmSync, writeSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { availableDrivers, openLedger } from "../../engine/ledger/open.ts";
import type { Ledger, SqliteDriver } from "../../engine/ledger/open.ts";
import { node24 } from "../contracts/node24.ts";

interface BenchRow {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly goal: number;
  readonly ok: boolean;
}

const GOALS: Readonly<Record<SqliteDriver, number>> = { "node:sqlite": 0.65, libsql: 0.5 };
const ROUNDS = 81;
const APPENDS = 50;
const RINGS = 4;
/** As canonical JSON the event's data is 300 bytes: {"pad":"..."} has ten of its own. */
const DATA = { pad: "x".repeat(290) };
/** The child that runs this file under Node 24 prints its rows and must not start another. */
const ALONE = "GARLAND_BENCH_ALONE";

/** A row for each driver; node:sqlite is measured under Node 24 where the running Node lacks it. */
export async function rows(): Promise<BenchRow[]> {
  const drivers = availableDrivers();
  const found: BenchRow[] = [];
  for (const driver of drivers) found.push(await measure(driver));
  if (!drivers.includes("node:sqlite")) found.push(...underNode24());
  return found;
}

/**
 * The two take turns in short rounds on the same disk; the value is the median of the rounds' ratios
 * (time of the bare append / time of the ledger's), so that one slow moment of the disk decides nothing.
 */
async function measure(driver: SqliteDriver): Promise<BenchRow> {
  // On the project's disk: a temporary folder may lie in memory, where a flush costs nothing.
  const here = join(process.cwd(), ".build");
  mkdirSync(here, { recursive: true });
  const dir = mkdtempSync(join(here, "bench-append-"));
  const file = openSync(join(dir, "bare"), "a");
  const ledger = await openLedger({ dir, driver });
  try {
    const line = Buffer.from(`${JSON.stringify(DATA).padEnd(299)}\n`);
    const versions = Array.from({ length: RINGS }, () => 0);
    const ratios: number[] = [];
    for (let round = 0; round < ROUNDS; round += 1) {
      const bare = timeOf(() => appendBare(file, line));
      const start = performance.now();
      await appendToLedger(ledger, versions);
      ratios.push(bare / (performance.now() - start));
    }
    const value = Math.round(median(ratios.slice(1)) * 1000) / 1000;
    const name = `durable append, ${driver} on Node ${process.versions.node.split(".")[0]}, against file append + fdatasync`;
    return { name, value, unit: "x", goal: GOALS[driver], ok: value >= GOALS[driver] };
  } finally {
    await ledger.close();
    closeSync(file);
    rmSync(dir, { recursive: true, force: true });
  }
}

function appendBare(file: number, line: Buffer): void {
  for (let n = 0; n < APPENDS; n += 1) {
    writeSync(file, line);
    fdatasyncSync(file);
  }
}

async function appendToLedger(ledger: Ledger, versions: number[]): Promise<void> {
  for (let n = 0; n < APPENDS; n += 1) {
    const ring = n % RINGS;
    const version = versions[ring] ?? 0;
    const event = { type: "ExchangeRecorded", data: DATA, at: 1_764_000_000_000 + n };
    const command = { id: `bench-${ring}-${version}`.padEnd(22, "x"), digest: "d".repeat(64) };
    const result = await ledger.append(`bout/${ring}`, version, [event], command);
    if (result.outcome !== "appended") throw new Error(`A bench append was ${result.outcome}.`);
    versions[ring] = result.version;
  }
}

function underNode24(): BenchRow[] {
  try {
    const told = execFileSync(node24(), [fileURLToPath(import.meta.url)], {
      encoding: "utf8",
      env: { ...process.env, [ALONE]: "node:sqlite" },
    });
    return JSON.parse(told) as BenchRow[];
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    const name = `durable append, node:sqlite on Node 24: not measured (${why})`;
    return [{ name, value: 0, unit: "x", goal: GOALS["node:sqlite"], ok: false }];
  }
}

function timeOf(work: () => void): number {
  const start = performance.now();
  work();
  return performance.now() - start;
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0;
}

if (process.env[ALONE] === "node:sqlite") {
  process.stdout.write(JSON.stringify([await measure("node:sqlite")]));
}
