/** Rules and touches as closures: who fires, what it pays, which effects it has. */
import type { Condition, Rule } from "../language/tree.ts";
import { anyOf, type Context } from "./conditions.ts";
import type { Environment, Test } from "./environment.ts";
import { HOW, type SideIndex } from "./machine.ts";
import { type CompiledPay, compilePay, firedField } from "./pays.ts";
import type { Accepts } from "./pattern.ts";
import { Unsupported } from "./refusal.ts";
import { conditionsOf } from "./walk-rules.ts";

export interface CompiledRule {
  readonly number: number;
  readonly rule: Rule;
  /** Tried on a "no exchange" too, because it names it (S8). */
  readonly namesNoExchange: boolean;
  readonly fires: Test;
  readonly pays: readonly CompiledPay[];
  readonly when: readonly Accepts[];
  /** The field of how often it has fired, or -1 where nothing asks. */
  readonly firedField: number;
}

export function compileRule(env: Environment, rule: Rule, number: number): CompiledRule {
  const context: Context = {
    when: rule.when ?? [],
    atTheEnd: rule.at !== undefined,
    afterPayment: false,
    inChange: false,
  };
  if (rule.at !== undefined && rule.when !== undefined)
    throw new Unsupported(`"${rule.name}" is tried at the end, so it needs "if: in the last exchange ...", not "when".`);
  return {
    number,
    rule,
    namesNoExchange: namesNoExchange(rule),
    fires: fires(env, rule, context),
    pays: (rule.pays ?? []).map((pay) => compilePay(env, rule, pay, context)),
    when: (rule.when ?? []).map((phrase) => env.add(phrase)),
    firedField: countsFiring(rule) ? firedField(env, rule.name) : -1,
  };
}

function fires(env: Environment, rule: Rule, context: Context): Test {
  const when = (rule.when ?? []).map((phrase) => env.accepted(phrase));
  const needs = rule.if && rule.if.length > 0 ? anyOf(env, rule.if, context) : undefined;
  const unless = rule.unless && rule.unless.length > 0 ? anyOf(env, rule.unless, context) : undefined;
  const [only] = when;
  const matched: Test | undefined =
    only === undefined ? undefined : when.length === 1 ? only : (side) => when.some((test) => test(side));
  return (side) =>
    (matched === undefined || matched(side)) &&
    (needs === undefined || needs(side)) &&
    (unless === undefined || !unless(side));
}

/** Whether "3, 2, then 0" anywhere counts this rule's firings. */
function countsFiring(rule: Rule): boolean {
  const pays = rule.pays ?? [];
  return pays.some((pay) => pay.sum.is === "numbers" && pay.sum.numbers.length > 1 && pay.by === undefined);
}

export const namesNoExchangeIn = (all: readonly Condition[]): boolean =>
  all.some((one) => one.is === "exchange" && one.how === "no exchange");
const namesNoExchange = (rule: Rule): boolean => namesNoExchangeIn(conditionsOf(rule));

/** Rules that ask about another rule's payment, or about the score of this exchange, come after what they ask about. */
export function inOrder(rules: readonly Rule[]): readonly Rule[] {
  const byName = new Map(rules.map((rule) => [rule.name, rule]));
  const done: Rule[] = [];
  const under = new Set<string>();
  const visit = (rule: Rule): void => {
    if (done.includes(rule)) return;
    if (under.has(rule.name)) throw new Unsupported(`"${rule.name}" asks, by way of other rules, about its own payment.`);
    under.add(rule.name);
    for (const one of conditionsOf(rule)) {
      if (one.is === "rule pays" && one.last !== true) {
        const other = byName.get(one.rule);
        if (other) visit(other);
      }
      if (one.is === "outcome" && one.what === "score")
        for (const other of rules) if (other !== rule && paysPoints(other) && !asksScore(other)) visit(other);
    }
    under.delete(rule.name);
    done.push(rule);
  };
  // By name, so that the order in the file cannot matter.
  for (const rule of [...rules].sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0))) visit(rule);
  return done;
}

const paysPoints = (rule: Rule): boolean =>
  (rule.pays ?? []).some((pay) => !("unit" in pay.sum) || pay.sum.unit === "points");
const asksScore = (rule: Rule): boolean =>
  conditionsOf(rule).some((one) => one.is === "outcome" && one.what === "score");

export interface CompiledTouch {
  readonly accepted: Test;
  readonly worth: number;
}

/** Best first, so that the first one accepted is the one that counts. */
export function compileTouches(env: Environment): readonly CompiledTouch[] {
  return env.ruleSet.touches
    .map(({ phrase, worth }) => ({ accepted: env.accepted(phrase), worth }))
    .sort((a, b) => b.worth - a.worth);
}

/** Tries one rule for one fencer and lays down what it pays and does. */
export function tryRule(env: Environment, compiled: CompiledRule, side: SideIndex): void {
  const m = env.machine;
  if (m.how === HOW["no exchange"] && !compiled.namesNoExchange) return;
  if (!compiled.fires(side)) return;
  const { number, rule, pays } = compiled;
  m.fired[number * 2 + side] = 1;
  for (const pay of pays) {
    if (pay.holds && !pay.holds(side)) continue;
    const times = pay.times(side);
    const amount = pay.amount(side) * times;
    if (amount === 0) continue;
    const to = pay.to(side);
    m.award(number, side, to, pay.unit, amount, times);
    m.paid[number * 2 + to] = 1;
  }
  const effects = rule.does?.length ?? 0;
  for (let i = 0; i < effects; i++) m.effect(number, side, i);
}

