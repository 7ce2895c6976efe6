/**
 * The durable append over PostgreSQL: one event of 300 bytes through the whole ledger, against one bare INSERT of the same
 * bytes over the same kind of connection, and against a file's append + fdatasync. It flushes every commit, as is usual.
 */
import { closeSync, fdatasyncSync, mkdirSync, mkdtempSync, openSync, rmSync, writeSync } from "node:fs";
import { join } from "node:path";
import { Client } from "pg";
import { openLedger, type Ledger } from "../../engine/ledger/open.ts";
import { startPostgres } from "../support/postgres.ts";
import { median, notMeasured, rounded, type BenchRow } from "./parts/rows.ts";

const ROUNDS = 21;
const APPENDS = 25;
/** As canonical JSON the event's data is 300 bytes: {"pad":"..."} has ten of its own. */
const DATA = { pad: "x".repeat(290) };
const TEXT = JSON.stringify(DATA);
const NAME = "durable append, PostgreSQL";
/** Our own: one statement does all of it, so that it is at most twice a bare one. */
const AGAINST_INSERT = 0.5;
/** A round trip to another process and its own flush; shown for comparison with one file on one machine. */
const AGAINST_FILE = 0.2;

export async function rows(): Promise<BenchRow[]> {
  try {
    return await measure();
  } catch (why) {
    return [notMeasured(NAME, "x", AGAINST_INSERT, why)];
  }
}

async function measure(): Promise<BenchRow[]> {
  const server = await startPostgres();
  const built = join(process.cwd(), ".build");
  mkdirSync(built, { recursive: true });
  const dir = mkdtempSync(join(built, "bench-postgres-"));
  const file = openSync(join(dir, "bare"), "a");
  const client = new Client({ connectionString: server.address });
  const ledger = await openLedger({ postgres: await server.fresh() });
  try {
    await client.connect();
    await client.query("CREATE TABLE bare (id bigserial PRIMARY KEY, data text NOT NULL)");
    const byInsert: number[] = [];
    const byFile: number[] = [];
    for (let round = 0; round < ROUNDS; round += 1) {
      const bare = await timeOf(() => insertBare(client));
      const flushed = await timeOf(async () => appendBare(file));
      const ours = await timeOf(() => appendToLedger(ledger, round * APPENDS));
      byInsert.push(bare / ours);
      byFile.push(flushed / ours);
    }
    return [
      row(`${NAME}, against a bare INSERT of the same bytes`, median(byInsert.slice(2)), AGAINST_INSERT),
      row(`${NAME}, against file append + fdatasync`, median(byFile.slice(2)), AGAINST_FILE),
    ];
  } finally {
    await client.end();
    await ledger.close();
    await server.stop();
    closeSync(file);
    rmSync(dir, { recursive: true, force: true });
  }
}

const row = (name: string, value: number, goal: number): BenchRow => ({
  name,
  value: rounded(value, 3),
  unit: "x",
  goal,
  ok: value >= goal,
});

async function insertBare(client: Client): Promise<void> {
  for (let n = 0; n < APPENDS; n += 1) await client.query("INSERT INTO bare (data) VALUES ($1)", [TEXT]);
}

function appendBare(file: number): void {
  const line = Buffer.from(`${TEXT.padEnd(299)}\n`);
  for (let n = 0; n < APPENDS; n += 1) {
    writeSync(file, line);
    fdatasyncSync(file);
  }
}

async function appendToLedger(ledger: Ledger, from: number): Promise<void> {
  for (let n = from; n < from + APPENDS; n += 1) {
    const event = { type: "ExchangeRecorded", data: DATA, at: 1_764_000_000_000 + n };
    const command = { id: `bench-${n}`.padEnd(22, "x"), digest: "d".repeat(64) };
    const result = await ledger.append("bout/bench", n, [event], command);
    if (result.outcome !== "appended") throw new Error(`a bench append was ${result.outcome}`);
  }
}

async function timeOf(work: () => Promise<void>): Promise<number> {
  const start = performance.now();
  await work();
  return performance.now() - start;
}
