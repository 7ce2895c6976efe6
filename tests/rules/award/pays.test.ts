import { describe, expect, test } from "vitest";
import { scoreOf, scorerOf, tallyOf } from "../../support/score.ts";

const rule = (pays: string, more = ""): string => `rules: [{name: It, when: I parry, pays: ${pays}${more}}]`;
const bonus = (text: string, bout: string): string => scoreOf(text, bout).split("bonus ")[1] ?? "";
const parries = (n: number): string =>
  Array.from({ length: n }, (_, i) => `${String(i + 1)} R parry .`).join("\n");

describe("numbers [P9]", () => {
  test("3, 2, then 1: by how often the rule has fired, and the last number stays", () => {
    const text = rule('"3, 2, then 1 bonus to me"');
    expect([1, 2, 3, 4, 5].map((n) => bonus(text, parries(n)))).toEqual(["3-0", "5-0", "6-0", "7-0", "8-0"]);
  });

  test("each fencer has a row of his own", () => {
    expect(
      bonus(rule('"3, 2, then 1 bonus to me"'), "1 R parry .\n2 R parry .\n3 B parry .\n4 B parry ."),
    ).toBe("5-5");
  });

  test("by a pick: the first value takes the first number", () => {
    const week = "picks: {week: {by: the coach, from: ['1', '2', '3'], when: before the evening}}\n";
    const text = `${week}${rule('"5, 3, then 1 bonus to me by week"')}`;
    expect(["1", "2", "3"].map((n) => bonus(text, `pick week = ${n}\n1 R parry .\n2 R parry .`))).toEqual([
      "10-0",
      "6-0",
      "2-0",
    ]);
  });

  test("by a count: 0 takes the first number, each fencer by his own", () => {
    const count = "marks: {n: {is: a count for each fencer, changes: [up 1 when I feint]}}\n";
    const text = `${count}${rule('"5, 3, then 1 bonus to me by n"')}`;
    expect(bonus(text, "1 R parry .\n2 R feint .\n3 R parry, B parry .")).toBe("8-5");
  });

  test("a sum may have an if of its own, and a list is summed", () => {
    const text = rule('[1 bonus to me, "2 bonus to me if I feint", 1 point to them]');
    expect(scoreOf(text, "1 R parry .\n2 R feint, R parry .")).toBe("points 0-2 bonus 4-0");
  });
});

describe("times a mark", () => {
  const count = "marks: {n: {is: a count for each fencer, changes: [up 1 each time I feint]}}\n";

  test("as the exchange began, or with this exchange in it", () => {
    const bout = "1 R feint, R feint, R parry .\n2 R feint, R parry .";
    expect(bonus(`${count}${rule("1 bonus to me times my n")}`, bout)).toBe("2-0");
    expect(bonus(`${count}${rule("1 bonus to me times my n now")}`, bout)).toBe("5-0");
  });

  test("theirs is theirs", () => {
    expect(
      bonus(`${count}${rule("1 bonus to me times their n now")}`, "1 R feint, B feint, B feint, R parry ."),
    ).toBe("2-0");
  });
});

describe("each time and for each full seconds [P11]", () => {
  test("a plain sum is paid once an exchange, each time once for each last action", () => {
    expect(bonus(rule("1 bonus to me"), "1 R parry, B feint, R parry .")).toBe("1-0");
    expect(bonus(rule("1 bonus to me each time"), "1 R parry, B feint, R parry .")).toBe("2-0");
  });

  test("a last action that never takes away again does not count", () => {
    const text = 'rules: [{name: It, when: "I parry, then they never feint", pays: 1 bonus to me each time}]';
    expect(bonus(text, "1 R parry, B feint, R parry, R parry .")).toBe("2-0");
    expect(bonus(text, "1 R parry, B feint .")).toBe("0-0");
  });

  test("only full spans count, and of several stretches the longest", () => {
    const wait = "rules: [{name: It, when: we both wait, pays: 1 bonus to me for each full 20 s}]";
    expect(bonus(wait, "1 RB wait for 39 s .")).toBe("1-1");
    expect(bonus(wait, "1 RB wait for 40 s .")).toBe("2-2");
    expect(bonus(wait, "1 RB wait for 25 s, R feint, RB wait for 45 s, B feint, RB wait for 21 s .")).toBe(
      "2-2",
    );
  });

  test("for 20 s or more: exactly 20 is enough", () => {
    const text = "rules: [{name: It, when: we both wait for 20 s or more, pays: 1 bonus to me}]";
    expect([19, 20, 21].map((n) => bonus(text, `1 RB wait for ${String(n)} s .`))).toEqual([
      "0-0",
      "1-1",
      "1-1",
    ]);
  });
});

describe("what another rule pays, and a judge's own value", () => {
  test('what "RULE" pays them: as it would now pay the other', () => {
    const text = `rules:
  - {name: Hit, when: I hit, pays: "3, then 1 bonus to me"}
  - {name: Foiled, when: "they cut, then I parry", pays: 'what "Hit" pays them to me'}`;
    expect(bonus(text, "1 B cut head ! .\n2 B cut head, R parry .\n3 R cut head, B parry .")).toBe("1-6");
  });

  const praise = (watch: string): string => `words: {praise: a call}
touches: {I hit: 1}
rules: [{name: Praise, if: the judge calls praise for me, pays: between 0 and 2 bonus to me as the judge says${watch}}]`;

  test("the judge's value, held within the span", () => {
    const given = (value: number): string =>
      bonus(praise(""), `1 R feint . call praise R ${String(value)} @j1`);
    expect([0, 1, 2, 5].map(given)).toEqual(["0-0", "1-0", "2-0", "2-0"]);
  });

  test("the call is for one fencer", () => {
    expect(bonus(praise(""), "1 R feint . call praise B 2 @j1 call praise R 1 @j1")).toBe("1-2");
  });

  test("a second judge must assent", () => {
    const second = praise(", watch: a second judge assents");
    expect(bonus(second, "1 R feint . call praise R 2 @j1")).toBe("0-0");
    expect(bonus(second, "1 R feint . call praise R 2 @j1 assent @j2")).toBe("2-0");
  });

  test("a call without its value leaves the whole span open", () => {
    const tally = tallyOf(scorerOf(praise("")), "1 R feint . call praise R @j1");
    expect([tally.open, tally.span.bonus.red]).toEqual([1, { least: 0, most: 2 }]);
    expect(tally.questions.map(({ text }) => text)).toEqual([
      "Exchange 1: how much does the judge give Red for praise?",
    ]);
  });
});
