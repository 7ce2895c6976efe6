/** Bounds that are only sound, for an exchange that may have gone in too many ways to try each. */
import type { Pay, Rule } from "../language/tree.ts";
import type { Program } from "./program.ts";
import { Hull } from "./worlds.ts";

/** A mark or a span of seconds that multiplies a sum is taken to be at most this. */
const MOST_FACTOR = 100;

export function crudeBounds(program: Program): Hull {
  const { env, keys, own, rules } = program;
  const least = new Float64Array(keys);
  const most = new Float64Array(keys);
  const factor = env.ruleSet.rules
    .flatMap((rule) => rule.does ?? [])
    .reduce((n, effect) => (effect.is === "multiply" && effect.by > 1 ? n * effect.by * effect.by : n), 1);
  const allow = (number: number, unit: number, amount: number): void => {
    for (const to of [0, 1]) {
      const key = (number * 2 + to) * 2 + unit;
      most[key]! += Math.abs(amount) * factor;
      least[key]! -= Math.abs(amount) * factor;
    }
  };
  allow(own.touch, 0, Math.max(0, ...env.ruleSet.touches.map(({ worth }) => worth)));
  allow(own.double, 0, 1);
  // Its own, and what each that holds may let go of in the same exchange.
  const holds = env.ruleSet.rules.flatMap((rule) => (rule.does ?? []).filter(({ is }) => is === "hold"));
  for (const { rule, number } of rules)
    for (const pay of rule.pays ?? []) {
      const amount = (2 + holds.length) * largest(env.ruleSet.rules, pay, 0);
      allow(number, unitOf(env.ruleSet.rules, pay, 0), amount);
    }
  const hull = new Hull(keys);
  hull.include(least);
  hull.include(most);
  return hull;
}

const payOf = (rules: readonly Rule[], name: string): Pay | undefined =>
  rules.find((rule) => rule.name === name)?.pays?.[0];

function largest(rules: readonly Rule[], pay: Pay, depth: number): number {
  const { sum } = pay;
  const factor =
    (pay.eachTime === true ? MOST_FACTOR : 1) *
    (pay.times ? MOST_FACTOR : 1) *
    (pay.forEachFullSeconds === undefined ? 1 : MOST_FACTOR);
  if (sum.is === "numbers") return factor * Math.max(...sum.numbers.map(Math.abs));
  if (sum.is === "between") return factor * Math.max(Math.abs(sum.low), Math.abs(sum.high));
  const other = payOf(rules, sum.rule);
  return other && depth < 5 ? factor * largest(rules, other, depth + 1) : 0;
}

function unitOf(rules: readonly Rule[], pay: Pay, depth: number): number {
  if (pay.sum.is !== "what pays them") return pay.sum.unit === "points" ? 0 : 1;
  const other = payOf(rules, pay.sum.rule);
  return other && depth < 5 ? unitOf(rules, other, depth + 1) : 0;
}
