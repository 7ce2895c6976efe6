/** What rules pay and do, and what changes marks: that it can be done at all, and does something. */
import { checkSum } from "./check-conditions.ts";
import type { Checking } from "./checking.ts";
import type { Message } from "./faults.ts";
import { unknownRule } from "./faults-check.ts";
import * as say from "./faults-condition.ts";
import { printQuantity } from "./print-condition.ts";
import type { Change, Effect, Mark, Pay, Rule, Times } from "./tree.ts";
import { ofThisExchange } from "./walk.ts";

/** How many exchanges bonus can be held back. */
export const MOST_HELD = 10;
/** How many of a rule's phrases may end with "never" where each last step is counted. */
const MOST_NEVERS = 3;

type Fault = (message: Message) => void;

export function checkDeeds(checking: Checking): void {
  const { ruleSet, envelope } = checking;
  for (const rule of ruleSet.rules) {
    for (const pay of rule.pays ?? [])
      checkPay(checking, rule, pay, (message) => envelope.fault(message, envelope.placeOf(pay, rule)));
    for (const effect of rule.does ?? [])
      checkEffect(checking, rule, effect, (message) =>
        envelope.fault(message, envelope.placeOf(effect, rule)),
      );
  }
  for (const mark of ruleSet.marks)
    for (const change of mark.changes)
      checkChange(mark, change, (message) => envelope.fault(message, envelope.placeOf(change, mark)));
  checkAskers(checking);
}

function checkPay({ ruleSet }: Checking, rule: Rule, pay: Pay, fault: Fault): void {
  const { sum } = pay;
  if (rule.when === undefined) {
    if (pay.eachTime === true) fault(say.needsWhen("each time"));
    if (pay.forEachFullSeconds !== undefined)
      fault(say.needsWhen(`for each full ${String(pay.forEachFullSeconds)} s`));
  }
  const nevers = (rule.when ?? []).filter(({ steps }) => steps.at(-1)?.never === true);
  if (pay.eachTime === true && nevers.length > MOST_NEVERS) fault(say.manyNevers(MOST_NEVERS));
  if (sum.is === "what pays them") {
    const other = ruleSet.rules.find(({ name }) => name === sum.rule);
    if (other && other.pays?.length !== 1) fault(say.paysOneSum(sum.rule));
  }
  if (pay.times) checkTimes(pay.times, rule.at !== undefined, fault);
}

function checkTimes({ quantity, now }: Times, atTheEnd: boolean, fault: Fault): void {
  const text = printQuantity(quantity);
  checkSum(quantity, now === true, atTheEnd, text, fault);
  const numbers = quantity.map((term) =>
    "n" in term ? (term.minus === true ? -term.n : term.n) : undefined,
  );
  const isPlain = numbers.every((n) => n !== undefined);
  if (isPlain && numbers.reduce((sum, n) => sum + n, 0) <= 0) fault(say.nothingTimes(text));
}

function checkEffect(checking: Checking, rule: Rule, effect: Effect, fault: Fault): void {
  if (effect.is === "multiply") {
    const { by } = effect;
    const isOdd = by <= 0 || by === 1 || by > 100 || Math.round(by * 100) / 100 !== by;
    if (isOdd) fault(say.oddFactor(by));
  }
  if (effect.is === "hold") {
    const { exchanges } = effect;
    if (!Number.isInteger(exchanges) || exchanges < 1 || exchanges > MOST_HELD) fault(say.oddHold(MOST_HELD));
  }
  if ("from" in effect && effect.from !== undefined)
    checkFrom(checking, rule, effect.from, effect.what, fault);
}

function checkFrom({ ruleSet, names }: Checking, rule: Rule, from: string, what: string, fault: Fault): void {
  const other = ruleSet.rules.find(({ name }) => name === from);
  if (other === undefined) return fault(unknownRule(from, names.ruleNames()));
  if (other === rule) return fault(say.ownAwards(from));
  const pays = (other.pays ?? []).some(({ sum }) => sum.is === "what pays them" || what.includes(sum.unit));
  if (!pays) fault(say.paysNoSuch(from, what));
}

function checkChange(mark: Mark, { does, when, eachTime }: Change, fault: Fault): void {
  const atTheEnd = when.is === "end of bout";
  if ((does.is === "up" || does.is === "down") && does.n === 0) fault(say.changesNothing(does.is));
  if ("times" in does) checkTimes(does.times, atTheEnd, fault);
  const phrases = when.is === "every" ? [] : when.all.filter(({ is }) => is === "phrase");
  if (eachTime === true && phrases.length !== 1) fault(say.eachTimeOfOne(mark.name));
}

/** The rules whose payment in the same exchange decides whether this one holds; "I score" asks about all that pay points. */
function asksAbout(rules: readonly Rule[], rule: Rule): readonly Rule[] {
  const asked = conditionsNow(rule).flatMap((one) =>
    one.is === "rule pays" && one.last !== true ? rules.filter(({ name }) => name === one.rule) : [],
  );
  if (!asksScore(rule)) return asked;
  return [...asked, ...rules.filter((one) => one !== rule && paysPoints(one) && !asksScore(one))];
}

const conditionsNow = (rule: Rule): ReturnType<typeof ofThisExchange> =>
  [
    ...(rule.if ?? []).flat(),
    ...(rule.unless ?? []).flat(),
    ...(rule.pays ?? []).flatMap((pay) => pay.if ?? []),
  ].flatMap(ofThisExchange);
const asksScore = (rule: Rule): boolean =>
  conditionsNow(rule).some((one) => one.is === "outcome" && one.what === "score");
const paysPoints = ({ pays }: Rule): boolean =>
  (pays ?? []).some(({ sum }) => !("unit" in sum) || sum.unit === "points");

/** Rules that ask, by way of others or at once, whether they themselves pay. */
function checkAskers({ ruleSet, envelope }: Checking): void {
  const done = new Set<Rule>();
  const told = new Set<Rule>();
  const follow = (rule: Rule, path: readonly Rule[]): void => {
    const at = path.indexOf(rule);
    if (at >= 0) {
      const circle = path.slice(at);
      if (circle.some((one) => told.has(one))) return;
      for (const one of circle) told.add(one);
      envelope.fault(say.ownPayment(circle.map(({ name }) => name)), envelope.placeOf(rule));
      return;
    }
    if (done.has(rule)) return;
    for (const other of asksAbout(ruleSet.rules, rule)) follow(other, [...path, rule]);
    done.add(rule);
  };
  for (const rule of ruleSet.rules) follow(rule, []);
}
