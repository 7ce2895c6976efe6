/** Rules and touches as closures: who fires, what it pays, which effects it has. */
import type { Condition, Rule } from "../language/tree.ts";
import { anyOf } from "./conditions.ts";
import type { Context } from "./context.ts";
import type { Environment, Test } from "./environment.ts";
import { HOW, type Machine, type SideIndex } from "./machine.ts";
import { type CompiledPay, compilePay, firedField } from "./pays.ts";
import type { Accepts } from "./pattern.ts";
import { Unsupported } from "./refusal.ts";
import { conditionsOf } from "./walk-rules.ts";

export interface CompiledRule {
  readonly number: number;
  readonly rule: Rule;
  /** Tried on a "no exchange" too, because it names it (S8). */
  readonly namesNoExchange: boolean;
  /** Whether one of its phrases matched; undefined for a rule without "when". */
  readonly matched: Test | undefined;
  /** Its "if" and "unless"; undefined where it has neither. */
  readonly guard: Test | undefined;
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
    throw new Unsupported(
      `"${rule.name}" is tried at the end, so it needs "if: in the last exchange ...", not "when".`,
    );
  return {
    number,
    rule,
    namesNoExchange: namesNoExchange(rule),
    ...fires(env, rule, context),
    pays: (rule.pays ?? []).map((pay) => compilePay(env, rule, pay, context)),
    when: (rule.when ?? []).map((phrase) => env.add(phrase)),
    firedField: countsFiring(rule) ? firedField(env, rule.name) : -1,
  };
}

function fires(env: Environment, rule: Rule, context: Context): Pick<CompiledRule, "matched" | "guard"> {
  const when = (rule.when ?? []).map((phrase) => env.accepted(phrase));
  const needs = rule.if && rule.if.length > 0 ? anyOf(env, rule.if, context) : undefined;
  const unless = rule.unless && rule.unless.length > 0 ? anyOf(env, rule.unless, context) : undefined;
  const [only] = when;
  const matched: Test | undefined =
    only === undefined ? undefined : when.length === 1 ? only : (side) => when.some((test) => test(side));
  if (needs === undefined && unless === undefined) return { matched, guard: undefined };
  if (unless === undefined) return { matched, guard: needs };
  if (needs === undefined) return { matched, guard: (side) => !unless(side) };
  return { matched, guard: (side) => needs(side) && !unless(side) };
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
    if (under.has(rule.name))
      throw new Unsupported(`"${rule.name}" asks, by way of other rules, about its own payment.`);
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
  readonly tests: Accepts["tests"];
  readonly worth: number;
}

/** Best first, so that the first one accepted is the one that counts. */
export function compileTouches(env: Environment): readonly CompiledTouch[] {
  return env.ruleSet.touches
    .map(({ phrase, worth }) => ({ tests: env.add(phrase).tests, worth }))
    .sort((a, b) => b.worth - a.worth);
}

/** Tries one rule for one fencer and lays down what it pays and does. */
export function tryRule(env: Environment, compiled: CompiledRule, side: SideIndex): void {
  if (compiled.matched === undefined || compiled.matched(side)) fireRule(env.machine, compiled, side);
}

/** The same where its phrase is known to have matched. */
export function fireRule(m: Machine, compiled: CompiledRule, side: SideIndex): void {
  if (m.how === HOW["no exchange"] && !compiled.namesNoExchange) return;
  if (compiled.guard !== undefined && !compiled.guard(side)) return;
  const { number, rule, pays } = compiled;
  m.fire(number, side);
  for (let i = 0; i < pays.length; i++) {
    const pay = pays[i] as CompiledPay;
    if (pay.holds !== undefined && !pay.holds(side)) continue;
    const times = pay.times === undefined ? 1 : pay.times(side);
    const amount = pay.amount(side) * times;
    if (amount === 0) continue;
    if (pay.to !== "them") m.award(number, side, side, pay.unit, amount, times, i);
    if (pay.to !== "me") m.award(number, side, 1 - side, pay.unit, amount, times, i);
  }
  const effects = rule.does?.length ?? 0;
  for (let i = 0; i < effects; i++) m.effect(number, side, i);
}
