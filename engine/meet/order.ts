/** The order of bouts: who has waited longest and fenced least comes next. Published tables are data (pool.ts). */
import type { Ending } from "../../rules/index.ts";
import type { Bout } from "../bout/bout.ts";
import type { BoutId, Millis, PersonId, RingId } from "../ids.ts";
import type { Meet } from "./events.ts";

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

const WINNER: { readonly [E in Ending]?: "red" | "blue" } = {
  "red wins": "red",
  "blue forfeits": "red",
  "blue wins": "blue",
  "red forfeits": "blue",
};

type Bouts = (id: BoutId) => Bout | undefined;

/** Who is here, in no bout that goes on and in none that is planned; each with when they fenced last (0: not yet). */
function freeOnes(
  meet: Meet,
  bouts: Bouts,
): readonly { readonly person: PersonId; readonly since: Millis }[] {
  const called = meet.called.flatMap(({ bout }) => bouts(bout) ?? []);
  const busy = new Set(
    [...meet.planned, ...called.filter(({ stage }) => stage !== "ended")].flatMap(({ red, blue }) => [
      red,
      blue,
    ]),
  );
  return meet.fencers
    .filter(({ person, as }) => as === "here" && !busy.has(person))
    .map(({ person }) => {
      const own = called.filter(({ red, blue }) => red === person || blue === person);
      // The clock was stopped by the end.
      return { person, since: Math.max(0, ...own.map(({ clock }) => clock.since)) };
    });
}

/** Who holds the hill of a ring: the winner of its latest bout that somebody won. A draw leaves it to who held it. */
function holderOf(meet: Meet, ring: RingId, bouts: Bouts): PersonId | undefined {
  return meet.called
    .filter((each) => each.ring === ring)
    .flatMap(({ bout }) => {
      const found = bouts(bout);
      const side = found?.ending === undefined ? undefined : WINNER[found.ending];
      return found === undefined || side === undefined ? [] : [found[side]];
    })
    .at(-1);
}

/**
 * Winner stays: whoever holds the ring's hill fences the one who has waited longest. A holder who is not free (retired,
 * resting, out, planned elsewhere) leaves it to the two who have waited longest. Undefined for fewer than two who are
 * free. The holder is Red; who have waited alike come in the roster's order.
 */
export function nextOnTheHill(meet: Meet, ring: RingId, bouts: Bouts): NextPair | undefined {
  const free = [...freeOnes(meet, bouts)].sort((a, b) => a.since - b.since);
  const holds = holderOf(meet, ring, bouts);
  const red = free.find(({ person }) => person === holds) ?? free[0];
  const blue = free.find((each) => each !== red);
  return red === undefined || blue === undefined ? undefined : { red: red.person, blue: blue.person };
}

/** The published order of a relay of three against three, each team's places from 1 (sport fencing; from memory). */
const THREE: readonly (readonly [red: number, blue: number])[] = [
  [3, 3],
  [1, 2],
  [2, 1],
  [1, 3],
  [3, 1],
  [2, 2],
  [1, 1],
  [2, 3],
  [3, 2],
];

/**
 * The bouts of a relay: everybody of one team meets everybody of the other once. Three against three in the published
 * order; else round by round, the other team moving on by one place.
 */
export function relayOrder(red: readonly PersonId[], blue: readonly PersonId[]): readonly NextPair[] {
  const pair = (r: number, b: number): readonly NextPair[] => {
    const [one, other] = [red[r], blue[b]];
    return one === undefined || other === undefined ? [] : [{ red: one, blue: other }];
  };
  if (red.length === 3 && blue.length === 3) return THREE.flatMap(([r, b]) => pair(r - 1, b - 1));
  const size = Math.max(red.length, blue.length);
  return Array.from({ length: size }, (_, round) =>
    Array.from({ length: size }, (_place, at) => pair(at, (at + round) % size)).flat(),
  ).flat();
}
