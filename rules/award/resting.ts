/** "annul my bonus resting on an action carded": awards whose phrase cannot be matched without such an action. */
import type { Phrase, RuleSet } from "../language/tree.ts";
import type { Environment, Test } from "./environment.ts";
import { owner } from "./joined.ts";
import type { CompiledRule } from "./rules.ts";
import { flatten } from "./pattern.ts";

/** The same phrase, none of whose steps may have the manner. */
function without(ruleSet: RuleSet, phrase: Phrase, manner: string): readonly Phrase[] {
  return flatten(ruleSet, phrase).map(({ first, steps }) => ({
    ...(first ? { first } : {}),
    steps: steps.map(({ link, subject, never, doing }) => ({
      link,
      subject,
      ...(never
        ? { never, doing }
        : { doing: { ...doing, manners: [...(doing.manners ?? []), { manner, not: true }] } }),
    })),
  }));
}

function restsOn(env: Environment, phrases: readonly Phrase[], manner: string): Test {
  const with_ = phrases.map((phrase) => env.accepted(phrase));
  const spared = phrases
    .flatMap((phrase) => without(env.ruleSet, phrase, manner))
    .map((phrase) => env.accepted(phrase));
  return (side) => with_.some((test) => test(side)) && !spared.some((test) => test(side));
}

export const mannersRestedOn = (ruleSet: RuleSet): readonly string[] => [
  ...new Set(
    ruleSet.rules.flatMap((rule) =>
      (rule.does ?? []).flatMap((effect) =>
        effect.is === "annul" && effect.restingOn !== undefined ? [effect.restingOn] : [],
      ),
    ),
  ),
];

/** For an award slot and a manner: whether the award rests on an action of that manner. */
export function resting(
  env: Environment,
  rules: readonly CompiledRule[],
  touch: number,
): (slot: number, manner: string) => boolean {
  const m = env.machine;
  const tests = new Map<string, Test>();
  for (const manner of mannersRestedOn(env.ruleSet)) {
    for (const { rule, number } of rules)
      if (rule.when) {
        const { when } = rule;
        const test = env.as(owner.rule(rule.name), () => restsOn(env, when, manner));
        tests.set(`${String(number)} ${manner}`, test);
      }
    const lines = env.ruleSet.touches.map(({ phrase }) => phrase);
    tests.set(
      `${String(touch)} ${manner}`,
      env.as(owner.touch, () => restsOn(env, lines, manner)),
    );
  }
  return (slot, manner) =>
    tests.get(`${String(m.rule[slot])} ${manner}`)?.(m.by[slot] === 1 ? 1 : 0) === true;
}
