/** "hold my bonus for 2 exchanges": paid after those exchanges, unless one of them loses it. */
import type { Effect } from "../language/tree.ts";
import type { Environment, Test } from "./environment.ts";
import { owner } from "./joined.ts";
import { BONUS, HOW, type SideIndex } from "./machine.ts";
import type { Pass } from "./passes.ts";
import type { CompiledRule } from "./rules.ts";

export interface Holding {
  readonly pass: Pass;
  /** At the end of the bout what is still held is paid. */
  readonly release: () => void;
}

/** One effect that holds. */
interface Holder {
  /** The rule that holds, and which of its effects. */
  readonly rule: number;
  readonly effect: number;
  readonly exchanges: number;
  readonly isLost: Test;
}

/** A rule whose bonus a holder may hold: a field for each exchange that it still waits, the next one first. */
interface Held {
  readonly number: number;
  readonly fields: readonly number[];
}

const NEVER: Test = () => false;

/** The longest first, then by name, so that of two that hold the same bonus always the same one does. */
function holdersOf(env: Environment, rules: readonly CompiledRule[]): readonly Holder[] {
  const holders = rules.flatMap(({ rule, number }) =>
    (rule.does ?? []).flatMap((effect: Effect, i): Holder[] => {
      if (effect.is !== "hold") return [];
      const { lostIf, exchanges } = effect;
      const isLost = lostIf ? env.as(owner.rule(rule.name), () => env.accepted(lostIf)) : NEVER;
      return [{ rule: number, effect: i, exchanges, isLost }];
    }),
  );
  return holders.sort((a, b) => b.exchanges - a.exchanges || a.rule - b.rule || a.effect - b.effect);
}

export function hold(env: Environment, rules: readonly CompiledRule[]): Holding {
  const m = env.machine;
  const paying = rules.filter(({ rule }) => (rule.pays ?? []).length > 0);
  const all = holdersOf(env, rules).map((holder, h) => ({
    ...holder,
    held: paying
      // A rule never holds what it pays itself.
      .filter(({ number }) => number !== holder.rule)
      .map(({ rule, number }): Held => {
        const name = (k: number): string => `held ${rule.name} ${String(h)}.${String(k)}`;
        const fields = Array.from({ length: holder.exchanges }, (_, k) => env.fields.pair(name(k), "bout"));
        return { number, fields };
      }),
  }));
  const fires = ({ rule, effect }: Holder, side: number): boolean => {
    for (let i = 0; i < m.effects; i++)
      if (m.effectRule[i] === rule && m.effectNumber[i] === effect && m.effectSide[i] === side) return true;
    return false;
  };
  const take = (number: number, side: number): number => {
    let held = 0;
    for (let slot = 0; slot < m.count; slot++)
      if (m.rule[slot] === number && m.to[slot] === side && m.unit[slot] === BONUS) {
        held += m.amount[slot] as number;
        m.amount[slot] = 0;
      }
    return held;
  };
  /** What is due now; everything moves on by one exchange, and what is held from this one comes last. */
  const moveOn = (held: Held, side: SideIndex, lost: boolean, taken: number): number => {
    const due = m.read((held.fields[0] as number) + side);
    held.fields.forEach((field, k) => {
      const next = held.fields[k + 1];
      const waiting = next === undefined || lost ? 0 : m.read(next + side);
      m.now[field + side] = next === undefined ? taken : waiting;
    });
    return lost ? 0 : due;
  };
  const releaseAll = (held: Held, side: SideIndex): number => {
    let due = 0;
    for (const field of held.fields) {
      due += m.read(field + side);
      m.now[field + side] = 0;
    }
    return due;
  };
  const pass = (atTheEnd: boolean): void => {
    if (m.how === HOW["no exchange"]) return;
    const paid: { number: number; side: SideIndex; due: number }[] = [];
    for (const holder of all)
      for (const held of holder.held) {
        if (m.part?.rules[held.number] === 0) continue;
        for (const side of SIDES) {
          const due = atTheEnd
            ? releaseAll(held, side)
            : moveOn(held, side, holder.isLost(side), fires(holder, side) ? take(held.number, side) : 0);
          if (due !== 0) paid.push({ number: held.number, side, due });
        }
      }
    // Nothing that is paid now is held once more.
    for (const { number, side, due } of paid) m.award(number, side, side, BONUS, due, 1);
  };
  return { pass: { name: "hold", run: () => pass(false) }, release: () => pass(true) };
}

const SIDES: readonly SideIndex[] = [0, 1];
