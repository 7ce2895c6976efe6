/** Rules: that each does something, and that its numbers can be paid. */
import type { Checking } from "./checking.ts";
import * as say from "./faults-check.ts";
import type { Ties } from "./tree-bout.ts";
import type { Limit, Pay, Rule, Touch } from "./tree.ts";

const MOST = 1000;

export function checkRules(checking: Checking): void {
  const { ruleSet, broken } = checking;
  for (const touch of ruleSet.touches) checkNumber(checking, touch.worth, touch);
  for (const rule of ruleSet.rules) {
    if (!broken.has(rule)) checkWhole(checking, rule);
    for (const pay of rule.pays ?? []) checkPay(checking, pay, rule);
    for (const limit of rule.atMost ?? []) checkLimit(checking, limit, rule);
    if (rule.notBelow !== undefined) checkNumber(checking, rule.notBelow, rule);
  }
  checkBout(checking);
}

function checkWhole({ envelope }: Checking, rule: Rule): void {
  const place = envelope.placeOf(rule);
  const pays = rule.pays !== undefined;
  if (!pays && rule.does === undefined) envelope.fault(say.doesNothing(rule.name), place);
  if (!pays && rule.atMost?.[0] !== undefined)
    envelope.fault(say.limitWithoutPay(), envelope.placeOf(rule.atMost[0], rule));
  if (!pays && rule.notBelow !== undefined) envelope.fault(say.floorWithoutPay(), place);
  if (rule.at !== undefined && rule.when?.[0] !== undefined)
    envelope.fault(say.whenAtTheEnd(), envelope.placeOf(rule.when[0], rule));
}

/** Points and bonus are whole or half. */
function checkNumber({ envelope }: Checking, n: number, node: Pay | Limit | Rule | Touch): void {
  if (!Number.isInteger(n * 2)) envelope.fault(say.notHalf(n), envelope.placeOf(node));
  else if (Math.abs(n) > MOST) envelope.fault(say.tooLarge(n), envelope.placeOf(node));
}

function checkPay(checking: Checking, pay: Pay, rule: Rule): void {
  const { envelope } = checking;
  const place = envelope.placeOf(pay, rule);
  const { sum } = pay;
  if (sum.is === "numbers") for (const n of sum.numbers) checkNumber(checking, n, pay);
  if (sum.is === "between") {
    checkNumber(checking, sum.low, pay);
    checkNumber(checking, sum.high, pay);
    if (sum.low >= sum.high) envelope.fault(say.oddBetween(sum.low, sum.high), place);
    if (pay.asTheJudgeSays !== true) envelope.fault(say.whoDecides(), place);
  }
  if (pay.forEachFullSeconds !== undefined && !isCount(pay.forEachFullSeconds))
    envelope.fault(say.notWhole(`"for each full ${String(pay.forEachFullSeconds)} s"`), place);
  if (pay.by !== undefined) checkBy(checking, pay.by, pay);
}

const isCount = (n: number): boolean => Number.isInteger(n) && n >= 1;

function checkBy({ ruleSet, envelope }: Checking, by: string, pay: Pay): void {
  const pick = ruleSet.picks.find(({ name }) => name === by);
  const mark = ruleSet.marks.find(({ name }) => name === by);
  const fits = pick
    ? pick.from.every(({ text }) => /^\d+$/.test(text))
    : mark === undefined || mark.is === "count";
  if (!fits) envelope.fault(say.needsNumbers(by), envelope.placeOf(pay));
}

function checkLimit(checking: Checking, limit: Limit, rule: Rule): void {
  const { envelope } = checking;
  if (limit.of !== "times") checkNumber(checking, limit.n, limit);
  else if (!isCount(limit.n))
    envelope.fault(say.notWhole(`"${String(limit.n)} times"`), envelope.placeOf(limit, rule));
}

function checkBout(checking: Checking): void {
  const { ruleSet, envelope } = checking;
  const { bout, marks } = ruleSet;
  for (const end of bout.ends)
    for (const n of end.is === "team points" ? end.numbers : [end.n])
      if (end.is === "minutes" ? n <= 0 : !isCount(n))
        envelope.fault(say.notWhole(`${String(n)}`), envelope.placeOf(end, bout));
  for (const end of bout.ends)
    if (end.is === "points" && end.ahead !== undefined && !isCount(end.ahead))
      envelope.fault(say.notWhole(`"${String(end.ahead)} ahead"`), envelope.placeOf(end, bout));
  checkWins(checking);
  const { atTheEnd, ties } = bout;
  if (atTheEnd !== "stays apart" && (!isCount(atTheEnd.every) || !isCount(atTheEnd.make)))
    envelope.fault(say.notWhole(`Each number of "at the end"`), envelope.placeOf(atTheEnd, bout));
  const needEach = (what: string, name: string, node: object): void => {
    const mark = marks.find((one) => one.name === name);
    if (mark && (mark.is !== "count" || !mark.for.startsWith("each fencer")))
      envelope.fault(say.needsCount(what, name), envelope.placeOf(node, bout));
  };
  for (
    let tie: Ties | undefined = ties;
    tie && (tie.is === "fewer" || tie.is === "more");
    tie = tie.otherwise
  )
    needEach(`"${tie.is}"`, tie.mark, tie);
  if (bout.limit !== undefined && !(Number.isInteger(bout.limit * 2) && bout.limit > 0))
    envelope.fault(say.notHalf(bout.limit), envelope.placeOf(bout));
  const every = bout.doubles.every;
  if (every !== undefined && !isCount(every))
    envelope.fault(say.notWhole(`"at every ${String(every)} doubles"`), envelope.placeOf(bout.doubles, bout));
  for (const start of bout.starts)
    if (start.is === "head start" && typeof start.points !== "number")
      needEach("A head start", start.points.mark, start);
}

/** What must not stand beside the sentence that says who wins. */
function checkWins({ ruleSet, envelope }: Checking): void {
  const { bout } = ruleSet;
  const place = (node: object) => envelope.placeOf(node, bout);
  if (bout.wins === "who has fewer points against") {
    if (bout.doubles.is === "1 off each") envelope.fault(say.oneOffHelps(), place(bout.doubles));
    if (bout.bonus.countsTowardsTheCap) envelope.fault(say.bonusAgainst(), place(bout.bonus));
  }
  if (bout.wins === "who has more bonus" && bout.atTheEnd !== "stays apart")
    envelope.fault(say.bonusGone(), place(bout.atTheEnd));
}
