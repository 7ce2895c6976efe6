/** Who met the cue, who tried, who succeeded: counts over bouts from the phrases that a rule set names so. */
import type { Bout } from "../bout/bout.ts";
import type { PersonId } from "../ids.ts";

/** The three phrases that reports count; a rule set that names none of them counts nothing. */
export const FUNNEL = ["cue", "attempt", "success"] as const;
export type Funnel = { readonly [F in (typeof FUNNEL)[number]]: number };

/**
 * How many exchanges of these bouts hold each phrase, surely made by this person; exchanges after the end of a bout are
 * not counted. A bout in which the person does not fence adds nothing.
 */
export function funnel(bouts: readonly { readonly bout: Bout }[], person: PersonId): Funnel {
  const counts = { cue: 0, attempt: 0, success: 0 };
  for (const { bout } of bouts) {
    const side = bout.red === person ? "red" : bout.blue === person ? "blue" : undefined;
    if (side === undefined) continue;
    for (const exchange of bout.tally.exchanges) {
      if (exchange.afterTheEnd) continue;
      for (const phrase of FUNNEL) if (exchange.made[side].includes(phrase)) counts[phrase]++;
    }
  }
  return counts;
}
