/**
 * Every ready rule set scores its golden bouts: tests/golden/bouts/NAME.sheet (or NAME.VARIANT.sheet), where NAME is the
 * rule set's file, and NAME.tally.txt beside it. UPDATE_GOLDENS=1 rewrites the tallies; read the difference.
 */
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { SETS } from "../../rules/.generated/shelf.ts";
import { compile } from "../../rules/award/compile.ts";
import { scoreBout } from "../../rules/award/score.ts";
import { amountText } from "../../rules/award/trace.ts";
import type { Tally } from "../../rules/award/tally.ts";
import { formatFaults, type Outcome } from "../../rules/language/faults.ts";
import { readRuleSet } from "../../rules/language/read.ts";
import { printJsonLines, printSheet, readJsonLines, readSheet } from "../../rules/language/sheet.ts";
import type { RuleSet } from "../../rules/language/tree.ts";
import type { BoutSheet } from "../../rules/record.ts";
import { WEAPONS } from "../../rules/vocabulary.ts";

const folder = new URL("../golden/bouts/", import.meta.url);
const bouts = readdirSync(folder)
  .filter((file) => file.endsWith(".sheet"))
  .map((file) => file.replace(".sheet", ""));

function must<T>(outcome: Outcome<T>): T {
  if (!outcome.ok) throw new Error(formatFaults(outcome.faults));
  return outcome.value;
}

function ruleSetOf(id: string): RuleSet {
  const set = SETS.find((one) => one.id === id);
  if (!set) throw new Error(`no ready rule set ${id}`);
  return must(readRuleSet(set.text, `${id}.yaml`));
}
const setOf = (bout: string): string => bout.split(".")[0] ?? bout;
const file = (name: string): string => readFileSync(new URL(name, folder), "utf8");

const SIDE = { red: "Red", blue: "Blue" } as const;

/** The tally as a person checks it: each exchange as written, what it paid and why, what is open, and how it stands. */
function told(ruleSet: RuleSet, sheet: BoutSheet, tally: Tally): string {
  const lines = [ruleSet.name, ""];
  for (const line of sheet) {
    if (line.type !== "exchange") continue;
    lines.push(printSheet([line]).trimEnd());
    const scored = line.again === true ? undefined : tally.exchanges.find(({ no }) => no === line.no);
    for (const { to, amount, unit, sentence } of scored?.awards ?? [])
      lines.push(`    ${SIDE[to]} ${amountText(amount, unit)}: ${sentence}`);
    for (const { to, rule, unit, span } of scored?.open ?? [])
      lines.push(`    open: ${SIDE[to]} ${span.least} to ${span.most} ${unit} by ${rule}`);
    if (scored)
      lines.push(
        `    ${scored.points.red}-${scored.points.blue} (bonus ${scored.bonus.red}-${scored.bonus.blue})` +
          (scored.afterTheEnd ? " after the end" : ""),
      );
  }
  const asked = tally.questions.map(({ text }) => `asked: ${text}`);
  const ended =
    tally.ended === null
      ? "goes on"
      : `${tally.ended}${tally.endedAt ? ` in exchange ${tally.endedAt}` : ""}`;
  const { points, bonus, open, doubles } = tally;
  return [
    ...lines,
    "",
    ...asked,
    `points ${points.red}-${points.blue}, bonus ${bonus.red}-${bonus.blue}, ${open} open, ${doubles} doubles, ${ended}`,
    "",
  ].join("\n");
}

describe("the ready rule sets", () => {
  test("there is one a weapon at least", () => {
    const weapons = SETS.map(({ id }) => ruleSetOf(id).weapon);
    for (const weapon of WEAPONS) expect(weapons).toContain(weapon);
  });

  test.each(SETS.map(({ id }) => id))(
    "%s reads without a warning, is watched, and has its golden bout",
    (id) => {
      const set = SETS.find((one) => one.id === id);
      const outcome = readRuleSet(set?.text ?? "", `${id}.yaml`);
      expect(outcome.ok ? formatFaults(outcome.warnings) : formatFaults(outcome.faults)).toBe("");
      const ruleSet = ruleSetOf(id);
      expect(ruleSet.phrases.map(({ name }) => name).sort()).toEqual(["attempt", "cue", "success"]);
      expect(ruleSet.rules.some(({ watch }) => watch?.is === "judge")).toBe(true);
      expect(bouts).toContain(id);
    },
  );
});

describe("the golden bouts", () => {
  test.each(bouts)("%s", (bout) => {
    const ruleSet = ruleSetOf(setOf(bout));
    const sheet = must(readSheet(file(`${bout}.sheet`), ruleSet, `${bout}.sheet`));
    const scorer = compile(ruleSet);
    const tally = scoreBout(scorer, sheet);
    expect(scoreBout(scorer, must(readSheet(printSheet(sheet), ruleSet)))).toEqual(tally);
    expect(scoreBout(scorer, must(readJsonLines(printJsonLines(sheet), ruleSet)))).toEqual(tally);
    const text = told(ruleSet, sheet, tally);
    const name = `${bout}.tally.txt`;
    if (process.env["UPDATE_GOLDENS"] === "1") writeFileSync(new URL(name, folder), text);
    expect(text).toBe(file(name));
  });
});
