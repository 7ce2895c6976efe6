import { describe, expect, test } from "vitest";
import type { Scorer } from "../../../rules/award/compile.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import { result, scorerOf, sheetOf } from "../../support/score.ts";

/**
 * "All effects follow one order" [P10]: for each two passes whose order can show, a sheet on which the two the other
 * way round give something else.
 */
interface Example {
  readonly first: string;
  readonly second: string;
  readonly says: string;
  readonly rules: string;
  readonly bout: string;
  readonly gives: string;
}

const EXAMPLES: readonly Example[] = [
  {
    first: "touches",
    second: "doubles",
    says: "a double takes touches that are there",
    rules: "touches: {I hit: 2}",
    bout: "1 double R cut head !, B cut head ! .",
    gives: "points 0-0 bonus 0-0",
  },
  {
    first: "touches",
    second: "afterblows",
    says: "the afterblow takes off from the touch",
    rules: "bout: {afterblows: take off 1}\ntouches: {I hit: 2}",
    bout: "1 R cut head !, B afterblow arm .",
    gives: "points 1-0 bonus 0-0",
  },
  {
    first: "doubles",
    second: "rules",
    says: "a double takes touches, never what a rule pays",
    rules: "touches: {I hit: 2}\nrules: [{name: Hit, when: I hit, pays: 1 bonus to me}]",
    bout: "1 double R cut head !, B cut head ! .",
    gives: "points 0-0 bonus 1-1",
  },
  {
    first: "rules",
    second: "best of",
    says: "a group is chosen among what has been paid",
    rules: `rules:
  - {name: Small, when: I feint, pays: 1 bonus to me, best of: it}
  - {name: Large, when: I parry, pays: 3 bonus to me, best of: it}`,
    bout: "1 R feint, R parry .",
    gives: "points 0-0 bonus 3-0",
  },
  {
    first: "best of",
    second: "annul",
    says: "the best of a group may be annulled; the lesser does not come back",
    rules: `words: {carded: a manner}
rules:
  - {name: Small, when: I feint, pays: 1 bonus to me, best of: it}
  - {name: Large, when: I parry, pays: 3 bonus to me, best of: it}
  - {name: Card, when: I act carded, does: annul my bonus resting on an action carded}`,
    bout: "1 R feint, R parry carded .",
    gives: "points 0-0 bonus 0-0",
  },
  {
    first: "annul",
    second: "turn over",
    says: "what is annulled cannot be turned over",
    rules: `rules:
  - {name: Parry, when: I parry, pays: 2 bonus to me}
  - {name: Gone, when: I feint, does: annul my bonus}
  - {name: Turned, when: I feint, does: turn my bonus over to them}`,
    bout: "1 R feint, R parry .",
    gives: "points 0-0 bonus 0-0",
  },
  {
    first: "multiply",
    second: "turn over",
    says: "what is turned over was doubled before",
    rules: `rules:
  - {name: Parry, when: I parry, pays: 2 bonus to me}
  - {name: Twice, when: I feint, does: double my bonus}
  - {name: Turned, when: I feint, does: turn my bonus over to them}`,
    bout: "1 R feint, R parry .",
    gives: "points 0-0 bonus 0-4",
  },
  {
    first: "multiply",
    second: "at most",
    says: "a cap holds for what has been doubled",
    rules: `rules:
  - {name: Parry, when: I parry, pays: 2 bonus to me, at most: 3 bonus an exchange}
  - {name: Twice, when: I feint, does: double my bonus}`,
    bout: "1 R feint, R parry .",
    gives: "points 0-0 bonus 3-0",
  },
  {
    first: "turn over",
    second: "at most",
    says: "what is turned over falls under the receiver's cap",
    rules: `rules:
  - {name: Parry, when: I parry, pays: 2 bonus to me, at most: 3 bonus an exchange}
  - {name: Turned, when: I feint, does: turn my bonus over to them}`,
    bout: "1 R feint, R parry, B parry .",
    gives: "points 0-0 bonus 0-3",
  },
  {
    first: "at most",
    second: "had",
    says: "what a smaller cap has cut away was not had",
    rules:
      "rules: [{name: Parry, when: I parry, pays: 2 bonus to me, at most: '1 bonus an exchange, 3 bonus a bout'}]",
    bout: "1 R parry .\n2 R parry .\n3 R parry .",
    gives: "points 0-0 bonus 3-0",
  },
  {
    first: "not below",
    second: "had",
    says: "what a floor has spared was not had",
    rules: `touches: {I hit: 2}
rules: [{name: Out, when: I step out, pays: -1 point to me, not below: 0, at most: 1 point a bout}]`,
    bout: "1 R step out .\n2 R cut head ! .\n3 R step out .",
    gives: "points 1-0 bonus 0-0",
  },
  {
    first: "had",
    second: "hold",
    says: "a held award counts when it was earned, not when it is paid",
    rules: `rules:
  - {name: Parry, when: I parry, pays: 2 bonus to me, at most: once a bout}
  - {name: Keep, when: I withdraw, does: hold my bonus for one exchange}`,
    bout: "1 R parry, R withdraw .\n2 R parry .\n3 R feint .",
    gives: "points 0-0 bonus 2-0",
  },
  {
    first: "annul",
    second: "hold",
    says: "what is annulled cannot be held",
    rules: `rules:
  - {name: Parry, when: I parry, pays: 2 bonus to me}
  - {name: Gone, when: I feint, does: annul my bonus}
  - {name: Keep, when: I feint, does: hold my bonus for one exchange}`,
    bout: "1 R feint, R parry .\n2 B bind .",
    gives: "points 0-0 bonus 0-0",
  },
];

/** The same scorer with the second of the two passes run right before the first. */
function swapped(scorer: Scorer, first: string, second: string): Scorer {
  const passes = [...scorer.program.passes];
  const at = (name: string): number => passes.findIndex((pass) => pass.name === name);
  expect(at(first), `${first} and ${second} are passes in this order`).toBeGreaterThanOrEqual(0);
  expect(at(second)).toBeGreaterThan(at(first));
  const [moved] = passes.splice(at(second), 1);
  passes.splice(at(first), 0, moved as (typeof passes)[number]);
  return { ...scorer, program: { ...scorer.program, passes } };
}

describe("the order of the passes shows [P10]", () => {
  const named = EXAMPLES.map((one) => [one.first, one.second, one.says, one] as const);
  test.each(named)("%s before %s: %s", (first, second, _says, { rules, bout, gives }) => {
    const scorer = scorerOf(rules);
    const sheet = sheetOf(scorer, bout);
    expect(result(scoreBout(scorer, sheet))).toBe(gives);
    expect(result(scoreBout(swapped(scorer, first, second), sheet)), "the other way round").not.toBe(gives);
  });
});
