import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { compile } from "../../rules/award/compile.ts";
import { scoreBout } from "../../rules/award/score.ts";
import type { Tally } from "../../rules/award/tally.ts";
import { formatFaults, type Outcome } from "../../rules/language/faults.ts";
import { readRuleSet } from "../../rules/language/read.ts";
import { printJsonLines, printSheet, readJsonLines, readSheet } from "../../rules/language/sheet.ts";
import type { RuleSet } from "../../rules/language/tree.ts";
import type { BoutSheet } from "../../rules/record.ts";
import { casesOf, given, isRight, scored, wanted, type Case } from "../support/gives.ts";

const CASES = casesOf(readFileSync(new URL("../golden/cases.yaml", import.meta.url), "utf8"));

/** Cases that scoring cannot do yet; one that begins to pass must be taken off the list. */
const LATER: readonly string[] = [];

/** Must pass whatever comes later. */
const REQUIRED = [1, 2, 3, 5, 6, 8, 10, 11, 12, 14, 16, 17, 19, 21, 26, 35, 38, 39, 46, 48].map(
  (no) => `Case ${no}`,
);

function must<T>(outcome: Outcome<T>): T {
  if (!outcome.ok) throw new Error(formatFaults(outcome.faults));
  return outcome.value;
}

function scoreOf(ruleSet: RuleSet, sheet: BoutSheet): Tally {
  return scoreBout(compile(ruleSet), sheet);
}

function run(one: Case): void {
  scored(one).forEach(({ tally, gives }, at) => {
    const expected = wanted(gives);
    expect(given(tally, Object.keys(expected)), `${one.name}\n${one.sheets[at]?.bout}`).toEqual(expected);
    expect(isRight(tally, gives)).toBe(true);
  });
}

describe("the cases of the rule language", () => {
  test("there are 58 of them, with 124 sheets or fewer, each with a tally to give", () => {
    expect(CASES).toHaveLength(58);
    const sheets = CASES.flatMap((one) => one.sheets);
    expect(sheets.length).toBeGreaterThan(110);
    for (const { gives } of sheets) expect(Object.keys(wanted(gives)).length).toBeGreaterThan(0);
  });

  test("no required case waits", () => {
    expect(LATER.filter((name) => REQUIRED.includes(name))).toEqual([]);
    expect(REQUIRED.filter((name) => !CASES.some((one) => one.name === name))).toEqual([]);
  });

  for (const one of CASES.filter(({ name }) => !LATER.includes(name)))
    test(`${one.name} gives its tallies`, () => run(one));

  for (const one of CASES.filter(({ name }) => LATER.includes(name)))
    test(`${one.name} is for later`, () => expect(() => run(one)).toThrow());
});

describe("the written forms of the cases' bouts", () => {
  test.each(CASES)(
    "$name: every sheet prints, reads back, and is the same as JSON Lines [S3]",
    ({ text, sheets, name }) => {
      const ruleSet = must(readRuleSet(text, `${name}.yaml`));
      for (const { bout } of sheets) {
        const sheet = must(readSheet(bout, ruleSet));
        expect(must(readSheet(printSheet(sheet), ruleSet))).toEqual(sheet);
        expect(must(readJsonLines(printJsonLines(sheet), ruleSet))).toEqual(sheet);
      }
    },
  );

  test.each(CASES.filter(({ name }) => !LATER.includes(name)))(
    "$name: the printed sheet and the JSON Lines give the same tally",
    ({ text, sheets, name }) => {
      const ruleSet = must(readRuleSet(text, `${name}.yaml`));
      for (const { bout } of sheets) {
        const sheet = must(readSheet(bout, ruleSet));
        const tally = scoreOf(ruleSet, sheet);
        expect(scoreOf(ruleSet, must(readSheet(printSheet(sheet), ruleSet)))).toEqual(tally);
        expect(scoreOf(ruleSet, must(readJsonLines(printJsonLines(sheet), ruleSet)))).toEqual(tally);
      }
    },
  );
});
