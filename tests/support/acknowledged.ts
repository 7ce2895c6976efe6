/** What a ledger holds against what its server had said `ok` to: after a crash nothing of it may be missing or doubled. */
import { copyFileSync, existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { openLedger, verifyChain, type StoredEvent } from "../../engine/ledger/open.ts";

/** By command id: the bout it was given to, and the version that the server said it led to. */
export type Acknowledged = ReadonlyMap<string, { readonly bout: string; readonly version: number }>;

/** Every stream's events, in order. */
export type Log = ReadonlyMap<string, readonly StoredEvent[]>;

export interface Held {
  readonly log: Log;
  /** What the ledger's own check says of its file and its chains. */
  readonly flaws: readonly string[];
}

/** Reads a ledger's file as a start after a crash would find it: from a copy of it and of its log. */
export async function readCopy(file: string): Promise<Held> {
  const dir = mkdtempSync(join(tmpdir(), "garland-copy-"));
  const copy = join(dir, basename(file));
  try {
    for (const end of ["", "-wal"])
      if (existsSync(`${file}${end}`)) copyFileSync(`${file}${end}`, `${copy}${end}`);
    return await readLedger(copy);
  } finally {
    rmSync(dir, { recursive: true });
  }
}

/** Opens a ledger that nobody holds, reads all of it, and closes it. */
export async function readLedger(file: string): Promise<Held> {
  const ledger = await openLedger({ file });
  try {
    const log = new Map<string, readonly StoredEvent[]>();
    for (const { stream } of await ledger.streams()) log.set(stream, await ledger.read(stream));
    return { log, flaws: await ledger.integrity() };
  } finally {
    await ledger.close();
  }
}

/** Versions that this command led to, by stream. */
function ledTo(log: Log): ReadonlyMap<string, ReadonlyMap<string, readonly number[]>> {
  const found = new Map<string, Map<string, number[]>>();
  for (const [stream, events] of log)
    for (const { command, version } of events) {
      const streams = found.get(command) ?? new Map<string, number[]>();
      found.set(command, streams.set(stream, [...(streams.get(stream) ?? []), version]));
    }
  return found;
}

const follows = (versions: readonly number[]): boolean =>
  versions.every((version, n) => n === 0 || version === (versions[n - 1] ?? 0) + 1);

/** What is wrong, a sentence each; none where all that was acknowledged is there once, and whatever else is there, once. */
export function flawsAgainst({ log, flaws }: Held, acknowledged: Acknowledged): readonly string[] {
  const found = [...flaws];
  for (const [stream, events] of log) {
    events.forEach(({ version }, n) => {
      if (version !== n + 1) found.push(`${stream} has a gap before event ${version}.`);
    });
    const chain = verifyChain(events);
    if (!chain.ok) found.push(chain.sentence);
  }
  const led = ledTo(log);
  for (const [id, streams] of led) {
    if (streams.size > 1) found.push(`${id} stands in ${[...streams.keys()].join(" and ")}.`);
    for (const [stream, versions] of streams)
      if (!follows(versions)) found.push(`${id} happened twice in ${stream}: ${versions.join(", ")}.`);
  }
  for (const [id, { bout, version }] of acknowledged)
    if (led.get(id)?.get(`bout/${bout}`)?.at(-1) !== version)
      found.push(`${id} was acknowledged at ${version} of ${bout} and is not there.`);
  return [...new Set(found)];
}
