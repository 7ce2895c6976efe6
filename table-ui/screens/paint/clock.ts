/** The clock as data: only starts, halts and settings travel; every screen counts by itself from the server's time. */
import type { Clock, Stage } from "../../../engine/index.ts";
import type { BoutOnView } from "../../wire/views.ts";

/** Milliseconds on the clock at server time `now`: left (never below 0), or fenced so far. */
export function shownMs(clock: Clock, now: number): number {
  const gone = clock.running ? Math.max(0, now - clock.since) : 0;
  return clock.counts === "down" ? Math.max(0, clock.leftMs - gone) : clock.leftMs + gone;
}

/** "0:48". Counting down, a second is shown until it has passed. */
export function clockText(clock: Clock, now: number): string {
  const seconds = shownMs(clock, now) / 1000;
  const whole = clock.counts === "down" ? Math.ceil(seconds) : Math.floor(seconds);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

/** "0:48 left", "2:10 fenced". */
export const clockWords = (clock: Clock, now: number): string =>
  `${clockText(clock, now)} ${clock.counts === "down" ? "left" : "fenced"}`;

const STAGE_WORDS: Readonly<Record<Stage, string>> = {
  called: "called",
  checked: "gear checked",
  "on guard": "on guard",
  fencing: "fencing",
  halted: "halted",
  paused: "paused",
  "tie-break": "tie-break",
  ended: "final",
};

/** What goes on, in a word or two. */
export function stageWords({ stage, paused }: Pick<BoutOnView, "stage" | "paused">): string {
  return stage === "paused" && paused && paused !== stage ? `paused: ${paused}` : STAGE_WORDS[stage];
}

export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
