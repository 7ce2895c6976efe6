import { describe, expect, test } from "vitest";
import { scoreOf, scorerOf, tallyOf } from "../../support/score.ts";

const bonus = (when: string, bout: string, before = "", pays = "1 bonus to me"): string =>
  scoreOf(`${before}rules: [{name: It, when: "${when}", pays: "${pays}"}]`, bout).split("bonus ")[1] ?? "";

describe("who acts", () => {
  const bout = "1 R feint, B parry .";

  test.each([
    ["I feint", "1-0"],
    ["they feint", "0-1"],
    ["I or they feint", "1-1"],
    ["we both feint", "0-0"],
    ["I or they feint or parry, then I or they parry", "1-1"],
  ])("%s", (when, gives) => expect(bonus(when, bout)).toBe(gives));

  test("both is one act of both, and each one's act too", () => {
    expect(bonus("we both wait", "1 RB wait for 5 s .")).toBe("1-1");
    expect(bonus("we both wait", "1 R wait for 5 s, B wait for 5 s .")).toBe("0-0");
    expect(bonus("they wait", "1 RB wait for 5 s .")).toBe("1-1");
  });
});

describe("begin and first", () => {
  test("begin: whatever the other did before, it is my own first", () => {
    expect(bonus("I begin with a thrust", "1 B thrust head, B parry, R thrust head .")).toBe("1-1");
    expect(bonus("they begin with a thrust", "1 R thrust head, B cut arm .")).toBe("0-1");
  });

  test("begin: my second action is no beginning, though it is the other's first", () => {
    expect(bonus("I begin with a thrust", "1 R cut head, R thrust head .")).toBe("0-0");
    expect(bonus("they begin with a thrust", "1 B cut head, B thrust head, R thrust arm .")).toBe("0-1");
  });

  test("first: the action that opens the exchange, and never a later one", () => {
    expect(bonus("first I feint, then I parry", "1 R feint, R parry .")).toBe("1-0");
    expect(bonus("first I feint, then I parry", "1 B bind, R feint, R parry .")).toBe("0-0");
  });
});

describe("named phrases", () => {
  const named = "phrases: {cover: 'they cut, then I parry'}\n";

  test("make it, and turned round where they make it", () => {
    expect(bonus("I make the cover", "1 B cut head, R parry .", named)).toBe("1-0");
    expect(bonus("they make the cover", "1 B cut head, R parry .", named)).toBe("0-1");
    expect(bonus("I or they make the cover", "1 B cut head, R parry .", named)).toBe("1-1");
  });

  test("the link before it holds for its first action", () => {
    const when = "I feint, at once I make the cover";
    expect(bonus(when, "1 R feint, B cut head, R parry .", named)).toBe("1-0");
    expect(bonus(when, "1 R feint, B bind, B cut head, R parry .", named)).toBe("0-0");
  });

  test("its own links hold inside", () => {
    const at = "phrases: {cover: 'they cut, at once I parry'}\n";
    expect(bonus("I feint, then I make the cover", "1 R feint, B cut head, B bind, R parry .", at)).toBe(
      "0-0",
    );
  });
});

describe("two phrases of one rule set", () => {
  test("phrases that differ in never alone are two", () => {
    const text = `rules:
  - {name: A, when: "I feint, then they parry, then I hit", pays: 1 bonus to me}
  - {name: B, when: "I feint, then they never parry, then I hit", pays: 10 bonus to me}`;
    expect(scoreOf(text, "1 R feint, B parry, R cut head ! .")).toBe("points 0-0 bonus 1-0");
    expect(scoreOf(text, "1 R feint, R cut head ! .")).toBe("points 0-0 bonus 10-0");
  });

  test("with so many phrases that they fill more than one word of bits, each is still found", () => {
    const kinds = ["feint", "parry", "bind", "beat", "press", "void", "withdraw"];
    const rules = kinds.flatMap((one) =>
      kinds.map((two) => `  - {name: ${one} ${two}, when: "I ${one}, then I ${two}", pays: 1 bonus to me}`),
    );
    for (const count of [10, 20, 49])
      for (const side of ["R", "B"]) {
        const acts = kinds.map((kind) => `${side} ${kind}`).join(", ");
        // Of all ordered pairs those hold that stand in the row in this order.
        const wanted = rules.slice(0, count).filter((rule) => {
          const [, one = "", two = ""] = /"I (\w+), then I (\w+)"/.exec(rule) ?? [];
          return kinds.indexOf(one) < kinds.indexOf(two);
        }).length;
        const gives = side === "R" ? `${String(wanted)}-0` : `0-${String(wanted)}`;
        // A phrase of one action among those of two, so that no two words of bits look alike.
        const alone = "  - {name: alone, when: I wait, pays: 1 bonus to me}";
        const text = ["rules:", alone, ...rules.slice(0, count)].join("\n");
        expect(scoreOf(text, `1 ${acts} .`)).toBe(`points 0-0 bonus ${gives}`);
      }
  });
});

describe("what an action is", () => {
  test("anything but, and not in a manner", () => {
    expect(bonus("I hit anything but the head", "1 R cut head ! .\n2 R cut arm ! .")).toBe("1-0");
    expect(bonus("I hit with anything but a thrust", "1 R cut head !, B thrust arm ! .")).toBe("1-0");
    expect(
      bonus("I hit not in one tempo", "1 R cut head in one tempo !, B cut arm not in one tempo ! ."),
    ).toBe("0-1");
    expect(bonus("I hit in one tempo", "1 R cut head in one tempo !, B cut arm not in one tempo ! .")).toBe(
      "1-0",
    );
  });

  test("two tempi are not one, though nobody wrote so", () => {
    expect(bonus("I hit not in one tempo", "1 R cut head in two tempi ! .")).toBe("1-0");
    const open = "rules: [{name: It, when: I hit not in one tempo, pays: 1 bonus to me}]";
    expect(tallyOf(scorerOf(open), "1 R cut head in two tempi !").open).toBe(0);
  });

  test("from the right: the striker's own; a forehand blow comes from there [P4]", () => {
    const weapon = "weapon: longsword\n";
    expect(
      bonus("I strike from the right", "1 R cut from the right head, B cut from the left head .", weapon),
    ).toBe("1-0");
    expect(bonus("I strike from the right", "1 R zornhau head .", weapon)).toBe("1-0");
    expect(bonus("I strike from the left", "1 R zornhau head .", weapon)).toBe("0-0");
  });

  test("strike is every offence, and nothing else is one", () => {
    expect(bonus("I strike", "1 R attack head, B parry .")).toBe("1-0");
    expect(bonus("I strike", "1 R stop-hit arm .\n2 B riposte head .\n3 B bind .")).toBe("1-1");
  });

  test("a strike right after one's own parry is a riposte, after the other's an attack [S2]", () => {
    expect(bonus("I riposte", "1 B cut head, R parry, R cut arm .")).toBe("1-0");
    expect(bonus("I riposte", "1 B cut head, R parry, B cut arm .")).toBe("0-0");
    expect(bonus("I attack", "1 B cut head, R parry, B cut arm .")).toBe("0-1");
    expect(bonus("I riposte", "1 R parry, R feint, R cut arm .")).toBe("0-0");
  });

  test("not: what somebody saw not to be is no longer asked [S14]", () => {
    expect(bonus("I hit the forearm", "1 R cut arm not forearm ! .")).toBe("0-0");
    expect(bonus("I hit anything but the forearm", "1 R cut arm not forearm ! .")).toBe("1-0");
  });

  test("cleanly: the other landed nothing, before or after", () => {
    expect(bonus("I hit cleanly", "1 B cut arm !, R cut head ! .")).toBe("0-0");
    expect(bonus("I hit cleanly", "1 R cut head ! .\n2 B cut arm !, B cut head ! .")).toBe("1-1");
  });
});
