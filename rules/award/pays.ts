/** What a rule pays when it fires: sums as small closures. */
import type { Pay, Phrase, Receiver, Rule, Sum, Times } from "../language/tree.ts";
import type { Call } from "../record.ts";
import { allOf } from "./conditions.ts";
import type { Context } from "./context.ts";
import { type Environment, freshFor, type Test } from "./environment.ts";
import { markPlace, owned, pickPlace } from "./fields.ts";
import { BONUS, POINTS, type SideIndex } from "./machine.ts";
import { compileQuantity } from "./quantity.ts";
import { refuseFading } from "./pattern.ts";
import { Unsupported } from "./refusal.ts";
import type { HookStep } from "./tables.ts";

/** A line that is open is taken to hide at most this many more last steps of each fencer. */
export const MOST_HIDDEN = 3;
/** Where nobody said how long an action lasted, it is taken to be at most this many full spans. */
const MOST_SPANS = 10;

export interface CompiledPay {
  readonly unit: number;
  readonly to: "me" | "them" | "us both";
  readonly holds: Test | undefined;
  readonly amount: (side: SideIndex) => number;
  /** Distinct last steps; undefined where it pays once. */
  readonly times: ((side: SideIndex) => number) | undefined;
}

/** How often a rule has fired for each fencer in this bout; kept only where something asks. */
export const firedField = (env: Environment, rule: string): number =>
  env.fields.pair(`fired ${rule}`, "bout");

export function compilePay(env: Environment, rule: Rule, pay: Pay, context: Context): CompiledPay {
  const number = sumOf(env, rule, pay, 0);
  const spans = pay.forEachFullSeconds === undefined ? undefined : spansOf(env, rule, pay.forEachFullSeconds);
  let amount = number.amount;
  if (pay.times) {
    const inner = amount;
    const times = timesOf(env, pay.times, context);
    amount = (side) => inner(side) * times(side);
  }
  if (spans) {
    const inner = amount;
    amount = (side) => inner(side) * spans(side);
  }
  const assented = pay.sum.is === "between" ? undefined : assentedTo(env, rule);
  if (assented) {
    const inner = amount;
    amount = (side) => (assented(side) ? inner(side) : 0);
  }
  return {
    unit: number.unit,
    to: RECEIVERS[pay.to],
    holds: pay.if && pay.if.length > 0 ? allOf(env, pay.if, context) : undefined,
    amount,
    times: pay.eachTime === true ? eachTimeOf(env, rule) : undefined,
  };
}

/** In a bout a team is its fencer. */
export const RECEIVERS: Readonly<Record<Receiver, "me" | "them" | "us both">> = {
  me: "me",
  them: "them",
  "us both": "us both",
  "my team": "me",
  "their team": "them",
};

/** "times my blots minus 3": a sum below nothing is nothing. */
export function timesOf(
  env: Environment,
  { quantity, now }: Times,
  context: Context,
): (side: SideIndex) => number {
  const sum = compileQuantity(env, quantity, now === true, context);
  return (side) => Math.max(0, sum(side));
}

interface Amounts {
  readonly unit: number;
  readonly amount: (side: SideIndex) => number;
}

function sumOf(env: Environment, rule: Rule, pay: Pay, depth: number): Amounts {
  const { sum } = pay;
  if (depth > 4) throw new Unsupported(`"${rule.name}" pays what a rule pays that pays what it pays.`);
  switch (sum.is) {
    case "numbers":
      return { unit: sum.unit === "points" ? POINTS : BONUS, amount: numbered(env, rule, pay, sum.numbers) };
    case "between":
      return { unit: sum.unit === "points" ? POINTS : BONUS, amount: judged(env, rule, sum) };
    case "what pays them": {
      const other = env.rules[env.ruleNumber(sum.rule)] as Rule;
      const [first, ...more] = other.pays ?? [];
      if (!first || more.length > 0)
        throw new Unsupported(`"what "${sum.rule}" pays them" needs a rule that pays one sum.`);
      const theirs = sumOf(env, other, first, depth + 1);
      return { unit: theirs.unit, amount: (side) => theirs.amount((1 - side) as SideIndex) };
    }
  }
}

/** "3, 2, then 0": by how often the rule has fired, or by a pick or a count; the last number stays. */
function numbered(
  env: Environment,
  rule: Rule,
  pay: Pay,
  numbers: readonly number[],
): (side: SideIndex) => number {
  const m = env.machine;
  const [only] = numbers;
  if (numbers.length === 1 && only !== undefined) return () => only;
  const last = numbers.length - 1;
  const at = (i: number): number => numbers[Math.max(0, Math.min(Math.floor(i), last))] as number;
  if (pay.by !== undefined) {
    const { by } = pay;
    const isPick = env.ruleSet.picks.some((pick) => pick.name === by);
    const place = isPick ? pickPlace(env, env.pick(by)) : markPlace(env, env.mark(by));
    const index = owned(place, place.each ? "my" : "the", by);
    return (side) => at(m.read(index(side)));
  }
  const fired = firedField(env, rule.name);
  return (side) => at(m.read(fired + side));
}

const callsFor = (rule: Rule): ReadonlySet<string> =>
  new Set((rule.if ?? []).flat().flatMap((one) => (one.is === "call" && one.for === "me" ? [one.call] : [])));

/** Whether a second judge has assented to this call; one who still may leaves it open. */
const hasAssent = ({ machine: m }: Environment, { assent, awaits }: Call): boolean =>
  assent !== undefined || (awaits === true && m.chooser.choose(2) === 1);

/** Where a rule pays a fixed sum for a call that needs a second judge's assent; undefined where it needs none. */
function assentedTo(env: Environment, rule: Rule): ((side: SideIndex) => boolean) | undefined {
  const names = callsFor(rule);
  if (rule.watch?.is !== "second judge" || names.size === 0) return undefined;
  const isMine = (call: Call, side: SideIndex): boolean =>
    (call.for === "red") === (side === 0) && names.has(call.call);
  return (side) => env.machine.calls.some((call) => isMine(call, side) && hasAssent(env, call));
}

/** A judge's own value; a call that gave none leaves the whole span open. */
function judged(
  env: Environment,
  rule: Rule,
  { low, high }: Extract<Sum, { is: "between" }>,
): (side: SideIndex) => number {
  const m = env.machine;
  const names = callsFor(rule);
  const assent = rule.watch?.is === "second judge";
  return (side) => {
    const call = m.calls.find(
      (one) => (one.for === "red") === (side === 0) && (names.size === 0 || names.has(one.call)),
    );
    if (!call) return 0;
    if (assent && !hasAssent(env, call)) return 0;
    if (call.value === undefined) return m.chooser.choose(2) === 0 ? low : high;
    return Math.max(low, Math.min(high, call.value));
  };
}

/** "each time": distinct last steps of any of the rule's phrases. */
function eachTimeOf(env: Environment, rule: Rule): (side: SideIndex) => number {
  if (!rule.when) throw new Unsupported(`"${rule.name}" pays each time, so it needs a "when".`);
  return countLastSteps(env, rule.when, false, hiddenTimes(env, rule));
}

/** More hidden repeats than a cap can pay need not be told apart; where sums are halved a cap holds more of them. */
function hiddenTimes({ rules }: Environment, rule: Rule): number {
  const effects = rules.flatMap((one) => one.does ?? []);
  // Either fencer may fire each of them.
  const shrinks = effects.reduce(
    (n, effect) => (effect.is === "multiply" && effect.by < 1 ? n * effect.by ** 2 : n),
    1,
  );
  const caps = (rule.atMost ?? []).map((limit) => {
    if (limit.of === "times") return limit.n;
    const numbers = (rule.pays ?? []).flatMap(({ sum, eachTime, times }) =>
      sum.is === "numbers" && sum.unit === limit.of && eachTime === true && !times
        ? sum.numbers.map(Math.abs)
        : [0],
    );
    const least = Math.min(...numbers);
    return least > 0 ? Math.ceil(limit.n / (least * shrinks)) : MOST_HIDDEN;
  });
  return Math.min(MOST_HIDDEN, ...caps);
}

/** At most this many of a rule's phrases may end with "never" where each last step is counted. */
const MOST_CANCELLED = 3;

/**
 * Slots that count distinct last steps: one fencer's after the other's, or one for both as "I" together. A phrase that
 * ends with "never" can lose its last steps again, so those are counted apart by which phrases hold them.
 */
export function countLastSteps(
  env: Environment,
  when: readonly Phrase[],
  together: boolean,
  hidden: number,
): (side: SideIndex) => number {
  const bits = when.flatMap((phrase) => {
    const accepts = env.add(phrase);
    refuseFading(accepts, '"each time"');
    return accepts.bits;
  });
  const sure = bits.filter(({ mayEnd }) => !mayEnd);
  const perSide = bits.filter(({ mayEnd }) => mayEnd);
  const mayEnd = (together ? ([0, 1] as const) : [0]).flatMap((half) =>
    perSide.map((bit) => ({ bit, half })),
  );
  if (mayEnd.length > MOST_CANCELLED)
    throw new Unsupported(
      `Where each time counts, at most ${String(MOST_CANCELLED)} phrases may end with "never".`,
    );
  const groups = 1 << mayEnd.length;
  const count = (step: HookStep, slot: number, words: number, at: number): void => {
    const { state } = step;
    const heldBy = (from: Int32Array): number =>
      mayEnd.reduce((set, { bit, half }, i) => {
        const side = together ? half : at;
        return ((from[side * words + bit.word] as number) & bit.mask) === 0 ? set : set | (1 << i);
      }, 0);
    const first = slot + at * groups;
    const kept = heldBy(step.kept);
    for (let group = 1; group < groups; group++) {
      const stays = group & kept;
      if (stays === group) continue;
      const lost = state[first + group] as number;
      state[first + group] = 0;
      if (stays !== 0) state[first + stays] = added(state[first + stays] as number, lost, hidden);
    }
    const isSure = (together ? SIDES : [at as SideIndex]).some((side) =>
      freshFor(sure, step.fresh, words, side),
    );
    const group = isSure ? 0 : heldBy(step.fresh);
    if (isSure || group !== 0)
      state[first + group] = added(state[first + group] as number, step.recorded ? 1 : HIDDEN, hidden);
  };
  const first = env.hook({
    slots: together ? groups : 2 * groups,
    start: () => undefined,
    build: (slot, words) => ({
      after: (step) => {
        count(step, slot, words, 0);
        if (!together) count(step, slot, words, 1);
      },
      finish: (state) => {
        for (let at = slot; at < slot + (together ? groups : 2 * groups); at++) {
          const counter = state[at] as number;
          state[at] = (counter % HIDDEN) + Math.floor(counter / HIDDEN);
        }
      },
    }),
  });
  return (side) => {
    let sum = 0;
    for (let group = 0; group < groups; group++) {
      const count = env.machine.state[env.slot(first) + (together ? 0 : side) * groups + group] as number;
      sum += (count % HIDDEN) + Math.floor(count / HIDDEN);
    }
    return sum;
  };
}

/** A counter holds what was recorded, and HIDDEN for each that may have been hidden; there are no more than `most` of those. */
const HIDDEN = 1024;
function added(a: number, b: number, most: number): number {
  const hidden = Math.min(Math.floor(a / HIDDEN) + Math.floor(b / HIDDEN), most);
  return hidden * HIDDEN + ((a % HIDDEN) + (b % HIDDEN));
}

const SIDES: readonly SideIndex[] = [0, 1];

/** "for each full 20 s": the longest that the phrase's last action lasted, in full spans. */
function spansOf(env: Environment, rule: Rule, span: number): (side: SideIndex) => number {
  if (!rule.when) throw new Unsupported(`"${rule.name}" pays for seconds, so it needs a "when".`);
  const accepts = rule.when.map((phrase) => env.add(phrase));
  for (const one of accepts) refuseFading(one, `"for each full ${String(span)} s"`);
  const m = env.machine;
  const first = env.hook({
    slots: 2,
    start: () => undefined,
    build: (slot, words) => ({
      after: ({ state, fresh, kept, seconds }) => {
        for (const side of SIDES) {
          if (!accepts.some(({ tests }) => freshFor(tests, kept, words, side))) state[slot + side] = 0;
          if (accepts.some(({ tests }) => freshFor(tests, fresh, words, side)))
            state[slot + side] = longest(state[slot + side] as number, seconds, span);
        }
      },
    }),
  });
  return (side) => {
    const spans = m.state[env.slot(first) + side] as number;
    return spans < 0 ? m.chooser.choose(MOST_SPANS + 1) : spans;
  };
}

const UNKNOWN_SPANS = -1;
function longest(before: number, seconds: number, span: number): number {
  if (before === UNKNOWN_SPANS || seconds < 0) return UNKNOWN_SPANS;
  return Math.max(before, Math.floor(seconds / span));
}
