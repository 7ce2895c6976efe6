/** Changes of marks: read from the state before them, ups and downs summed, then "to" wins (P10). */
import type { Change, Condition, Mark } from "../language/tree.ts";
import { allOf, PLAIN } from "./conditions.ts";
import { remembered } from "./doing.ts";
import { type Environment, freshFor, type Test } from "./environment.ts";
import { holder, markPlace, type Place } from "./fields.ts";
import { HOW, type SideIndex } from "./machine.ts";
import { countLastSteps, MOST_HIDDEN } from "./pays.ts";
import { Unsupported } from "./refusal.ts";
import { namesNoExchangeIn } from "./rules.ts";
import { heldIn, holderSlot, isLive, namesPayment } from "./tokens.ts";

/** Before the rules, so that "now" reads it; after them, for changes that name a payment; at the end of the bout. */
export const STAGES = ["before", "after", "end", "end after"] as const;
export type Stage = (typeof STAGES)[number];

/** What one change does to a mark in this exchange. */
interface Applied {
  readonly stage: Stage;
  readonly namesNoExchange: boolean;
  readonly does: Change["does"];
  readonly holds: Test;
  /** How often it counts: 1, or the distinct last steps of its phrase. */
  readonly times: (side: SideIndex) => number;
  /** Bits or number of what was captured, for marks that remember. */
  readonly captured: ((side: SideIndex) => number) | undefined;
}

export type MarkRunner = (stage: Stage) => void;

const SIDES: readonly SideIndex[] = [0, 1];

export function compileMark(env: Environment, mark: Mark): MarkRunner {
  const place = markPlace(env, mark);
  const rest = (all: readonly Condition[]): Test => allOf(env, all, PLAIN);
  const moves = mark.is === "token" || mark.is === "roles";
  const slot = moves ? holderSlot(env, mark, rest) : undefined;
  const applied = mark.changes
    .filter((change) => !(moves && isLive(change)))
    .map((change) => compileChange(env, mark, place, change));
  const m = env.machine;
  return (stage) => {
    if (slot !== undefined && stage === "before" && m.how !== HOW["no exchange"])
      m.now[place.index] = heldIn(m.state[env.slot(slot)] as number);
    const due = applied.filter(
      (one) =>
        one.stage === stage && (m.how !== HOW["no exchange"] || atTheEnd(stage) || one.namesNoExchange),
    );
    if (due.length === 0) return;
    if (moves) moveHolder(env, place, mark.is === "roles" && slot !== undefined, due);
    else if (place.each) for (const side of m.sides) change(env, mark, place.index + side, due, [side]);
    else change(env, mark, place.index, due, SIDES);
  };
}

function compileChange(env: Environment, mark: Mark, place: Place, change: Change): Applied {
  const { when, does } = change;
  const all = when.is === "every" ? [] : when.all;
  const atTheEnd = when.is === "end of bout";
  const pays = namesPayment(all);
  const stage: Stage = atTheEnd ? (pays ? "end after" : "end") : pays ? "after" : "before";
  const m = env.machine;
  const holds: Test =
    when.is === "every"
      ? () => m.how !== HOW["no exchange"] && m.number > 0 && m.number % when.exchanges === 0
      : allOf(env, all, { when: [], atTheEnd, afterPayment: pays, inChange: true });
  const phrases = all.flatMap((one) => (one.is === "phrase" ? [one.phrase] : []));
  let times: Applied["times"] = () => 1;
  if (change.eachTime === true) {
    if (phrases.length !== 1)
      throw new Unsupported(`"each time" in "${mark.name}" needs one phrase to count.`);
    times = countLastSteps(env, phrases, !place.each, MOST_HIDDEN);
  }
  const remembers = does.is === "gains" || does.is === "becomes";
  return {
    stage,
    namesNoExchange: namesNoExchangeIn(all),
    does,
    holds,
    times,
    captured: remembers ? capture(env, mark, phrases[0]) : undefined,
  };
}

function change(
  env: Environment,
  mark: Mark,
  index: number,
  due: readonly Applied[],
  tried: readonly SideIndex[],
): void {
  const m = env.machine;
  let sum = 0;
  let to = Number.NaN;
  let captured = 0;
  let hit = false;
  for (const one of due) {
    const side = tried.find((s) => one.holds(s));
    if (side === undefined) continue;
    hit = true;
    const { does } = one;
    if (does.is === "up") sum += does.n * one.times(side);
    else if (does.is === "down") sum -= does.n * one.times(side);
    // Of two that contradict each other the lower stays, whatever their order.
    else if (does.is === "to") to = to <= does.n ? to : does.n;
    else if (does.is === "on") to = to <= 1 ? to : 1;
    else if (does.is === "off") to = 0;
    else if (one.captured)
      for (const s of tried) if (one.holds(s)) captured = joined(mark, captured, one.captured(s));
  }
  if (!hit) return;
  if (mark.is === "note") {
    if (captured > 0) m.now[index] = captured;
  } else if (mark.is === "set") {
    if (captured > 0) m.now[index] = union(m.readNow(index), captured);
  } else m.now[index] = to === to ? to : m.readNow(index) + sum;
}

const joined = (mark: Mark, a: number, b: number): number =>
  mark.is === "set" ? union(a, b) : Math.max(a, b);

/** Sets are kept as one bit a value, beyond 32 too. */
export function union(a: number, b: number): number {
  const high = 2 ** 26;
  return (Math.floor(a / high) | Math.floor(b / high)) * high + ((a % high) | (b % high));
}

function moveHolder(env: Environment, place: Place, once: boolean, due: readonly Applied[]): void {
  const m = env.machine;
  const before = m.readNow(place.index);
  // Roles change at most once an exchange: what the actions did comes first.
  if (once && before !== m.read(place.index)) return;
  let to = -1;
  let flips = false;
  for (const { does, holds } of due) {
    const sides = SIDES.filter((side) => holds(side));
    if (sides.length === 0) continue;
    if (does.is === "changes hands") flips = true;
    else if (does.is === "passes" && (sides.length === 1 || holds === undefined)) {
      const side = sides[0] as SideIndex;
      to = holder(does.to === "me" ? side : ((1 - side) as SideIndex));
    }
  }
  if (to >= 0) m.now[place.index] = to;
  else if (flips && before > 0) m.now[place.index] = 3 - before;
}

/** Follows what the last step's action was: slots with one bit a value for a set, the latest value for a note. */
function capture(
  env: Environment,
  mark: Mark,
  phrase: Parameters<Environment["accepted"]>[0] | undefined,
): (side: SideIndex) => number {
  if (!phrase) throw new Unsupported(`"the ${remembered(mark)}" of which action? Begin with what happens.`);
  const { values, predicates } = env.doings.domain(mark);
  if (values.length > 52)
    throw new Unsupported(`"${mark.name}" would have to tell ${String(values.length)} values apart.`);
  const accepts = env.add(phrase);
  const isSet = mark.is === "set";
  const perSide = isSet ? Math.ceil(values.length / 26) : 1;
  const valueOf = (code: number): number => {
    const signature = env.signature(code);
    return predicates.findIndex((predicate) => signature[predicate] === 1);
  };
  const first = env.hook({
    slots: 2 * perSide,
    start: () => undefined,
    build: (slot, words) => ({
      tells: { bits: accepts.tests, value: valueOf },
      after: ({ state, fresh, kept, code }) => {
        for (const side of SIDES) {
          if (!freshFor(accepts.tests, kept, words, side))
            state.fill(0, slot + side * perSide, slot + (side + 1) * perSide);
          if (!freshFor(accepts.tests, fresh, words, side)) continue;
          const value = valueOf(code);
          const at = slot + side * perSide;
          if (isSet) {
            if (value >= 0) state[at + Math.floor(value / 26)]! |= 1 << (value % 26);
          } else state[at] = value + 1;
        }
      },
    }),
  });
  return (side) => {
    let bits = 0;
    for (let i = perSide - 1; i >= 0; i--)
      bits = bits * 2 ** 26 + (env.machine.state[env.slot(first) + side * perSide + i] as number);
    return bits;
  };
}

const atTheEnd = (stage: Stage): boolean => stage === "end" || stage === "end after";
