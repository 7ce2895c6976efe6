/** Conditions in plain words, so that they fit behind "if", "when" and "unless". */
import { asStatement, isBeingHit, type Phrases } from "./explain-phrase.ts";
import { listed, named, ownerWord, words } from "./explain-words.ts";
import type { Amount, AnyOf, Condition } from "./tree.ts";
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

function markText(one: Of<"mark">): string {
  const be = isOrAre(one.mark);
  const said =
    typeof one.than !== "string"
      ? amountText(one.than)
      : one.than === "level with theirs"
        ? "level with theirs"
        : `${one.than.replace(" than theirs", "")} than theirs`;
  return `${named(one.owner, one.mark)}${counted(one.now)} ${be} ${said}`;
}

const leadText = (one: Of<"lead">): string => {
  const who = one.who === "I" ? "you are" : "they are";
  return words(who, one.how, one.by === undefined ? "" : `by ${amountText(one.by)}`);
};

const tokenText = (one: Of<"token">): string =>
  words(
    one.whose === "mine" ? "you have" : "they have",
    `the ${one.mark}`,
    one.atThatMoment ? "at that moment" : "",
  );

function lastText(one: Of<"last">, phrases: Phrases): string {
  if (typeof one.what !== "string") return `${asStatement(one.what, phrases)} in the exchange before`;
  return `the exchange before was ${HOW[one.what]}`;
}

const OUTCOMES: Readonly<Record<Of<"outcome">["what"], string>> = {
  score: "score",
  "win the bout": "win the bout",
  "lose the bout": "lose the bout",
};

/** One condition: "you are behind", "they hit", "your blots are 3 or more". */
export function conditionText(one: Condition, phrases: Phrases): string {
  switch (one.is) {
    case "phrase":
      return isBeingHit(one.phrase) ? "they hit you" : asStatement(one.phrase, phrases);
    case "last":
      return lastText(one, phrases);
    case "exchange":
      return words("it is", one.not ? "not" : "", HOW[one.how]);
    case "exchange number":
      return words(
        "it is",
        one.not ? "not" : "",
        one.no === "last" ? "the last exchange" : `exchange ${one.no}`,
      );
    case "level":
      return "the score is level";
    case "lead":
      return leadText(one);
    case "role":
      return `${one.who === "I" ? "you are" : "they are"} the ${one.role}`;
    case "time left":
      return `${one.seconds} s ${one.cmp} are left`;
    case "outcome":
      return `${one.who === "I" ? "you" : "they"} ${OUTCOMES[one.what]}`;
    case "call":
      return `the judge calls ${one.call} for ${one.for === "me" ? "you" : "them"}`;
    case "rule pays": {
      const whom = one.who === "me" ? "you" : "them";
      return one.last ? `"${one.rule}" paid ${whom} in the exchange before` : `"${one.rule}" pays ${whom}`;
    }
    case "mark":
      return markText(one);
    case "flag":
      return `${named(one.owner, one.mark)}${counted(one.now)} is ${one.on ? "on" : "off"}`;
    case "pick":
      return `${ownerWord(one.owner)} ${one.pick} ${isOrAre(one.pick)} ${one.value}`;
    case "token":
      return tokenText(one);
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
