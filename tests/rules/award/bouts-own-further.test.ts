/** The bout's own sentences, as the rule book says them: who wins, how it ends, what doubles and afterblows do. */
import { describe, expect, test } from "vitest";
import { applyFacts } from "../../../rules/award/facts.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import type { Tally } from "../../../rules/award/tally.ts";
import { result, scorerOf, sheetOf, tallyOf } from "../../support/score.ts";

const TOUCHES = "touches: {I hit the head: 3, I hit the torso: 2, I hit: 1}";
const withBout = (bout: string, more = ""): string => `bout: {${bout}}\n${TOUCHES}\n${more}`;
const tally = (bout: string, sheet: string, more = ""): Tally =>
  tallyOf(scorerOf(withBout(bout, more)), sheet);
/** "3-1 red wins" */
const how = (one: Tally): string => `${one.points.red}-${one.points.blue} ${one.ended ?? "goes on"}`;
const ended = (bout: string, sheet: string, more = ""): string => how(tally(bout, sheet, more));
const says = (one: Tally): readonly string[] => one.awards.map(({ sentence }) => sentence);

const R_HEAD = "R cut head ! .";
const B_ARM = "B cut arm ! .";
/** Exchanges numbered from 1. */
const bout = (...exchanges: readonly string[]): string =>
  exchanges.map((one, i) => `${String(i + 1)} ${one}\n`).join("");

describe("a head start", () => {
  const HEAD = "starts: the weaker has 2 points, ends: at 4 points";

  test("goes to the weaker, wherever in the bout that is said", () => {
    expect(ended(HEAD, "weaker B\n1 R cut arm ! .")).toBe("1-2 goes on");
    expect(ended(HEAD, "1 R cut arm ! .\nweaker B")).toBe("1-2 goes on");
    expect(ended(HEAD, "weaker R")).toBe("2-0 goes on");
    expect(says(tally(HEAD, "weaker B"))).toEqual(["Head start: Blue is the weaker: 2 points."]);
  });

  test("nobody is the weaker: nobody has one", () =>
    expect(ended(HEAD, "weaker nobody\n1 R cut arm ! .")).toBe("1-0 goes on"));

  test("counts towards the cap", () =>
    expect(ended(HEAD, "weaker B\n1 B cut torso ! .")).toBe("0-4 blue wins"));

  test("score says it outright", () =>
    expect(ended(HEAD, "weaker B\nscore 1-1\n1 R cut arm ! .")).toBe("2-1 goes on"));

  test("until somebody says so the score is open, and a question asks", () => {
    const scorer = scorerOf(withBout(HEAD));
    const sheet = sheetOf(scorer, "1 R cut arm ! .");
    const one = scoreBout(scorer, sheet);
    expect([one.open, one.span.points]).toEqual([
      2,
      { red: { least: 1, most: 3 }, blue: { least: 0, most: 2 } },
    ]);
    const [question] = one.questions;
    expect([question?.text, question?.answers.map(({ label }) => label)]).toEqual([
      "Who is the weaker?",
      ["Red", "Blue", "Nobody"],
    ]);
    const points = question?.answers.map(({ facts }) => {
      const answered = sheet.map((line) => (line.type === "exchange" ? applyFacts(line, facts) : line));
      const after = scoreBout(scorer, answered);
      return [how(after), after.open];
    });
    expect(points).toEqual([
      ["3-0 goes on", 0],
      ["1-2 goes on", 0],
      ["1-0 goes on", 0],
    ]);
  });

  test("what starts with the weaker, or the stronger, follows the same word", () => {
    const marks = `marks:
  initiative: {is: a token, starts: with the weaker}
  sides: {is: roles attacker and defender for the bout, starts: with the stronger}
rules: [{name: Ready, when: I hit, if: the initiative is mine, pays: 1 bonus to me}]`;
    const one = tally("ends: at 9 points", "weaker R\n1 R cut arm ! .", marks);
    expect([result(one), one.marks]).toEqual(["points 1-0 bonus 1-0", { initiative: "red", sides: "blue" }]);
    const open = tally("ends: at 9 points", "1 R cut arm ! .", marks);
    expect([open.open, open.questions.map(({ text }) => text)]).toEqual([1, ["Who is the weaker?"]]);
    expect(tally("ends: at 9 points", "weaker nobody\n1 R cut arm ! .", marks).marks).toEqual({
      initiative: "nobody",
      sides: "nobody",
    });
  });
});

describe("warnings and penalty hits", () => {
  test("a warning is shown in the tally, and my warnings counts it", () => {
    const rules = 'rules: [{name: Fine, when: I hit, if: "my warnings is 2 or more", pays: -1 bonus to me}]';
    const one = tally("ends: at 9 points", "warning R\n1 R cut arm ! .\nwarning R\n2 R cut arm ! .", rules);
    expect([result(one), one.warned]).toEqual(["points 2-0 bonus -1-0", { red: 2, blue: 0 }]);
  });

  test("a penalty hit is a point of the other, and my penalties counts it", () => {
    const rules = 'rules: [{name: Fine, when: I hit, if: "my penalties is 1 or more", pays: -1 bonus to me}]';
    const one = tally("ends: at 9 points", "penalty R\n1 R cut arm ! .", rules);
    expect(result(one)).toBe("points 1-1 bonus -1-0");
  });
});

describe("a limit for each fencer", () => {
  test("3 points a fencer: what would lead above it is cut, and the sentence says so", () => {
    const one = tally("limits: 3 points a fencer", bout("R cut torso ! .", "R cut torso ! .", R_HEAD, B_ARM));
    expect(how(one)).toBe("3-1 goes on");
    expect(says(one)[1]).toBe("Touch: Red hit the torso with a cut: 2 points, the fencer's limit: 1 point.");
  });

  test("a rule's points are within it", () => {
    const rules = "rules: [{name: Feint, when: I feint, pays: 2 points to me}]";
    expect(ended("limits: 3 points a fencer", bout("R feint, R cut torso ! ."), rules)).toBe("3-0 goes on");
  });
});

describe("touches that add up", () => {
  test("1 each for contact, target, structure and control: rules that pay points", () => {
    const text = `words: {structure: a call}
bout: {ends: at 8 points}
touches: {I hit: 1}
rules:
  - {name: Target, when: I hit the head or torso, pays: 1 point to me}
  - {name: Structure, when: I hit, if: the judge calls structure for me, pays: 1 point to me}
  - {name: Control, when: "I hit, then I control", pays: 1 point to me}`;
    const one = tallyOf(
      scorerOf(text),
      `1 R cut arm ! .
2 R cut head !, R control . call structure R
3 B thrust torso !, B control .
4 B cut leg miss . call structure B`,
    );
    expect(how(one)).toBe("5-3 goes on");
    expect(one.exchanges.map(({ points }) => `${String(points.red)}-${String(points.blue)}`)).toEqual([
      "1-0",
      "5-0",
      "5-3",
      "5-3",
    ]);
  });
});
