import { describe, expect, test } from "vitest";
import { unsupported } from "../../../rules/award/compile.ts";
import { whetherOver } from "../../../rules/award/over.ts";
import { ruleSetOf } from "../../support/random-bouts.ts";
import { result, scoreOf, scorerOf, tallyOf } from "../../support/score.ts";

describe("the end of a bout", () => {
  const standing = { points: { red: 3, blue: 3 }, bonus: { red: 0, blue: 0 }, exchanges: 6, doubles: 0 };
  const bout = (text: string) => ruleSetOf(`name: Test\nbout: ${text}\ntouches: {I hit: 1}`).bout;

  test.each([
    ["{ends: at 3 points}", standing, "draw"],
    ["{ends: at 3 points, ties: sudden death}", standing, "tie"],
    ["{ends: at 3 points, ties: sudden death}", { ...standing, called: true }, "draw"],
    ["{ends: at 4 points}", standing, null],
    ["{ends: at 4 points}", { ...standing, points: { red: 4, blue: 3 } }, "red wins"],
    ["{ends: at 2 points ahead}", { ...standing, points: { red: 1, blue: 3 } }, "blue wins"],
    ["{ends: after 6 exchanges}", { ...standing, points: { red: 1, blue: 3 } }, "blue wins"],
    ["{ends: after 7 exchanges}", { ...standing, points: { red: 1, blue: 3 } }, null],
    ['{ends: "at 3 doubles, both lose"}', { ...standing, doubles: 3 }, "both lose"],
    ["{ends: after 3 min}", { ...standing, points: { red: 4, blue: 3 }, left: 0 }, "red wins"],
    ["{ends: after 3 min}", { ...standing, points: { red: 4, blue: 3 }, left: 1 }, null],
    [
      "{ends: at 5 points, bonus: counts towards the cap}",
      { ...standing, bonus: { red: 2, blue: 0 } },
      "draw",
    ],
    [
      "{ends: at 3 points, bonus: counts towards the win}",
      { ...standing, bonus: { red: 2, blue: 0 } },
      "red wins",
    ],
  ] as const)("%s", (text, now, verdict) => expect(whetherOver(bout(text), now)).toBe(verdict));

  test("the exchange in which it ended is named, and later ones count nothing", () => {
    const tally = tallyOf(
      scorerOf("bout: {ends: at 2 points}\ntouches: {I hit: 1}"),
      "1 R cut head ! .\n2 R cut head ! .\n3 B cut head ! .",
    );
    expect([tally.ended, tally.endedAt, result(tally)]).toEqual(["red wins", 2, "points 2-0 bonus 0-0"]);
    expect(tally.exchanges.map(({ afterTheEnd }) => afterTheEnd)).toEqual([false, false, true]);
  });

  test("while an open touch may have ended it, nothing later is settled", () => {
    const tally = tallyOf(
      scorerOf("bout: {ends: at 1 point}\ntouches: {I hit: 1}"),
      "1 R cut head !? .\n2 B cut head ! .",
    );
    expect([result(tally), tally.open, tally.ended]).toEqual(["points 0-0 bonus 0-0", 2, null]);
  });

  test("a penalty hit is a point of the other and can end the bout", () => {
    const tally = tallyOf(
      scorerOf("bout: {ends: at 1 point}\ntouches: {I hit: 1}"),
      "1 R feint .\npenalty R",
    );
    expect([result(tally), tally.ended]).toEqual(["points 0-1 bonus 0-0", "blue wins"]);
  });
});

describe("corrections [S15]", () => {
  const text = "touches: {I hit: 1}\nrules: [{name: Row, when: I hit, pays: '3, 2, then 1 bonus to me'}]";

  test("a corrected exchange is scored as if it had been recorded right at once", () => {
    const scorer = scorerOf(text);
    const wrong = "1 R cut head ! .\n2 B cut head ! .\n3 R cut arm ! .\nagain 1 B cut head ! .";
    const right = "1 B cut head ! .\n2 B cut head ! .\n3 R cut arm ! .";
    expect(tallyOf(scorer, wrong)).toEqual(tallyOf(scorer, right));
  });
});

describe("an evening", () => {
  const theme = "rules: [{name: First, when: I feint, pays: 3 bonus to me, at most: once tonight}]";

  test("what is had once tonight follows the fencer, not the side", () => {
    const text = "bout R Ana, B Ben\n1 R feint .\nbout R Cem, B Ana\n1 R feint .\n2 B feint .";
    expect(scoreOf(theme, text)).toBe("points 0-0 bonus 3-0");
  });

  test("a pair's cap holds for this partner only", () => {
    const pair = "rules: [{name: Pair, when: I feint, pays: 2 bonus to me, at most: 2 bonus a pair tonight}]";
    const again = "bout R Ana, B Ben\n1 R feint .\nbout R Ben, B Ana\n1 B feint .";
    const another = "bout R Ana, B Ben\n1 R feint .\nbout R Cem, B Ana\n1 B feint .";
    expect(scoreOf(pair, again)).toBe("points 0-0 bonus 0-0");
    expect(scoreOf(pair, another)).toBe("points 0-0 bonus 0-2");
  });

  test("an evening's end gives everything back", () => {
    const text = "bout R Ana, B Ben\n1 R feint .\nevening\nbout R Ana, B Ben\n1 R feint .";
    expect(scoreOf(theme, text)).toBe("points 0-0 bonus 3-0");
  });

  test("a token that starts with the last loser is unknown until a bout has been lost", () => {
    const text = `marks: {initiative: {is: a token, starts: with the last loser}}
touches: {I hit: 1}
rules: [{name: Ready, when: I hit, if: the initiative is mine, pays: 1 bonus to me}]`;
    const scorer = scorerOf(text);
    const first = tallyOf(scorer, "1 R cut head ! .");
    expect([first.open, first.questions.map(({ text: asked }) => asked)]).toEqual([
      1,
      ["Who has the initiative to begin with?"],
    ]);
    const bout = "bout R Ana, B Ben\n1 R cut head ! .\nend\nbout R Ben, B Cem\n1 R cut head ! .";
    expect(result(tallyOf(scorer, bout))).toBe("points 1-0 bonus 1-0");
  });
});

describe("picks", () => {
  test("a drawn pair of guards is taken in turn, two exchanges each", () => {
    const text = `picks:
  guard: {by: chance, from: [ox, plough], turns: 2, when: after every 2 exchanges}
rules: [{name: Guard, when: I begin from the guard, pays: 1 bonus to me}]`;
    const bout = `pick guard = ox
pick guard = plough
1 R cut from ox .
2 R cut from plough .
3 R cut from plough .
4 R cut from ox .
5 R cut from ox .`;
    expect(scoreOf(text, bout)).toBe("points 0-0 bonus 3-0");
  });

  test("a pick said after the exchanges that it concerned settles what it left open [S16]", () => {
    const text = `picks:
  target: {by: each fencer, from: [head, arm], when: before the bout}
touches: {I hit: 1}
rules: [{name: Own, when: I hit my target, pays: 1 bonus to me}]`;
    const scorer = scorerOf(text);
    expect(tallyOf(scorer, "1 R cut head ! .").open).toBe(1);
    expect(result(tallyOf(scorer, "1 R cut head ! .\npick R target = head"))).toBe("points 1-0 bonus 1-0");
  });
});

describe("what cannot be scored is refused, never ignored", () => {
  test("a rule set that scores has no refusals; one that cannot says why", () => {
    const fine = ruleSetOf("name: Fine\ntouches: {I hit: 1}");
    expect(unsupported(fine)).toEqual([]);
    const circle = {
      ...fine,
      rules: ["A", "B"].map((name, i) => ({
        name,
        if: [[{ is: "rule pays" as const, rule: i === 0 ? "B" : "A", who: "me" as const }]],
      })),
    };
    expect(unsupported(circle).join(" ")).toContain("own payment");
  });
});
