/** Changes of marks: read from the state before them, ups and downs summed, then "to" wins (P10). */
import type { Attribute, Change, Condition, Mark } from "../language/tree.ts";
import { allOf } from "./conditions.ts";
import { type Context, PLAIN } from "./context.ts";
import { remembered } from "./doing.ts";
import { type Environment, freshFor, type Test } from "./environment.ts";
import { remembersFencers } from "./fencers.ts";
import { ANOTHER, markPlace, NOBODY, type Place } from "./fields.ts";
import { HOW, type SideIndex } from "./machine.ts";
import { countLastSteps, MOST_HIDDEN, timesOf } from "./pays.ts";
import { refuseFading } from "./pattern.ts";
import { Unsupported } from "./refusal.ts";
import { namesNoExchangeIn } from "./rules.ts";
import { asksTouch, namesTouch } from "./quantity.ts";
import { heldIn, holderSlot, isLive, namesPayment, passesTo, receiver } from "./tokens.ts";
import { ofThisExchange } from "../language/walk.ts";

/**
 * Before the rules, so that "now" reads it: at once, or once it is known what the touches are worth. After the rules, for
 * changes that name a payment. At the end of the bout.
 */
export const STAGES = ["before", "touched", "after", "end", "end after"] as const;
export type Stage = (typeof STAGES)[number];

/** What one change does to a mark in this exchange. */
interface Applied {
  readonly stage: Stage;
  readonly namesNoExchange: boolean;
  readonly does: Change["does"];
  readonly holds: Test;
  /** How often it counts: 1, or the distinct last steps of its phrase, times a sum. */
  readonly times: (side: SideIndex) => number;
  /** Each fencer's sum counts for itself, in a mark that both share too. */
  readonly ofEach: boolean;
  /** Bits or number of what was captured, for marks that remember. */
  readonly captured: ((side: SideIndex) => number) | undefined;
}

export type MarkRunner = (stage: Stage) => void;

/** Whether what an exchange's touches are worth decides how some mark changes. */
export const marksAskTouch = (marks: readonly Mark[]): boolean =>
  marks.some((mark) => mark.changes.some(changeAsksTouch));

export function changeAsksTouch({ when, does }: Change): boolean {
  const all = when.is === "every" ? [] : when.all;
  return all.flatMap(ofThisExchange).some(asksTouch) || ("times" in does && namesTouch(does.times.quantity));
}

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
  const fenced = byStage((stage) => applied.filter((one) => one.stage === stage));
  const unfenced = byStage((stage) => fenced[stage].filter((one) => atTheEnd(stage) || one.namesNoExchange));
  return (stage) => {
    if (slot !== undefined && stage === "before" && m.how !== HOW["no exchange"])
      m.now[place.index] = heldIn(m.state[env.slot(slot)] as number);
    const due = (m.how === HOW["no exchange"] ? unfenced : fenced)[stage];
    if (due.length === 0) return;
    if (moves) moveHolder(env, place, mark.is === "roles" && slot !== undefined, due);
    else if (place.each) for (const side of m.sides) change(env, mark, place.index + side, due, ALONE[side]);
    else change(env, mark, place.index, due, SIDES);
  };
}

const ALONE: Readonly<Record<SideIndex, readonly SideIndex[]>> = [[0], [1]];

const byStage = <T>(of: (stage: Stage) => T): Readonly<Record<Stage, T>> =>
  Object.fromEntries(STAGES.map((stage) => [stage, of(stage)])) as Record<Stage, T>;

function compileChange(env: Environment, mark: Mark, place: Place, change: Change): Applied {
  const { when, does } = change;
  const all = when.is === "every" ? [] : when.all;
  const atTheEnd = when.is === "end of bout";
  const pays = namesPayment(all);
  // All at once, because "to" wins over the others.
  const early = mark.changes.some(changeAsksTouch) ? "touched" : "before";
  const stage: Stage = atTheEnd ? (pays ? "end after" : "end") : pays ? "after" : early;
  const m = env.machine;
  const context: Context = { when: [], atTheEnd, afterPayment: pays, inChange: true };
  const holds: Test =
    when.is === "every"
      ? () => m.how !== HOW["no exchange"] && m.number > 0 && m.number % when.exchanges === 0
      : allOf(env, all, context);
  const phrases = all.flatMap((one) => (one.is === "phrase" ? [one.phrase] : []));
  const sum = "times" in does ? timesOf(env, does.times, context) : undefined;
  let times: Applied["times"] = () => 1;
  if (change.eachTime === true) {
    if (phrases.length !== 1)
      throw new Unsupported(`"each time" in "${mark.name}" needs one phrase to count.`);
    times = countLastSteps(env, phrases, !place.each && !sum, MOST_HIDDEN);
  }
  const often = times;
  const remembers = does.is === "gains" || does.is === "becomes";
  return {
    stage,
    namesNoExchange: namesNoExchangeIn(all.flatMap(ofThisExchange)),
    does,
    holds,
    times: sum ? (side) => often(side) * sum(side) : often,
    ofEach: sum !== undefined,
    captured: remembers ? captureOf(env, mark, does.what, phrases[0]) : undefined,
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
    const side = firstOf(tried, one.holds);
    if (side < 0) continue;
    hit = true;
    const { does } = one;
    const counted = one.ofEach ? tried.filter((s) => one.holds(s)) : ALONE[side as SideIndex];
    if (does.is === "up") for (const s of counted) sum += does.n * one.times(s);
    else if (does.is === "down") for (const s of counted) sum -= does.n * one.times(s);
    // Of two that contradict each other the lower stays, whatever their order.
    else if (does.is === "to")
      for (const s of counted) to = lower(to, does.n * (one.ofEach ? one.times(s) : 1));
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

/** The first fencer for whom it holds, or -1. */
function firstOf(tried: readonly SideIndex[], holds: Test): number {
  for (let i = 0; i < tried.length; i++) if (holds(tried[i] as SideIndex)) return tried[i] as number;
  return -1;
}

const lower = (a: number, b: number): number => (a <= b ? a : b);

export function joined(mark: Mark, a: number, b: number): number {
  if (mark.is === "set") return union(a, b);
  // A note that would become both fencers at once stays as it is, as a token that passes to both does.
  if (a !== 0 && a !== b && remembersFencers(mark)) return TWO_AT_ONCE;
  return Math.max(a, b);
}
const TWO_AT_ONCE = -1;

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
  const receivers: number[] = [];
  let flips = false;
  for (const { does, holds } of due) {
    const sides = SIDES.filter((side) => holds(side));
    if (sides.length === 0) continue;
    if (does.is === "changes hands") flips = true;
    else if (does.is === "passes") receivers.push(...sides.map((side) => receiver(does.to, side)));
  }
  const to = passesTo(receivers);
  if (to >= 0) m.now[place.index] = to;
  else if (flips && before > NOBODY && before < ANOTHER) m.now[place.index] = 3 - before;
}

function captureOf(
  env: Environment,
  mark: Mark,
  what: Attribute,
  phrase: Parameters<Environment["accepted"]>[0] | undefined,
): (side: SideIndex) => number {
  if (what !== "fencer" && what !== "partner") return capture(env, mark, phrase);
  const m = env.machine;
  return (side) => {
    const number = m.here[what === "fencer" ? side : 1 - side] as number;
    if (number < 0) return 0;
    return mark.is === "set" ? 2 ** number : number + 1;
  };
}

/** Follows what the last step's action was: slots with one bit a value for a set, the latest value for a note. */
export function capture(
  env: Environment,
  mark: Mark,
  phrase: Parameters<Environment["accepted"]>[0] | undefined,
): (side: SideIndex, state?: Int32Array) => number {
  if (!phrase) throw new Unsupported(`"the ${remembered(mark)}" of which action? Begin with what happens.`);
  const { values, predicates } = env.doings.domain(mark);
  if (mark.is === "set" && values.length > 52)
    throw new Unsupported(`"${mark.name}" would have to tell ${String(values.length)} values apart.`);
  const accepts = env.add(phrase);
  refuseFading(accepts, `What "${mark.name}" remembers`);
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
  return (side, state = env.machine.state) => {
    let bits = 0;
    for (let i = perSide - 1; i >= 0; i--)
      bits = bits * 2 ** 26 + (state[env.slot(first) + side * perSide + i] as number);
    return bits;
  };
}

const atTheEnd = (stage: Stage): boolean => stage === "end" || stage === "end after";
