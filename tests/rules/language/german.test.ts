/**
 * The wording is a table over the tree: German is a second table, and the proof that no sentence is built into the
 * language. The goldens were read aloud by somebody who speaks German.
 */
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { GERMAN } from "../../../rules/language/german/german.ts";
import { printRuleSet } from "../../../rules/language/print.ts";
import { readRuleSet } from "../../../rules/language/read.ts";
import { caseFiles, readySets } from "../../support/rule-files.ts";
import { files, root, text } from "../../support/tree.ts";
import { ruleSet as anyRuleSet } from "../../support/tree-sets.ts";

function inGerman(source: string, name: string): string {
  const read = readRuleSet(source, name);
  if (!read.ok) throw new Error(`${name}: ${read.faults.map(({ message }) => message).join("\n")}`);
  return printRuleSet(read.value, GERMAN);
}

/** What a coach named stands in quotation marks, and names and lists of values are the coach's own. */
const ownWords = (line: string): boolean =>
  /^\s*(?:- )?(?:Name|Bestes von): |^ {2}\S.*: (?:eine?|Schritt) |^ {6}- /u.test(line);
const ENGLISH = /\b(?:the|they|their|and|with|when|then|hit|never|points?|bout|exchange|each|undefined)\b/iu;

describe("a rule set in German", () => {
  test.each(files("rules/sets/*.yaml").concat("tests/golden/german/every-means.yaml"))(
    "%s reads as it was read aloud",
    (name) => {
      const file = `tests/golden/german/${name.replace(/^.*\//u, "").replace(".yaml", ".txt")}`;
      const german = inGerman(text(name), name);
      if (process.env["UPDATE_GOLDENS"] === "1") writeFileSync(join(root, file), german);
      expect(german).toBe(text(file));
    },
  );

  test("leaves no English word of the language in any ready set or case", () => {
    const left = [...readySets(), ...caseFiles()].flatMap(({ name, text: source }) =>
      inGerman(source, name)
        .split("\n")
        .filter((line) => !ownWords(line) && ENGLISH.test(line.replace(/„[^“]*“/gu, "")))
        .map((line) => `${name}: ${line}`),
    );
    expect(left).toEqual([]);
  });

  test("says every tree, and different sentences differently", () => {
    fc.assert(
      fc.property(anyRuleSet, anyRuleSet, (one, other) => {
        const [a, b] = [printRuleSet(one, GERMAN), printRuleSet(other, GERMAN)];
        expect(a).not.toMatch(/undefined|\[object/u);
        if (printRuleSet(one) !== printRuleSet(other)) expect(a).not.toBe(b);
      }),
      { seed: 5, numRuns: 150 },
    );
  });
});
