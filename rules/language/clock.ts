/** What the bout's sentences say of its clock. */
import type { BoutRules } from "./tree-bout.ts";

/** Seconds on the clock as the bout begins; undefined where its sentences do not say. */
export function lengthOf({ starts, ends }: BoutRules): number | undefined {
  for (const start of starts) if (start.is === "time left") return start.seconds;
  for (const end of ends) if (end.is === "minutes") return end.n * 60;
  return undefined;
}

/** Seconds that are put on the clock when the time is up and nobody is ahead; undefined where none are. */
export function extraTimeOf({ ties }: BoutRules): number | undefined {
  if (ties.is === "more seconds") return ties.n;
  return ties.is === "priority minute" ? 60 : undefined;
}
