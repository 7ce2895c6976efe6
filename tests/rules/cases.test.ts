import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { parseAllDocuments, stringify } from "yaml";
import { compile } from "../../rules/award/compile.ts";
import { scoreBout } from "../../rules/award/score.ts";
import type { Tally } from "../../rules/award/tally.ts";
import { formatFaults, type Outcome } from "../../rules/language/faults.ts";
import { readRuleSet } from "../../rules/language/read.ts";
import { printJsonLines, printSheet, readJsonLines, readSheet } from "../../rules/language/sheet.ts";
import type { RuleSet } from "../../rules/language/tree.ts";
import type { BoutSheet } from "../../rules/record.ts";

/**
 * The numbered cases of the rule language, each with bout sheets and the tally that they must give (Red-Blue; what is
 * not written is not checked).
 */
interface Case {
  readonly name: string;
  readonly text: string;
  readonly sheets: readonly { readonly bout: string; readonly gives: string }[];
}

const CASES: readonly Case[] = parseAllDocuments(
  readFileSync(new URL("../golden/cases.yaml", import.meta.url), "utf8"),
).map((document) => {
  const { sheets, ...ruleSet } = document.toJS() as { name: string; sheets: Case["sheets"] };
  return { name: ruleSet.name, text: stringify(ruleSet), sheets };
});

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

const PAIR = /^(-?\d+(?:\.\d+)?)-(-?\d+(?:\.\d+)?)$/;
const pairOf = (text: string): { red: number; blue: number } => {
  const match = PAIR.exec(text);
  if (!match) throw new Error(`"${text}" is no pair`);
  return { red: Number(match[1]), blue: Number(match[2]) };
};

/** "points 1-0 bonus 6-0 open 1 warn 0-1 ended both lose mark head start R 1" as what to compare with. */
function wanted(gives: string): Partial<Record<string, unknown>> {
  const found: Record<string, unknown> = {};
  const part =
    /(points|bonus|warn) (\S+)|open (\d+)|ended (null|both lose|draw|red wins|blue wins)|mark (.+?) ([RB]) (-?\d+)/g;
  let rest = gives;
  for (const match of gives.matchAll(part)) {
    if (match[1] !== undefined) found[match[1]] = pairOf(match[2] ?? "");
    if (match[3] !== undefined) found["open"] = Number(match[3]);
    if (match[4] !== undefined) found["ended"] = match[4] === "null" ? null : match[4];
    if (match[5] !== undefined) found[`mark ${match[5]} ${match[6]}`] = Number(match[7]);
    rest = rest.replace(match[0], "");
  }
  if (rest.trim() !== "" || Object.keys(found).length === 0) throw new Error(`cannot read "${gives}"`);
  return found;
}

/** The same keys of a tally. */
function given(tally: Tally, keys: readonly string[]): Record<string, unknown> {
  const values: Record<string, unknown> = {
    points: tally.points,
    bonus: tally.bonus,
    warn: tally.warned,
    open: tally.open,
    ended: tally.ended,
  };
  for (const key of keys) {
    const mark = /^mark (.+) ([RB])$/.exec(key);
    if (!mark) continue;
    const value = tally.marks[mark[1] ?? ""];
    const side = mark[2] === "R" ? "red" : "blue";
    values[key] =
      typeof value === "object" && side in value ? (value as { red: unknown; blue: unknown })[side] : value;
  }
  return Object.fromEntries(keys.map((key) => [key, values[key]]));
}

function scoreOf(ruleSet: RuleSet, sheet: BoutSheet): Tally {
  return scoreBout(compile(ruleSet), sheet);
}

function run({ text, sheets, name }: Case): void {
  const ruleSet = must(readRuleSet(text, `${name}.yaml`));
  for (const { bout, gives } of sheets) {
    const tally = scoreOf(ruleSet, must(readSheet(bout, ruleSet, `${name}.sheet`)));
    const expected = wanted(gives);
    expect(given(tally, Object.keys(expected)), `${name}\n${bout}`).toEqual(expected);
  }
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
