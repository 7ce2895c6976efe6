/** Who met the cue, who tried, who succeeded. */
import { expect, test } from "vitest";
import { funnel, plannedExchanges } from "../../../engine/index.ts";
import { answer, callBout, fenced, given, hit, scorerOf, underBout } from "../../support/given.ts";

test("the funnel counts the exchanges in which each phrase was surely made", () => {
  const { bout } = given(
    callBout(),
    fenced("x1", answer("red")),
    fenced("x2", {
      acts: [
        { by: "blue", kind: "attack", form: "cut", target: "head" },
        { by: "red", kind: "parry" },
      ],
      open: false,
    }),
    fenced("x3", hit("blue", "arm")),
  );
  expect(funnel([{ bout }], "mira")).toEqual({ cue: 3, attempt: 2, success: 1 });
  expect(funnel([{ bout }, { bout }], "mira")).toEqual({ cue: 6, attempt: 4, success: 2 });
  expect(funnel([{ bout }], "teo").success).toBe(0);
  expect(funnel([{ bout }], "lena")).toEqual({ cue: 0, attempt: 0, success: 0 });
});

test("the garland makes room for the rule set's exchanges, else for 12 and then 6 more", () => {
  const text = underBout("ends: at 90 points");
  const many = (n: number, rules = text) =>
    given(callBout(rules), Array.from({ length: n }, (_, i) => fenced(`x${i}`, hit("red", "arm"))).flat())
      .bout;
  expect([0, 12, 13, 18, 19].map((n) => plannedExchanges(many(n), scorerOf(text)))).toEqual([
    12, 12, 18, 18, 24,
  ]);
  const ten = underBout("ends: after 10 exchanges");
  expect(plannedExchanges(many(3, ten), scorerOf(ten))).toBe(10);
});
