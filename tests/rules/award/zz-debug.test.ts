import { test } from "vitest";
import { chips, draftLine, draftStart, press } from "../../../rules/award/plan-draft.ts";
import { printSheet } from "../../../rules/language/sheet.ts";
import { entered, planOf } from "../../support/presses.ts";
const show = (text: string, pressed: string[]): void => {
  const plan = planOf(text);
  let draft = draftStart(plan);
  console.log([...plan.hits.red, ...plan.neither, ...plan.chips].map((k) => k.id).join(" | "));
  for (const id of pressed) {
    draft = press(draft, id);
    console.log(
      id,
      "->",
      printSheet([draftLine(draft, 1)]),
      JSON.stringify(chips(draft).map((c) => [c.id, c.state])),
    );
  }
  const t = entered(draft);
  console.log(
    t.open,
    t.questions.map((q) => q.text),
    t.awards.map((a) => a.sentence),
  );
};
test("x", () => {
  const rule = (when: string): string =>
    `name: T\ntouches: {I hit: 1}\nrules: [{name: It, when: "${when}", pays: 1 bonus to me}]`;
  show(rule("I parry, then within 2 s I hit"), ["red:hit", "red:rule:0"]);
  show(rule("I feint, then I hit another target"), ["red:hit", "red:rule:0"]);
  show(rule("I hit another target"), ["red:hit", "red:rule:0"]);
  show(rule("I parry, next I riposte and hit"), ["red:hit", "red:rule:0"]);
  show(rule("I hit, then within 2 s they never hit"), ["red:hit", "red:rule:0"]);
  show("name: T\ntouches: {I hit: 1, I hit another target: 2}", ["red:hit"]);
});
