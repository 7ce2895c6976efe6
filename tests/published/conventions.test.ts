/**
 * How bouts are scored where people fence: every convention in use as a rule set, a bout and its tally. Where a convention
 * stands in sport fencing's published competition rules the test says so; all others are common practice, no source.
 */
import { describe, expect, test } from "vitest";
import type { Tally } from "../../rules/award/tally.ts";
import { whetherOver } from "../../rules/award/over.ts";
import { scorerOf, tallyOf } from "../support/score.ts";

interface Convention {
  readonly bout?: string;
  readonly touches?: string;
  readonly more?: string;
}
const HEAD_BODY_LIMB = "{I hit the head: 3, I hit the torso: 3, I hit the arm or leg: 1}";
const text = ({ bout = "", touches = "{I hit: 1}", more = "" }: Convention): string =>
  `bout: {${bout}}\ntouches: ${touches}\n${more}`;
const tally = (convention: Convention, sheet: string): Tally => tallyOf(scorerOf(text(convention)), sheet);
/** "5-3 red wins" */
const gives = (convention: Convention, sheet: string): string => {
  const { points, ended } = tally(convention, sheet);
  return `${points.red}-${points.blue} ${ended ?? "goes on"}`;
};
/** Red's and Blue's hits one after the other: "RRB" is three exchanges. */
const hits = (who: string): string =>
  [...who].map((letter, i) => `${String(i + 1)} ${letter} cut arm ! .`).join("\n");
const DOUBLE = "double R cut head !, B cut arm ! .";
const doubles = (n: number): string =>
  Array.from({ length: n }, (_, i) => `${String(i + 1)} ${DOUBLE}`).join("\n");

describe("how long a bout is", () => {
  // Sport fencing's published competition rules: a pool bout is for 5 hits or 3 minutes of fencing time.
  test("5 hits or 3 minutes: the cap, or whoever is ahead when time runs out", () => {
    const pool = { bout: "ends: [at 5 points, after 3 min]" };
    expect(gives(pool, hits("RRBRRR"))).toBe("5-1 red wins");
    expect(gives(pool, `${hits("RRB")} [0 s left]`)).toBe("2-1 red wins");
  });

  // Sport fencing's published competition rules, from a secondary source: direct elimination is for 15 hits.
  test("15 hits", () =>
    expect(gives({ bout: "ends: at 15 points" }, `score 14-13\n${hits("R")}`)).toBe("15-13 red wins"));

  // Common practice, no source.
  test("a number of exchanges, 5 to 10, whatever the score; a no exchange is none of them", () => {
    const seven = { bout: "ends: after 7 exchanges" };
    expect(gives(seven, hits("RRBRRR"))).toBe("5-1 goes on");
    expect(gives(seven, `${hits("RRBRRR")}\n7 no exchange`)).toBe("5-1 goes on");
    expect(gives(seven, `${hits("RRBRRR")}\n7 no exchange\n8 B cut leg ! .`)).toBe("5-2 red wins");
  });

  // Common practice, no source.
  test("2 minutes on a clock that runs on at the halt", () =>
    expect(gives({ bout: "ends: after 2 min, clock: running" }, `${hits("B")} [0 s left]`)).toBe(
      "0-1 blue wins",
    ));

  // Common practice, no source.
  test("no cap: it goes on until somebody ends it", () => {
    expect(gives({}, hits("RRRRRRRRRRRRRRRR"))).toBe("16-0 goes on");
    expect(gives({}, `${hits("RRB")}\nend`)).toBe("2-1 red wins");
  });

  // Common practice, no source.
  test("a spread: win by 2, and at 8 by 1", () => {
    const spread = { bout: "ends: [at 5 points and 2 ahead, at 8 points]" };
    expect(gives(spread, `score 4-4\n${hits("R")}`)).toBe("5-4 goes on");
    expect(gives(spread, `score 5-4\n${hits("R")}`)).toBe("6-4 red wins");
    expect(gives(spread, `score 7-7\n${hits("B")}`)).toBe("7-8 blue wins");
  });

  // Sport fencing's published rules of the team relay carry the total from bout to bout; these numbers are common practice.
  test("a relay's totals are carried on: a team at 5, 10, then 15 points", () => {
    const relay = scorerOf(text({ bout: 'ends: "a team at 5, 10, then 15 points"' }));
    const first = `bout R Ana of Larks, B Ben of Crows\n${hits("RRRRBR")}`;
    expect([tallyOf(relay, first).ended, tallyOf(relay, first).points]).toEqual([
      "red wins",
      { red: 5, blue: 1 },
    ]);
    const second = `${first}\nend\nbout R Cem of Larks, B Dov of Crows\n${hits("BBBBBBBB")}`;
    expect([tallyOf(relay, second).teams?.blue.points, tallyOf(relay, second).ended]).toEqual([9, null]);
    expect(tallyOf(relay, `${second}\n9 B cut leg ! .`).ended).toBe("blue wins");
  });

  // Common practice, no source.
  test("points against: whoever was hit less has won, and the cap loses", () => {
    const against = {
      bout: "wins: who has fewer points against, ends: at 5 points",
      touches: HEAD_BODY_LIMB,
    };
    expect(gives(against, "1 R cut head ! .\n2 B cut arm ! .\n3 R cut torso ! .")).toBe("1-6 red wins");
  });

  // Common practice, no source.
  test("bouts without a winner", () =>
    expect(gives({ bout: "wins: nobody, ends: after 2 exchanges" }, hits("RR"))).toBe("2-0 no winner"));
});

describe("what a touch is worth", () => {
  // Common practice, no source.
  test.each([
    ["head 3, torso 3, limb 1", HEAD_BODY_LIMB, "7-0"],
    ["head 3, torso 2, limb 1", "{I hit the head: 3, I hit the torso: 2, I hit: 1}", "6-0"],
    ["head 3, torso 2, limb 2", "{I hit the head: 3, I hit: 2}", "7-0"],
    ["deep 4, shallow 2", "{I hit the head or torso: 4, I hit the arm or leg: 2}", "10-0"],
    ["1 a hit", "{I hit: 1}", "3-0"],
  ])("%s", (_, touches, points) =>
    expect(gives({ touches }, "1 R cut head ! .\n2 R thrust torso ! .\n3 R cut leg ! .")).toBe(
      `${points} goes on`,
    ),
  );

  // Common practice, no source.
  test("1 each for contact, target, structure and control", () => {
    const added = {
      more: `words: {structure: a call}
rules:
  - {name: Target, when: I hit the head or torso, pays: 1 point to me}
  - {name: Structure, when: I hit, if: the judge calls structure for me, pays: 1 point to me}
  - {name: Control, when: "I hit, then I control", pays: 1 point to me}`,
    };
    const sheet =
      "1 R cut arm ! .\n2 R cut head !, R control . call structure R\n3 B thrust torso ! . call structure B";
    expect(gives(added, sheet)).toBe("5-3 goes on");
  });
});

describe("afterblows", () => {
  const late = (policy: string, hit = "R cut head !, B afterblow arm ."): string =>
    gives({ bout: `afterblows: ${policy}`, touches: HEAD_BODY_LIMB }, `1 ${hit}`).replace(" goes on", "");

  // Common practice, no source.
  test("full: both score", () => expect(late("both score")).toBe("3-1"));
  test("deductive: the difference, down to nothing", () => {
    expect(late("the difference scores")).toBe("2-0");
    expect(late("the difference scores", "R cut arm !, B afterblow head .")).toBe("0-0");
  });
  test("deductive: the difference, but at least 1", () =>
    expect(late("the difference scores but leave 1", "R cut arm !, B afterblow head .")).toBe("1-0"));
  test("a fixed 1 off", () => expect(late("take off 1")).toBe("2-0"));
  test("fixed 2 to 1: the second has half", () => expect(late("half to the second (2 to 1)")).toBe("3-0.5"));
  test("it cancels the hit", () => expect(late("annul the hit")).toBe("0-0"));
  test("it is ignored", () => expect(late("score nothing")).toBe("3-0"));
  test("only one role has it", () => {
    const roles = {
      bout: 'afterblows: "annul the hit, only of the defender"',
      more: "marks: {sides: {is: roles attacker and defender for the bout, starts: with red}}",
    };
    expect(gives(roles, "1 R cut head !, B afterblow arm .")).toBe("0-0 goes on");
    expect(gives(roles, "1 B cut head !, R afterblow arm .")).toBe("0-1 goes on");
  });
  test("after a visible pause it is too late: the table writes no afterblow, and nothing is taken off", () =>
    expect(late("take off 1", "R cut head !, B cut arm miss .")).toBe("3-0"));
});

describe("doubles", () => {
  const under = (bout: string, n = 1, more = ""): string =>
    gives({ bout, touches: HEAD_BODY_LIMB, more }, doubles(n));

  // Common practice, no source.
  test("void", () => expect(under("doubles: score nothing")).toBe("0-0 goes on"));
  test("both score", () => expect(under("doubles: both score")).toBe("3-1 goes on"));
  test("minus one to both", () => expect(under("doubles: 1 off each")).toBe("-1--1 goes on"));
  test("the difference scores", () => expect(under("doubles: the difference scores")).toBe("2-0 goes on"));
  test("by fault: whoever struck into an attack pays for it", () => {
    const fault =
      "rules: [{name: Own fault, when: I counter-attack, if: it is a double, pays: -1 point to me}]";
    const sheet = "1 double R attack cut head !, B counter-attack cut arm ! .";
    expect(gives({ bout: "doubles: score nothing", more: fault }, sheet)).toBe("0--1 goes on");
  });
  test("a mark only", () => {
    const blots = "marks: {blots: {is: a count for each fencer, changes: up 1 when it is a double}}";
    expect(tally({ more: blots }, doubles(2)).marks).toEqual({ blots: { red: 2, blue: 2 } });
    expect(under("doubles: score nothing", 2, blots)).toBe("0-0 goes on");
  });
  test("every second one costs", () => {
    const second = "doubles: 1 off each at every 2 doubles";
    expect([1, 2, 3, 4].map((n) => under(second, n))).toEqual([
      "0-0 goes on",
      "-1--1 goes on",
      "-1--1 goes on",
      "-2--2 goes on",
    ]);
  });
  test("the third ends the bout, and both lose", () => {
    const third = "doubles: both score, ends: 'at 3 doubles, both lose'";
    expect([under(third, 2), under(third, 3)]).toEqual(["6-2 goes on", "9-3 both lose"]);
  });
});

describe("level at the end", () => {
  const level = (ties: string, more = "", before = ""): string =>
    gives({ bout: `ends: after 2 exchanges, ties: ${ties}`, more }, `${before}${hits("BR")}`);

  // Common practice, no source: the common first, the rare last.
  test("a draw", () => expect(level("draw")).toBe("1-1 draw"));

  // Sudden death, extra time and the judges' choice: common practice, no source. Priority for a minute: sport fencing's
  // published competition rules (lots drawn, at most 1 minute for one deciding hit).
  test.each(["sudden death", "30 s more", "60 s more", "priority minute", "judges' choice"])(
    "%s: it is not over yet, and a draw only if it is called off",
    (ties) => {
      expect(level(ties)).toBe("1-1 goes on");
      const { bout } = scorerOf(text({ bout: `ends: after 2 exchanges, ties: ${ties}` })).ruleSet;
      const now = { points: { red: 1, blue: 1 }, bonus: { red: 0, blue: 0 }, exchanges: 2, doubles: 0 };
      expect(whetherOver(bout, now)).toBe("tie");
      expect(whetherOver(bout, { ...now, called: true })).toBe("draw");
      expect(whetherOver(bout, { ...now, points: { red: 1, blue: 2 } })).toBe("blue wins");
    },
  );

  // Common practice, no source.
  test("who hit first, who hit last", () =>
    expect([level("who hit first"), level("who hit last")]).toEqual(["1-1 blue wins", "1-1 red wins"]));

  test("fewer warnings, then fewer of the fencer's own doubles, then who hit last", () => {
    const blots = "marks: {blots: {is: a count for each fencer, changes: up 1 when I counter-attack}}";
    const ties = '"fewer warnings, then fewer blots, then who hit last"';
    expect(level(ties, blots, "warning R\n")).toBe("1-1 blue wins");
    expect(level(ties, blots, "warning R\nwarning B\n")).toBe("1-1 red wins");
  });
});

describe("penalties and the edge of the ring", () => {
  // Sport fencing's published competition rules: group 1 is a yellow card first and then a red, and a red card is one hit
  // to the other; after a black one the bout is lost.
  test("a warning costs nothing, a penalty hit is the other's point, and may end the bout", () => {
    const five = { bout: "ends: at 5 points" };
    const given = tally(five, `score 4-4\nwarning R\n${hits("")}`);
    expect([given.points, given.warned]).toEqual([
      { red: 4, blue: 4 },
      { red: 1, blue: 0 },
    ]);
    expect(gives(five, "score 4-4\nwarning R\npenalty R")).toBe("4-5 blue wins");
    expect(gives(five, `${hits("RR")}\nend R forfeits`)).toBe("2-0 red forfeits");
  });

  // Sport fencing's published competition rules: an offence annuls only the hits connected with it.
  test("an offence annuls the hit that rests on it, and no other", () => {
    const foul = {
      more: "rules: [{name: Foul, if: I hit off line, does: annul my points resting on an action off line}]",
    };
    expect(gives(foul, "1 R cut head off line ! .\n2 R cut head not off line ! .")).toBe("1-0 goes on");
  });

  // Common practice, no source.
  test("out of the ring: a warning first, then a hit against; being driven out is no fault", () => {
    const ring = {
      more: `marks: {outs: {is: a count for each fencer, changes: up 1 when I step out}}
rules:
  - {name: First time, when: I step out, if: my outs is 1 now, does: warn me}
  - {name: Again, when: I step out, if: my outs is 2 or more now, pays: 1 point to them}`,
    };
    const steps = tally(ring, "1 B step out .\n2 R drive them out .\n3 B step out .");
    expect([steps.points, steps.warned]).toEqual([
      { red: 1, blue: 0 },
      { red: 0, blue: 1 },
    ]);
  });

  // Common practice, no source.
  test("grappling only if both agreed: a grapple without it is a warning", () => {
    const grapple = {
      more: `picks: {consent: {by: each fencer, from: ["yes", "no"], when: before the bout}}
rules: [{name: No consent, when: I grapple, unless: "my consent is yes, and their consent is yes", does: warn me}]`,
    };
    const fence = (blue: string): Tally =>
      tally(grapple, `pick R consent = yes\npick B consent = ${blue}\n1 R grapple .`);
    expect([fence("no").warned.red, fence("yes").warned.red]).toEqual([1, 0]);
  });
});
