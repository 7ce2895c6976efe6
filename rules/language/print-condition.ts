/** The canonical text of conditions. */
import type { MannerOfExchange } from "../vocabulary.ts";
import { owned, printPhrase, words } from "./print-phrase.ts";
import type { Amount, Condition } from "./tree.ts";

const MANNERS: Readonly<Record<MannerOfExchange, string>> = {
  double: "a double",
  simultaneous: "simultaneous",
  "no exchange": "a no exchange",
};

const printAmount = ({ n, cmp }: Amount): string => words(String(n), cmp === "exactly" ? "" : cmp);

const be = (who: "I" | "they"): string => (who === "I" ? "I am" : "they are");

export function printCondition(condition: Condition): string {
  switch (condition.is) {
    case "phrase":
      return printPhrase(condition.phrase);
    case "last":
      return `in the last exchange ${typeof condition.what === "string" ? `it is ${MANNERS[condition.what]}` : printPhrase(condition.what)}`;
    case "exchange":
      return words("it is", condition.not === true ? "not" : "", MANNERS[condition.how]);
    case "exchange number": {
      const { no, not } = condition;
      return words(
        "it is",
        not === true ? "not" : "",
        no === "last" ? "the last exchange" : `exchange ${String(no)}`,
      );
    }
    case "level":
      return "I am level";
    case "lead":
      return words(be(condition.who), condition.how, condition.by ? `by ${printAmount(condition.by)}` : "");
    case "role":
      return `${be(condition.who)} ${owned("the", condition.role)}`;
    case "time left":
      return `${String(condition.seconds)} s ${condition.cmp} are left`;
    case "outcome":
      return `${condition.who} ${condition.what}`;
    case "call":
      return `the judge calls ${condition.call} for ${condition.for}`;
    case "rule pays":
      return condition.last === true
        ? `"${condition.rule}" paid ${condition.who} in the last exchange`
        : `"${condition.rule}" pays ${condition.who}`;
    default:
      return printNamed(condition);
  }
}

type Named = Extract<Condition, { is: "mark" | "flag" | "pick" | "token" }>;

function printNamed(condition: Named): string {
  switch (condition.is) {
    case "mark": {
      const than = typeof condition.than === "string" ? condition.than : printAmount(condition.than);
      return words(owned(condition.owner, condition.mark), "is", than, condition.now === true ? "now" : "");
    }
    case "flag":
      return words(
        owned(condition.owner, condition.mark),
        "is",
        condition.on ? "on" : "off",
        condition.now === true ? "now" : "",
      );
    case "pick":
      return `${owned(condition.owner, condition.pick)} is ${condition.value}`;
    case "token":
      return words(
        owned("the", condition.mark),
        "is",
        condition.whose,
        condition.atThatMoment === true ? "at that moment" : "",
      );
  }
}

/** All of them: one line of a list. */
export const printAll = (all: readonly Condition[]): string => all.map(printCondition).join(", and ");
