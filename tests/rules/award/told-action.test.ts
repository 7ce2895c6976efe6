/** The action that an award's sentence names is the one that the phrase took. */
import { expect, test } from "vitest";
import { scorerOf, sheetOf } from "../../support/score.ts";
import { scoreBout } from "../../../rules/award/score.ts";

function told(when: string, sheet: string): readonly string[] {
  const scorer = scorerOf(
    `touches: {I wait: 0}\nrules: [{name: Rule, when: "${when}", pays: 1 bonus to me}]`,
  );
  return scoreBout(scorer, sheetOf(scorer, sheet)).awards.map(({ sentence }) => sentence);
}

test("begin names that fencer's own first action", () => {
  const sheet = "1 R feint from left, R cut from left head ! .";
  expect(told("I begin from anything but the right", sheet)).toEqual([
    "Rule: Red feinted from the left: 1 bonus.",
  ]);
});

test("what never forbids does not stand between the actions that are named", () => {
  const sheet = "1 B cut leg, R cut arm !, B feint, R thrust head ! .";
  expect(told("they cut, then they never feint, then I hit", sheet)).toEqual([
    "Rule: Blue cut to the leg, then Red hit the arm with a cut: 1 bonus.",
  ]);
});
