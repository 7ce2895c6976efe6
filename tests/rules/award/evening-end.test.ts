/** What the rules at the end of the evening pay, and the picks that hold all evening. */
import { describe, expect, test } from "vitest";
import { eveningAfter, eveningEnd } from "../../../rules/award/evening.ts";
import { formatFaults } from "../../../rules/language/faults.ts";
import { readRuleSet } from "../../../rules/language/read.ts";
import { result, scorerOf, sheetOf, tallyOf } from "../../support/score.ts";

describe("the end of the evening [P13]", () => {
  const PRIZES = `marks:
  variety: {is: a set for each fencer tonight, changes: gains the target when I hit}
  hill: {is: a token for the hall, changes: passes to me at the end of the bout when I win the bout}
picks:
  week: {by: the coach, from: ['1', '2', '3'], when: before the evening}
touches: {I hit: 1}
rules:
  - {name: Variety, at: the end of the evening, if: my variety is 2 or more, pays: 1 bonus to me times my variety}
  - {name: Last on the hill, at: the end of the evening, if: the hill is mine, pays: '3, 2, then 1 bonus to me by week'}
  - {name: Winners, at: the end of the evening, if: my wins tonight is 2 or more, pays: 2 bonus to me, best of: prizes}
  - {name: Came, at: the end of the evening, if: my bouts tonight is 2 or more, unless: my wins tonight is 2 or more, pays: 1 bonus to me}`;
  const scorer = scorerOf(PRIZES);
  const bouts = `bout R Ana, B Ben
pick week = 2
1 R cut chest ! .
2 R cut thigh ! .
end
bout R Cem, B Ana
1 B cut chest ! .
end
bout R Ben, B Cem
1 B cut chest ! .
end`;
  const paid = ["Ana Variety 2", "Ana Winners 2", "Ben Came 1", "Cem Last on the hill 2", "Cem Came 1"];
  const said = (awards: readonly { fencer: string; rule: string; amount: number }[] = []) =>
    awards.map(({ fencer, rule, amount }) => `${fencer} ${rule} ${String(amount)}`);

  test("every fencer of the evening is tried once, with what lasted", () => {
    const tally = tallyOf(scorer, `${bouts}\nevening`);
    expect(said(tally.evening)).toEqual(paid);
    expect(tally.evening?.[0]?.sentence).toBe("Variety: Ana at the end of the evening: 2 bonus.");
  });

  test("no bout is paid for it, and before the evening is over nothing is", () => {
    expect(result(tallyOf(scorer, `${bouts}\nevening`))).toBe("points 0-1 bonus 0-0");
    expect(tallyOf(scorer, bouts).evening).toBeUndefined();
  });

  test("a meet pays the same from what stands after its bouts", () => {
    const entries = eveningAfter(scorer, sheetOf(scorer, bouts));
    expect(said(eveningEnd(scorer, entries, ["Ana", "Ben", "Cem"]).awards)).toEqual(paid);
  });

  test("what is not known leaves it open", () => {
    const tally = tallyOf(scorer, `${bouts.replace("pick week = 2\n", "")}\nevening`);
    expect(tally.eveningOpen).toEqual([
      { fencer: "Cem", rule: "Last on the hill", unit: "bonus", span: { least: 1, most: 3 } },
    ]);
  });

  test("each evening is for itself", () => {
    const tally = tallyOf(scorer, `${bouts}\nevening\nbout R Ana, B Ben\n1 R cut chest ! .\nend\nevening`);
    expect(said(tally.evening)).toEqual([]);
  });

  test.each([
    ["if: I hit", "asks about a bout"],
    ["if: I am ahead", "asks about a bout"],
    ["if: their wins tonight is 2 or more", "asks about somebody else"],
    ["if: my streak is 2 or more", '"streak" is over with its bout'],
    ["if: my points is 2 or more", "counts in a bout"],
    ["if: they are one of my beaten", "asks about somebody else"],
    ["if: my secret is ox", '"secret" does not hold all evening'],
    ["does: warn me", "such a rule only pays"],
    ["at most: once a bout", 'The only limit that means something is "tonight"'],
    ["not below: 0", "the floor of a bout's tally"],
  ])("%s is a fault: %s", (line, words) => {
    const text = `name: Test
weapon: longsword
picks: {secret: {by: each fencer, from: [ox, plough], when: before the bout}}
marks:
  streak: {is: a count for each fencer, changes: up 1 when I hit}
  beaten: {is: a set for each fencer tonight, changes: gains the partner at the end of the bout when I win the bout}
touches: {I hit: 1}
rules:
  - name: Prize
    at: the end of the evening
    ${line}
    pays: 1 bonus to me
`;
    const read = readRuleSet(text, "test.yaml");
    expect(read.ok ? "" : formatFaults(read.faults)).toContain(words);
  });

  test("it pays the fencer himself, and no bout asks what it pays", () => {
    const read = readRuleSet(
      `name: Test
touches: {I hit: 1}
rules:
  - {name: Prize, at: the end of the evening, pays: 1 bonus to them}
  - {name: Asks, when: I hit, if: '"Prize" pays me', pays: 1 bonus to me}
`,
      "test.yaml",
    );
    const faults = read.ok ? "" : formatFaults(read.faults);
    expect(faults).toContain('write "to me"');
    expect(faults).toContain("No bout can ask what it pays");
  });
});

describe("picks of the evening", () => {
  const PICKS = `picks:
  lucky: {by: each fencer, from: [head, arm], when: before the evening}
touches: {I hit: 1}
rules:
  - {name: Lucky, when: I hit my lucky, pays: 1 bonus to me}`;
  const scorer = scorerOf(PICKS);

  test("a fencer's pick goes with him, on either side [S16]", () => {
    const bouts =
      "bout R Ana, B Ben\npick R lucky = head\n1 R cut arm ! .\nend\nbout R Cem, B Ana\n1 B cut head ! .";
    expect(result(tallyOf(scorer, bouts))).toBe("points 0-1 bonus 0-1");
  });

  test("of a pick of which some values are left, only these are tried", () => {
    const three = scorerOf(PICKS.replace("[head, arm]", "[head, arm, thigh]"));
    const tally = tallyOf(three, "pick R lucky = arm or thigh\n1 R cut head ! .");
    expect([result(tally), tally.open]).toEqual(["points 1-0 bonus 0-0", 0]);
  });
});
