/** A small test for each promise of rules/LANGUAGE.md about negations, sums, earlier exchanges and seconds. */
import { describe, expect, test } from "vitest";
import { bonus, fault, set, tallyOf, when } from "./scored.ts";

/** A rule that pays 1 bonus for a hit under a condition. */
const hitIf = (condition: string, more = ""): string =>
  set(`  - name: Rule\n    when: I hit\n    if: ${condition}\n    pays: 1 bonus to me\n`, more);
const BLOTS =
  "marks:\n  blots:\n    is: a count for each fencer\n    changes: up 1 when I step out\n" +
  "  falls:\n    is: a count for each fencer\n    changes: up 1 when I fall\n";
const CLOCK = "bout:\n  ends: after 3 min\n";

describe("conditions", () => {
  test("[P7] so many of the last exchanges; the bout's missing ones do not count, not even for never", () => {
    const run = hitIf("in 2 or more of the last 3 exchanges I score");
    expect(bonus(run, "1 R cut ! .\n2 R cut ! .\n3 R cut ! .")).toBe("1-0");
    const never = hitIf("in 1 or more of the last 2 exchanges they never hit");
    expect(bonus(never, "1 R cut ! .")).toBe("0-0");
    expect(bonus(never, "1 R cut miss .\n2 R cut ! .")).toBe("1-0");
  });

  test("[P14] not is the opposite, under what is unknown too", () => {
    expect(bonus(hitIf("I am not behind"), "1 R cut ! .")).toBe("1-0");
    expect(bonus(hitIf("they never parry"), "1 R cut ! .")).toBe("1-0");
    expect(bonus(hitIf("they never parry"), "1 B parry, R cut ! .")).toBe("0-0");
    expect(tallyOf(hitIf("they never parry"), "1 R cut !")).toBe("points 1-0 bonus 0-0 open 1");
    expect(tallyOf(hitIf("they parry"), "1 R cut !")).toBe("points 1-0 bonus 0-0 open 1");
    const chain = hitIf("it never happens that they feint, then I parry");
    expect(bonus(chain, "1 B feint, R parry, R cut ! .")).toBe("0-0");
    expect(bonus(chain, "1 R parry, B feint, R cut ! .")).toBe("1-0");
  });

  test("[P15] so many of several conditions hold, and ', and' ends their list", () => {
    const two = hitIf("2 or more of I feint; I beat; I am behind, and they never parry");
    expect(bonus(two, "1 R feint, R beat, R cut ! .")).toBe("1-0");
    expect(bonus(two, "1 R feint, R cut ! .")).toBe("0-0");
    expect(bonus(two, "1 R feint, R beat, B parry, R cut ! .")).toBe("0-0");
    expect(bonus(hitIf("none of I feint; I beat"), "1 R cut ! .\n2 R beat, R cut ! .")).toBe("1-0");
  });

  test("[P16] a sum reads its numbers as the exchange began, or all of them now", () => {
    const began = hitIf("my blots plus my falls is 2", BLOTS);
    const now = hitIf("my blots plus my falls is 2 now", BLOTS);
    const bout = "1 R step out .\n2 R fall, R cut ! .\n3 R cut ! .";
    expect(bonus(began, bout)).toBe("1-0");
    expect(bonus(now, bout)).toBe("2-0");
    expect(bonus(hitIf("my blots is more than their blots plus 1", BLOTS), bout)).toBe("0-0");
    expect(fault(hitIf("my points is 1 now"))).toContain("now");
  });

  test("[P16] my touch is what it is worth after doubles and afterblows", () => {
    const again = (bout: string): string =>
      `name: Again\nbout:\n  afterblows: take off 1\n${bout}touches:\n  I hit the head: 3\n  I hit: 1\n` +
      "rules:\n  - name: Again\n    when: I hit\n    pays: 1 bonus to me times my touch\n";
    expect(tallyOf(again(""), "1 R cut head !, B afterblow arm .")).toBe("points 2-0 bonus 2-0 open 0");
    expect(tallyOf(again(""), "1 double R cut head !, B cut arm ! .")).toBe("points 0-0 bonus 0-0 open 0");
  });

  test("[P17] an exchange lasts from halt to halt by the clock, and time is gone of a length that is known", () => {
    const quick = hitIf("it lasts 5 s or less", CLOCK);
    expect(bonus(quick, "1 R cut ! . [176 s left]\n2 R cut ! . [160 s left]")).toBe("1-0");
    expect(tallyOf(quick, "1 R cut ! .")).toBe("points 1-0 bonus 0-0 open 1");
    const late = hitIf("60 s or more are gone", CLOCK);
    expect(bonus(late, "1 R cut ! . [130 s left]\n2 R cut ! . [120 s left]")).toBe("1-0");
    expect(fault(hitIf("60 s or more are gone"))).toContain("how long the bout is");
  });
});

describe("phrases", () => {
  test("[P18] next is that fencer's own next action, whatever the other does between", () => {
    const answer = when("I parry, next I hit");
    expect(bonus(answer, "1 B cut, R parry, B feint, R cut ! .")).toBe("1-0");
    expect(bonus(answer, "1 B cut, R parry, R feint, R cut ! .")).toBe("0-0");
    // The parry that was recorded last may still have its own next action.
    expect(bonus(answer, "1 R parry, R feint, R parry, R cut ! .")).toBe("1-0");
  });

  test("[P19] seconds are measured from the action that was asked for; unwritten ones are unknown", () => {
    const quick = when("they cut, then within 2 s I hit");
    expect(bonus(quick, "1 B cut, 1 s later R feint, 0.5 s later R thrust ! .")).toBe("1-0");
    expect(bonus(quick, "1 B cut, 1 s later R feint, 1.5 s later R thrust ! .")).toBe("0-0");
    expect(tallyOf(quick, "1 B cut, R thrust ! .")).toBe("points 1-0 bonus 0-0 open 1");
    const slow = when("they cut, then after 2 s or more I hit");
    expect(bonus(slow, "1 B cut, 3 s later R thrust ! .")).toBe("1-0");
    expect(bonus(slow, "1 B cut, 3 s later B cut, 1 s later R thrust ! .")).toBe("1-0");
    const safe = when("I hit, then within 1 s they never hit");
    expect(bonus(safe, "1 R cut !, 2 s later B afterblow .")).toBe("1-1");
    expect(bonus(safe, "1 R cut !, 0.5 s later B afterblow .")).toBe("0-1");
  });

  test("[P20] another and the same look at the fencer's own latest strike or feint, or at the other's", () => {
    const elsewhere = when("I hit another target");
    expect(bonus(elsewhere, "1 R cut leg miss, R cut head ! .")).toBe("1-0");
    expect(bonus(elsewhere, "1 R feint head, R parry, R cut head ! .")).toBe("0-0");
    expect(bonus(elsewhere, "1 R cut head ! .")).toBe("0-0");
    expect(bonus(when("I hit the same target"), "1 R cut head ! .")).toBe("0-0");
    const alike = when("I hit the same target as theirs");
    expect(bonus(alike, "1 B cut arm miss, R cut arm ! .\n2 B cut leg miss, R cut arm ! .")).toBe("1-0");
  });
});
