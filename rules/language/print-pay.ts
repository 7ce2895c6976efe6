/** The canonical text of what a rule pays and does. */
import type { Scope, Unit } from "../vocabulary.ts";
import { printAll } from "./print-condition.ts";
import { owned, printPhrase, words } from "./print-phrase.ts";
import type { Effect, Limit, Pay, Sum, Watcher } from "./tree.ts";

/** "1 point", "2 points", "1 bonus": the number that stands before it decides. */
const unit = (of: Unit, n: number): string =>
  of === "bonus" ? "bonus" : Math.abs(n) === 1 ? "point" : "points";

function printSum(sum: Sum): string {
  if (sum.is === "what pays them") return `what "${sum.rule}" pays them`;
  if (sum.is === "between")
    return `between ${String(sum.low)} and ${String(sum.high)} ${unit(sum.unit, sum.high)}`;
  const last = sum.numbers[sum.numbers.length - 1] ?? 0;
  const before = sum.numbers.slice(0, -1);
  return words(
    before.length === 0 ? "" : `${before.map(String).join(", ")}, then`,
    String(last),
    unit(sum.unit, last),
  );
}

export const printPay = (pay: Pay): string =>
  words(
    printSum(pay.sum),
    `to ${pay.to}`,
    pay.asTheJudgeSays === true ? "as the judge says" : "",
    pay.by === undefined ? "" : `by ${pay.by}`,
    pay.times && words("times", owned(pay.times.owner, pay.times.mark), pay.times.now === true ? "now" : ""),
    pay.eachTime === true ? "each time" : "",
    pay.forEachFullSeconds === undefined ? "" : `for each full ${String(pay.forEachFullSeconds)} s`,
    pay.if && pay.if.length > 0 ? `if ${printAll(pay.if)}` : "",
  );

const FACTORS = { 2: "double", 3: "triple", 0.5: "halve" } as const;

export function printEffect(effect: Effect): string {
  switch (effect.is) {
    case "annul": {
      const rest = effect.restingOn === undefined ? "" : `resting on an action ${effect.restingOn}`;
      return words("annul", effect.whose, effect.what, rest);
    }
    case "multiply":
      return words(FACTORS[effect.by], effect.whose, effect.what);
    case "turn over":
      return "turn my bonus over to them";
    case "hold":
      return `hold my bonus for one exchange${effect.lostIf ? `, lost if ${printPhrase(effect.lostIf)}` : ""}`;
    case "end the bout":
      return `end the bout${effect.how === undefined ? "" : `, ${effect.how}`}`;
    case "warn":
      return `warn ${effect.who}`;
    case "retire":
      return "retire me";
  }
}

const SCOPES: Readonly<Record<Scope, string>> = {
  exchange: "an exchange",
  bout: "a bout",
  pair: "a pair tonight",
  team: "a team tonight",
  evening: "tonight",
  hall: "in the hall tonight",
};

export function printLimit({ n, of, scope }: Limit): string {
  if (of !== "times") return `${String(n)} ${unit(of, n)} ${SCOPES[scope]}`;
  const times = n === 1 ? "once" : n === 2 ? "twice" : `${String(n)} times`;
  return `${times} ${SCOPES[scope]}`;
}

export function printWatcher(watcher: Watcher): string {
  if (watcher.is === "judge") return `judge ${String(watcher.no)}`;
  return watcher.is === "table" ? "the table" : "a second judge assents";
}
