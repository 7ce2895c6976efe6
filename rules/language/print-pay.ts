/** The canonical text of what a rule pays and does. */
import type { Scope, Unit } from "../vocabulary.ts";
import { printAll, printTimes } from "./print-condition.ts";
import { printPhrase, words } from "./print-phrase.ts";
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
    pay.times && printTimes(pay.times),
    pay.eachTime === true ? "each time" : "",
    pay.forEachFullSeconds === undefined ? "" : `for each full ${String(pay.forEachFullSeconds)} s`,
    pay.if && pay.if.length > 0 ? `if ${printAll(pay.if)}` : "",
  );

const FACTORS: Readonly<Record<number, string>> = { 2: "double", 3: "triple", 0.5: "halve" };
const fromRule = (rule: string | undefined): string => (rule === undefined ? "" : `from "${rule}"`);

export function printEffect(effect: Effect): string {
  switch (effect.is) {
    case "annul": {
      const rest = effect.restingOn === undefined ? "" : `resting on an action ${effect.restingOn}`;
      return words("annul", effect.whose, effect.what, fromRule(effect.from), rest);
    }
    case "multiply":
      return printMultiply(effect);
    case "turn over":
      return words("turn my", effect.what, fromRule(effect.from), "over to them");
    case "hold": {
      const { exchanges: n, lostIf } = effect;
      const long = n === 1 ? "one exchange" : `${String(n)} exchanges`;
      return `hold my bonus for ${long}${lostIf ? `, lost if ${printPhrase(lostIf)}` : ""}`;
    }
    case "end the bout":
      return `end the bout${effect.how === undefined ? "" : `, ${effect.how}`}`;
    case "warn":
      return `warn ${effect.who}`;
    case "retire":
      return "retire me";
  }
}

function printMultiply({ by, whose, what, from }: Extract<Effect, { is: "multiply" }>): string {
  const named = FACTORS[by];
  const concerned = words(whose, what, fromRule(from));
  return named === undefined ? `multiply ${concerned} by ${String(by)}` : `${named} ${concerned}`;
}

const SCOPES: Readonly<Record<Scope, string>> = {
  exchange: "an exchange",
  bout: "a bout",
  pair: "a pair tonight",
  team: "a team tonight",
  evening: "tonight",
  hall: "in the hall tonight",
};

export function printLimit({ n, of, scope, together }: Limit): string {
  const times = n === 1 ? "once" : n === 2 ? "twice" : `${String(n)} times`;
  const many = of === "times" ? times : `${String(n)} ${unit(of, n)}`;
  return words(many, SCOPES[scope], together === true ? "for us both" : "");
}

export function printWatcher(watcher: Watcher): string {
  if (watcher.is === "judge") return `judge ${String(watcher.no)}`;
  return watcher.is === "second judge" ? "a second judge assents" : `the ${watcher.is}`;
}
