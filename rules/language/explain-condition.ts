/** Conditions in plain words, so that they fit behind "if", "when" and "unless". */
import { asStatement, isBeingHit, type Phrases } from "./explain-phrase.ts";
import { listed, named, ownerWord, words } from "./explain-words.ts";
import type { Amount, AnyOf, Condition, Counted, Quantity } from "./tree.ts";
import type { MannerOfExchange } from "../vocabulary.ts";

const HOW: Readonly<Record<MannerOfExchange, string>> = {
  double: "a double",
  simultaneous: "simultaneous",
  "no exchange": "no exchange",
};

const amountText = (amount: Amount): string =>
  amount.cmp === "exactly" ? String(amount.n) : `${amount.n} ${amount.cmp}`;

/** Marks are named by the coach: "blots are", "streak is". */
export const isOrAre = (name: string): "is" | "are" => (/[^s]s$/i.test(name) ? "are" : "is");

const counted = (now: boolean | undefined): string => (now ? ", this exchange counted," : "");

type Of<K extends Condition["is"]> = Extract<Condition, { readonly is: K }>;

function markText(one: Of<"mark">, not: boolean): string {
  const be = isOrAre(one.mark);
  const said =
    typeof one.than !== "string"
      ? amountText(one.than)
      : one.than === "level with theirs"
        ? "level with theirs"
        : `${one.than.replace(" than theirs", "")} than theirs`;
  return `${named(one.owner, one.mark)}${counted(one.now)} ${be}${not ? " not" : ""} ${said}`;
}

function tokenText({ whose, mark, atThatMoment }: Of<"token">, not: boolean): string {
  const moment = atThatMoment ? "at that moment" : "";
  if (whose === "nobody's") return words(not ? "somebody has" : "nobody has", `the ${mark}`, moment);
  const who = whose === "mine" ? "you" : "they";
  return words(who, not ? "do not have" : "have", `the ${mark}`, moment);
}

const COUNTED: Readonly<Record<Counted, string>> = {
  points: "points",
  bonus: "bonus",
  touch: "touch in this exchange",
  warnings: "warnings",
  penalties: "penalty hits",
  bouts: "bouts",
  wins: "won bouts",
  doubles: "doubles",
  exchanges: "exchanges fenced",
};

function termText(term: Quantity[number]): string {
  if ("n" in term) return String(term.n);
  if ("mark" in term) return named(term.owner, term.mark);
  return words(ownerWord(term.owner), COUNTED[term.counted], term.tonight ? "tonight" : "");
}

/** "your blots plus your warnings minus 1". */
export const quantityText = (quantity: Quantity): string =>
  quantity.map((term, at) => words(at === 0 ? "" : term.minus ? "minus" : "plus", termText(term))).join(" ");

function quantityIs({ quantity, than, now }: Of<"quantity">, not: boolean): string {
  const said =
    "than" in than
      ? words(than.cmp, than.than === "theirs" ? "theirs" : quantityText(than.than))
      : amountText(than);
  const last = quantity[quantity.length - 1];
  const name = last === undefined || "n" in last ? "" : "mark" in last ? last.mark : last.counted;
  const be = quantity.length === 1 ? isOrAre(name) : "is";
  return words(quantityText(quantity) + counted(now), be, not ? "not" : "", said);
}

function lastText(one: Of<"last">, phrases: Phrases): string {
  if (one.of !== undefined) {
    const { amount, exchanges } = one.of;
    return `in ${amountText(amount)} of the ${exchanges} exchanges before ${conditionText(one.what, phrases)}`;
  }
  if (one.what.is === "phrase") return `${asStatement(one.what.phrase, phrases)} in the exchange before`;
  if (one.what.is === "exchange") return `the exchange before was ${HOW[one.what.how]}`;
  return `in the exchange before ${conditionText(one.what, phrases)}`;
}

function phraseText({ phrase }: Of<"phrase">, phrases: Phrases, not: boolean): string {
  const [step, ...more] = phrase.steps;
  if (!not) return isBeingHit(phrase) ? "they hit you" : asStatement(phrase, phrases);
  if (isBeingHit(phrase)) return "they do not hit you";
  const short = step !== undefined && more.length === 0 && phrase.first !== true;
  return short
    ? asStatement({ steps: [{ ...step, never: true }] }, phrases)
    : `it never happens that ${asStatement(phrase, phrases)}`;
}

function outcomeText({ who, what }: Of<"outcome">, not: boolean): string {
  if (who === "nobody") return "nobody wins the bout";
  return words(who === "I" ? "you" : "they", not ? "do not" : "", what);
}

function ruleText({ rule, who, last }: Of<"rule pays">, not: boolean): string {
  const whom = who === "me" ? "you" : "them";
  if (last) return `"${rule}" ${not ? "did not pay" : "paid"} ${whom} in the exchange before`;
  return `"${rule}" ${not ? "does not pay" : "pays"} ${whom}`;
}

/** One condition: "you are behind", "they hit", "your blots are 3 or more". */
export const conditionText = (one: Condition, phrases: Phrases): string =>
  one.is === "not" ? said(one.what, phrases, true) : said(one, phrases, false);

const be = (who: "I" | "they", not: boolean): string =>
  words(who === "I" ? "you are" : "they are", not ? "not" : "");

function said(given: Condition, phrases: Phrases, not: boolean): string {
  const one = given as Exclude<Condition, { is: "not" }>;
  switch (one.is) {
    case "phrase":
      return phraseText(one, phrases, not);
    case "these": {
      const none = one.amount.n === 0 && one.amount.cmp === "exactly";
      const all = one.these.map((each) => conditionText(each, phrases)).join("; ");
      return `${none ? "none" : amountText(one.amount)} of these: ${all}`;
    }
    case "last":
      return lastText(one, phrases);
    case "exchange":
      return words("it is", not ? "not" : "", HOW[one.how]);
    case "exchange number": {
      const number = one.no === "last" ? "the last exchange" : `exchange ${amountText(one.no)}`;
      return words("it is", not ? "not" : "", number);
    }
    case "level":
      return words("the score is", not ? "not" : "", "level");
    case "lead":
      return words(be(one.who, not), one.how, one.by === undefined ? "" : `by ${amountText(one.by)}`);
    case "role":
      return `${be(one.who, not)} the ${one.role}`;
    case "fencer":
      return words(be(one.who, not), one.oneOf ? "one of" : "", named(one.owner, one.mark));
    case "time":
      return `${one.seconds} s ${one.cmp} are ${one.what}`;
    case "lasts":
      return `the exchange lasts ${one.seconds} s ${one.cmp}`;
    case "outcome":
      return outcomeText(one, not);
    case "call": {
      const whom = one.for === "me" ? "you" : "them";
      return `the judge ${not ? "does not call" : "calls"} ${one.call} for ${whom}`;
    }
    case "rule pays":
      return ruleText(one, not);
    default:
      return namedText(one, not);
  }
}

type Named = Extract<Condition, { is: "mark" | "quantity" | "flag" | "pick" | "token" }>;

function namedText(one: Named, not: boolean): string {
  switch (one.is) {
    case "mark":
      return markText(one, not);
    case "quantity":
      return quantityIs(one, not);
    case "flag":
      return `${named(one.owner, one.mark)}${counted(one.now)} is ${one.on ? "on" : "off"}`;
    case "pick": {
      const value = typeof one.values === "string" ? "the same as theirs" : listed(one.values);
      return words(ownerWord(one.owner), one.pick, isOrAre(one.pick), not ? "not" : "", value);
    }
    case "token":
      return tokenText(one, not);
  }
}

/** All of them: "it is a double and you are ahead". */
export const allText = (all: readonly Condition[], phrases: Phrases): string =>
  listed(
    all.map((one) => conditionText(one, phrases)),
    "and",
  );

/** Any of the lines: "it is a double and you are ahead, or they hit you". */
export function anyText(lines: AnyOf, phrases: Phrases): string {
  const said = lines.map((line) => allText(line, phrases));
  const simple = lines.every((line) => line.length === 1);
  if (simple) return listed(said);
  return said.join(", or ");
}
