/** Reads and scores what a document or a test writes down, and says the tally in one line. */
import { compile } from "../../rules/award/compile.ts";
import { scoreBout } from "../../rules/award/score.ts";
import type { MarkValue, Tally } from "../../rules/award/tally.ts";
import { formatFaults, type Outcome } from "../../rules/language/faults.ts";
import { readRuleSet } from "../../rules/language/read.ts";
import { readSheet } from "../../rules/language/sheet.ts";
import type { RuleSet } from "../../rules/language/tree.ts";
import type { Pair } from "../../rules/vocabulary.ts";

export function must<T>(outcome: Outcome<T>): T {
  if (!outcome.ok) throw new Error(formatFaults(outcome.faults));
  return outcome.value;
}

/** "" where the text is in order, else its faults as a coach sees them. */
export const faultsOf = (outcome: Outcome<unknown>): string =>
  outcome.ok ? "" : formatFaults(outcome.faults);

export const score = (ruleSet: RuleSet, sheet: string): Tally =>
  scoreBout(compile(ruleSet), must(readSheet(sheet, ruleSet)));

const pair = ({ red, blue }: Pair<number>): string => `${red}-${blue}`;

/** "points 1-0 bonus 2-0 open 1": Red first; `warn` and `ended` only where there is something to say. */
export function said(tally: Tally): string {
  const { points, bonus, open, warned, ended } = tally;
  const warn = warned.red + warned.blue > 0 ? ` warn ${pair(warned)}` : "";
  return `points ${pair(points)} bonus ${pair(bonus)} open ${open}${warn}${ended === null ? "" : ` ended ${ended}`}`;
}

/** The tally line of a rule set and a sheet, both as written. */
export const tallyOf = (ruleSet: string, sheet: string): string =>
  said(score(must(readRuleSet(ruleSet)), sheet));

const HOLDERS: Readonly<Record<string, string>> = { red: "R", blue: "B", true: "on", false: "off" };
const valueText = (value: MarkValue): string => HOLDERS[String(value)] ?? String(value);

/** Marks as a sheet writes them, `mark R streak = 2`. */
export function marksSaid({ marks }: Tally): readonly string[] {
  return Object.entries(marks).flatMap(([name, value]) =>
    typeof value === "object" && "red" in value
      ? [`mark R ${name} = ${valueText(value.red)}`, `mark B ${name} = ${valueText(value.blue)}`]
      : [`mark ${name} = ${valueText(value)}`],
  );
}

export const TOUCHES = "touches:\n  I hit: 1\n";

/** Rules beside one plain touch; `more` are further keys of the file. */
export const set = (rules: string, more = ""): string => `name: Promise\n${more}${TOUCHES}rules:\n${rules}`;

/** One rule that pays 1 bonus. */
export const when = (phrase: string, more = ""): string =>
  set(`  - name: Rule\n    when: ${phrase}\n    pays: 1 bonus to me\n`, more);

export const tally = (rules: string, sheet: string): Tally => score(must(readRuleSet(rules)), sheet);

/** Only what the rules paid, "Red-Blue". */
export const bonus = (rules: string, sheet: string): string => pair(tally(rules, sheet).bonus);

export const fault = (rules: string): string => faultsOf(readRuleSet(rules, "rules.yaml"));

export const marks = (rules: string, sheet: string): string => marksSaid(tally(rules, sheet)).join("; ");
