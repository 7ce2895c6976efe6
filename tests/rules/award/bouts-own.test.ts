/** The bout's own sentences, as the rule book says them: who wins, how it ends, what doubles and afterblows do. */
import { describe, expect, test } from "vitest";
import { formatFaults } from "../../../rules/language/faults.ts";
import { readRuleSet } from "../../../rules/language/read.ts";
import type { Tally } from "../../../rules/award/tally.ts";
import { result, scorerOf, tallyOf } from "../../support/score.ts";

const TOUCHES = "touches: {I hit the head: 3, I hit the torso: 2, I hit: 1}";
const withBout = (bout: string, more = ""): string => `bout: {${bout}}\n${TOUCHES}\n${more}`;
const tally = (bout: string, sheet: string, more = ""): Tally =>
  tallyOf(scorerOf(withBout(bout, more)), sheet);
/** "3-1 red wins" */
const how = (one: Tally): string => `${one.points.red}-${one.points.blue} ${one.ended ?? "goes on"}`;
const ended = (bout: string, sheet: string, more = ""): string => how(tally(bout, sheet, more));
const says = (one: Tally): readonly string[] => one.awards.map(({ sentence }) => sentence);
const faultsOf = (bout: string): string => {
  const read = readRuleSet(`name: Faulty\n${withBout(bout)}`);
  return read.ok ? "" : formatFaults(read.faults);
};

const R_HEAD = "R cut head ! .";
const R_ARM = "R cut arm ! .";
const B_ARM = "B cut arm ! .";
/** Exchanges numbered from 1. */
const bout = (...exchanges: readonly string[]): string =>
  exchanges.map((one, i) => `${String(i + 1)} ${one}\n`).join("");

describe("who wins", () => {
  test("who has more points, unless something else is said", () =>
    expect(ended("ends: after 2 exchanges", bout(R_HEAD, B_ARM))).toBe("3-1 red wins"));

  test("who has more bonus: the points decide nothing", () => {
    const rules = "rules: [{name: Arm, when: I hit the arm, pays: 2 bonus to me}]";
    expect(ended("wins: who has more bonus, ends: after 2 exchanges", bout(R_HEAD, B_ARM), rules)).toBe(
      "3-1 blue wins",
    );
  });

  test("nobody: a bout without a winner, however it ends by itself or is ended by score", () => {
    expect(ended("wins: nobody, ends: at 3 points", bout(R_HEAD))).toBe("3-0 no winner");
    expect(ended("wins: nobody", `${bout(R_HEAD)}end`)).toBe("3-0 no winner");
    expect(ended("wins: nobody", `${bout(R_HEAD)}end R forfeits`)).toBe("3-0 red forfeits");
    expect(ended("wins: nobody, ends: 'at 1 double, both lose'", bout("double R head !, B head ! ."))).toBe(
      "0-0 both lose",
    );
  });

  test("nobody wins such a bout, and a rule at its end may ask so", () => {
    const rules = `rules:
  - {name: Shared, at: the end of the bout, if: nobody wins the bout, pays: 1 bonus to me}
  - {name: Won, at: the end of the bout, if: I win the bout, pays: 5 bonus to me}`;
    expect(result(tally("wins: nobody, ends: at 3 points", bout(R_HEAD), rules))).toBe(
      "points 3-0 bonus 1-1",
    );
  });
});

describe("points against", () => {
  const AGAINST = "wins: who has fewer points against";

  test("a touch is written to the one who is hit, and the sentence says so", () => {
    const one = tally(AGAINST, bout(R_HEAD));
    expect(how(one)).toBe("0-3 goes on");
    expect(says(one)).toEqual(["Touch: Red hit the head with a cut: 3 points against Blue."]);
  });

  test("the cap loses", () =>
    expect(ended(`${AGAINST}, ends: at 5 points`, bout(R_HEAD, "B cut torso ! .", "R cut torso ! ."))).toBe(
      "2-5 red wins",
    ));

  test("effects speak of what a fencer earned, and are told at the right touch", () => {
    const rules = `rules:
  - {name: Lunge, when: I hit with a lunge, does: double my points}
  - {name: Late, if: they hit the arm, does: annul their points}`;
    const one = tally(AGAINST, bout("R thrust torso lunge !, B cut arm ! ."), rules);
    expect(how(one)).toBe("0-4 goes on");
    expect(says(one)).toEqual(
      [
        "Touch: Red hit the torso with a thrust and a lunge: 2 points, doubled by Lunge: 4 points against Blue.",
        "Touch: Blue hit the arm with a cut: 1 point, annulled by Late: 0 points against Red.",
      ].slice(0, 1),
    );
  });

  test("whoever has fewer is ahead", () => {
    const rules = "rules: [{name: Ahead, when: I feint, if: I am ahead by 2 or more, pays: 1 bonus to me}]";
    const one = tally(AGAINST, bout(R_HEAD, "R feint, B feint ."), rules);
    expect(result(one)).toBe("points 0-3 bonus 1-0");
  });

  test("a rule's points are written to whomever it says", () => {
    const rules = "rules: [{name: Out, when: I step out, pays: 1 point to me}]";
    expect(ended(AGAINST, bout("R step out ."), rules)).toBe("1-0 goes on");
  });

  test("a penalty hit stands with the one against whom it is given", () => {
    const one = tally(AGAINST, `${bout(R_ARM)}penalty R\n`);
    expect(how(one)).toBe("1-1 goes on");
    expect(says(one).at(-1)).toBe("Penalty hit against Red: 1 point against Red.");
  });

  test("a point that bonus makes is written to the other", () => {
    const rules = "rules: [{name: Arm, when: I hit the arm, pays: 3 bonus to me}]";
    const one = tally(
      `${AGAINST}, at the end: 'every 3 bonus make 1 point, the rest is lost'`,
      `${bout(R_ARM)}end`,
      rules,
    );
    expect([how(one), result(one)]).toEqual(["0-2 red wins", "points 0-2 bonus 0-0"]);
    expect(says(one).at(-1)).toBe("Conversion: Red's bonus at the end: 1 point against Blue.");
  });

  test("afterblows and doubles work on the touches before they are written", () => {
    expect(ended(`${AGAINST}, afterblows: take off 1`, bout("R cut head !, B afterblow arm ."))).toBe(
      "0-2 goes on",
    );
    expect(ended(`${AGAINST}, doubles: both score`, bout("double R head !, B arm ! ."))).toBe("1-3 goes on");
  });

  test("what would turn it round is refused, with what to write instead", () => {
    expect(faultsOf(`${AGAINST}, doubles: 1 off each`)).toContain('Write "doubles: both score"');
    expect(faultsOf(`${AGAINST}, bonus: counts towards the cap`)).toContain("counts towards the win");
    expect(
      faultsOf("wins: who has more bonus, at the end: 'every 2 bonus make 1 point, the rest is lost'"),
    ).toContain("none is left to decide");
  });
});

describe("ends", () => {
  test("at 5 points and 2 ahead: five alone are not enough", () => {
    const spread = "ends: at 5 points and 2 ahead";
    expect(ended(spread, "score 4-4\n1 R cut arm ! .")).toBe("5-4 goes on");
    expect(ended(spread, "score 4-4\n1 R cut arm ! .\n2 R cut arm ! .")).toBe("6-4 red wins");
  });

  test("with 8 points beside it: win by 2, then by 1", () => {
    const spread = "ends: [at 5 points and 2 ahead, at 8 points]";
    expect(ended(spread, "score 7-6\n1 B cut arm ! .")).toBe("7-7 goes on");
    expect(ended(spread, "score 7-7\n1 B cut arm ! .")).toBe("7-8 blue wins");
  });

  test("at 3 bonus: the bonus ends it, and the points say who has won", () => {
    const rules = "rules: [{name: Feint, when: I feint, pays: 1.5 bonus to me}]";
    expect(ended("ends: at 3 bonus", bout(B_ARM, "R feint .", "R feint ."), rules)).toBe("0-1 blue wins");
    expect(
      ended("ends: at 3 bonus, wins: who has more bonus", bout(B_ARM, "R feint .", "R feint ."), rules),
    ).toBe("0-1 red wins");
  });

  test("while it is open whether somebody is 2 ahead, nothing later is settled", () => {
    const one = tally("ends: at 2 points and 2 ahead", bout(R_ARM, "R cut arm !? .", B_ARM));
    expect([how(one), one.open]).toEqual(["1-0 goes on", 2]);
    expect(one.span.points).toEqual({ red: { least: 1, most: 2 }, blue: { least: 0, most: 1 } });
  });
});

describe("doubles", () => {
  const DOUBLE = "double R head !, B arm ! .";

  test.each([
    ["score nothing", "0-0"],
    ["both score", "3-1"],
    ["the difference scores", "2-0"],
    ["1 off each", "-1--1"],
  ])("%s", (policy, points) => expect(ended(`doubles: ${policy}`, bout(DOUBLE))).toBe(`${points} goes on`));

  test("of two touches that are worth the same no difference is left", () =>
    expect(ended("doubles: the difference scores", bout("double R head !, B head ! ."))).toBe("0-0 goes on"));

  test("the sentence says what the double took", () =>
    expect(says(tally("doubles: the difference scores", bout(DOUBLE)))).toEqual([
      "Touch: Red hit the head: 3 points, the double: 2 points.",
    ]));

  test("every second double takes 1 off each, counted over the bout", () => {
    const second = "doubles: 1 off each at every 2 doubles";
    expect(ended(second, bout(DOUBLE))).toBe("0-0 goes on");
    expect(ended(second, bout(DOUBLE, R_HEAD, DOUBLE, DOUBLE))).toBe("2--1 goes on");
    expect(ended(second, bout(DOUBLE, DOUBLE, DOUBLE, DOUBLE))).toBe("-2--2 goes on");
  });
});

describe("afterblows", () => {
  const AFTER = "R cut head !, B afterblow torso .";

  test.each([
    ["both score", "3-2"],
    ["score nothing", "3-0"],
    ["take off 1", "2-0"],
    ["take off 1 but leave 1", "2-0"],
    ["annul the hit", "0-0"],
    ["half to the second (2 to 1)", "3-1"],
    ["the difference scores", "1-0"],
    ["the difference scores but leave 1", "1-0"],
  ])("%s", (policy, points) => expect(ended(`afterblows: ${policy}`, bout(AFTER))).toBe(`${points} goes on`));

  test("a better afterblow leaves the hit nothing, or 1, and scores nothing itself", () => {
    const late = bout("R cut arm !, B afterblow head .");
    expect(ended("afterblows: the difference scores", late)).toBe("0-0 goes on");
    expect(ended("afterblows: the difference scores but leave 1", late)).toBe("1-0 goes on");
  });

  const ROLES = `marks:
  sides: {is: roles attacker and defender for the bout, starts: with red, changes: changes hands after every 2 exchanges}`;

  test("only of the defender: the attacker's scores nothing and costs nothing", () => {
    const only = 'afterblows: "take off 1, only of the defender"';
    expect(ended(only, bout("R cut head !, B afterblow torso ."), ROLES)).toBe("2-0 goes on");
    expect(ended(only, bout("B cut head !, R afterblow torso ."), ROLES)).toBe("0-3 goes on");
    expect(
      ended(
        'afterblows: "both score, only of the defender"',
        bout("B cut head !, R afterblow torso ."),
        ROLES,
      ),
    ).toBe("0-3 goes on");
  });

  test("the roles are read as the exchange began", () => {
    const only = 'afterblows: "take off 1, only of the defender"';
    const swapped = bout(
      "R feint .",
      "R feint .",
      "R cut head !, B afterblow torso .",
      "B cut head !, R afterblow torso .",
    );
    expect(ended(only, swapped, ROLES)).toBe("3-2 goes on");
  });

  test("nobody said who has the role: open, and asked", () => {
    const unknown = ROLES.replace("starts: with red", "starts: with the last loser");
    const one = tally(
      'afterblows: "take off 1, only of the defender"',
      bout("R cut head !, B afterblow torso ."),
      unknown,
    );
    expect([one.open, one.span.points.red]).toEqual([1, { least: 2, most: 3 }]);
    expect(one.questions.map(({ text }) => text)).toEqual([
      "Who has the sides to begin with? (touch: 2 to 3 points)".replace(/ \(.*/, ""),
    ]);
  });
});

describe("level at the end", () => {
  const SLIPS = `marks:
  slips: {is: a count for each fencer, changes: up 1 when I feint}
  parries: {is: a count for each fencer, changes: up 1 when I parry}`;
  const level = (ties: string, exchanges: string): string =>
    ended(`ends: after 3 exchanges, ties: ${ties}`, exchanges, SLIPS);

  test("fewer of a mark wins, more of another", () => {
    const feints = bout("R feint .", "R cut arm ! .", "B cut arm ! .");
    expect(level("fewer slips", feints)).toBe("1-1 blue wins");
    expect(level("more slips", feints)).toBe("1-1 red wins");
  });

  test("level there too: then the next is asked, and at last a draw", () => {
    const parries = bout("B parry .", "R cut arm ! .", "B cut arm ! .");
    expect(level('"fewer slips, then more parries"', parries)).toBe("1-1 blue wins");
    expect(level("fewer slips", parries)).toBe("1-1 draw");
    expect(level('"fewer slips, then who hit first"', parries)).toBe("1-1 red wins");
  });

  test("more bonus, fewer warnings, fewer penalties", () => {
    const rules = "rules: [{name: Feint, when: I feint, pays: 1 bonus to me}]";
    const ends = "ends: after 2 exchanges, ties:";
    expect(ended(`${ends} more bonus`, bout("R feint .", "B parry ."), rules)).toBe("0-0 red wins");
    expect(ended(`${ends} fewer warnings`, "1 R feint .\nwarning R\n2 B parry .")).toBe("0-0 blue wins");
    expect(
      ended(
        `${ends} fewer penalties`,
        "score 0-0\npenalty R\npenalty R\npenalty B\n1 B feint .\n2 R cut arm ! .",
      ),
    ).toBe("2-2 blue wins");
  });

  test("a rule's warnings count with the referee's", () => {
    const rules = "rules: [{name: Shout, when: I withdraw, does: warn me}]";
    const one = tally(
      "ends: after 2 exchanges, ties: fewer warnings",
      "1 B withdraw .\nwarning R\nwarning R\n2 R feint .",
      rules,
    );
    expect([how(one), one.warned]).toEqual(["0-0 blue wins", { red: 2, blue: 1 }]);
  });

  test("who hit first, and who hit last", () => {
    const hits = bout(B_ARM, "R feint .", R_ARM);
    expect(level("who hit first", hits)).toBe("1-1 blue wins");
    expect(level("who hit last", hits)).toBe("1-1 red wins");
  });

  test("within an exchange the order of the actions says it", () => {
    const both = bout("B cut arm !, R cut arm ! .", "R feint .", "R feint .");
    expect(level("who hit first", both)).toBe("1-1 blue wins");
    expect(level("who hit last", both)).toBe("1-1 red wins");
  });

  test("a double is neither's", () => {
    const double = "double R arm !, B arm ! .";
    expect(level("who hit first", bout(double, "R feint .", "R feint ."))).toBe("0-0 draw");
    expect(level("who hit last", bout(B_ARM, R_ARM, double))).toBe("1-1 red wins");
  });

  test("who hit first is not said while the first hit is in doubt", () => {
    const one = tally(
      "ends: after 3 exchanges, ties: who hit first",
      bout("R cut arm !? .", "B cut arm ! .", "R cut arm ! ."),
    );
    expect([one.ended, one.open]).toEqual([null, 1]);
    expect(one.level).toEqual({ counts: {} });
  });
});

describe("what the bonus makes at the end", () => {
  const rules = "rules: [{name: Feint, when: I feint, pays: 2.5 bonus to me}]";
  const end = (rest: string): string =>
    result(
      tally(`at the end: 'every 2 bonus make 1 point, ${rest}'`, "1 R feint .\n2 R feint .\nend", rules),
    );

  test("the rest is lost", () => expect(end("the rest is lost")).toBe("points 2-0 bonus 0-0"));
  test("the rest stays", () => expect(end("the rest stays")).toBe("points 2-0 bonus 1-0"));
});
