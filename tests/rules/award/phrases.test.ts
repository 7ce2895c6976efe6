import { describe, expect, test } from "vitest";
import { scoreOf, scorerOf, tallyOf } from "../../support/score.ts";

const paying = (when: string, pays = "1 bonus to me"): string =>
  `rules: [{name: It, when: "${when}", pays: "${pays}"}]`;
const bonus = (when: string, bout: string, pays?: string): string =>
  scoreOf(paying(when, pays), bout).split("bonus ")[1] ?? "";

describe("then and at once [P2]", () => {
  test("cut, parry, cut, thrust: then lets anything stand between, at once nothing", () => {
    const bout = "1 R cut head, B parry, R cut arm, R thrust torso ! .";
    expect(bonus("I cut, then I hit with a thrust", bout)).toBe("1-0");
    expect(bonus("I cut, at once I hit with a thrust", bout)).toBe("1-0");
    expect(bonus("they parry, then I hit with a thrust", bout)).toBe("1-0");
    expect(bonus("they parry, at once I hit with a thrust", bout)).toBe("0-0");
    expect(bonus("I cut, then I cut, then I hit with a thrust", bout)).toBe("1-0");
    expect(bonus("I cut, at once I cut", bout)).toBe("0-0");
  });

  test("a feint between the parry and the riposte: then holds, at once does not", () => {
    const bout = "1 B cut head, R parry, R feint, R riposte torso ! .";
    expect(bonus("I parry, then I riposte and hit", bout)).toBe("1-0");
    expect(bonus("I parry, at once I riposte and hit", bout)).toBe("0-0");
  });

  test("first opens the exchange, begin is the fencer's own first action", () => {
    expect(bonus("first I feint", "1 B bind, R feint .")).toBe("0-0");
    expect(bonus("I begin with a thrust", "1 B bind, R thrust head .")).toBe("1-0");
    expect(bonus("I begin with a thrust", "1 R feint, R thrust head .")).toBe("0-0");
  });

  test("never: before, between, and until the halt", () => {
    expect(bonus("they never feint, then I hit", "1 B feint, R cut head ! .")).toBe("0-0");
    expect(bonus("I feint, then they never parry, then I hit", "1 R feint, B parry, R cut head ! .")).toBe(
      "0-0",
    );
    expect(
      bonus("I feint, then they never parry, then I hit", "1 B parry, R feint, R cut head !, B parry ."),
    ).toBe("1-0");
    expect(bonus("I hit, then they never hit", "1 R cut head !, B cut arm ! .")).toBe("0-1");
  });

  test("each time counts distinct last steps, not ways to reach them [P11]", () => {
    const bout = "1 R cut head, R cut arm, R feint, R cut leg, R feint .";
    expect(bonus("I cut, then I feint", bout, "1 bonus to me each time")).toBe("2-0");
    expect(bonus("I cut, then I feint", bout)).toBe("1-0");
  });

  test("both acting is one act of both fencers", () => {
    expect(
      bonus("we both wait for 20 s or more", "1 RB wait for 41 s .", "1 bonus to me for each full 20 s"),
    ).toBe("2-2");
    expect(bonus("I wait", "1 RB wait for 41 s .")).toBe("1-1");
  });
});

describe("words [P4]", () => {
  test("a blow's name implies form and direction, and is refuted by them", () => {
    const text = "weapon: longsword\ntouches: {I hit with a descending cut: 1}";
    expect(scoreOf(text, "1 R zornhau head ! .")).toBe("points 1-0 bonus 0-0");
    expect(scoreOf(text, "1 R zwerchhau head ! .")).toBe("points 0-0 bonus 0-0");
  });

  test("a general word holds for its kinds; recorded alone it leaves open which kind it was", () => {
    expect(bonus("I hit the arm", "1 R cut forearm ! .")).toBe("1-0");
    expect(tallyOf(scorerOf(paying("I hit the forearm")), "1 R cut arm ! .").open).toBe(1);
  });

  test("cleanly: landed, and the other landed nothing", () => {
    expect(bonus("I hit cleanly", "1 R cut head !, B afterblow arm .")).toBe("0-0");
    expect(bonus("I hit cleanly", "1 R cut head !, B cut arm .")).toBe("1-0");
  });
});
