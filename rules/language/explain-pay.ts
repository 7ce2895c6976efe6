/** What a rule pays and does, its limits and its watcher, in plain words. */
import { isBeingHit, asStatement, type Phrases } from "./explain-phrase.ts";
import { allText, quantityText } from "./explain-condition.ts";
import { listed, words } from "./explain-words.ts";
import type { Effect, Limit, Pay, Receiver, Rule, Sum, Watcher } from "./tree.ts";
import type { Scope, Unit } from "../vocabulary.ts";

/** "1 point", "2 points", "0.5 points", "2 bonus". */
export const unitText = (n: number, unit: Unit): string =>
  unit === "bonus" ? `${n} bonus` : `${n} ${n === 1 ? "point" : "points"}`;

const TO: Readonly<Record<Receiver, string>> = {
  me: "to you",
  them: "to them",
  "us both": "to you both",
  "my team": "to your team",
  "their team": "to their team",
};
const OFF: Readonly<Record<Receiver, string>> = {
  me: "off you",
  them: "off them",
  "us both": "off you both",
  "my team": "off your team",
  "their team": "off their team",
};

function numbersText(sum: Extract<Sum, { is: "numbers" }>, to: Receiver): string {
  const [first, ...rest] = sum.numbers;
  if (first === undefined) return "nothing";
  const full = (n: number): string =>
    n === 0 ? "nothing" : `${unitText(Math.abs(n), sum.unit)} ${n < 0 ? OFF[to] : TO[to]}`;
  if (rest.length === 0) return n0(first) ? `nothing ${TO[to]}` : full(first);
  let unitSaid = !n0(first);
  const head = n0(first) ? "nothing the first time" : full(first);
  let sign = Math.sign(first);
  const tail = rest.map((n) => {
    const plain = unitSaid && Math.sign(n) === sign;
    if (n !== 0) {
      unitSaid = true;
      sign = Math.sign(n);
    }
    return `then ${n === 0 ? "nothing" : plain ? String(Math.abs(n)) : full(n)}`;
  });
  return [head, ...tail].join(", ");
}
const n0 = (n: number): boolean => n === 0;

function sumText(sum: Sum, to: Receiver): string {
  switch (sum.is) {
    case "numbers":
      return numbersText(sum, to);
    case "between":
      return `between ${sum.low} and ${unitText(sum.high, sum.unit)} ${TO[to]}`;
    case "what pays them":
      return `what "${sum.rule}" would have paid them, ${TO[to]}`;
  }
}

/** One line of pay: "2 bonus to you", "3 bonus to you, then 2, then 1, then nothing". */
export function payText(pay: Pay, phrases: Phrases): string {
  const { times } = pay;
  const judged = pay.asTheJudgeSays ? ", as the judge says" : "";
  return words(
    sumText(pay.sum, pay.to) + judged + (pay.by === undefined ? "" : `, by the ${pay.by}`),
    times === undefined
      ? ""
      : `times ${quantityText(times.quantity)}${times.now ? ", this exchange counted" : ""}`,
    pay.eachTime ? "each time" : "",
    pay.forEachFullSeconds === undefined ? "" : `for each full ${pay.forEachFullSeconds} s`,
    pay.if === undefined || pay.if.length === 0 ? "" : `if ${allText(pay.if, phrases)}`,
  );
}

const whose = (one: "my" | "their"): string => (one === "my" ? "your" : "their");
const MULTIPLIED: Readonly<Record<string, string>> = { "2": "doubled", "3": "tripled", "0.5": "halved" };
const ENDINGS = {
  "both lose": "and both lose",
  "I lose": "and you lose",
  "they lose": "and they lose",
} as const;

function holdText(effect: Extract<Effect, { is: "hold" }>, phrases: Phrases): string {
  const { lostIf } = effect;
  const lost =
    lostIf === undefined
      ? ""
      : ` and lost if ${isBeingHit(lostIf) ? "they hit you" : asStatement(lostIf, phrases)} in it`;
  const long = effect.exchanges === 1 ? "one exchange" : `${effect.exchanges} exchanges`;
  return `your bonus is held for ${long}${lost}`;
}

/** "their points do not count", "the bout ends and both lose". */
export function effectText(effect: Effect, phrases: Phrases): string {
  switch (effect.is) {
    case "annul": {
      const verb = effect.what === "bonus" ? "does not count" : "do not count";
      const on = effect.restingOn === undefined ? "" : `that rests on an action ${effect.restingOn}`;
      return words(whose(effect.whose), effect.what, fromText(effect.from), on, verb);
    }
    case "multiply":
      return words(
        whose(effect.whose),
        effect.what,
        fromText(effect.from),
        effect.what === "bonus" ? "is" : "are",
        MULTIPLIED[String(effect.by)] ?? `multiplied by ${effect.by}`,
      );
    case "turn over":
      return words(
        "your",
        effect.what,
        fromText(effect.from),
        effect.what === "bonus" ? "goes" : "go",
        "to them",
      );
    case "hold":
      return holdText(effect, phrases);
    case "end the bout":
      return words("the bout ends", effect.how === undefined ? "" : ENDINGS[effect.how]);
    case "warn":
      return effect.who === "me" ? "you are warned" : "they are warned";
    case "retire":
      return "you retire from the evening";
  }
}

const SCOPES: Readonly<Record<Scope, string>> = {
  exchange: "an exchange",
  bout: "a bout",
  pair: "with the same partner tonight",
  team: "for a team tonight",
  evening: "tonight",
  hall: "in the whole hall tonight",
};

const fromText = (rule: string | undefined): string => (rule === undefined ? "" : `from "${rule}"`);

function limitText(limit: Limit, unitIsSaid: boolean): string {
  const scope = words(SCOPES[limit.scope], limit.together ? "for you both together" : "");
  if (limit.of === "times") {
    const often = limit.n === 1 ? "once" : limit.n === 2 ? "twice" : `${limit.n} times`;
    return `${often} ${scope}`;
  }
  return `${unitIsSaid ? String(limit.n) : unitText(limit.n, limit.of)} ${scope}`;
}

/** "at most 4 a bout and 6 with the same partner tonight"; "once" stands alone. */
export function limitsText(rule: Rule): string {
  const limits = rule.atMost ?? [];
  if (limits.length === 0) return "";
  const units = new Set((rule.pays ?? []).flatMap((pay) => ("unit" in pay.sum ? [pay.sum.unit] : [])));
  const said = limits.map((limit) =>
    limitText(limit, units.size === 1 && limit.of !== "times" && units.has(limit.of)),
  );
  return `at most ${listed(said, "and")}`;
}

/** "judge 1 watches". */
export function watcherText(watch: Watcher): string {
  switch (watch.is) {
    case "table":
      return "the table watches";
    case "judge":
      return `judge ${watch.no} watches`;
    case "referee":
      return "the referee watches";
    case "fencers":
      return "the fencers say it of themselves";
    case "second judge":
      return "a second judge must assent";
  }
}
