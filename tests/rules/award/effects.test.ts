import { describe, expect, test } from "vitest";
import { scoreOf, scorerOf, tallyOf } from "../../support/score.ts";

/** The finer sentences of the effects, each alone: whose, of what, beside what, and never one's own payment [P10]. */
describe("doubles and afterblows", () => {
  test("an afterblow in a double takes nothing off: the double has its own sentence", () => {
    const text = "bout: {doubles: both score, afterblows: take off 1}\ntouches: {I hit: 2}";
    expect(scoreOf(text, "1 double R cut head !, B afterblow arm .")).toBe("points 2-2 bonus 0-0");
  });

  test("both landing an afterblow: neither takes anything off", () => {
    const text = "bout: {afterblows: take off 1}\ntouches: {I hit: 2}";
    expect(scoreOf(text, "1 R afterblow head, B afterblow arm .")).toBe("points 2-2 bonus 0-0");
  });
});

describe("which rules are tried", () => {
  test("a rule that waits for the end is not tried in an exchange", () => {
    const text = `touches: {I hit: 1}
rules: [{name: Stayed, at: the end of the bout, unless: I win the bout, pays: 1 bonus to me}]`;
    expect(scoreOf(text, "1 R cut head ! .\n2 R cut head ! .")).toBe("points 2-0 bonus 0-0");
    expect(scoreOf(text, "1 R cut head ! .\n2 R cut head ! .\nend")).toBe("points 2-0 bonus 0-1");
  });

  const always = (condition: string): string =>
    `touches: {I hit: 1}\nrules: [{name: It, ${condition}pays: 1 bonus to me}]`;

  test("a no exchange tries only rules that name it [S8]", () => {
    expect(scoreOf(always("if: it is not a double, "), "1 no exchange")).toBe("points 0-0 bonus 0-0");
    expect(scoreOf(always("if: it is a no exchange, "), "1 no exchange")).toBe("points 0-0 bonus 1-1");
    expect(scoreOf(always("unless: it is a no exchange, "), "1 no exchange\n2 R feint .")).toBe(
      "points 0-0 bonus 1-1",
    );
  });

  test("a rule without when is tried in every exchange, for both [P5]", () => {
    expect(scoreOf(always(""), "1 R feint .\n2 B feint .")).toBe("points 0-0 bonus 2-2");
  });

  test("if must hold, unless must not, and both together", () => {
    const bout = "1 R feint .\n2 R feint, R parry .\n3 R feint, B parry .\n4 R feint, R parry, B parry .";
    expect(scoreOf(always("when: I feint, if: I parry, "), bout)).toBe("points 0-0 bonus 2-0");
    expect(scoreOf(always("when: I feint, unless: I parry, "), bout)).toBe("points 0-0 bonus 2-0");
    expect(scoreOf(always("when: I feint, if: I parry, unless: they parry, "), bout)).toBe(
      "points 0-0 bonus 1-0",
    );
  });

  test("any line of a list is enough, and every condition of a line is needed [P5]", () => {
    expect(scoreOf(always("when: [I feint, I parry], "), "1 R parry .\n2 B feint .")).toBe(
      "points 0-0 bonus 1-1",
    );
    const lines = 'when: I act, if: ["I feint, and I parry", I bind], ';
    expect(scoreOf(always(lines), "1 R feint .\n2 R feint, R parry .\n3 R bind .")).toBe(
      "points 0-0 bonus 2-0",
    );
  });

  test("a rule may name another before or after it in the file and reads its payment either way", () => {
    const theme = `rules:
  - {name: B, when: I feint, pays: 1 bonus to me}
  - {name: A, if: '"B" pays me', pays: 2 bonus to me}
  - {name: C, if: '"A" pays me', pays: 4 bonus to me}`;
    expect(scoreOf(theme, "1 R feint .")).toBe("points 0-0 bonus 7-0");
  });

  test("and so does one that asks in its unless, or at a sum of its own", () => {
    const rules = (first: string): string =>
      `rules:\n  - {name: A, when: I feint, ${first}}\n  - {name: Z, when: I feint, pays: 1 bonus to me}`;
    expect(scoreOf(rules(`unless: '"Z" pays me', pays: 2 bonus to me`), "1 R feint .")).toBe(
      "points 0-0 bonus 1-0",
    );
    expect(scoreOf(rules(`pays: '2 bonus to me if "Z" pays me'`), "1 R feint .")).toBe(
      "points 0-0 bonus 3-0",
    );
  });

  test("I score asks every rule that pays points, whatever its name", () => {
    const theme = `rules:
  - {name: A, if: I score, pays: 1 bonus to me}
  - {name: Z, when: I feint, pays: 1 point to me}`;
    expect(scoreOf(theme, "1 R feint .\n2 B feint .\n3 B parry .")).toBe("points 1-1 bonus 1-1");
  });

  test("I score is not they score", () => {
    const theme = "touches: {I hit: 1}\nrules: [{name: A, if: they score, pays: 1 bonus to me}]";
    expect(scoreOf(theme, "1 R cut head ! .")).toBe("points 1-0 bonus 0-1");
  });
});

describe("best of", () => {
  const group = `rules:
  - {name: Small, when: I feint, pays: 1 bonus to me, best of: it}
  - {name: Large, when: I parry, pays: 3 bonus to me, best of: it}`;

  test("each fencer has a best of his own", () => {
    expect(scoreOf(group, "1 R parry, B feint .")).toBe("points 0-0 bonus 3-1");
  });
});

describe("annul, multiply and turn over", () => {
  const both = `touches: {I hit: 1}
rules:
  - {name: Bonus, when: I hit, pays: 2 bonus to me}`;
  const bout = "1 R feint, R cut head !, B cut arm ! .";

  test.each([
    ["annul my points", "points 0-1 bonus 2-2"],
    ["annul my bonus", "points 1-1 bonus 0-2"],
    ["annul their points", "points 1-0 bonus 2-2"],
    ["annul their points and bonus", "points 1-0 bonus 2-0"],
    ["double my points", "points 2-1 bonus 2-2"],
    ["triple their bonus", "points 1-1 bonus 2-6"],
    ["halve their bonus", "points 1-1 bonus 2-1"],
    ["turn my bonus over to them", "points 1-1 bonus 0-4"],
  ])("%s", (does, gives) => {
    expect(scoreOf(`${both}\n  - {name: Does, when: I feint, does: ${does}}`, bout)).toBe(gives);
  });

  test.each([
    ["double my bonus", "points 0-0 bonus 1-0"],
    ["annul my bonus", "points 0-0 bonus 1-0"],
    ["turn my bonus over to them", "points 0-0 bonus 1-0"],
    ["hold my bonus for one exchange", "points 0-0 bonus 1-0"],
  ])("%s never touches what the same rule pays", (does, gives) => {
    const text = `rules: [{name: Own, when: I feint, pays: 1 bonus to me, does: ${does}}]`;
    expect(scoreOf(text, "1 R feint .")).toBe(gives);
  });

  test("resting on: only what cannot be matched without such an action goes", () => {
    const text = `words: {carded: a manner}
touches: {I hit: 1}
rules:
  - {name: Parry, when: I parry, pays: 1 bonus to me}
  - {name: Card, if: it is not a double, does: annul my points and bonus resting on an action carded}`;
    expect(scoreOf(text, "1 R parry, R cut head carded ! .")).toBe("points 0-0 bonus 1-0");
    expect(scoreOf(text, "1 R cut head carded !, R cut arm ! .")).toBe("points 1-0 bonus 0-0");
  });
});

describe("hold", () => {
  const held = (lost = ""): string => `rules:
  - {name: Feint, when: I feint, pays: 2 bonus to me}
  - {name: Keep, when: I withdraw, does: "hold my bonus for one exchange${lost}"}`;

  test("what is held is not paid before the next exchange", () => {
    expect(scoreOf(held(), "1 R feint, R withdraw .")).toBe("points 0-0 bonus 0-0");
    expect(scoreOf(held(), "1 R feint, R withdraw .\n2 B parry .")).toBe("points 0-0 bonus 2-0");
  });

  test("lost if they hit: it is lost by that, and by nothing else", () => {
    expect(scoreOf(held(", lost if they hit"), "1 R feint, R withdraw .\n2 B cut head ! .")).toBe(
      "points 0-0 bonus 0-0",
    );
    expect(scoreOf(held(", lost if they hit"), "1 R feint, R withdraw .\n2 R cut head ! .")).toBe(
      "points 0-0 bonus 2-0",
    );
  });

  test("a no exchange neither pays it nor loses it", () => {
    const bout = "1 R feint, R withdraw .\n2 no exchange";
    expect(scoreOf(held(), bout)).toBe("points 0-0 bonus 0-0");
    expect(scoreOf(held(), `${bout}\n3 B parry .`)).toBe("points 0-0 bonus 2-0");
  });

  test("what is still held at the end is paid", () => {
    expect(scoreOf(`touches: {I hit: 1}\n${held()}`, "1 R feint, R withdraw .\nend")).toBe(
      "points 0-0 bonus 2-0",
    );
  });
});

describe("the bout's end, warnings and retirement by a rule", () => {
  const ending = (does: string): string =>
    `touches: {I hit: 1}\nrules: [{name: Out, when: I disarm, does: "${does}"}]`;
  const ended = (does: string, bout: string): unknown => tallyOf(scorerOf(ending(does)), bout).ended;

  test.each([
    ["end the bout, I lose", "blue wins"],
    ["end the bout, they lose", "red wins"],
    ["end the bout, both lose", "both lose"],
    ["end the bout", "red wins"],
  ])("%s", (does, how) => expect(ended(does, "1 R disarm, R cut head ! .")).toBe(how));

  test("two that contradict each other are both", () => {
    expect(ended("end the bout, I lose", "1 R disarm, B disarm .")).toBe("both lose");
  });

  test("warn me is not warn them, and only the one who says so retires", () => {
    const warned = (does: string): unknown => {
      const { warned: given, retired } = tallyOf(
        scorerOf(`touches: {I hit: 1}\nrules: [{name: It, when: I grapple, does: ${does}}]`),
        "1 R grapple .",
      );
      return [given.red, given.blue, retired?.red, retired?.blue];
    };
    expect(warned("warn me")).toEqual([1, 0, false, false]);
    expect(warned("warn them")).toEqual([0, 1, false, false]);
    expect(warned("retire me")).toEqual([0, 0, true, false]);
  });
});
