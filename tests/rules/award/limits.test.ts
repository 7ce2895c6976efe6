import { describe, expect, test } from "vitest";
import { scoreOf } from "../../support/score.ts";

const rule = (pays: string, limits: string): string =>
  `rules: [{name: It, when: I parry, pays: ${pays} to me, at most: "${limits}"}]`;
const PARRY = "R parry .";
const bout = (...lines: readonly string[]): string =>
  lines.map((line, i) => `${String(i + 1)} ${line}`).join("\n");

describe("at most [S9]", () => {
  test("an amount: what is left is paid, then nothing", () => {
    expect(scoreOf(rule("2 bonus", "3 bonus a bout"), bout(PARRY, PARRY, PARRY))).toBe(
      "points 0-0 bonus 3-0",
    );
  });

  test("each fencer has a cap of his own", () => {
    expect(scoreOf(rule("2 bonus", "3 bonus a bout"), bout(PARRY, PARRY, "B parry .", "B parry ."))).toBe(
      "points 0-0 bonus 3-3",
    );
    expect(scoreOf(rule("2 bonus", "3 bonus an exchange"), bout("R parry, B parry ."))).toBe(
      "points 0-0 bonus 2-2",
    );
  });

  test("a cap on one unit leaves the other alone", () => {
    const text = rule("[3 bonus to me, 2 points", "1 point a bout").replace(
      "2 points to me",
      "2 points to me]",
    );
    expect(scoreOf(text, bout(PARRY, PARRY))).toBe("points 1-0 bonus 6-0");
  });

  test("what is taken away is capped like what is given", () => {
    expect(scoreOf(rule("-2 points", "3 points a bout"), bout(PARRY, PARRY, PARRY))).toBe(
      "points -3-0 bonus 0-0",
    );
  });

  test("so many times, within an exchange and over the bout", () => {
    const times = (limits: string): string => rule("1 bonus", limits).replace("to me,", "to me each time,");
    expect(scoreOf(times("2 times an exchange"), bout("R parry, R parry, R parry ."))).toBe(
      "points 0-0 bonus 2-0",
    );
    expect(scoreOf(times("3 times a bout"), bout("R parry, R parry .", "R parry, R parry ."))).toBe(
      "points 0-0 bonus 3-0",
    );
  });

  test("an exchange's cap begins anew in the next", () => {
    expect(scoreOf(rule("2 bonus", "1 bonus an exchange"), bout(PARRY, PARRY))).toBe("points 0-0 bonus 2-0");
  });

  test("two scopes at once: both hold", () => {
    expect(scoreOf(rule("2 bonus", "1 bonus an exchange, 2 bonus a bout"), bout(PARRY, PARRY, PARRY))).toBe(
      "points 0-0 bonus 2-0",
    );
  });

  test("had: the sum of all exchanges, not the latest", () => {
    expect(scoreOf(rule("1 bonus", "2 bonus a bout"), bout(PARRY, PARRY, PARRY, PARRY))).toBe(
      "points 0-0 bonus 2-0",
    );
  });

  test.each([
    ["once a bout", "0-1", "0-1"],
    ["once a pair tonight", "0-0", "0-1"],
    ["once a team tonight", "0-0", "0-0"],
    ["once tonight", "0-0", "0-0"],
    ["once in the hall tonight", "0-0", "0-0"],
  ])("%s: the same pair again, and Ana with another", (limits, again, another) => {
    const first = `bout R Ana, B Ben\n1 ${PARRY}\n`;
    const text = rule("1 bonus", limits);
    expect(scoreOf(text, `${first}bout R Ben, B Ana\n1 B parry .`)).toBe(`points 0-0 bonus ${again}`);
    expect(scoreOf(text, `${first}bout R Cem, B Ana\n1 B parry .`)).toBe(`points 0-0 bonus ${another}`);
  });

  test("in the hall: who is due alone takes it, two who are due at once share an amount", () => {
    const hall = rule("4 bonus", "6 bonus in the hall tonight");
    expect(scoreOf(hall, bout(PARRY, "B parry ."))).toBe("points 0-0 bonus 4-2");
    expect(scoreOf(hall, bout("R parry, B parry ."))).toBe("points 0-0 bonus 3-3");
    expect(scoreOf(rule("4 bonus", "8 bonus in the hall tonight"), bout("R parry, B parry ."))).toBe(
      "points 0-0 bonus 4-4",
    );
  });

  test("in the hall: it is gone for everybody", () => {
    const once = rule("1 bonus", "once in the hall tonight");
    expect(scoreOf(once, bout(PARRY, "B parry .", PARRY))).toBe("points 0-0 bonus 1-0");
    expect(scoreOf(once, bout("B parry .", PARRY, "B parry ."))).toBe("points 0-0 bonus 0-1");
  });

  test("once in the hall: two who are first at once both have it", () => {
    const once = rule("1 bonus", "once in the hall tonight");
    expect(scoreOf(once, bout("R parry, B parry .", "R parry, B parry ."))).toBe("points 0-0 bonus 1-1");
  });
});

describe("not below [S13]", () => {
  const floor = (unit: string, n: number): string =>
    `touches: {I hit: 1}\nrules: [{name: Out, when: I step out, pays: -2 ${unit} to me, not below: ${String(n)}}]`;

  test("the floor is the one that is said, in the unit that is paid", () => {
    expect(scoreOf(floor("points", 0), "score 3-0\n1 R step out .\n2 R step out .")).toBe(
      "points 0-0 bonus 0-0",
    );
    expect(scoreOf(floor("points", 2), "score 3-0\n1 R step out .")).toBe("points 2-0 bonus 0-0");
    expect(scoreOf(floor("bonus", -3), "score 5-0\n1 R step out .\n2 R step out .")).toBe(
      "points 5-0 bonus -3-0",
    );
  });

  test("what a floor spared is not had: a cap counts what was really taken", () => {
    const text =
      "rules: [{name: Out, when: I step out, pays: -1 point to me, not below: 0, at most: 1 point a bout}]";
    expect(scoreOf(`touches: {I hit: 1}\n${text}`, "1 R step out .\n2 R cut head ! .\n3 R step out .")).toBe(
      "points 0-0 bonus 0-0",
    );
  });
});
