/** Bytes of a ledger's file and log, harmed as disks do it, and what opening them then says. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { LedgerCannotOpen, LedgerFault, type Ledger } from "../../engine/ledger/open.ts";
import { openSqlite } from "../../engine/ledger/sqlite.ts";

export interface Bytes {
  readonly file: Buffer;
  readonly log: Buffer;
}

export const HARMS = ["flip", "zero", "tear"] as const;
export type Harm = (typeof HARMS)[number];

/** A sector of a disk. */
const SECTOR = 512;

/** A copy with one bit flipped, one sector zeroed, or everything from there on gone. `chance`: 0 to 1, which bit. */
export function harmed(bytes: Buffer, harm: Harm, at: number, chance: number): Buffer {
  if (harm === "tear") return Buffer.from(bytes.subarray(0, at));
  const copy = Buffer.from(bytes);
  if (harm === "zero")
    return copy.fill(0, at - (at % SECTOR), Math.min(copy.length, at - (at % SECTOR) + SECTOR));
  copy[at] = (copy[at] ?? 0) ^ (1 << Math.floor(chance * 8));
  return copy;
}

/** Every event of every stream, and nothing else. */
export async function allEvents(ledger: Ledger): Promise<string> {
  const streams = await ledger.streams();
  return JSON.stringify(await Promise.all(streams.map(({ stream }) => ledger.read(stream))));
}

/** The bytes as a process leaves them that is killed now. */
export const bytesOf = (file: string): Bytes => ({
  file: readFileSync(file),
  log: readFileSync(`${file}-wal`),
});

export interface Found {
  /** said: in a sentence, at the start or by the check. same: every event is as it was. silent: neither. */
  readonly verdict: "said" | "same" | "silent";
  readonly words: string;
}

const said = (words: string): Found => ({ verdict: "said", words });

/** Opens these bytes as a start after a crash would, and compares with what had been acknowledged. */
export async function whatIsFound({ file: bytes, log }: Bytes, acknowledged: string): Promise<Found> {
  const dir = mkdtempSync(join(tmpdir(), "garland-harm-"));
  const file = join(dir, "ledger.sqlite");
  writeFileSync(file, bytes);
  writeFileSync(`${file}-wal`, log);
  let ledger: Awaited<ReturnType<typeof openSqlite>> | undefined;
  try {
    ledger = await openSqlite(file);
    if (ledger.cut !== undefined) return said(ledger.cut);
    // First, because a driver may end the process at a text that is no Unicode any more.
    const { differences } = await ledger.examine();
    if (differences.length > 0)
      return said(differences.map(({ where, sentence }) => `${where}: ${sentence}`).join(" "));
    const flaws = await ledger.integrity();
    if (flaws.length > 0) return said(flaws.join(" "));
    const same = (await allEvents(ledger)) === acknowledged;
    return same ? { verdict: "same", words: "" } : { verdict: "silent", words: "events differ" };
  } catch (error) {
    if (error instanceof LedgerCannotOpen || error instanceof LedgerFault) return said(error.message);
    throw error;
  } finally {
    await ledger?.close().catch(() => undefined);
    rmSync(dir, { recursive: true, force: true });
  }
}
