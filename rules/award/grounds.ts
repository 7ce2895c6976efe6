/** What a rule without an action of its own rests on, as it held for one fencer: "Red's joker is played". */
import type { Condition, Rule } from "../language/tree.ts";
import { conditionText } from "../language/explain-condition.ts";

/** What was done is told by the actions themselves, so only the rest is told here. */
function isTold(one: Condition): boolean {
  switch (one.is) {
    case "phrase":
      return false;
    case "not":
    case "last":
      return isTold(one.what);
    case "these":
      return one.these.every(isTold);
    default:
      return true;
  }
}

/** Kinds of condition that are said with a "not" of their own. */
const WITH_NOT: ReadonlySet<Condition["is"]> = new Set<Condition["is"]>([
  "exchange",
  "exchange number",
  "level",
  "lead",
  "role",
  "fencer",
  "outcome",
  "call",
  "rule pays",
  "mark",
  "quantity",
  "pick",
  "token",
]);

/** What holds where this does not; nothing where it cannot be said in few words. */
function opposite(one: Condition): readonly Condition[] {
  if (one.is === "flag") return [{ ...one, on: !one.on }];
  return WITH_NOT.has(one.is) ? [{ is: "not", what: one }] : [];
}

/** "you are ahead" -> "Red is ahead", "their streak" -> "Blue's streak"; names in quotes stay as they are. */
function withNames(text: string, me: string, them: string): string {
  const who = (word: string): string => (word.startsWith("you") ? me : them);
  return text
    .split(/("[^"]*")/u)
    .map((piece, at) =>
      at % 2 === 1
        ? piece
        : piece
            .replaceAll(", this exchange counted,", "")
            .replace(/\b(you|they) are\b/g, (_, word: string) => `${who(word)} is`)
            .replace(/\b(you|they) do not\b/g, (_, word: string) => `${who(word)} does not`)
            .replace(/\b(you|they) have\b/g, (_, word: string) => `${who(word)} has`)
            .replace(
              /\b(you|they) (score|win|lose)\b/g,
              (_, word: string, verb: string) => `${who(word)} ${verb}s`,
            )
            .replace(/\b(your|their)s?\b/g, (word) => `${who(word)}'s`)
            .replace(/\b(you|they|them)\b/g, (word) => who(word)),
    )
    .join("");
}

/**
 * The conditions that must have held where the rule fired for `me`, in words; undefined where there are none to tell, or
 * where any of several lines may have been it.
 */
export function conditionsTold(
  rule: Pick<Rule, "if" | "unless">,
  me: string,
  them: string,
): string | undefined {
  const [line = [], ...others] = rule.if ?? [];
  const wanted = others.length > 0 ? [] : line;
  const unwanted = (rule.unless ?? []).flatMap<Condition>(([only, ...more]) =>
    only === undefined || more.length > 0 ? [] : opposite(only),
  );
  const told = [...wanted, ...unwanted]
    .filter(isTold)
    .map((one) => withNames(conditionText(one, new Map()), me, them));
  return told.length === 0 ? undefined : told.join(" and ");
}
