/** The canonical text of conditions. */
import type { MannerOfExchange } from "../vocabulary.ts";
import { owned, printPhrase, words } from "./print-phrase.ts";
import type { Amount, Condition, Quantity, Times } from "./tree.ts";

const MANNERS: Readonly<Record<MannerOfExchange, string>> = {
  double: "a double",
  simultaneous: "simultaneous",
  "no exchange": "a no exchange",
};

const printAmount = ({ n, cmp }: Amount): string => words(String(n), cmp === "exactly" ? "" : cmp);

const be = (who: "I" | "they", not: boolean): string =>
  words(who === "I" ? "I am" : "they are", not ? "not" : "");
const doNot = (not: boolean): string => (not ? "do not" : "");

export const printCondition = (condition: Condition): string =>
  condition.is === "not" ? print(condition.what, true) : print(condition, false);

type Plain = Exclude<Condition, { is: "not" }>;
type Of<K extends Condition["is"]> = Extract<Condition, { is: K }>;

function print(given: Condition, not: boolean): string {
  const condition = given as Plain;
  switch (condition.is) {
    case "phrase":
      return not ? printNever(condition) : printPhrase(condition.phrase);
    case "these":
      return printThese(condition);
    case "last": {
      const what = printCondition(condition.what);
      if (condition.of === undefined) return `in the last exchange ${what}`;
      const { amount, exchanges } = condition.of;
      return `in ${printAmount(amount)} of the last ${String(exchanges)} exchanges ${what}`;
    }
    case "exchange":
      return words("it is", not ? "not" : "", MANNERS[condition.how]);
    case "exchange number": {
      const { no } = condition;
      return words(
        "it is",
        not ? "not" : "",
        no === "last" ? "the last exchange" : `exchange ${printAmount(no)}`,
      );
    }
    case "time":
      return `${String(condition.seconds)} s ${condition.cmp} are ${condition.what}`;
    case "lasts":
      return `it lasts ${String(condition.seconds)} s ${condition.cmp}`;
    case "outcome":
      return condition.who === "nobody"
        ? "nobody wins the bout"
        : words(condition.who, doNot(not), condition.what);
    case "call":
      return `the judge ${not ? "does not call" : "calls"} ${condition.call} for ${condition.for}`;
    case "rule pays":
      return printRulePays(condition, not);
    case "level":
      return words(be("I", not), "level");
    case "lead":
      return words(be(condition.who, not), condition.how, condition.by && `by ${printAmount(condition.by)}`);
    case "role":
      return words(be(condition.who, not), owned("the", condition.role));
    case "fencer": {
      const { who, owner, mark, oneOf } = condition;
      return words(be(who, not), oneOf === true ? "one of" : "", owned(owner, mark));
    }
    default:
      return printNamed(condition, not);
  }
}

/** "they never hit"; of more than one action "it never happens that ...". */
function printNever({ phrase }: Of<"phrase">): string {
  const [step, ...more] = phrase.steps;
  const short = step !== undefined && more.length === 0 && phrase.first !== true && step.never !== true;
  return short
    ? printPhrase({ steps: [{ ...step, never: true }] })
    : `it never happens that ${printPhrase(phrase)}`;
}

function printThese({ amount, these }: Of<"these">): string {
  const list = these.map(printCondition).join("; ");
  return `${amount.n === 0 && amount.cmp === "exactly" ? "none" : printAmount(amount)} of ${list}`;
}

function printRulePays({ rule, who, last }: Of<"rule pays">, not: boolean): string {
  if (last === true) return `"${rule}" ${not ? "did not pay" : "paid"} ${who} in the last exchange`;
  return `"${rule}" ${not ? "does not pay" : "pays"} ${who}`;
}

type Named = Extract<Condition, { is: "mark" | "quantity" | "flag" | "pick" | "token" }>;

function printNamed(condition: Named, not: boolean): string {
  const is = not ? "is not" : "is";
  const now = "now" in condition && condition.now === true ? "now" : "";
  switch (condition.is) {
    case "mark": {
      const than = typeof condition.than === "string" ? condition.than : printAmount(condition.than);
      return words(owned(condition.owner, condition.mark), is, than, now);
    }
    case "quantity":
      return words(printQuantity(condition.quantity), is, printThan(condition.than), now);
    case "flag":
      return words(owned(condition.owner, condition.mark), "is", condition.on ? "on" : "off", now);
    case "pick": {
      const { values } = condition;
      const value = typeof values === "string" ? values : values.join(" or ");
      return words(owned(condition.owner, condition.pick), is, value);
    }
    case "token": {
      const moment = condition.atThatMoment === true ? "at that moment" : "";
      return words(owned("the", condition.mark), is, condition.whose, moment);
    }
  }
}

function printTerm(term: Quantity[number]): string {
  if ("n" in term) return String(term.n);
  if ("mark" in term) return owned(term.owner, term.mark);
  return words(owned(term.owner, term.counted), term.tonight === true ? "tonight" : "");
}

export const printQuantity = (quantity: Quantity): string =>
  quantity
    .map((term, at) => words(at === 0 ? "" : term.minus === true ? "minus" : "plus", printTerm(term)))
    .join(" ");

export const printTimes = ({ quantity, now }: Times): string =>
  words("times", printQuantity(quantity), now === true ? "now" : "");

function printThan(than: Of<"quantity">["than"]): string {
  if (!("than" in than)) return printAmount(than);
  return words(than.cmp, than.than === "theirs" ? "theirs" : printQuantity(than.than));
}

/** All of them: one line of a list. */
export const printAll = (all: readonly Condition[]): string => all.map(printCondition).join(", and ");
