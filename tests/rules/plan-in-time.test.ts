import { describe, expect, test } from "vitest";
import { printSheet } from "../../rules/language/sheet.ts";
import { draftLine } from "../../rules/award/plan-draft.ts";
import { entered, planOf, presses, state } from "../support/presses.ts";

const rule = (when: string): string =>
  `name: Test\ntouches: {I hit: 1}\nrules: [{name: It, when: "${when}", pays: 1 bonus to me}]`;

/** The line and what is asked once a hit of Red's and the rule's chip are pressed. */
function pressed(when: string): { line: string; asked: readonly string[]; open: number } {
  const draft = presses(planOf(rule(when)), ["red: Hit", "red: It"]);
  const { questions, open } = entered(draft);
  return { line: printSheet([draftLine(draft, 1)]).trim(), asked: questions.map(({ text }) => text), open };
}

describe("what the table cannot press is asked afterwards", () => {
  test("seconds between two actions", () => {
    expect(pressed("I parry, then within 2 s I hit")).toEqual({
      line: "1 R parry, R ! .",
      asked: ["Exchange 1: how long after Red's parry did Red's hit come?"],
      open: 1,
    });
  });

  test("what two actions have in common", () => {
    expect(pressed("I feint, then I hit another target")).toEqual({
      line: "1 R feint, R ! .",
      asked: [
        "Exchange 1: what was the target of Red's feint?",
        "Exchange 1: what was the target of Red's hit?",
      ],
      open: 1,
    });
  });

  test("a step alone brings the earlier strike with it", () => {
    expect(pressed("I hit another target").line).toBe("1 R attack, R ! .");
    expect(pressed("I hit the same target as theirs").line).toBe("1 B attack, R ! .");
  });

  test("next of all needs no seconds: the chip lights", () => {
    const draft = presses(planOf(rule("I parry, next I riposte and hit")), ["red: Hit", "red: It"]);
    expect(state(draft, "red: It")).toBe("lit");
    expect(entered(draft).bonus).toEqual({ red: 1, blue: 0 });
  });

  test("a touch that looks back is a chip, not a key", () => {
    const plan = planOf("name: Test\ntouches: {I hit: 1, I hit another target: 2}");
    expect(plan.hits.red.map(({ worth }) => worth)).toEqual([1]);
    expect(plan.chips.map(({ id }) => id)).toEqual(["red:touch:1", "blue:touch:1"]);
  });
});
