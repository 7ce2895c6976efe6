/** The end of the evening: no exchange and no partner is left to ask about, only what lasts. */
import type { Checking } from "./checking.ts";
import * as say from "./faults-evening.ts";
import type { Message } from "./faults.ts";
import { printCondition, printQuantity } from "./print-condition.ts";
import type { Condition, Mark, Owner, Pay, Pick, Quantity, Rule, RuleSet } from "./tree.ts";
import { within } from "./walk.ts";

export function checkEvening({ ruleSet, envelope }: Checking): void {
  for (const rule of ruleSet.rules.filter(({ at }) => at === "the end of the evening")) {
    const conditions = [...(rule.if ?? []).flat(), ...(rule.unless ?? []).flat()];
    for (const one of conditions)
      for (const message of wrongIn(ruleSet, one)) envelope.fault(message, envelope.placeOf(one, rule));
    for (const pay of rule.pays ?? [])
      for (const message of wrongInPay(ruleSet, pay)) envelope.fault(message, envelope.placeOf(pay, rule));
    for (const effect of rule.does ?? [])
      envelope.fault(say.noExchangeLeft(), envelope.placeOf(effect, rule));
    for (const limit of rule.atMost ?? [])
      if (limit.scope !== "evening") envelope.fault(say.onlyTonight(), envelope.placeOf(limit, rule));
    if (rule.notBelow !== undefined) envelope.fault(say.noFloor(), envelope.placeOf(rule));
  }
  checkPaid(ruleSet, envelope);
}

/** What such a rule pays is nobody's to ask about before the evening is over. */
function checkPaid(ruleSet: RuleSet, envelope: Checking["envelope"]): void {
  const late = new Set(ruleSet.rules.filter(isLate).map(({ name }) => name));
  for (const rule of ruleSet.rules)
    for (const one of [...(rule.if ?? []).flat(), ...(rule.unless ?? []).flat()].flatMap(all))
      if (one.is === "rule pays" && late.has(one.rule) && !isLate(rule))
        envelope.fault(say.paysLater(one.rule), envelope.placeOf(one, rule));
}

const isLate = ({ at }: Rule): boolean => at === "the end of the evening";
const all = (one: Condition): readonly Condition[] => [one, ...within(one).flatMap(all)];

/** Nothing where a condition is about what lasts, for one fencer alone. */
function wrongIn(ruleSet: RuleSet, one: Condition): readonly Message[] {
  switch (one.is) {
    case "not":
      return wrongIn(ruleSet, one.what);
    case "these":
      return one.these.flatMap((inner) => wrongIn(ruleSet, inner));
    case "mark":
      if (typeof one.than === "string") return [say.nobodyElse(printCondition(one))];
      return wrongMark(ruleSet, one.owner, one.mark, one);
    case "flag":
      return wrongMark(ruleSet, one.owner, one.mark, one);
    case "fencer":
      if (one.who === "they") return [say.nobodyElse(printCondition(one))];
      return wrongMark(ruleSet, one.owner, one.mark, one);
    case "token":
      if (one.whose === "theirs") return [say.nobodyElse(printCondition(one))];
      if (one.atThatMoment === true) return [say.notAtTheEnd(printCondition(one))];
      return wrongMark(ruleSet, "the", one.mark, one);
    case "quantity": {
      const { than } = one;
      if ("than" in than && than.than === "theirs") return [say.nobodyElse(printCondition(one))];
      return [
        ...wrongSum(ruleSet, one.quantity),
        ...("than" in than ? wrongSum(ruleSet, than.than as Quantity) : []),
      ];
    }
    case "pick":
      if (one.owner === "their" || one.values === "theirs") return [say.nobodyElse(printCondition(one))];
      return wrongPick(ruleSet.picks.find(({ name }) => name === one.pick));
    default:
      return [say.notAtTheEnd(printCondition(one))];
  }
}

const isTheirs = (owner: Owner): boolean => owner === "their" || owner === "their team's";

function wrongMark(ruleSet: RuleSet, owner: Owner, name: string, one: Condition): readonly Message[] {
  if (isTheirs(owner)) return [say.nobodyElse(printCondition(one))];
  const mark = ruleSet.marks.find((candidate) => candidate.name === name);
  return mark ? wrongKeeper(mark) : [];
}

const LASTING: readonly Mark["for"][] = ["each fencer tonight", "each team tonight", "the hall"];

function wrongKeeper(mark: Mark): readonly Message[] {
  const held = mark.is === "token" || mark.is === "roles";
  if (held ? mark.for === "the hall" : LASTING.includes(mark.for)) return [];
  return [say.doesNotLast(mark.name, held ? "the hall" : "each fencer tonight")];
}

function wrongPick(pick: Pick | undefined): readonly Message[] {
  if (!pick) return [];
  const lasts =
    "at" in pick.when && (pick.when.at === "before the evening" || pick.when.at === "after the evening");
  return lasts ? [] : [say.pickDoesNotLast(pick.name)];
}

function wrongSum(ruleSet: RuleSet, quantity: Quantity): readonly Message[] {
  return quantity.flatMap((term): readonly Message[] => {
    if ("n" in term) return [];
    if (isTheirs(term.owner)) return [say.nobodyElse(printQuantity([term]))];
    if ("mark" in term) {
      const mark = ruleSet.marks.find(({ name }) => name === term.mark);
      return mark ? wrongKeeper(mark) : [];
    }
    return term.tonight === true ? [] : [say.onlyTonightCounts(printQuantity([term]))];
  });
}

function wrongInPay(ruleSet: RuleSet, pay: Pay): readonly Message[] {
  const found: Message[] = [];
  if (pay.to !== "me") found.push(say.onlyToMe());
  if (pay.sum.is !== "numbers") found.push(say.onlyNumbers());
  if (pay.times) found.push(...wrongSum(ruleSet, pay.times.quantity));
  if (pay.by !== undefined) {
    const mark = ruleSet.marks.find(({ name }) => name === pay.by);
    found.push(...(mark ? wrongKeeper(mark) : wrongPick(ruleSet.picks.find(({ name }) => name === pay.by))));
  }
  for (const one of pay.if ?? []) found.push(...wrongIn(ruleSet, one));
  return found;
}
