/**
 * Looks at SQLite's write-ahead log before SQLite does: where a frame's checksum fails, SQLite silently takes the log to
 * end there. That is right for what a crash cut off in the middle, and wrong for a byte that a disk has changed later. A
 * commit is begun only after the one before it was flushed, so whatever follows a broken commit shows that it had been
 * acknowledged. Format and checksums: https://www.sqlite.org/fileformat2.html#the_write_ahead_log
 */
import { existsSync, readFileSync } from "node:fs";
import { setTimeout as wait } from "node:timers/promises";

/** whole: nothing is missing. cut: the end was not written whole. broken: acknowledged commits follow what cannot be read. */
export type LogState = "whole" | "cut" | "broken";

export interface LogLook {
  readonly state: LogState;
  /** Frames that can be read, from the start. */
  readonly readable: number;
}

const HEADER = 32;
const FRAME_HEADER = 24;
/** Without its last bit, which says in which order of bytes the checksums were made. */
const MAGIC = 0x377f0682;

/** Far more than one log is begun anew between two starts. */
const MOST_BEGINNINGS = 1_000_000;

type Sum = readonly [number, number];

/** One step of the checksum over bytes [from, to), a multiple of 8 long. */
function sumOf(log: Buffer, from: number, to: number, before: Sum, bigEndian: boolean): Sum {
  const view = new DataView(log.buffer, log.byteOffset, log.byteLength);
  let [a, b] = before;
  for (let at = from; at < to; at += 8) {
    a = (a + view.getUint32(at, !bigEndian) + b) | 0;
    b = (b + view.getUint32(at + 4, !bigEndian) + a) | 0;
  }
  return [a, b];
}

const storedSum = (log: Buffer, at: number): Sum => [log.readInt32BE(at), log.readInt32BE(at + 4)];
const same = (a: Sum, b: Sum): boolean => a[0] === b[0] && a[1] === b[1];

/** The log's frames, by index. */
interface Frames {
  readonly count: number;
  /** Whether bytes follow the last whole frame. */
  readonly ragged: boolean;
  /** Written since the log was last begun anew; older ones may lie behind. */
  isCurrent(n: number): boolean;
  /** The last frame of a commit says how large the database is then. */
  isCommit(n: number): boolean;
  /** Left from before the log was begun anew: each beginning counts its first salt up by one. */
  isStale(n: number): boolean;
  /** Whether its checksum goes on from the one that stands in the frame before it. */
  follows(n: number): boolean;
}

function framesOf(log: Buffer): Frames {
  const bigEndian = (log.readUInt32BE(0) & 1) === 1;
  const length = FRAME_HEADER + log.readUInt32BE(8);
  const at = (n: number): number => HEADER + n * length;
  const salts = log.subarray(16, 24);
  return {
    count: Math.floor((log.length - HEADER) / length),
    ragged: (log.length - HEADER) % length !== 0,
    isCurrent: (n) => log.subarray(at(n) + 8, at(n) + 16).equals(salts),
    isCommit: (n) => log.readUInt32BE(at(n) + 4) !== 0,
    isStale(n) {
      const age = (log.readUInt32BE(16) - log.readUInt32BE(at(n) + 8)) >>> 0;
      return age > 0 && age < MOST_BEGINNINGS;
    },
    follows(n) {
      const before = n === 0 ? storedSum(log, 24) : storedSum(log, at(n - 1) + 16);
      const header = sumOf(log, at(n), at(n) + 8, before, bigEndian);
      return same(
        sumOf(log, at(n) + FRAME_HEADER, at(n) + length, header, bigEndian),
        storedSum(log, at(n) + 16),
      );
    },
  };
}

function isHeaderSound(log: Buffer): boolean {
  const magic = log.readUInt32BE(0);
  const pageSize = log.readUInt32BE(8);
  if ((magic & ~1) !== MAGIC || pageSize < 512 || (pageSize & (pageSize - 1)) !== 0) return false;
  return same(sumOf(log, 0, 24, [0, 0], (magic & 1) === 1), storedSum(log, 24));
}

/** What follows the first frame that cannot be read: whether a commit was begun after one that is not whole. */
function afterBreak(frames: Frames, broken: number): LogState {
  let over = frames.isCurrent(broken) && frames.isCommit(broken);
  let found: LogState = frames.ragged ? "cut" : "whole";
  for (let n = broken; n < frames.count; n += 1) {
    if (frames.isStale(n)) continue;
    const goesOn = n > broken && frames.isCurrent(n) && frames.follows(n);
    if (goesOn && over) return "broken";
    // A commit that was given up has left no end of it behind; whatever else stands here was written, and is lost.
    if (!frames.isCurrent(n) || frames.isCommit(n)) found = "cut";
    if (goesOn && frames.isCommit(n)) over = true;
  }
  return found;
}

/** What a log's bytes say of themselves. */
export function lookAtLog(log: Buffer): LogLook {
  // Shorter than a header and a frame: nothing was ever committed in it.
  if (log.length <= HEADER) return { state: "whole", readable: 0 };
  if (!isHeaderSound(log)) return { state: "broken", readable: 0 };
  const frames = framesOf(log);
  let readable = 0;
  while (readable < frames.count && frames.isCurrent(readable) && frames.follows(readable)) readable += 1;
  if (readable === frames.count) return { state: frames.ragged ? "cut" : "whole", readable };
  return { state: afterBreak(frames, readable), readable };
}

/** Between two looks at a log that seems broken: another process may be writing it just now. */
const AGAIN_MS = 60;

/** Looks at the log beside a ledger's file. A break that moves on is another process at work, which a lock will tell. */
export async function logBeside(file: string): Promise<LogState> {
  const look = (): LogLook => {
    const log = `${file}-wal`;
    return existsSync(log) ? lookAtLog(readFileSync(log)) : { state: "whole", readable: 0 };
  };
  const first = look();
  if (first.state !== "broken") return first.state;
  await wait(AGAIN_MS);
  const second = look();
  return second.state === "broken" && second.readable !== first.readable ? "whole" : second.state;
}
