import { describe, expect, test } from "vitest";
import { applyFacts } from "../../../rules/award/facts.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import type { Fact } from "../../../rules/award/tally.ts";
import type { ExchangeLine } from "../../../rules/record.ts";
import { scorerOf, sheetOf, tallyOf } from "../../support/score.ts";

const sentences = (text: string, bout: string): readonly string[] =>
  tallyOf(scorerOf(text), bout).awards.map(({ sentence }) => sentence);

describe("every award explains itself in one sentence: the rule, the actions, the arithmetic", () => {
  test("a rule of a phrase", () => {
    const text =
      'rules: [{name: Cover and answer, when: "I parry, then I riposte and hit", pays: 2 bonus to me}]';
    expect(sentences(text, "1 B cut head, R parry, R riposte torso ! .")).toEqual([
      "Cover and answer: Red parried, then hit the torso with a riposte: 2 bonus.",
    ]);
  });

  test("doubled and capped", () => {
    const text = `touches: {I hit: 1}
rules:
  - {name: Press and strike, when: "I press, then I hit", does: double my points}
  - {name: Parry, when: I parry, pays: 2 bonus to me, at most: 3 bonus a bout}`;
    expect(sentences(text, "1 R press, R cut head ! .\n2 R parry .\n3 R parry .")).toEqual([
      "Touch: Red hit the head with a cut: 1 point, doubled by Press and strike: 2 points.",
      "Parry: Red parried: 2 bonus.",
      "Parry: Red parried: 2 bonus, capped at 3 bonus a bout: 1 bonus.",
    ]);
  });

  test("each time says how often", () => {
    const text = "rules: [{name: Parry, when: I parry, pays: 0.5 bonus to me each time}]";
    expect(sentences(text, "1 R parry, R parry .")).toEqual([
      "Parry: Red parried: 2 times 0.5 bonus: 1 bonus.",
    ]);
  });

  test("of several matches the latest is told, and at once means at once", () => {
    const rule = (when: string): string => `rules: [{name: It, when: "${when}", pays: 1 bonus to me}]`;
    const twice = "1 B cut head, R parry, B cut leg, R parry, R cut arm .";
    expect(sentences(rule("they cut, then I parry"), twice)).toEqual([
      "It: Blue cut to the leg, then Red parried: 1 bonus.",
    ]);
    const first = "1 R parry, R cut head, B bind, R cut arm .";
    expect(sentences(rule("I parry, at once I cut"), first)).toEqual([
      "It: Red parried, then cut to the head: 1 bonus.",
    ]);
  });

  test("a gift to the other fencer names both", () => {
    const text = "rules: [{name: Crossed feet, when: I cross the feet, pays: 1 bonus to them}]";
    expect(sentences(text, "1 B cross the feet .")).toEqual([
      "Crossed feet: Blue crossed the feet: 1 bonus to Red.",
    ]);
  });
});

describe("questions and their answers", () => {
  const text = `touches: {I hit: 1}
rules: [{name: Cover and answer, when: "I parry, then I hit", pays: 2 bonus to me}]`;
  const scorer = scorerOf(text);
  const open = sheetOf(scorer, "5 R cut torso !");
  const [question] = scoreBout(scorer, open).questions;

  test("the missing fact is asked in one sentence, with what hangs on it", () => {
    expect(question?.text).toBe("Exchange 5: did Red parry before this hit?");
    expect(question?.answers.map(({ label }) => label)).toEqual(["Yes", "No"]);
    expect(question?.stake).toEqual([
      { exchange: 5, to: "red", rule: "Cover and answer", unit: "bonus", span: { least: 0, most: 2 } },
    ]);
  });

  test.each([
    ["Yes", 2],
    ["No", 0],
  ])("%s settles it at %i", (label, bonus) => {
    const facts = question?.answers.find((answer) => answer.label === label)?.facts as readonly Fact[];
    const tally = scoreBout(scorer, [applyFacts(open[0] as ExchangeLine, facts)]);
    expect([tally.bonus.red, tally.open]).toEqual([bonus, 0]);
  });

  test("no answer, no question: where nothing is open nothing is asked", () => {
    expect(tallyOf(scorer, "1 R cut torso ! .").questions).toEqual([]);
  });

  test("only what can change an award is asked: a parry after the hit cannot", () => {
    const asked = scoreBout(scorer, open).questions.map((one) => one.text);
    expect(asked).toEqual(["Exchange 5: did Red parry before this hit?"]);
  });

  test("an amount that is certain in part still waits, and the question says between what [S17]", () => {
    const two = scorerOf(`rules:
  - {name: Parry, when: I parry, pays: [1 bonus to me, 1 bonus to me if I bind]}`);
    const tally = tallyOf(two, "1 R parry");
    expect(tally.bonus.red).toBe(0);
    expect(tally.questions.map((one) => one.text)).toContain(
      "Exchange 1: did Red bind? (Parry: 1 to 2 bonus)",
    );
  });
});

describe("facts", () => {
  const line: ExchangeLine = {
    type: "exchange",
    no: 2,
    acts: [
      { by: "red", form: "cut", end: "perhaps" },
      { by: "blue", kind: "parry" },
    ],
    open: true,
  };

  test("facts read as if they had been recorded at once", () => {
    const facts: readonly Fact[] = [
      { fact: "end", act: "2a", end: "hit" },
      { fact: "attribute", act: "2a", key: "target", value: "head" },
      { fact: "attribute", act: "2a", key: "manner", value: "in one tempo", not: true },
      { fact: "happened", act: { by: "blue", kind: "feint" }, before: "2a" },
      { fact: "left", seconds: 12 },
      { fact: "nothing else" },
    ];
    expect(applyFacts(line, facts)).toEqual({
      type: "exchange",
      no: 2,
      acts: [
        { id: "2+1", by: "blue", kind: "feint" },
        { id: "2a", by: "red", form: "cut", end: "hit", target: "head", not: ["in one tempo"] },
        { id: "2b", by: "blue", kind: "parry" },
      ],
      open: false,
      left: 12,
    });
  });

  test("a fact about an action that is not there changes nothing", () => {
    expect(applyFacts(line, [{ fact: "end", act: "9z", end: "hit" }])).toEqual(line);
  });

  test("one fencer's silence closes that fencer's actions only", () => {
    const scorer = scorerOf("rules: [{name: Parry, when: I parry, pays: 1 bonus to me}]");
    const quiet = applyFacts({ ...line, acts: [] }, [{ fact: "nothing else", kinds: ["parry"], by: "red" }]);
    const tally = scoreBout(scorer, [quiet]);
    expect(tally.exchanges[0]?.open.map(({ to }) => to)).toEqual(["blue"]);
  });
});
