/** "hold my bonus for one exchange": paid after the next one, unless that one loses it. */
import type { Phrase } from "../language/tree.ts";
import type { Environment, Test } from "./environment.ts";
import { owner } from "./joined.ts";
import { BONUS, HOW } from "./machine.ts";
import type { Pass } from "./passes.ts";
import type { CompiledRule } from "./rules.ts";

export interface Holding {
  readonly pass: Pass;
  /** At the end of the bout what is still held is paid. */
  readonly release: () => void;
}

export function hold(env: Environment, rules: readonly CompiledRule[]): Holding {
  const m = env.machine;
  const paying = rules
    .filter(({ rule }) => (rule.pays ?? []).length > 0)
    .map(({ rule, number }) => ({ number, field: env.fields.pair(`held ${rule.name}`, "bout") }));
  const lost: Test[] = rules.flatMap(({ rule }) =>
    (rule.does ?? []).flatMap((effect) =>
      effect.is === "hold" && effect.lostIf ? [lostTest(env, rule.name, effect.lostIf)] : [],
    ),
  );
  /** Whether another rule's effect holds this rule's bonus back; a rule never holds what it pays itself. */
  const isHeld = (number: number, side: number): boolean => {
    for (let i = 0; i < m.effects; i++) {
      const by = m.effectRule[i] as number;
      const effect = rules[by]?.rule.does?.[m.effectNumber[i] as number];
      if (effect?.is === "hold" && by !== number && m.effectSide[i] === side) return true;
    }
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
  const pass = (atTheEnd: boolean): void => {
    if (m.how === HOW["no exchange"]) return;
    for (const { number, field } of paying) {
      if (m.part?.rules[number] === 0) continue;
      for (const side of [0, 1] as const) {
        const before = m.read(field + side);
        m.now[field + side] = !atTheEnd && isHeld(number, side) ? take(number, side) : 0;
        if (before !== 0 && (atTheEnd || !lost.some((test) => test(side))))
          m.award(number, side, side, BONUS, before, 1);
      }
    }
  };
  return { pass: { name: "hold", run: () => pass(false) }, release: () => pass(true) };
}

const lostTest = (env: Environment, rule: string, phrase: Phrase): Test =>
  env.as(owner.rule(rule), () => env.accepted(phrase));
