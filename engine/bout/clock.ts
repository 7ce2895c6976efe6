/** The clock as data: only starts, halts and settings travel; every screen counts by itself. */
import { atLast } from "../../rules/index.ts";
import type { BoutRules } from "../../rules/index.ts";
import type { Millis } from "../ids.ts";
import type { Clock } from "./bout.ts";
import type { TieBreak } from "./events.ts";

/** Common practice, no source: a priority minute is one minute. */
const PRIORITY_MINUTE = 60_000;

/** The clock before the first "Fence!": down from the rule set's minutes, or up where it names no time. */
export function clockFor(rules: BoutRules | undefined, at: Millis): Clock {
  const minutes = rules?.ends.find((end) => end.is === "minutes");
  const left = rules?.starts.find((start) => start.is === "time left");
  if (left !== undefined) return { running: false, leftMs: left.seconds * 1000, since: at, counts: "down" };
  if (minutes !== undefined) return { running: false, leftMs: minutes.n * 60_000, since: at, counts: "down" };
  return { running: false, leftMs: 0, since: at, counts: "up" };
}

/** What the clock shows at `now`, in milliseconds: left where it counts down (never below 0), fenced where it counts up. */
export function clockAt(clock: Clock, now: Millis): number {
  if (!clock.running) return clock.leftMs;
  // A device's offset may be mended between two events; the clock never runs backwards for it.
  const passed = Math.max(0, now - clock.since);
  return clock.counts === "up" ? clock.leftMs + passed : Math.max(0, clock.leftMs - passed);
}

/** Whether the clock has counted down to nothing. */
export const isTimeUp = (clock: Clock, now: Millis): boolean =>
  clock.counts === "down" && clockAt(clock, now) === 0;

export const started = (clock: Clock, at: Millis): Clock => ({
  ...clock,
  leftMs: clockAt(clock, at),
  running: true,
  since: at,
});

export const stopped = (clock: Clock, at: Millis): Clock => ({
  ...clock,
  leftMs: clockAt(clock, at),
  running: false,
  since: at,
});

/** Sets what it shows without stopping or starting it. */
export const setTo = (clock: Clock, leftMs: number, at: Millis): Clock => ({ ...clock, leftMs, since: at });

/** The clock of a tie-break: the extra time, or for sudden death none at all (it counts up). */
export function clockForTieBreak(how: TieBreak, rules: BoutRules | undefined, at: Millis): Clock {
  const ties = rules && atLast(rules.ties);
  if (how === "sudden death") return { running: false, leftMs: 0, since: at, counts: "up" };
  const leftMs = ties?.is === "more seconds" ? ties.n * 1000 : PRIORITY_MINUTE;
  return { running: false, leftMs, since: at, counts: "down" };
}

/** Seconds on the clock as people read them: 12.3 s left are shown and spoken as 13. */
export const secondsShown = (leftMs: number): number => Math.ceil(leftMs / 1000);
