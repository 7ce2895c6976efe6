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
    expect(held("1 R parry, B parry .")).toBe("blue");
    expect(held("1 R parry .\n2 B parry .")).toBe("red");
  });
});

const marked = (mark: string, bout: string, rules = ""): unknown =>
  tallyOf(scorerOf(`weapon: longsword\nmarks: {n: ${mark}}\ntouches: {I hit: 1}\n${rules}`), bout).marks["n"];

describe("what a mark starts with, and how long it lasts", () => {
  test("a count starts at its number, a flag on or off, a token with whom it is said", () => {
    expect(marked("{is: a count for each fencer, starts: at 3}", "1 R feint .")).toEqual({ red: 3, blue: 3 });
    expect(marked("{is: a flag for the bout, starts: on}", "1 R feint .")).toBe(true);
    expect(marked("{is: a flag for the bout}", "1 R feint .")).toBe(false);
    expect(marked("{is: a token, starts: with blue}", "1 R feint .")).toBe("blue");
    expect(marked("{is: a token}", "1 R feint .")).toBe("nobody");
  });

  test.each([
    ["each fencer", { red: 1, blue: 0 }],
    ["each fencer tonight", { red: 1, blue: 1 }],
    ["each team tonight", { red: 1, blue: 1 }],
    ["the bout", 1],
    ["each pair tonight", 1],
    ["the hall", 2],
  ])("a count for %s, over two bouts of Ana's", (keeper, holds) => {
    const bouts = "bout R Ana, B Ben\n1 R parry .\nbout R Cem, B Ana\n1 R parry .";
    expect(marked(`{is: a count for ${keeper}, changes: [up 1 when I parry]}`, bouts)).toEqual(holds);
  });

  test("a count for each exchange begins anew in each, and the rules read it as it grows", () => {
    const text = `marks: {n: {is: a count for each exchange, changes: [up 1 each time I or they parry]}}
rules: [{name: Two, if: the n is 2 or more, pays: 1 bonus to me}]`;
    expect(scoreOf(text, "1 R parry .\n2 B parry .\n3 R parry, B parry .")).toBe("points 0-0 bonus 1-1");
  });
});

describe("changes", () => {
  const count = (changes: string): string => `{is: a count for each fencer, changes: [${changes}]}`;

  test("up, down and to; of two that contradict each other the lower, whatever the order", () => {
    expect(marked(count("up 3 when I parry"), "1 R parry .")).toEqual({ red: 3, blue: 0 });
    expect(marked(count("down 3 when they parry"), "1 R parry .")).toEqual({ red: 0, blue: -3 });
    for (const changes of ["to 5 when I parry, to 2 when I feint", "to 2 when I feint, to 5 when I parry"])
      expect(marked(count(changes), "1 R parry, R feint .")).toEqual({ red: 2, blue: 0 });
  });

  test("after every 2 exchanges, not counting a no exchange", () => {
    const bout = "1 R feint .\n2 no exchange\n3 R feint .\n4 R feint .\n5 R feint .\n6 R feint .";
    expect(marked("{is: a count for the bout, changes: [up 1 after every 2 exchanges]}", bout)).toBe(2);
  });

  test("a change reads the marks as the exchange began, whatever other changes do [P10]", () => {
    const text = `marks:
  m: {is: a count for each fencer, changes: [up 1 when I parry]}
  n: {is: a count for each fencer, changes: ["up 1 when my m is 1 or more, and I parry"]}`;
    const tally = tallyOf(scorerOf(`${text}\ntouches: {I hit: 1}`), "1 R parry .\n2 R parry .");
    expect(tally.marks).toEqual({ m: { red: 2, blue: 0 }, n: { red: 1, blue: 0 } });
  });

  test("and it reads a mark of the exchange as the exchange began, when there was nothing in it", () => {
    const text = `marks:
  m: {is: a count for each exchange, changes: [up 1 when I or they parry]}
  n: {is: a count for the bout, changes: ["up 1 when the m is 1 or more"]}`;
    expect(tallyOf(scorerOf(`${text}\ntouches: {I hit: 1}`), "1 R parry .\n2 R parry .").marks["n"]).toBe(0);
  });

  test("a no exchange changes only what names it [S8]", () => {
    expect(
      marked("{is: a count for the bout, changes: [up 1 when it is not a double]}", "1 no exchange"),
    ).toBe(0);
    expect(
      marked("{is: a count for the bout, changes: [up 1 when it is a no exchange]}", "1 no exchange"),
    ).toBe(1);
  });

  test("a change that names a payment comes after it, and reads what was paid in the end [P10]", () => {
    const rules = (more: string): string =>
      `rules: [{name: Parry, when: I parry, pays: 1 bonus to me${more}}, {name: Gone, when: I feint, does: annul my bonus}]`;
    const change = count(`up 1 when "Parry" pays me`).replace(
      `up 1 when "Parry" pays me`,
      `'up 1 when "Parry" pays me'`,
    );
    expect(marked(change, "1 R parry .\n2 B feint .", rules(""))).toEqual({ red: 1, blue: 0 });
    expect(marked(change, "1 R parry .\n2 R parry .", rules(", at most: once a bout"))).toEqual({
      red: 1,
      blue: 0,
    });
    expect(marked(change, "1 R parry, R feint .", rules(""))).toEqual({ red: 0, blue: 0 });
  });

  test("at the end of the bout the winner's mark changes, and only then", () => {
    const won = count("up 1 at the end of the bout when I win the bout");
    expect(marked(won, "1 R cut head ! .")).toEqual({ red: 0, blue: 0 });
    expect(marked(won, "1 R cut head ! .\nend")).toEqual({ red: 1, blue: 0 });
  });
});

describe("notes and sets, token and roles, each in one exchange", () => {
  test("a note keeps the latest of an exchange", () => {
    const note = "{is: a note for each fencer, changes: [becomes the target when I strike]}";
    expect(marked(note, "1 R cut leg, R cut arm .")).toEqual({ red: "arm", blue: "" });
    expect(marked(note, "1 R cut leg, R cut arm .\n2 R cut head .")).toEqual({ red: "head", blue: "" });
  });

  test("a set keeps all of an exchange and of those before", () => {
    const set = "{is: a set for each fencer, changes: [gains the target when I strike]}";
    expect(marked(set, "1 R cut leg, R cut arm .\n2 R cut head .")).toEqual({
      red: ["arm", "head", "leg"],
      blue: [],
    });
  });

  test("a set of more than 26 words keeps the last of them as well as the first", () => {
    const set = "{is: a set for each fencer, changes: [gains the action when I act]}";
    const acts = "1 R attack head, R bind, R void, R withdraw, R wait .";
    expect(marked(set, acts)).toEqual({ red: ["attack", "bind", "void", "wait", "withdraw"], blue: [] });
  });

  test("passes to me, passes to them, and nobody's token does not change hands", () => {
    const token = (change: string, starts = "with red"): string =>
      `{is: a token, starts: ${starts}, changes: [${change}]}`;
    expect(marked(token("passes to me when I parry"), "1 B parry .")).toBe("blue");
    expect(marked(token("passes to them when I parry"), "1 R parry .")).toBe("blue");
    const nobodys = token("changes hands when I or they parry", "with nobody");
    expect(marked(nobodys, "1 B parry .")).toBe("nobody");
    const rule = "rules: [{name: Free, when: I feint, if: the n is nobody's, pays: 1 bonus to me}]";
    expect(scoreOf(`marks: {n: ${nobodys}}\n${rule}`, "1 B parry .\n2 R feint .")).toBe(
      "points 0-0 bonus 1-0",
    );
  });

  test("a token can move without an action: after so many exchanges", () => {
    expect(
      marked(
        "{is: a token, starts: with red, changes: [changes hands after every 2 exchanges]}",
        "1 R feint .\n2 R feint .\n3 R feint .",
      ),
    ).toBe("blue");
  });

  test("a mark line brings a value in for one fencer or for both", () => {
    const count = "{is: a count for each fencer}";
    expect(marked(count, "mark R n = 4\n1 R feint .")).toEqual({ red: 4, blue: 0 });
    expect(marked(count, "mark R n = 4\nmark B n = 2\n1 R feint .")).toEqual({ red: 4, blue: 2 });
  });
});
