/** What was had before a bout, written on its sheet: from other bouts, or from the table that had it before. */
import { describe, expect, test } from "vitest";
import { bringIn, eveningAfter } from "../../../rules/award/evening.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import { formatFaults } from "../../../rules/language/faults.ts";
import { printSheet, readSheet } from "../../../rules/language/sheet.ts";
import { result, scorerOf, sheetOf, tallyOf } from "../../support/score.ts";

describe("brought in, and handed over", () => {
  const CAP = `marks:
  streak: {is: a count for each fencer tonight, changes: up 1 when I hit}
touches: {I hit: 1}
rules:
  - {name: Parry, when: I parry, pays: 2 bonus to me, at most: '4 bonus tonight, 3 times a bout'}
  - {name: Fading, when: I feint, pays: '3, 2, then 1 bonus to me'}
  - {name: Streak, when: I hit, pays: 1 bonus to me times my streak}`;
  const scorer = scorerOf(CAP);

  test("what was had tonight leaves so much less", () => {
    expect(result(tallyOf(scorer, 'had R "Parry" 3 bonus tonight\n1 R parry .'))).toBe(
      "points 0-0 bonus 1-0",
    );
  });

  test("a span leaves it open, and the question says what was not known", () => {
    const tally = tallyOf(scorer, 'had R "Parry" 2 to 4 bonus tonight\n1 R parry .');
    expect(tally.span.bonus.red).toEqual({ least: 0, most: 2 });
    expect(tally.questions).toMatchObject([
      { text: 'What was had of "Parry" by Red tonight, before this bout?', answers: [], ask: "table" },
    ]);
  });

  test("a mark of which two values are left is one of these", () => {
    const tally = tallyOf(scorer, "mark R streak = 1 or 2\n1 R cut head ! .");
    expect(tally.exchanges[0]?.open).toMatchObject([{ rule: "Streak", span: { least: 1, most: 2 } }]);
    expect(tally.questions.map(({ text }) => text)).toEqual(["What is Red's streak to begin with?"]);
  });

  test("a bout goes on at another table with its score, its bonus, its marks and what its rules have paid", () => {
    const before = "1 R feint .\n2 R parry .\n3 double R cut head !, B cut head ! .";
    const rest = "4 R feint .\n5 R parry .\n6 R parry .\n7 R cut head ! .";
    const whole = tallyOf(scorer, `${before}\n${rest}`);
    const handedOver = tallyOf(
      scorer,
      `had R 5 bonus in this bout
had 3 exchanges in this bout
had 1 double in this bout
had R "Fading" 1 time in this bout
had R "Parry" 1 time in this bout
had R "Parry" 2 bonus tonight
mark R streak = 1
mark B streak = 1
had B 0 bonus in this bout
${rest}`,
    );
    expect(result(handedOver)).toBe(result(whole));
    expect([handedOver.doubles, handedOver.marks]).toEqual([whole.doubles, whole.marks]);
  });

  test("entries of names that the rule set does not have are left out", () => {
    const entries = eveningAfter(
      scorer,
      sheetOf(scorer, "bout R Ana, B Ben\n1 R parry, R cut head ! .\nend"),
    );
    const other = scorerOf("touches: {I hit: 1}");
    expect(bringIn(other.ruleSet, entries, { red: "Ana", blue: "Cem" })).toEqual([
      { type: "bout", red: "Ana", blue: "Cem" },
    ]);
  });

  test.each([
    ["had R 2 bonus", "Write who had what, and where"],
    ["had 2 bonus tonight", 'Write R or B after "had"'],
    ['had R "Parry" 1 time in the hall', "Leave R or B out"],
    ['had R "Pary" 1 time tonight', "Its rules are: Parry, Fading, Streak"],
    ['had R "Parry" 1 win tonight', "Of a rule a fencer had"],
    ["had R 2 times tonight", "Times of what?"],
    ["had 2 doubles tonight", "counted in a bout"],
    ["granted R Parry = 1", "Write the exchange, the fencer, the rule"],
    ["hall now", '"now" does not fit here'],
    ["bout R Ana, B Ana", "cannot fence against himself"],
  ])("%s: %s", (line, words) => {
    const read = readSheet(line, scorer.ruleSet);
    expect(read.ok ? "" : formatFaults(read.faults)).toContain(words);
  });
});

test("an evening's sheet is written as it is read", () => {
  const scorer = scorerOf(
    "rules: [{name: First, when: I feint, pays: 5 bonus to me, at most: once in the hall tonight}]",
  );
  const text = `bout R Ana of Larks, B "Lady of the Lake" of Crows
hall
had R 2 to 3 wins tonight
had "First" 1 time in the hall
had R 5 points in the match
had B 12 points by the team in the match
had 2 bouts in the match
1 R feint .
granted 1 R "First" = 0
end
evening
`;
  expect(printSheet(sheetOf(scorer, text))).toBe(text);
  expect(scoreBout(scorer, sheetOf(scorer, text)).awards).toEqual([]);
});
