import { describe, expect, test } from "vitest";
import type { Scorer } from "../../../rules/award/compile.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import { result, scorerOf, sheetOf } from "../../support/score.ts";

/**
 * One example for each pass in the order of effects [P10]. Each also runs with its pass taken out, and must then give
 * something else: an example that no pass can break would test nothing.
 */
interface Example {
  readonly pass: string;
  readonly says: string;
  readonly rules: string;
  readonly bout: string;
  readonly gives: string;
}

const EXAMPLES: readonly Example[] = [
  {
    pass: "touches",
    says: "a fencer's best line counts, once an exchange",
    rules: "touches: {I hit: 1, I hit the head: 3}",
    bout: "1 R cut arm !, R cut head ! .",
    gives: "points 3-0 bonus 0-0",
  },
  {
    pass: "doubles",
    says: "1 off each: touches in a double score nothing and each loses 1",
    rules: "bout: {doubles: 1 off each}\ntouches: {I hit: 2}",
    bout: "1 double R cut head !, B cut head ! .",
    gives: "points -1--1 bonus 0-0",
  },
  {
    pass: "doubles",
    says: "simultaneous: touches score nothing unless the rule set says so",
    rules: "touches: {I hit: 2}",
    bout: "1 simultaneous R cut head !, B cut arm ! .",
    gives: "points 0-0 bonus 0-0",
  },
  {
    pass: "afterblows",
    says: "take off 1: the hit loses 1, the afterblow itself scores nothing [S12]",
    rules: "bout: {afterblows: take off 1}\ntouches: {I hit: 2}",
    bout: "1 R cut head !, B afterblow arm .",
    gives: "points 1-0 bonus 0-0",
  },
  {
    pass: "afterblows",
    says: "take off 1 but leave 1",
    rules: "bout: {afterblows: take off 1 but leave 1}\ntouches: {I hit: 1}",
    bout: "1 R cut head !, B afterblow arm .",
    gives: "points 1-0 bonus 0-0",
  },
  {
    pass: "afterblows",
    says: "annul the hit: neither scores",
    rules: "bout: {afterblows: annul the hit}\ntouches: {I hit: 2}",
    bout: "1 R cut head !, B afterblow arm .",
    gives: "points 0-0 bonus 0-0",
  },
  {
    pass: "afterblows",
    says: "score nothing: the afterblow counts for nothing, the hit in full",
    rules: "bout: {afterblows: score nothing}\ntouches: {I hit: 2}",
    bout: "1 R cut head !, B afterblow arm .",
    gives: "points 2-0 bonus 0-0",
  },
  {
    pass: "afterblows",
    says: "half to the second",
    rules: "bout: {afterblows: half to the second (2 to 1)}\ntouches: {I hit: 2}",
    bout: "1 R cut head !, B afterblow arm .",
    gives: "points 2-1 bonus 0-0",
  },
  {
    pass: "rules",
    says: "a rule is tried for each fencer as I [P1]",
    rules: "rules: [{name: Feint, when: they feint, pays: 1 bonus to me}]",
    bout: "1 B feint .\n2 R feint .\n3 R feint .",
    gives: "points 0-0 bonus 1-2",
  },
  {
    pass: "best of",
    says: "of a group only the rule that pays most stays",
    rules: `rules:
  - {name: Small, when: I feint, pays: 1 bonus to me, best of: it}
  - {name: Large, when: "I feint, then I parry", pays: 3 bonus to me, best of: it}`,
    bout: "1 R feint, R parry .",
    gives: "points 0-0 bonus 3-0",
  },
  {
    pass: "annul",
    says: "annul takes away everything in the unit but what the same rule pays",
    rules: `touches: {I hit: 1}
rules:
  - {name: Extra, when: I hit, pays: 1 point to me}
  - {name: Threat, when: they threaten, if: I hit, does: annul my points, pays: 1 point to me}`,
    bout: "1 B threaten, R cut head ! .",
    gives: "points 1-0 bonus 0-0",
  },
  {
    pass: "multiply",
    says: "double and triple multiply, whatever their order",
    rules: `touches: {I hit: 1}
rules:
  - {name: Press, when: "I press, then I hit", does: double my points}
  - {name: Feint, when: "I feint, then I hit", does: triple my points}`,
    bout: "1 R press, R feint, R cut head ! .",
    gives: "points 6-0 bonus 0-0",
  },
  {
    pass: "turn over",
    says: "two turn overs in one exchange swap at once [S11]",
    rules: `rules:
  - {name: Feint, when: I feint, pays: 2 bonus to me}
  - {name: Bind, when: I bind, pays: 1 bonus to me}
  - {name: Turn, if: it is a double, does: turn my bonus over to them}`,
    bout: "1 double R feint, B bind, R cut head !, B cut head ! .",
    gives: "points 0-0 bonus 1-2",
  },
  {
    pass: "at most",
    says: "a cap that has less left than is due pays what is left [S9]",
    rules: "rules: [{name: Parry, when: I parry, pays: 2 bonus to me, at most: 3 bonus a bout}]",
    bout: "1 R parry .\n2 R parry .\n3 R parry .",
    gives: "points 0-0 bonus 3-0",
  },
  {
    pass: "had",
    says: "what a cap has given counts in the next exchange",
    rules: "rules: [{name: Parry, when: I parry, pays: 1 bonus to me, at most: once a bout}]",
    bout: "1 R parry .\n2 R parry .",
    gives: "points 0-0 bonus 1-0",
  },
  {
    pass: "not below",
    says: "the fencer's tally in that unit never falls below the floor [S13]",
    rules: "rules: [{name: Step out, when: I step out, pays: -2 points to me, not below: 0}]",
    bout: "score 1-0\n1 R step out .\n2 R step out .",
    gives: "points 0-0 bonus 0-0",
  },
  {
    pass: "hold",
    says: "what is held is paid after the next exchange, unless that one loses it",
    rules: `rules:
  - {name: Feint, when: I feint, pays: 2 bonus to me}
  - {name: Keep, when: I withdraw, does: "hold my bonus for one exchange, lost if they hit"}`,
    bout: "1 R feint, R withdraw .\n2 B cut head ! .\n3 R feint .",
    gives: "points 0-0 bonus 2-0",
  },
  {
    pass: "end the bout",
    says: "a rule can end the bout; what is fenced after it counts nothing",
    rules: `touches: {I hit: 1}
rules: [{name: Disarmed, when: they disarm, does: "end the bout, I lose"}]`,
    bout: "1 B disarm .\n2 R cut head ! .",
    gives: "points 0-0 bonus 0-0",
  },
];

function without(scorer: Scorer, pass: string): Scorer {
  const passes = scorer.program.passes.filter(({ name }) => name !== pass);
  expect(passes.length, `${pass} is one of the passes`).toBe(scorer.program.passes.length - 1);
  return { ...scorer, program: { ...scorer.program, passes } };
}

describe("the one order of effects [P10]", () => {
  test.each(EXAMPLES)("$pass: $says", ({ pass, rules, bout, gives }) => {
    const scorer = scorerOf(rules);
    const sheet = sheetOf(scorer, bout);
    expect(result(scoreBout(scorer, sheet))).toBe(gives);
    expect(result(scoreBout(without(scorer, pass), sheet)), `without ${pass}`).not.toBe(gives);
  });

  test("warnings and retirements are counted, and only by their own passes", () => {
    const scorer = scorerOf(`rules:
  - {name: Grapple, when: they grapple, does: warn them}
  - {name: Off the hill, at: the end of the bout, if: I win the bout, does: retire me}
touches: {I hit: 1}`);
    const sheet = sheetOf(scorer, "1 B grapple .\n2 R cut head ! .\nend");
    const tally = scoreBout(scorer, sheet);
    expect([tally.warned, tally.retired]).toEqual([
      { red: 0, blue: 1 },
      { red: true, blue: false },
    ]);
    expect(scoreBout(without(scorer, "warn"), sheet).warned).toEqual({ red: 0, blue: 0 });
  });

  test("caps come after multiplying: 2 doubled under a cap of 3 is 3", () => {
    const text = `rules:
  - {name: Parry, when: I parry, pays: 2 bonus to me, at most: 3 bonus an exchange}
  - {name: Twice, when: I feint, does: double my bonus}`;
    const scorer = scorerOf(text);
    expect(result(scoreBout(scorer, sheetOf(scorer, "1 R feint, R parry .")))).toBe("points 0-0 bonus 3-0");
  });

  test("annulled is gone: it cannot be turned over", () => {
    const text = `rules:
  - {name: Parry, when: I parry, pays: 2 bonus to me}
  - {name: Gone, when: I feint, does: annul my bonus}
  - {name: Turned, when: I feint, does: turn my bonus over to them}`;
    const scorer = scorerOf(text);
    expect(result(scoreBout(scorer, sheetOf(scorer, "1 R feint, R parry .")))).toBe("points 0-0 bonus 0-0");
  });

  test("what is turned over counts in the receiver's cap", () => {
    const text = `rules:
  - {name: Parry, when: I parry, pays: 2 bonus to me, at most: 3 bonus a bout}
  - {name: Turned, when: I feint, does: turn my bonus over to them}`;
    const scorer = scorerOf(text);
    const bout = "1 R feint, R parry .\n2 B parry .\n3 R parry .";
    expect(result(scoreBout(scorer, sheetOf(scorer, bout)))).toBe("points 0-0 bonus 2-3");
  });
});
