/** One meaning, one tree, one text: print and read are each other's inverse. */
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { formatFaults } from "../../../rules/language/faults.ts";
import { hashRuleSet } from "../../../rules/language/hash.ts";
import { Names } from "../../../rules/language/names.ts";
import { parseAll } from "../../../rules/language/parse-condition.ts";
import { parsePhrase } from "../../../rules/language/parse-phrase.ts";
import { parsePay } from "../../../rules/language/parse-pay.ts";
import { parseSentence, type Rule } from "../../../rules/language/parse.ts";
import { printAll } from "../../../rules/language/print-condition.ts";
import { printPay } from "../../../rules/language/print-pay.ts";
import { printPhrase } from "../../../rules/language/print-phrase.ts";
import { printRuleSet } from "../../../rules/language/print.ts";
import { readRuleSet, readSentences } from "../../../rules/language/read.ts";
import { wordsFor } from "../../../rules/language/words.ts";
import { ruleSet } from "../../support/tree-sets.ts";

const RUNS = process.env["LONG"] === "1" ? 5_000 : 250;
const names = new Names(wordsFor("longsword", []));

function reprint<T>(text: string, rule: Rule<T>, print: (tree: T) => string): string {
  const parsed = parseSentence(text, rule, names);
  return parsed.ok ? print(parsed.value) : `FAULT ${parsed.said.text}`;
}
const phrase = (text: string): string => reprint(text, parsePhrase, printPhrase);
const condition = (text: string): string => reprint(text, parseAll, printAll);
const pay = (text: string): string => reprint(text, parsePay, printPay);

const hash = (text: string): string => {
  const read = readRuleSet(text);
  return read.ok ? hashRuleSet(read.value) : formatFaults(read.faults);
};

test("[P21] any canonical tree prints to a text that reads back to an equal tree", () => {
  fc.assert(
    fc.property(ruleSet, (tree) => {
      const text = printRuleSet(tree);
      // Trees made by chance may ask for what can never hold: the grammar reads them all, the checks refuse some.
      const read = readSentences(text, "made.yaml");
      expect(read.ok ? read.value : formatFaults(read.faults)).toEqual(tree);
      const checked = readRuleSet(text, "made.yaml");
      if (checked.ok) expect(checked.value).toEqual(tree);
    }),
    { numRuns: RUNS, seed: 58 },
  );
});

describe("one verb for one meaning", () => {
  test.each([
    ["I thrust and hit", "I hit with a thrust"],
    ["I strike with a thrust and hit", "I hit with a thrust"],
    ["I hit with thrust", "I hit with a thrust"],
    ["I strike with a cut to the leg", "I cut to the leg"],
    ["I cut or thrust", "I cut or thrust"],
    ["I strike with cut or thrust", "I cut or thrust"],
    ["I strike with anything but a cut", "I strike with anything but a cut"],
    ["I strike to the head and hit", "I hit the head"],
    ["I strike with a lunge with a cut", "I cut with a lunge"],
    ["I act", "I act"],
    ["they evade", "they void"],
    ["they afterblow", "they land an afterblow"],
    ["THEY CUT TO HEAD, THEN I PARRY", "they cut to the head, then I parry"],
    ["they cut to the head, and then I parry", "they cut to the head, then I parry"],
    ["they cut at once I parry", "they cut, at once I parry"],
    ["they or I hit", "I or they hit"],
    ["first they feint, then I hit", "first they feint, then I hit"],
    ["I hit with wrath cut", "I hit with a zornhau"],
    ["I hit with absetzen", "I hit with an absetzen"],
    ["I hit with the short edge", "I hit with the false edge"],
    ["I begin from wrath guard", "I begin from the wrath guard"],
    ["I strike from above", "I strike from above"],
    ["they wait for 41 seconds or more", "they wait for 41 s or more"],
  ])("%s -> %s", (written, canonical) => {
    expect(phrase(written)).toBe(canonical);
    expect(phrase(canonical)).toBe(canonical);
  });
});

describe("manners have one order, and the order of or stays", () => {
  test("sorted and each once", () => {
    expect(phrase("I hit in opposition cleanly in one tempo cleanly")).toBe(
      "I hit cleanly in one tempo in opposition",
    );
  });
  test("choices stay as written", () => {
    expect(phrase("I hit the torso or head")).toBe("I hit the torso or the head");
  });
});

describe("conditions and pay", () => {
  test.each([
    ["they are level", "I am level"],
    ["I am ahead by 2 or more, and it is not a double", "I am ahead by 2 or more, and it is not a double"],
    ["30 s or less are left", "30 s or less are left"],
    ["it is last exchange", "it is the last exchange"],
    ["in last exchange it is double", "in the last exchange it is a double"],
  ])("%s -> %s", (written, canonical) => {
    expect(condition(written)).toBe(canonical);
  });
  test.each([
    ["1 points to me", "1 point to me"],
    ["+2 bonus to them", "2 bonus to them"],
    ["3,2,1, then 0 bonus to me", "3, 2, 1, then 0 bonus to me"],
    ["0.5 bonus to me each time", "0.5 bonus to me each time"],
    ["1 bonus to me each time for each full 10 s", "1 bonus to me each time for each full 10 s"],
    ["−1 point to me", "-1 point to me"],
  ])("%s -> %s", (written, canonical) => {
    expect(pay(written)).toBe(canonical);
  });
});

describe("the hash is of the meaning", () => {
  const tidy = hash("name: A\nweapon: longsword\ntouches:\n  I hit with a thrust: 1\n");

  test("64 hex digits", () => {
    expect(tidy).toMatch(/^[0-9a-f]{64}$/);
  });
  test("however it was typed", () => {
    expect(hash("# a note\ntouches: { 'I THRUST and hit': 1 }\nweapon: 'longsword'\nname: A\n")).toBe(tidy);
  });
  test("another worth, another hash", () => {
    expect(hash("name: A\nweapon: longsword\ntouches:\n  I hit with a thrust: 2\n")).not.toBe(tidy);
  });
});
