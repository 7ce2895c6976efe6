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
  expect(
    told("I begin from anything but the right", "1 B invite, R feint from left, R cut from left head ! ."),
});

test("what never forbids does not stand between the actions that are named", () => {
  expect(
    told(
      "they cut, then they never feint, then I hit",
      "1 B cut leg, R cut arm !, B feint, R thrust head ! .",
    ),
  ).toEqual(["Rule: Blue cut to the leg, then Red hit the arm with a cut: 1 bonus."]);
});
