/** The canonical YAML of a rule set: one meaning, one text. Reading it gives an equal tree. */
import { printBout } from "./print-bout.ts";
import { printAll, printCondition } from "./print-condition.ts";
import { printChange, printMarkKind, printMarkStart, printPickTime, printSeenBy } from "./print-mark.ts";
import { printEffect, printLimit, printPay, printWatcher } from "./print-pay.ts";
import { printPhrase } from "./print-phrase.ts";
import type { AnyOf, Mark, Pick, Rule, RuleSet } from "./tree.ts";

/** Values that another YAML reader would take for a number, a truth value or nothing. */
const NOT_TEXT = /^(?:[-+]?(?:\d[\d_]*)?\.?\d+(?:e[-+]?\d+)?|0[xo][\da-f]+|true|false|null|~|\.inf|\.nan)$/i;
const PLAIN = /^(?:[\p{L}\d(]|-\d)[^\p{Cc}\p{Cs}\u2028\u2029\ufeff]*$/u;

/** A text as a YAML scalar, without quotes where that is safe. */
function scalar(text: string): string {
  const plain = PLAIN.test(text) && !/: |:$| #|\s$|\s\s/.test(text) && !NOT_TEXT.test(text);
  if (plain) return text;
  const single = /^[^\p{Cc}\p{Cs}\u2028\u2029\ufeff']+$/u.test(text);
  return single && text.includes('"') ? `'${text}'` : JSON.stringify(text);
}

type Line = readonly [key: string, value: string | number | readonly string[]];

/** YAML takes a key of more than 1024 characters only after a question mark. */
const LONGEST_KEY = 1000;

/** One value stands beside its key, several make a list under it. */
function field(indent: string, [key, value]: Line, alwaysList = false): readonly string[] {
  if (typeof value === "number") {
    const written = scalar(key);
    if (written.length > LONGEST_KEY) return [`${indent}? ${written}`, `${indent}: ${String(value)}`];
    return [`${indent}${written}: ${String(value)}`];
  }
  if (typeof value === "string") return [`${indent}${scalar(key)}: ${scalar(value)}`];
  const [only] = value;
  if (only === undefined) return [];
  if (value.length === 1 && !alwaysList) return [`${indent}${scalar(key)}: ${scalar(only)}`];
  return [`${indent}${scalar(key)}:`, ...value.map((one) => `${indent}  - ${scalar(one)}`)];
}

const LISTS: ReadonlySet<string> = new Set(["from", "changes", "ends", "starts"]);
const fields = (indent: string, lines: readonly (Line | undefined)[]): readonly string[] =>
  lines.flatMap((line) =>
    line === undefined ? [] : field(indent, line, LISTS.has(line[0]) && typeof line[1] === "object"),
  );

const anyOf = (lines: AnyOf | undefined): readonly string[] => (lines ?? []).map(printAll);

function ruleLines(rule: Rule): readonly (Line | undefined)[] {
  const { at, bestOf, notBelow, watch, atMost } = rule;
  return [
    ["name", rule.name],
    at && ["at", at],
    ["when", (rule.when ?? []).map(printPhrase)],
    ["if", anyOf(rule.if)],
    ["unless", anyOf(rule.unless)],
    ["pays", (rule.pays ?? []).map(printPay)],
    ["does", (rule.does ?? []).map(printEffect)],
    atMost && atMost.length > 0 ? ["at most", atMost.map(printLimit).join(", ")] : undefined,
    bestOf === undefined ? undefined : ["best of", bestOf],
    notBelow === undefined ? undefined : ["not below", notBelow],
    watch && ["watch", printWatcher(watch)],
  ];
}

/** One rule as it stands in a file's list of rules. */
export function printRule(rule: Rule): string {
  return fields("    ", ruleLines(rule))
    .map((line, at) => (at === 0 ? line.replace("    ", "  - ") : line))
    .join("\n");
}

const pickLines = (pick: Pick): readonly (Line | undefined)[] => [
  ["by", pick.by],
  ["from", pick.from.map(({ text }) => text)],
  ["when", printPickTime(pick.when)],
  pick.seenBy && ["seen by", printSeenBy(pick.seenBy)],
  pick.shown && ["shown", pick.shown],
  pick.turns === undefined ? undefined : ["turns", pick.turns],
];

const markLines = (mark: Mark): readonly (Line | undefined)[] => [
  ["is", printMarkKind(mark)],
  mark.starts && ["starts", printMarkStart(mark.starts)],
  ["changes", mark.changes.map(printChange)],
];

const section = (title: string, lines: readonly string[]): readonly string[] =>
  lines.length === 0 ? [] : [`${title}:`, ...lines];

const entries = (named: readonly (readonly [string, readonly (Line | undefined)[]])[]): readonly string[] =>
  named.flatMap(([name, lines]) => [`  ${scalar(name)}:`, ...fields("    ", lines)]);

export function printRuleSet(ruleSet: RuleSet): string {
  const lines = [
    ...fields("", [["name", ruleSet.name], ruleSet.weapon && ["weapon", ruleSet.weapon]]),
    ...section(
      "words",
      fields(
        "  ",
        ruleSet.words.map(({ name, is }): Line => [name, `${is === "action" ? "an" : "a"} ${is}`]),
      ),
    ),
    ...section(
      "phrases",
      fields(
        "  ",
        ruleSet.phrases.map(({ name, phrase }): Line => [name, printPhrase(phrase)]),
      ),
    ),
    ...section("picks", entries(ruleSet.picks.map((pick) => [pick.name, pickLines(pick)]))),
    ...section("marks", entries(ruleSet.marks.map((mark) => [mark.name, markLines(mark)]))),
    ...section("bout", fields("  ", printBout(ruleSet.bout))),
    ...section(
      "touches",
      fields(
        "  ",
        ruleSet.touches.map(({ phrase, worth }): Line => [printPhrase(phrase), worth]),
      ),
    ),
    ...section("rules", ruleSet.rules.map(printRule)),
  ];
  return `${lines.join("\n")}\n`;
}

export { printCondition, printPhrase };
