/**
 * Rule sets as coaches of many weapons would set them (common practice, no source), with several means in one set, caps
 * with corrections, late answers and unknown facts; each sheet with the tally that was worked out by hand.
 */
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { casesOf, given, scored, wanted } from "../support/gives.ts";

const CASES = casesOf(readFileSync(new URL("../golden/cases-coaches.yaml", import.meta.url), "utf8"));
const sentences = (name: string, sheet: number): readonly string[] => {
  const one = CASES.find((each) => each.name.startsWith(`${name} `));
  if (one === undefined) throw new Error(`there is no ${name}`);
  return scored(one)[sheet]?.tally.awards.map(({ sentence }) => sentence) ?? [];
};

describe("rule sets of many coaches", () => {
  test("there are at least 60, each with a sheet", () => {
    expect(CASES.length).toBeGreaterThanOrEqual(60);
    expect(CASES.filter(({ sheets }) => sheets.length === 0)).toEqual([]);
  });

  test.each(CASES.map((one) => [one.name, one] as const))("%s", (name, one) => {
    scored(one).forEach(({ tally, gives }, at) => {
      const expected = wanted(gives);
      expect(given(tally, Object.keys(expected)), `${name}\n${one.sheets[at]?.bout ?? ""}`).toEqual(expected);
    });
  });
});

describe("an award's sentence is true", () => {
  test("what was turned over was done by the other", () => {
    expect(sentences("Coach 13", 0)).toEqual(
      expect.arrayContaining([
        "Touch: Red hit the arm with a riposte during the recovery: 1 point, turned over to Blue by After halt.",
        "Riposte: Red hit the arm with a riposte during the recovery: 2 bonus, turned over to Blue by After halt.",
      ]),
    );
  });

  test("what was held is told as held, in a later exchange and at the end", () => {
    expect(sentences("Coach 16", 0)).toContain("Riposte: what was held for Red: 2 bonus.");
    expect(sentences("Coach 16", 4)).toContain("Riposte: what was held for Red: 2 bonus.");
  });

  test("what both are paid is told once for each, without a sum of the two", () => {
    expect(sentences("Coach 9", 0)).toEqual(
      expect.arrayContaining([
        "Nothing done: both waited for 31 s: -1 bonus to Red.",
        "Nothing done: both waited for 31 s: -1 bonus to Blue.",
      ]),
    );
  });

  test("a rule that pays me and them tells the same deed for both", () => {
    expect(sentences("Coach 33", 0)).toContain(
      "Lesson: Red cut to the head, then Blue parried, then hit the arm with a riposte: 1 bonus to Red.",
    );
  });

  test("a rule without an action tells what held", () => {
    expect(sentences("Coach 7", 0)).toContain(
      "Joker lost: Red's joker is played and Red does not score: -1 point.",
    );
    expect(sentences("Coach 37", 0)).toContain(
      "Holds it at the end: at the end of the bout Red has the potato: -2 bonus.",
    );
  });

  test("what must not hold is told as not holding", () => {
    expect(sentences("Coach 57", 1)).toContain(
      "Untouched: at the end of the bout Red wins the bout and Red's deepest is off: 1 bonus.",
    );
  });

  test("what is paid times a count tells the arithmetic", () => {
    expect(sentences("Coach 12", 0)).toContain(
      "Takes the pot: Blue hit the head with a cut: 2 times 1 bonus: 2 bonus.",
    );
  });
});
