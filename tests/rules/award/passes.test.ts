import { describe, expect, test } from "vitest";
import type { Scorer } from "../../../rules/award/compile.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import { PASS_EXAMPLES } from "../../support/pass-examples.ts";
import { result, scorerOf, sheetOf } from "../../support/score.ts";

function without(scorer: Scorer, pass: string): Scorer {
  const passes = scorer.program.passes.filter(({ name }) => name !== pass);
  expect(passes.length, `${pass} is one of the passes`).toBe(scorer.program.passes.length - 1);
  return { ...scorer, program: { ...scorer.program, passes } };
}

/**
 * One example for each pass in the order of effects [P10]. Each also runs with its pass taken out, and must then give
 * something else: an example that no pass can break would test nothing.
 */
describe("the one order of effects [P10]", () => {
  const named = PASS_EXAMPLES.map((one) => [one.pass, one.says, one] as const);
  test.each(named)("%s: %s", (_pass, _says, { pass, rules, bout, gives }) => {
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
