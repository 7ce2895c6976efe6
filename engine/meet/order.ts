/** The order of bouts: who has waited longest and fenced least comes next. Published tables are data (pool.ts). */
import type { Millis, PersonId } from "../ids.ts";

/** One fencer as the next pair is looked for. */
export interface Waiting {
  readonly person: PersonId;
  /** Bouts fenced tonight. */
  readonly bouts: number;
  /** Server time since when they wait. */
  readonly since: Millis;
  /** Whom they have met tonight, once for each bout. */
  readonly met: readonly PersonId[];
}

export interface NextPair {
  readonly red: PersonId;
  readonly blue: PersonId;
}

const timesMet = (a: Waiting, b: Waiting): number => a.met.filter((person) => person === b.person).length;

/** Fewest bouts first, then the longest wait, then by id so that every device finds the same order. */
const byNeed = (a: Waiting, b: Waiting): number =>
  a.bouts - b.bouts || a.since - b.since || (a.person < b.person ? -1 : 1);

/**
 * The fairest next pair of those who are free, or undefined for fewer than two: the one in most need, and of the others
 * who have fenced least the one whom they have met least often tonight, then the one who waits longest. Whoever has fenced more is Blue.
 */
export function nextPair(free: readonly Waiting[]): NextPair | undefined {
  const [first, ...others] = [...free].sort(byNeed);
  if (first === undefined) return undefined;
  const [partner] = others.sort(
    (a, b) => a.bouts - b.bouts || timesMet(first, a) - timesMet(first, b) || byNeed(a, b),
  );
  return partner === undefined ? undefined : { red: first.person, blue: partner.person };
}
