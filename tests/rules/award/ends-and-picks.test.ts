import { describe, expect, test } from "vitest";
import { result, scoreOf, scorerOf, tallyOf } from "../../support/score.ts";

const HIT = "touches: {I hit: 1}\n";

describe("what stands between exchanges", () => {
  test("a score line sets the score, and conditions read it", () => {
    const text = `${HIT}rules: [{name: Ahead, if: I am ahead, pays: 1 bonus to me}]`;
    const tally = tallyOf(scorerOf(text), "1 R cut head ! .\nscore 0-3\n2 R feint .");
    expect(result(tally)).toBe("points 0-3 bonus 0-1");
    expect(tally.span.points).toEqual({ red: { least: 0, most: 0 }, blue: { least: 3, most: 3 } });
  });

  test("a penalty hit is the other's point, and conditions read it", () => {
    const text = `${HIT}rules: [{name: Ahead, if: I am ahead, pays: 1 bonus to me}]`;
    expect(scoreOf(text, "penalty R\n1 R feint .")).toBe("points 0-1 bonus 0-1");
  });

  test("head starts: the weaker's and the stronger's points are different things", () => {
    const text = (who: string): string => `bout: {starts: ${who} has 2 points, ends: at 9 points}\n${HIT}`;
    const span = (who: string): unknown => tallyOf(scorerOf(text(who)), "1 R feint .").span.points;
    // Who is weaker is not known, so either may have it.
    const either = { red: { least: 0, most: 2 }, blue: { least: 0, most: 2 } };
    expect([span("the weaker"), span("the stronger")]).toEqual([either, either]);
    const both = `bout: {starts: [the weaker has 4 points, the stronger has 3 points]}\n${HIT}`;
    expect(tallyOf(scorerOf(both), "1 R feint .").span.points).toEqual({
      // Nobody may be the weaker, and then nobody has a start.
      red: { least: 0, most: 4 },
      blue: { least: 0, most: 4 },
    });
    expect(scoreOf(both, "score 4-3\n1 B cut head ! .")).toBe("points 4-4 bonus 0-0");
  });

  test("a head start from a mark is each fencer's own mark", () => {
    const text = `marks: {start: {is: a count for each fencer tonight}}
bout: {starts: the weaker has the start in points}\n${HIT}`;
    const tally = tallyOf(scorerOf(text), "mark R start = 2\nmark B start = 0\n1 B feint .");
    expect(tally.span.points).toEqual({ red: { least: 0, most: 2 }, blue: { least: 0, most: 0 } });
  });
});

describe("the end of the bout", () => {
  const convert = "bout: {at the end: 'every 3 bonus make 1 point, the rest is lost'}\n";
  const parry = "rules: [{name: Parry, when: I parry, pays: 1 bonus to me each time}]";

  test("conversion: full threes make points, the rest is lost", () => {
    const text = `${convert}${HIT}${parry}`;
    const parries = (n: number): string =>
      `1 ${Array.from({ length: n }, () => "R parry").join(", ")} .\nend`;
    expect([2, 3, 5, 6].map((n) => scoreOf(text, parries(n)))).toEqual([
      "points 0-0 bonus 0-0",
      "points 1-0 bonus 0-0",
      "points 1-0 bonus 0-0",
      "points 2-0 bonus 0-0",
    ]);
  });

  test("conversion comes before anybody has won", () => {
    const tally = tallyOf(
      scorerOf(`${convert}${HIT}${parry}`),
      "1 B cut head ! .\n2 R parry, R parry, R parry, R parry, R parry, R parry .\nend",
    );
    expect([result(tally), tally.ended]).toEqual(["points 2-1 bonus 0-0", "red wins"]);
  });

  test.each([
    ["end R", "red wins"],
    ["end B", "blue wins"],
    ["end draw", "draw"],
    ["end both lose", "both lose"],
    ["end R forfeits", "red forfeits"],
    ["end", "red wins"],
  ])("%s", (line, ended) => expect(tallyOf(scorerOf(HIT), `1 R cut head ! .\n${line}`).ended).toBe(ended));

  test("the clock at nought ends a bout of so many minutes, 1 s left does not", () => {
    const text = `bout: {ends: after 2 min}\n${HIT}`;
    const ended = (left: number): unknown =>
      tallyOf(scorerOf(text), `1 R cut head ! . [${String(left)} s left]`).ended;
    expect([ended(1), ended(0)]).toEqual([null, "red wins"]);
  });

  test("so many doubles: only doubles count, and both lose", () => {
    const text = `bout: {ends: "at 2 doubles, both lose"}\n${HIT}`;
    const ended = (...hows: readonly string[]): unknown =>
      tallyOf(
        scorerOf(text),
        hows.map((how, i) => `${String(i + 1)} ${how} R cut head !, B cut head ! .`).join("\n"),
      ).ended;
    expect([ended("double"), ended("double", "simultaneous"), ended("double", "double")]).toEqual([
      null,
      null,
      "both lose",
    ]);
  });

  test("so many exchanges: a no exchange is none", () => {
    const text = `bout: {ends: after 2 exchanges}\n${HIT}`;
    expect(tallyOf(scorerOf(text), "1 R cut head ! .\n2 no exchange").ended).toBe(null);
    expect(tallyOf(scorerOf(text), "1 R cut head ! .\n2 no exchange\n3 B feint .").ended).toBe("red wins");
  });

  test("what is fenced after the end counts nothing, in touches, bonus and warnings", () => {
    const text = `bout: {ends: at 1 point}\n${HIT}rules: [{name: Hit, when: I hit, pays: 1 bonus to me, does: warn them}]`;
    const tally = tallyOf(scorerOf(text), "1 R cut head ! .\n2 B cut head ! .");
    expect([result(tally), tally.warned]).toEqual(["points 1-0 bonus 1-0", { red: 0, blue: 1 }]);
  });

  test("ties: fewer of a mark wins", () => {
    const text = `marks: {blots: {is: a count for each fencer, changes: [up 1 when I step out]}}
bout: {ties: fewer blots}\n${HIT}`;
    expect(tallyOf(scorerOf(text), "1 R step out .\nend").ended).toBe("blue wins");
    expect(tallyOf(scorerOf(text), "1 R feint .\nend").ended).toBe("draw");
  });

  test("called off while level, sudden death has no winner", () => {
    const text = `bout: {ends: at 5 points, ties: sudden death}\n${HIT}`;
    expect(tallyOf(scorerOf(text), "1 R feint .\nend").ended).toBe("draw");
  });
});

describe("corrections [S15]", () => {
  const text = `bout: {ends: at 2 points}\n${HIT}rules: [{name: Row, when: I hit, pays: '3, 2, then 1 bonus to me'}]`;

  test("an end that the correction takes away: what was fenced after it counts again", () => {
    const scorer = scorerOf(text);
    const wrong = "1 R cut head ! .\n2 R cut arm ! .\n3 B cut head ! .\nagain 2 R cut arm miss .";
    const right = "1 R cut head ! .\n2 R cut arm miss .\n3 B cut head ! .";
    expect(tallyOf(scorer, wrong)).toEqual(tallyOf(scorer, right));
    expect(result(tallyOf(scorer, wrong))).toBe("points 1-1 bonus 3-3");
  });

  test("an end that the correction brings forward: what was fenced after it counts nothing", () => {
    const scorer = scorerOf(text);
    const wrong =
      "1 R cut head ! .\n2 R cut arm miss .\n3 B cut head ! .\n4 B cut head ! .\nagain 2 R cut arm ! .";
    const right = "1 R cut head ! .\n2 R cut arm ! .\n3 B cut head ! .\n4 B cut head ! .";
    expect(tallyOf(scorer, wrong)).toEqual(tallyOf(scorer, right));
    expect(result(tallyOf(scorer, wrong))).toBe("points 2-0 bonus 5-0");
  });

  test("a correction is of its own bout, whatever numbers an earlier one had", () => {
    const bout =
      "bout R Ana, B Ben\n1 R cut head ! .\nbout R Ana, B Cem\n1 B cut head ! .\nagain 1 R cut arm ! .";
    expect(scoreOf(HIT, bout)).toBe("points 1-0 bonus 0-0");
    const once = "rules: [{name: Once, when: I hit, pays: 2 bonus to me, at most: once tonight}]";
    expect(scoreOf(once, bout)).toBe("points 0-0 bonus 0-0");
  });
});

describe("from one bout to the next", () => {
  test("what lasts all evening goes with the names, whichever side they fence on", () => {
    const text =
      "marks: {n: {is: a count for each fencer tonight, changes: [up 1 when I parry]}}\ntouches: {I hit: 1}";
    const bout =
      "bout R Ana, B Ben\n1 R parry .\nbout R Ben, B Ana\n1 R feint .\nbout R Cem, B Ben\n1 B parry .";
    expect(tallyOf(scorerOf(text), bout).marks["n"]).toEqual({ red: 0, blue: 1 });
    expect(
      tallyOf(scorerOf(text), "bout R Ana, B Ben\n1 R parry .\nbout R Ben, B Ana\n1 R feint .").marks["n"],
    ).toEqual({
      red: 0,
      blue: 1,
    });
  });

  test("an evening's end begins everything of the night anew", () => {
    const text =
      "marks: {n: {is: a count for each fencer tonight, changes: [up 1 when I parry]}}\ntouches: {I hit: 1}";
    const bout = "bout R Ana, B Ben\n1 R parry .\nevening\nbout R Ana, B Ben\n1 R feint .";
    expect(tallyOf(scorerOf(text), bout).marks["n"]).toEqual({ red: 0, blue: 0 });
  });

  test.each([
    ["the last loser", "blue"],
    ["the last winner", "red"],
  ])("a token that starts with %s", (who, holder) => {
    const text = `marks: {n: {is: a token, starts: with ${who}}}\n${HIT}`;
    const bout = "bout R Ana, B Ben\n1 R cut head ! .\nend\nbout R Ana, B Ben\n1 R feint .";
    expect(tallyOf(scorerOf(text), bout).marks["n"]).toBe(holder);
  });
});

describe("picks, at each time", () => {
  const pays = (pick: string, by = "the coach"): string =>
    `picks: {p: {by: ${by}, from: [head, arm], ${pick}}}\n${HIT}rules: [{name: It, when: I hit, if: ${by === "each fencer" ? "my" : "the"} p is head, pays: 1 bonus to me}]`;
  const hits = (...before: readonly string[]): string =>
    before.map((line, i) => `${line === "" ? "" : `${line}\n`}${String(i + 1)} R cut leg ! .`).join("\n");
  const bonus = (pick: string, bout: string): number => tallyOf(scorerOf(pays(pick)), bout).bonus.red;

  test("before the bout: one value for all of it, and the last that was said [S16]", () => {
    expect(bonus("when: before the bout", hits("pick p = head", "", ""))).toBe(3);
    expect(bonus("when: before the bout", hits("pick p = arm", "pick p = head", ""))).toBe(3);
  });

  test("before each exchange: its own value and no other's", () => {
    const when = "when: before each exchange";
    expect(bonus(when, hits("pick p = head", "pick p = arm", "pick p = head"))).toBe(2);
    expect(tallyOf(scorerOf(pays(when)), hits("pick p = head", "", "pick p = arm")).open).toBe(1);
  });

  test("after each exchange: the value is in the line, or said after the last", () => {
    const when = "when: after each exchange";
    expect(bonus(when, "1 R cut leg ! . {p = head}\n2 R cut leg ! . {p = arm}")).toBe(1);
    expect(bonus(when, "1 R cut leg ! . {p = arm}\n2 R cut leg ! .\npick p = head")).toBe(1);
  });

  test("every 60 s: it holds from where it is drawn, never before", () => {
    expect(bonus("when: every 60 s", hits("pick p = head", "", "pick p = arm", ""))).toBe(2);
    expect(tallyOf(scorerOf(pays("when: every 60 s")), hits("", "pick p = head")).open).toBe(1);
  });

  test("after every 2 exchanges: a new value for each two, not counting a no exchange", () => {
    const when = "when: after every 2 exchanges";
    expect(bonus(when, hits("pick p = head", "", "pick p = arm", ""))).toBe(2);
    expect(
      bonus(
        when,
        "pick p = head\n1 R cut leg ! .\n2 no exchange\n3 R cut leg ! .\npick p = arm\n4 R cut leg ! .",
      ),
    ).toBe(2);
  });

  test("two drawn together are taken in turn, the first again after the second", () => {
    const drawn = pays("turns: 2, when: after every 2 exchanges");
    const bout = hits("pick p = head\npick p = arm", "", "", "", "", "");
    expect(tallyOf(scorerOf(drawn), bout).exchanges.map(({ bonus }) => bonus.red)).toEqual([
      1, 2, 2, 2, 3, 4,
    ]);
  });

  test("each fencer chooses for himself", () => {
    const text = pays("when: before the bout", "each fencer");
    expect(scoreOf(text, "pick R p = head\npick B p = arm\n1 R cut leg !, B cut leg ! .")).toBe(
      "points 1-1 bonus 1-0",
    );
  });

  test("a value nobody said is every value: the award stays open, and the pick is asked", () => {
    const tally = tallyOf(scorerOf(pays("when: before the bout")), hits(""));
    expect([tally.open, tally.questions.map(({ text }) => text)]).toEqual([1, ["What is the p?"]]);
  });
});
