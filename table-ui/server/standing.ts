/**
 * Watches how a ledger stands by what comes of every call to it: sound, or since when and why nothing is recorded. What
 * passes by itself (a full disk, a database out of reach) is tried again every few seconds, and only then; what does not
 * (a disk that failed, a damaged file) lasts until a restart, and nothing is written meanwhile.
 */
import { basename, dirname } from "node:path";
import type { Millis } from "../../engine/index.ts";
import { LedgerFault, type Ledger, type LedgerFaultCode } from "../../engine/ledger/open.ts";
import { passes, type Standing, type Trouble } from "../wire/standing.ts";

/** How often a ledger that is not sound is tried. */
export const PROBE_MS = 3_000;

export interface Timing {
  readonly now: () => Millis;
  /** Runs `work` every few seconds until the answer is called. */
  readonly again?: (work: () => void) => () => void;
}

export interface Watch<L extends Ledger> {
  /** The same ledger, watched. */
  readonly ledger: L;
  readonly standing: () => Standing;
  /** Hears of every change of the standing. */
  onChange(listener: (standing: Standing) => void): void;
  /** Tries no more. */
  stop(): void;
}

const SOUND: Standing = { state: "sound" };

const TROUBLE: Partial<Record<LedgerFaultCode, Trouble>> = {
  "disk-full": "full",
  "disk-failed": "failed",
  damaged: "damaged",
  unreachable: "unreachable",
};

/** What a fault says about the ledger as a whole; undefined for a fault of one call. */
export const troubleIn = (error: unknown): Trouble | undefined =>
  error instanceof LedgerFault ? TROUBLE[error.code] : undefined;

/** What would write, and must not after a failure that lasts. */
const WRITES: ReadonlySet<string | symbol> = new Set<keyof Ledger>([
  "append",
  "inTurn",
  "putRuleSet",
  "putPerson",
  "erasePerson",
  "putSeat",
]);

/** Calls that have written whenever they resolve; the others may have had nothing to write. */
const WROTE: ReadonlySet<string | symbol> = new Set<keyof Ledger>(["putPerson", "putSeat", "probe"]);

function hasWritten(name: string | symbol, result: unknown): boolean {
  if (WROTE.has(name)) return true;
  const isAppend = typeof result === "object" && result !== null && "outcome" in result;
  return name === "append" && isAppend && result.outcome === "appended";
}

const everyFewSeconds = (work: () => void): (() => void) => {
  const timer = setInterval(work, PROBE_MS);
  timer.unref();
  return () => clearInterval(timer);
};

const folderOf = (ledger: Ledger): string | undefined =>
  "file" in ledger && typeof ledger.file === "string" ? basename(dirname(ledger.file)) : undefined;

export function watchLedger<L extends Ledger>(ledger: L, { now, again = everyFewSeconds }: Timing): Watch<L> {
  const folder = folderOf(ledger);
  const listeners: ((standing: Standing) => void)[] = [];
  let standing: Standing = SOUND;
  let stopTrying: (() => void) | undefined;

  function become(next: Standing): void {
    standing = next;
    stopTrying?.();
    stopTrying = next.state !== "sound" && passes(next.state) ? again(tryIt) : undefined;
    for (const listener of listeners) listener(next);
  }

  function failed(state: Trouble): void {
    if (standing.state === state || (standing.state !== "sound" && !passes(standing.state))) return;
    const since = standing.state === "sound" ? now() : standing.since;
    become({ state, since, ...(folder === undefined ? {} : { folder }) });
  }

  /** `asked`: how it stood when the call began; what was under way before a fault does not disprove it. */
  function succeeded(asked: Standing, name: string | symbol, result: unknown): void {
    if (standing.state === "sound" || standing !== asked) return;
    const proves =
      standing.state === "unreachable" || (standing.state === "full" && hasWritten(name, result));
    if (proves) become(SOUND);
  }

  async function watched(name: string | symbol, call: () => unknown): Promise<unknown> {
    const asked = standing;
    if (WRITES.has(name) && asked.state !== "sound" && !passes(asked.state)) throw stillBroken(asked.state);
    try {
      const result = await call();
      succeeded(asked, name, result);
      return result;
    } catch (error) {
      const state = troubleIn(error);
      if (state !== undefined) failed(state);
      throw error;
    }
  }

  // Whatever a driver offers beyond the port is watched as well, and stays callable.
  const proxy = new Proxy(ledger, {
    get(target, name) {
      const member: unknown = Reflect.get(target, name, target);
      if (typeof member !== "function" || name === "close") return bound(target, member);
      return (...args: unknown[]) => watched(name, (): unknown => Reflect.apply(member, target, args));
    },
  });

  function tryIt(): void {
    const tried: Promise<unknown> = proxy.probe === undefined ? proxy.beside() : proxy.probe();
    // What came of it, the watch has seen.
    tried.catch(() => undefined);
  }

  return {
    ledger: proxy,
    standing: () => standing,
    onChange: (listener) => void listeners.push(listener),
    stop: () => stopTrying?.(),
  };
}

const bound = (target: object, member: unknown): unknown =>
  typeof member === "function"
    ? (...args: unknown[]): unknown => Reflect.apply(member, target, args)
    : member;

function stillBroken(state: Trouble): LedgerFault {
  return state === "damaged"
    ? new LedgerFault("damaged", "The ledger is damaged; nothing more is recorded until a restart.")
    : new LedgerFault("disk-failed", "The disk failed; nothing more is recorded until a restart.");
}
