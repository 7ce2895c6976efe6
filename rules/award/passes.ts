/**
 * What happens to an exchange's awards, in one fixed order whatever the order in the file (P10). Each pass is one
 * entry of one list; compile leaves out those that a rule set has no use for.
 */
import type { Effect, What } from "../language/tree.ts";
import type { Environment } from "./environment.ts";
import { BONUS, type Machine, POINTS, type SideIndex } from "./machine.ts";
import { compileLimits } from "./limits.ts";
import type { Accepts, Bit } from "./pattern.ts";
import { type CompiledRule, type CompiledTouch, fireRule, tryRule } from "./rules.ts";
import { conditionsOf } from "./walk-rules.ts";

export interface Pass {
  readonly name: string;
  run(): void;
}

export interface Pieces {
  readonly env: Environment;
  readonly rules: readonly CompiledRule[];
  readonly touches: readonly CompiledTouch[];
  /** Numbers of the awards beside the rules'. */
  readonly own: { readonly touch: number; readonly double: number; readonly conversion: number };
}

type Of<K extends Effect["is"]> = Extract<Effect, { is: K }>;

const SIDES: readonly SideIndex[] = [0, 1];

/**
 * Every rule whose phrase matched. Rules with one plain phrase are found from the accepted bits, so that those that did
 * not match cost nothing; the others follow in their order, because some ask what the former paid.
 */
export function rules({ env, rules: all }: Pieces): Pass {
  const m = env.machine;
  const tried = all.filter(({ rule }) => rule.at === undefined);
  const plain: CompiledRule[] = [];
  const rest: CompiledRule[] = [];
  for (const rule of tried) (isPlain(rule) ? plain : rest).push(rule);
  const { words } = env.layout;
  const triggers = new Int32Array(words);
  const byBit: CompiledRule[][] = [];
  for (const rule of plain) {
    const { word, mask } = (rule.when[0] as Accepts).tests[0] as Bit;
    triggers[word]! |= mask;
    (byBit[32 * word + 31 - Math.clz32(mask)] ??= []).push(rule);
  }
  const dispatch = (side: SideIndex): void => {
    for (let word = 0; word < words; word++)
      for (let bits = (m.state[side * words + word] as number) & (triggers[word] as number); bits !== 0;) {
        const low = bits & -bits;
        bits ^= low;
        const matched = byBit[32 * word + 31 - Math.clz32(low)] as CompiledRule[];
        for (let i = 0; i < matched.length; i++) {
          const rule = matched[i] as CompiledRule;
          if (m.part?.rules[rule.number] !== 0) fireRule(m, rule, side);
        }
      }
  };
  return {
    name: "rules",
    run: () => {
      for (let i = 0; i < m.sides.length; i++) dispatch(m.sides[i] as SideIndex);
      for (let i = 0; i < rest.length; i++) {
        const rule = rest[i] as CompiledRule;
        if (m.part?.rules[rule.number] === 0) continue;
        for (const side of m.sides) tryRule(env, rule, side);
      }
    },
  };
}

/** One phrase that ends in one bit, and nothing that another rule of this exchange has to come before. */
function isPlain({ rule, when }: CompiledRule): boolean {
  const [only] = when;
  if (when.length !== 1 || !only || only.alternatives.length !== 1) return false;
  return !conditionsOf(rule).some(
    (one) => (one.is === "rule pays" && one.last !== true) || (one.is === "outcome" && one.what === "score"),
  );
}

/** Of each group only the rule that pays a fencer most stays; of equals the first by name. */
export function bestOf({ env, rules: all }: Pieces): Pass {
  const m = env.machine;
  const groups = new Map<string, number[]>();
  for (const { rule, number } of all)
    if (rule.bestOf !== undefined) groups.set(rule.bestOf, [...(groups.get(rule.bestOf) ?? []), number]);
  return {
    name: "best of",
    run: () => {
      for (const numbers of groups.values())
        for (const side of SIDES) {
          let best = -1;
          let most = 0;
          for (const number of numbers) {
            const worth = paidFor(m, number, side);
            if (m.fired[number * 2 + side] === 1 && (best < 0 || worth > most)) {
              best = number;
              most = worth;
            }
          }
          for (let slot = 0; slot < m.count; slot++)
            if (m.by[slot] === side && m.rule[slot] !== best && numbers.includes(m.rule[slot] as number))
              m.amount[slot] = 0;
        }
    },
  };
}

/** Where a rule that pays both fired for both, it pays both once: the more of the two where they differ. */
export function usBoth({ env, rules: all }: Pieces): Pass {
  const m = env.machine;
  const shared = all.map(({ pays }) => pays.map(({ to }) => to === "us both"));
  const isShared = (slot: number): boolean =>
    shared[m.rule[slot] as number]?.[m.sumNumber[slot] as number] === true;
  return {
    name: "us both",
    run: () => {
      for (let slot = 0; slot < m.count; slot++) {
        if (!isShared(slot) || m.amount[slot] === 0) continue;
        for (let later = slot + 1; later < m.count; later++) {
          const isSame =
            m.rule[later] === m.rule[slot] &&
            m.sumNumber[later] === m.sumNumber[slot] &&
            m.to[later] === m.to[slot] &&
            m.by[later] !== m.by[slot];
          if (!isSame || m.amount[later] === 0) continue;
          const least = (m.amount[later] as number) <= (m.amount[slot] as number) ? later : slot;
          m.amount[least] = 0;
        }
      }
    },
  };
}

/** What a rule pays because this fencer fired it, whoever gets it. */
function paidFor(m: Machine, rule: number, by: number): number {
  let sum = 0;
  for (let slot = 0; slot < m.count; slot++)
    if (m.rule[slot] === rule && m.by[slot] === by) sum += m.amount[slot] as number;
  return sum;
}

/** Runs one kind of effect; a rule's own payment is never touched by its own effect. */
function effectPass<K extends Effect["is"]>(
  { env, rules: all }: Pieces,
  name: string,
  is: K,
  run: (m: Machine, effect: Of<K>, rule: CompiledRule, side: SideIndex) => void,
): Pass {
  const m = env.machine;
  return {
    name,
    run: () => {
      for (let i = 0; i < m.effects; i++) {
        const rule = all[m.effectRule[i] as number] as CompiledRule;
        const effect = rule.rule.does?.[m.effectNumber[i] as number] as Effect;
        if (effect.is === is) run(m, effect as Of<K>, rule, m.effectSide[i] as SideIndex);
      }
    },
  };
}

/** An effect on awards of a unit, perhaps of one rule alone, seen from the slots of the machine. */
function concerned(
  { env }: Pieces,
  { what, from }: { readonly what: What; readonly from?: string },
  own: number,
): (slot: number) => boolean {
  const m = env.machine;
  const rule = from === undefined ? -1 : env.ruleNumber(from);
  const unit = what === "points" ? POINTS : what === "bonus" ? BONUS : -1;
  return (slot) =>
    m.rule[slot] !== own && (rule < 0 || m.rule[slot] === rule) && (unit < 0 || m.unit[slot] === unit);
}

const ownedBy = (whose: "my" | "their", side: SideIndex): number => (whose === "my" ? side : 1 - side);

export const annul = (pieces: Pieces, restsOn: (slot: number, manner: string) => boolean): Pass =>
  effectPass(pieces, "annul", "annul", (m, effect, { number }, side) => {
    const to = ownedBy(effect.whose, side);
    const isConcerned = concerned(pieces, effect, number);
    for (let slot = 0; slot < m.count; slot++) {
      if (m.to[slot] !== to || !isConcerned(slot)) continue;
      if (effect.restingOn === undefined || restsOn(slot, effect.restingOn)) m.amount[slot] = 0;
    }
  });

export const multiply = (pieces: Pieces): Pass =>
  effectPass(pieces, "multiply", "multiply", (m, effect, { number }, side) => {
    const to = ownedBy(effect.whose, side);
    const isConcerned = concerned(pieces, effect, number);
    for (let slot = 0; slot < m.count; slot++)
      if (m.to[slot] === to && isConcerned(slot))
        m.amount[slot] = multiplied(m.amount[slot] as number, effect.by);
  });

/** Free of the dust of binary fractions, so that 0.1 times 3 is 0.3 and the order of two effects never matters. */
export const multiplied = (amount: number, by: number): number => Math.round(amount * by * 1e9) / 1e9;

/** Both at once, so that two of them swap (S11). */
export function turnOver(pieces: Pieces): Pass {
  const { env } = pieces;
  const m = env.machine;
  const before = new Int32Array(m.to.length);
  const inner = effectPass(pieces, "turn over", "turn over", (_m, effect, { number }, side) => {
    const isConcerned = concerned(pieces, effect, number);
    for (let slot = 0; slot < m.count; slot++)
      if (before[slot] === side && isConcerned(slot)) m.to[slot] = 1 - side;
  });
  return {
    name: inner.name,
    run: () => {
      before.set(m.to);
      inner.run();
    },
  };
}

export function atMost({ env, rules: all }: Pieces): Pass {
  const m = env.machine;
  const limited = all.flatMap((rule) => compileLimits(env, rule));
  return {
    name: "at most",
    run: () => {
      for (let i = 0; i < limited.length; i++) limited[i]?.(m);
    },
  };
}

/** The fencer's tally in the unit never falls below the rule's floor by what this rule takes (S13). */
export function notBelow({ env, rules: all }: Pieces): Pass {
  const m = env.machine;
  const floored = all.filter(({ rule }) => rule.notBelow !== undefined);
  const fields = [env.fields.pair("points", "bout"), env.fields.pair("bonus", "bout")];
  return {
    name: "not below",
    run: () => {
      for (const { number, rule } of floored)
        for (let slot = 0; slot < m.count; slot++) {
          const amount = m.amount[slot] as number;
          if (m.rule[slot] !== number || amount >= 0) continue;
          const [to, unit] = [m.to[slot] as number, m.unit[slot] as number];
          const after = m.read((fields[unit] as number) + to) + m.sum(-1, to, unit);
          const missing = (rule.notBelow as number) - after;
          if (missing > 0) m.amount[slot] = Math.min(0, amount + missing);
        }
    },
  };
}

export const outcomes = (pieces: Pieces): readonly Pass[] => [
  effectPass(pieces, "end the bout", "end the bout", (m, effect, _rule, side) => {
    const loser = effect.how === "I lose" ? side : 1 - side;
    const ending = effect.how === undefined ? 4 : effect.how === "both lose" ? 1 : 2 + loser;
    // Both lose wins over one, one over the score; two that contradict each other are both.
    m.ending = m.ending === 0 || m.ending === 4 || m.ending === ending ? ending : ending === 4 ? m.ending : 1;
  }),
  effectPass(pieces, "warn", "warn", (m, effect, _rule, side) => {
    m.warned[effect.who === "me" ? side : 1 - side]! += 1;
  }),
  effectPass(pieces, "retire", "retire", (m, _effect, _rule, side) => {
    m.retired[side] = 1;
  }),
];
