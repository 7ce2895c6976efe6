import { describe, expect, test } from "vitest";
import { result, scoreOf, scorerOf, tallyOf } from "../../support/score.ts";

describe("marks that remember", () => {
  const note = `weapon: longsword
marks:
  last target: {is: a note for each fencer, changes: [becomes the target when I hit]}
rules: [{name: Another, when: I hit anything but my last target, pays: 1 bonus to me}]`;

  test("anything but my NOTE while it is empty is anything [S10]; then it must be another", () => {
    expect(scoreOf(note, "1 R cut head ! .\n2 R cut head ! .\n3 R cut arm ! .\n4 B cut arm ! .")).toBe(
      "points 0-0 bonus 2-1",
    );
  });

  const set = `marks:
  targets: {is: a set for each fencer, changes: [gains the target when I hit]}
rules:
  - {name: New, when: I hit anything but one of my targets, pays: 1 bonus to me}
  - {name: Three, if: my targets is 3 or more now, pays: 5 bonus to me, at most: once a bout}`;

  test("a set gathers, and its size can be asked", () => {
    const scorer = scorerOf(set);
    const bout = "1 R cut head ! .\n2 R cut head ! .\n3 R cut arm ! .\n4 R cut leg ! .";
    expect(result(tallyOf(scorer, bout))).toBe("points 0-0 bonus 8-0");
    const { marks } = tallyOf(scorer, bout);
    expect(marks["targets"]).toEqual({ red: ["arm", "head", "leg"], blue: [] });
  });

  test("a target that nobody recorded leaves what depends on it open", () => {
    const tally = tallyOf(scorerOf(set), "1 R cut head ! .\n2 R cut ! .\n3 R cut head ! .");
    expect([tally.bonus.red, tally.open]).toEqual([1, 1]);
  });
});

describe("counts and flags", () => {
  test("ups and downs are summed, then to wins, whatever their order [P10]", () => {
    const text = (changes: string): string =>
      `marks: {n: {is: a count for each fencer, changes: [${changes}]}}\ntouches: {I hit: 1}`;
    const marks = (changes: string): unknown =>
      tallyOf(scorerOf(text(changes)), "1 R feint, R parry .").marks["n"];
    expect(marks("up 2 when I feint, down 1 when I parry")).toEqual({ red: 1, blue: 0 });
    expect(marks("to 5 when I parry, up 2 when I feint")).toEqual({ red: 5, blue: 0 });
    expect(marks("up 2 when I feint, to 5 when I parry")).toEqual({ red: 5, blue: 0 });
  });

  test("a plain count rises once an exchange; each time counts last steps [S7]", () => {
    const of = (change: string): unknown =>
      tallyOf(
        scorerOf(`marks: {n: {is: a count for the bout, changes: [${change}]}}\ntouches: {I hit: 1}`),
        "1 R parry, B parry, R parry .",
      ).marks["n"];
    expect(of("up 1 when I parry")).toBe(1);
    expect(of("up 1 each time I parry")).toBe(3);
  });

  test("without now a mark is read as the exchange began [P6]", () => {
    const text = (
      now: string,
    ): string => `marks: {hot: {is: a flag for each fencer, changes: [on when I parry]}}
rules: [{name: Hot, when: I parry, if: my hot is on${now}, pays: 1 bonus to me}]`;
    expect(scoreOf(text(""), "1 R parry .\n2 R parry .")).toBe("points 0-0 bonus 1-0");
    expect(scoreOf(text(" now"), "1 R parry .\n2 R parry .")).toBe("points 0-0 bonus 2-0");
  });
});

describe("tokens and roles", () => {
  test("a token flips once for each distinct last step, whichever fencer matched it", () => {
    const text = `marks: {initiative: {is: a token, starts: with red, changes: [changes hands when I or they parry]}}\ntouches: {I hit: 1}`;
    const held = (bout: string): unknown => tallyOf(scorerOf(text), bout).marks["initiative"];
    expect(held("1 R parry .")).toBe("blue");
    expect(held("1 R parry, B parry .")).toBe("red");
    expect(held("1 R parry, B parry, R parry .")).toBe("blue");
  });

  test("roles change at most once an exchange", () => {
    const text = `marks:
  who: {is: roles attacker and defender for the bout, starts: with red, changes: [changes hands when I or they parry]}\ntouches: {I hit: 1}`;
    const held = (bout: string): unknown => tallyOf(scorerOf(text), bout).marks["who"];
    expect(held("1 R parry, B parry, R parry .")).toBe("blue");
    expect(held("1 R parry .\n2 B parry .")).toBe("red");
  });
});
