import { describe, expect, test } from "vitest";
import { applyFacts } from "../../../rules/award/facts.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import type { Fact, Tally } from "../../../rules/award/tally.ts";
import type { BoutSheet, ExchangeLine } from "../../../rules/record.ts";
import { result, scorerOf, sheetOf, tallyOf } from "../../support/score.ts";

/** What nobody recorded is unknown, never "no" [P12, S5]: each kind of unknown alone. */
const HIT = "touches: {I hit: 1}\n";
const asked = ({ questions }: Tally): readonly string[] => questions.map(({ text }) => text);
const spanOf = (tally: Tally): unknown => [tally.span.points.red, tally.span.bonus.red];
const span = (least: number, most: number): unknown => ({ least, most });
const paying = (when: string, before = ""): string =>
  `${before}rules: [{name: It, when: "${when}", pays: 2 bonus to me}]`;

describe("what may have been", () => {
  test("an unsure hit: paid only once it is sure, and asked", () => {
    const tally = tallyOf(scorerOf(HIT), "1 R cut head !? .");
    expect([result(tally), spanOf(tally), tally.open]).toEqual([
      "points 0-0 bonus 0-0",
      [span(0, 1), span(0, 0)],
      1,
    ]);
    expect(asked(tally)).toEqual(["Exchange 1: did Red's cut land?"]);
  });

  test("two unsure hits: every way of the two", () => {
    const tally = tallyOf(
      scorerOf(paying("I hit the head, then I hit the arm")),
      "1 R cut head !?, R cut arm !? .",
    );
    expect([spanOf(tally), tally.open]).toEqual([[span(0, 0), span(0, 2)], 1]);
  });

  test("a word that nobody wrote may be the one that is asked for, and may not", () => {
    const tally = tallyOf(scorerOf(paying("I hit the head")), "1 R cut ! .");
    expect([spanOf(tally), asked(tally)]).toEqual([
      [span(0, 0), span(0, 2)],
      ["Exchange 1: was Red's cut to the head?"],
    ]);
  });

  test("an open line may hide something before its first action and after its last, a closed one nothing", () => {
    const open = (when: string, bout: string): number => tallyOf(scorerOf(paying(when)), bout).open;
    expect(open("I parry, then I hit", "1 R cut head !")).toBe(1);
    expect(open("I hit, then I withdraw", "1 R cut head !")).toBe(1);
    expect(open("I hit, then they never parry", "1 R cut head !")).toBe(1);
    expect(open("I parry, then I hit", "1 R cut head ! .")).toBe(0);
    // Never between two recorded actions (S1).
    expect(open("I hit, at once I withdraw", "1 R cut head !, R cut arm")).toBe(0);
  });

  test("two things may be missing at one place", () => {
    expect(tallyOf(scorerOf(paying("they bind, then I parry, then I hit")), "1 R cut head !").open).toBe(1);
  });

  test("never a hit, and no afterblow [S1]", () => {
    expect(tallyOf(scorerOf(`${HIT}${paying("they land an afterblow")}`), "1 R cut head !").open).toBe(0);
    expect(tallyOf(scorerOf(HIT), "1 R feint").open).toBe(0);
  });

  test("a no exchange hides nothing, whatever its line says [S8]", () => {
    const scorer = scorerOf(
      `rules: [{name: It, when: I parry, if: it is a no exchange, pays: 2 bonus to me}]`,
    );
    expect(
      scoreBout(scorer, [{ type: "exchange", no: 1, how: "no exchange", acts: [], open: true }]).open,
    ).toBe(0);
  });

  test("the clock that nobody read: both sides of every number that a rule names", () => {
    const late = 'rules: [{name: Late, if: "30 s or less are left", pays: 1 bonus to me}]';
    const tally = tallyOf(scorerOf(`${HIT}${late}`), "1 R cut head ! .");
    expect([tally.open, spanOf(tally)]).toEqual([2, [span(1, 1), span(0, 1)]]);
    expect(asked(tally)).toEqual(["Exchange 1: were 30 s or less left?"]);
  });

  test("what only may have ended the bout leaves it open whether it has ended", () => {
    const tally = tallyOf(
      scorerOf(`bout: {ends: at 1 point}\n${HIT}`),
      "1 R cut head !? .\n2 B cut head ! .\n3 B cut head ! .",
    );
    expect([tally.ended, tally.points, tally.span.points]).toEqual([
      null,
      { red: 0, blue: 0 },
      { red: span(0, 1), blue: span(0, 1) },
    ]);
  });

  test("an unknown of one exchange reaches the next: in the last exchange", () => {
    const text =
      "rules: [{name: It, when: I feint, if: in the last exchange I hit the head, pays: 2 bonus to me}]";
    const tally = tallyOf(scorerOf(text), "1 R cut ! .\n2 R feint .\n3 R feint .");
    expect([tally.exchanges.map(({ open }) => open.length), spanOf(tally)]).toEqual([
      [0, 1, 0],
      [span(0, 0), span(0, 2)],
    ]);
    expect(asked(tally)).toEqual(["Exchange 1: was Red's cut to the head?"]);
  });

  test("two unknowns that come to the same score leave the spans as wide as both", () => {
    const text = "touches: {I hit the head: 3, I hit: 1}";
    const tally = tallyOf(scorerOf(text), "1 R cut ! .\n2 R cut ! .");
    expect([spanOf(tally), tally.open]).toEqual([[span(2, 6), span(0, 0)], 2]);
  });

  test("so many unknowns that they are scored part by part still add up", () => {
    const kinds = ["feint", "bind", "beat", "press", "void", "withdraw", "parry", "grapple", "disarm"];
    const rules = kinds.map((kind) => `  - {name: ${kind}, when: I ${kind}, pays: 1 bonus to me}`).join("\n");
    const text = `${HIT}bout: {bonus: counts towards the win}\nrules:\n${rules}\n  - {name: Lead, if: I am ahead, pays: 1 point to me}`;
    const tally = tallyOf(scorerOf(text), "1 R cut head !\n2 R cut head ! .");
    expect(tally.points).toEqual({ red: 3, blue: 0 });
    expect(tally.span.bonus).toEqual({ red: span(0, 9), blue: span(0, 9) });
    expect(tally.open).toBe(18);
  });
});

describe("many ways", () => {
  test("more worlds than are kept apart become one, in which each mark may still be either", () => {
    const flags = ["ash", "bay", "elm", "fir", "oak", "ivy", "yew", "fig", "may"];
    const marks = flags.map(
      (name, i) =>
        `  ${name}: {is: a flag for each fencer, changes: ["on when I hit, and it is exchange ${String(i + 1)}"]}`,
    );
    const rules = flags.map(
      (name) => `  - {name: ${name}, when: I feint, if: my ${name} is on, pays: 1 bonus to me}`,
    );
    const unsure = flags.map((_, i) => `${String(i + 1)} R cut head !? .`);
    const text = ["marks:", ...marks, "rules:", ...rules].join("\n");
    const tally = tallyOf(scorerOf(text), [...unsure, "10 R feint ."].join("\n"));
    expect([tally.span.bonus.red, tally.open]).toEqual([span(0, 9), 9]);
  });

  test("what is held is held by another rule, also where every part of the rule set is tried for itself", () => {
    const kinds = ["bind", "beat", "press", "void", "parry", "grapple", "disarm"];
    const rules = kinds.map((kind) => `  - {name: ${kind}, when: I ${kind}, pays: 1 point to me}`);
    const text = `rules:
  - {name: Feint, when: I feint, pays: 2 bonus to me}
  - {name: Keep, when: I withdraw, does: hold my bonus for one exchange}
${rules.join("\n")}`;
    const tally = tallyOf(scorerOf(text), "1 R feint, R withdraw\n2 B feint .");
    const bonus = tally.awards.filter(({ unit, to }) => unit === "bonus" && to === "red");
    expect(bonus.map(({ exchange, amount }) => [exchange, amount])).toEqual([[2, 2]]);
  });
});

describe("one unknown, asked twice", () => {
  test("who has the token is asked at two places and is the same fencer at both", () => {
    const rule = (whose: string): string =>
      `  - {name: ${whose}, when: I feint, if: the n is ${whose} at that moment, pays: 1 point to me}`;
    const text = `marks: {n: {is: a token, starts: with the last loser, changes: [passes to me when I parry]}}
rules:
  - {name: as it began, when: I feint, if: the n is mine, pays: 1 bonus to me}
${rule("mine")}
  - {name: begun, when: I feint, if: the n is mine, pays: -1 point to me}
  - {name: landed, when: I hit, pays: 1 bonus to me}`;
    const tally = tallyOf(scorerOf(text), "1 R feint, R cut head !? .");
    // Both read the same token, so that one takes away what the other gives, however the cut ended.
    expect(tally.span.points.red).toEqual(span(0, 0));
    expect(tally.span.bonus.red).toEqual(span(0, 2));
  });
});

describe("too much to try", () => {
  test("from there on there are only bounds, the truth lies in them, and one question is left", () => {
    const text = `${HIT}rules: [{name: It, when: I hit the head, pays: 2 bonus to me}]`;
    const unsure = Array.from({ length: 6 }, () => "R cut !?").join(", ");
    const tally = tallyOf(scorerOf(text), `1 ${unsure}\n2 R cut head ! .`);
    expect([tally.points, tally.bonus, tally.ended]).toEqual([
      { red: 0, blue: 0 },
      { red: 0, blue: 0 },
      null,
    ]);
    // At least nothing, at most a touch in each exchange and the bonus in each.
    expect(tally.span.points.red.most).toBeGreaterThanOrEqual(2);
    expect(tally.span.bonus.red.most).toBeGreaterThanOrEqual(4);
    expect([tally.span.points.red.least, tally.span.bonus.red.least].every((n) => n <= 0)).toBe(true);
    expect(asked(tally)).toContain("Exchange 1: was that all?");
  });
});

describe("what is asked", () => {
  test("only what can change an award, and nothing where nothing is open", () => {
    const text = paying("I parry, then I hit the head");
    expect(asked(tallyOf(scorerOf(text), "1 R cut arm !"))).toEqual([]);
    expect(asked(tallyOf(scorerOf(text), "1 R cut head !"))).toEqual([
      "Exchange 1: did Red parry before this hit?",
    ]);
  });

  test("one is asked by his own name, of his own action", () => {
    const tally = tallyOf(scorerOf(paying("I hit the head")), "1 R cut arm !, B cut ! .");
    expect(asked(tally)).toEqual(["Exchange 1: was Blue's cut to the head?"]);
  });

  test("a pick and a token that nobody named are asked of who knows", () => {
    const pick = "picks: {t: {by: each fencer, from: [head, arm], when: before the bout}}\n";
    const tally = tallyOf(scorerOf(`${pick}${paying("I hit my t")}`), "1 R cut head ! .");
    expect(tally.questions.map(({ text, ask }) => [text, ask])).toEqual([["What is Red's t?", "red"]]);
    const token = "marks: {n: {is: a token, starts: with the last loser}}\n";
    const held = `${token}rules: [{name: It, when: I feint, if: the n is mine, pays: 1 bonus to me}]`;
    expect(asked(tallyOf(scorerOf(held), "1 R feint ."))).toEqual(["Who has the n to begin with?"]);
  });

  test("what hangs on it comes first: the larger sum is asked first", () => {
    const text = `rules:
  - {name: Small, when: "I parry, then I hit", pays: 1 bonus to me}
  - {name: Large, when: "I feint, then I hit", pays: 5 bonus to me}`;
    expect(asked(tallyOf(scorerOf(text), "1 R cut head !"))).toEqual([
      "Exchange 1: did Red feint before this hit?",
      "Exchange 1: did Red parry before this hit?",
    ]);
  });
});

describe("each answer", () => {
  const answered = (text: string, bout: string, question: string, label: string): Tally => {
    const scorer = scorerOf(text);
    const sheet = sheetOf(scorer, bout);
    const one = scoreBout(scorer, sheet).questions.find((q) => q.text === question);
    const facts = one?.answers.find((answer) => answer.label === label)?.facts as readonly Fact[];
    expect(facts, `"${question}" has the answer ${label}`).toBeDefined();
    const told: BoutSheet = sheet.map((line) =>
      line.type === "exchange" && line.no === one?.exchange ? applyFacts(line, facts) : line,
    );
    return scoreBout(scorer, told);
  };

  test.each([
    ["I parry, then I hit", "1 R cut head !", "did Red parry before this hit?", 2, 0],
    ["I hit, then I withdraw", "1 R cut head !", "did Red withdraw after this hit?", 2, 0],
    ["I hit the head", "1 R cut ! .", "was Red's cut to the head?", 2, 0],
    ["I hit anything but the head", "1 R cut ! .", "was Red's cut to the head?", 0, 2],
    ["I hit in one tempo", "1 R cut head !", "was Red's cut in one tempo?", 2, 0],
    ["I hit the head", "1 R cut head !? .", "did Red's cut land?", 2, 0],
  ])("%s: %s", (when, bout, question, yes, no) => {
    const text = paying(when);
    const full = `Exchange 1: ${question}`;
    const [y, n] = ["Yes", "No"].map((label) => answered(text, bout, full, label));
    expect([y?.bonus.red, y?.open, n?.bonus.red, n?.open]).toEqual([yes, 0, no, 0]);
  });

  const line = (acts: ExchangeLine["acts"], open: ExchangeLine["open"] = true): ExchangeLine => ({
    type: "exchange",
    no: 1,
    acts,
    open,
  });

  test("no hit takes the hit away, nothing else closes the line, plain takes the call away", () => {
    const cut = { by: "red", form: "cut", end: "perhaps" } as const;
    expect(applyFacts(line([cut]), [{ fact: "end", act: "1a", end: "no hit" }]).acts).toEqual([
      { by: "red", form: "cut" },
    ]);
    expect(applyFacts(line([]), [{ fact: "nothing else" }]).open).toBe(false);
    expect(applyFacts({ ...line([]), how: "double" }, [{ fact: "how", how: "plain" }])).toEqual(line([]));
  });

  test("a word that was refuted stays refuted beside others, and one that is written after all is not", () => {
    const arm = { by: "red", form: "cut", target: "arm" } as const;
    const notHead: Fact = { fact: "attribute", act: "1a", key: "target", value: "head", not: true };
    const refuted = applyFacts(line([arm]), [notHead]);
    expect(refuted.acts).toEqual([{ ...arm, not: ["head"] }]);
    const head: Fact = { fact: "attribute", act: "1a", key: "target", value: "head" };
    expect(applyFacts(refuted, [head]).acts).toEqual([{ ...arm, target: "head" }]);
    expect(applyFacts(line([{ ...arm, target: "head" }]), [notHead]).acts).toEqual([
      { by: "red", form: "cut", not: ["head"] },
    ]);
  });

  test("one fencer's silence is his own; of a list of what is open only his part goes", () => {
    const silence: Fact = { fact: "nothing else", kinds: ["parry"], by: "red" };
    expect(applyFacts(line([]), [silence]).closed).toEqual(["red parry"]);
    expect(applyFacts(line([], ["red parry", "blue parry"]), [silence]).open).toEqual(["blue parry"]);
    expect(applyFacts(line([], ["parry"]), [{ fact: "nothing else", kinds: ["parry"] }]).open).toBe(false);
  });

  test("what happened before an action is put before it, what happened at last behind all", () => {
    const acts = [{ by: "red", form: "cut" }] as const;
    const parry = { by: "blue", kind: "parry" } as const;
    const kinds = (facts: readonly Fact[]): unknown =>
      applyFacts(line(acts), facts).acts.map(({ kind, form }) => kind ?? form);
    expect(kinds([{ fact: "happened", act: parry, before: "1a" }])).toEqual(["parry", "cut"]);
    expect(kinds([{ fact: "happened", act: parry }])).toEqual(["cut", "parry"]);
  });

  test("a call and a pick, said afterwards, are in the line", () => {
    const call = { call: "praise", for: "red", value: 2, source: "j1" } as const;
    expect(applyFacts(line([]), [{ fact: "call", call }]).calls).toEqual([call]);
    const later = { ...call, value: 1 };
    expect(applyFacts({ ...line([]), calls: [call] }, [{ fact: "call", call: later }]).calls).toEqual([
      later,
    ]);
    expect(applyFacts(line([]), [{ fact: "pick", pick: "t", value: "head", side: "red" }]).picks).toEqual({
      "red t": "head",
    });
  });
});

describe("an afterblow on the record", () => {
  test("lands though nothing says so: it would be none otherwise", () => {
    const acts = [
      { by: "red", form: "cut", end: "hit" },
      { by: "blue", kind: "afterblow" },
    ] as const;
    const tally = scoreBout(scorerOf(HIT), [{ type: "exchange", no: 1, acts, open: false }]);
    expect(result(tally)).toBe("points 1-1 bonus 0-0");
  });
});
