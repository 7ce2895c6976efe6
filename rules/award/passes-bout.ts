/** The bout's own passes: what a touch is worth, what doubles and afterblows do to it, and to whom it is written. */
import { condition } from "./conditions.ts";
import { PLAIN } from "./context.ts";
import type { Environment, Test } from "./environment.ts";
import { MATCH_POINTS } from "./fields.ts";
import { owner } from "./joined.ts";
import { HOW, type Machine, POINTS, type SideIndex } from "./machine.ts";
import type { Pass, Pieces } from "./passes.ts";

const SIDES: readonly SideIndex[] = [0, 1];

/** The best line that each fencer matched, once an exchange. */
export function touches({ env, touches: lines, own }: Pieces): Pass {
  const m = env.machine;
  const { words } = env.layout;
  const tests = lines.flatMap(({ tests: bits, worth }) => bits.map((bit) => ({ ...bit, worth })));
  const best = (side: SideIndex): number => {
    for (let i = 0; i < tests.length; i++) {
      const { word, mask, worth } = tests[i] as (typeof tests)[number];
      if (((m.state[side * words + word] as number) & mask) !== 0) return worth;
    }
    return 0;
  };
  return {
    name: "touches",
    run: () => {
      if (m.how === HOW["no exchange"] || m.part?.touch === false) return;
      for (const side of m.sides) {
        const worth = best(side);
        if (worth !== 0) m.award(own.touch, side, side, POINTS, worth, 1);
      }
    },
  };
}

/** The slot of a fencer's touch; -1 where there is none. */
function touchOf(m: Machine, touch: number, side: number): number {
  for (let slot = 0; slot < m.count; slot++) if (m.rule[slot] === touch && m.to[slot] === side) return slot;
  return -1;
}

const worthOf = (m: Machine, slot: number): number => (slot < 0 ? 0 : (m.amount[slot] as number));

function nothing(m: Machine): void {
  for (let slot = 0; slot < m.count; slot++) m.amount[slot] = 0;
}

/** Of two touches only what one is worth more. */
function difference(m: Machine, touch: number): void {
  const [red, blue] = [touchOf(m, touch, 0), touchOf(m, touch, 1)];
  const less = Math.max(0, Math.min(worthOf(m, red), worthOf(m, blue)));
  if (less === 0) return;
  m.amount[red]! -= less;
  m.amount[blue]! -= less;
}

export function doubles({ env, own }: Pieces): Pass {
  const m = env.machine;
  const { doubles: policy, simultaneous } = env.ruleSet.bout;
  const { every = 1 } = policy;
  /** Every double takes its 1, or only each so-many-th of the bout. */
  const takesOne = (): boolean => policy.is === "1 off each" && (m.doubles + 1) % every === 0;
  return {
    name: "doubles",
    run: () => {
      const isDouble = m.how === HOW.double;
      if (m.part?.touch === false) return;
      if (isDouble ? policy.is === "both score" : m.how !== HOW.simultaneous || simultaneous === "both score")
        return;
      if (isDouble && policy.is === "the difference scores") return difference(m, own.touch);
      nothing(m);
      if (isDouble && takesOne()) for (const side of m.sides) m.award(own.double, side, side, POINTS, -1, 1);
    },
  };
}

/** Whose afterblows count: everybody's, or only those of whoever has the role. */
function whoseCount(env: Environment): Test {
  const { onlyOf } = env.ruleSet.bout.afterblows;
  if (onlyOf === undefined) return () => true;
  const context = { ...PLAIN, inChange: false };
  return env.as(owner.touch, () => condition(env, { is: "role", who: "I", role: onlyOf }, context));
}

export function afterblows({ env, own }: Pieces): Pass {
  const m = env.machine;
  const policy = env.ruleSet.bout.afterblows;
  const landed = env.as(owner.touch, () => env.accepted(AFTERBLOW));
  const counts = whoseCount(env);
  const take = (hit: number, less: number): void => {
    const worth = m.amount[hit] as number;
    const leave = "leave" in policy ? policy.leave : 0;
    m.amount[hit] = Math.min(worth, Math.max(worth - less, leave));
  };
  const settle = (after: number, hit: number): void => {
    if (policy.is === "both score") return;
    if (policy.is === "half to the second") {
      if (after >= 0) m.amount[after]! /= 2;
      return;
    }
    const worth = worthOf(m, after);
    if (after >= 0) m.amount[after] = 0;
    if (hit < 0) return;
    if (policy.is === "annul the hit") m.amount[hit] = 0;
    if (policy.is === "take off 1") take(hit, 1);
    if (policy.is === "the difference scores") take(hit, Math.max(0, worth));
  };
  const lose = (side: SideIndex): void => {
    const slot = touchOf(m, own.touch, side);
    if (slot >= 0) m.amount[slot] = 0;
  };
  return {
    name: "afterblows",
    run: () => {
      if (m.how === HOW.double || m.part?.touch === false) return;
      const red = landed(0);
      const blue = landed(1);
      const redCounts = red && counts(0);
      const blueCounts = blue && counts(1);
      // One that does not count scores nothing and costs nothing.
      if (red && !redCounts) lose(0);
      if (blue && !blueCounts) lose(1);
      if (redCounts === blueCounts) return;
      const side = redCounts ? 0 : 1;
      settle(touchOf(m, own.touch, side), touchOf(m, own.touch, 1 - side));
    },
  };
}

export const AFTERBLOW = {
  steps: [{ link: "start", subject: "I", doing: { kinds: ["afterblow"], result: "hit" } }],
} as const;

/** The name of the pass below; it moves touches, so that nobody's arithmetic may be taken for the other's. */
export const POINTS_AGAINST = "points against";

export const countsAgainst = ({ ruleSet }: Environment): boolean =>
  ruleSet.bout.wins === "who has fewer points against";

/** "who has fewer points against": a touch is written to the one who is hit, once the effects have done with it. */
export function pointsAgainst({ env, own }: Pieces): Pass {
  const m = env.machine;
  return {
    name: POINTS_AGAINST,
    run: () => {
      for (let slot = 0; slot < m.count; slot++)
        if (m.rule[slot] === own.touch) m.to[slot] = 1 - (m.to[slot] as number);
    },
  };
}

/** "3 points a fencer": what would lead above it is cut short, the latest sums first. */
export function fencersLimit({ env }: Pieces): Pass {
  const m = env.machine;
  const most = env.ruleSet.bout.limit ?? Number.POSITIVE_INFINITY;
  const points = env.fields.pair("points", "bout");
  const before = env.fields.pair(MATCH_POINTS, "match");
  return {
    name: "fencer's limit",
    run: () => {
      for (const side of SIDES) {
        const won = m.sum(-1, side, POINTS);
        if (won <= 0) continue;
        let over = won - Math.max(0, most - m.read(before + side) - m.read(points + side));
        for (let slot = m.count - 1; slot >= 0 && over > 0; slot--) {
          const amount = m.amount[slot] as number;
          if (m.to[slot] !== side || m.unit[slot] !== POINTS || amount <= 0) continue;
          const less = Math.min(over, amount);
          m.amount[slot] = amount - less;
          over -= less;
        }
      }
    },
  };
}
