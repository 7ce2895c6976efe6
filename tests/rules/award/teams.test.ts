/** Teams: who fences for whom, what a team may have tonight, relays and what a fencer may score in them. */
import { describe, expect, test } from "vitest";
import { bringIn, eveningAfter } from "../../../rules/award/evening.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import { readSheet } from "../../../rules/language/sheet.ts";
import { result, scorerOf, sheetOf, tallyOf } from "../../support/score.ts";

function evening(text: string, bouts: readonly string[]): readonly string[] {
  const scorer = scorerOf(text);
  return bouts.map((_, i) => result(tallyOf(scorer, bouts.slice(0, i + 1).join("\n"))));
}
const hits = (by: string, n: number, from = 1) =>
  Array.from({ length: n }, (_, i) => `${String(from + i)} ${by} cut head ! .`).join("\n");

describe("a team is named on the bout's line", () => {
  test("it is read with or without quotes, and stands in JSON as redTeam and blueTeam", () => {
    const { ruleSet } = scorerOf("touches: {I hit: 1}");
    const read = readSheet('bout R Ana of "The Larks of Lindau", B "Ben of Bern" of Crows', ruleSet);
    expect(read).toMatchObject({
      value: [
        { type: "bout", red: "Ana", redTeam: "The Larks of Lindau", blue: "Ben of Bern", blueTeam: "Crows" },
      ],
    });
  });

  const cap =
    "rules: [{name: Theme, when: I feint, pays: 2 bonus to my team, at most: 5 bonus a team tonight}]";
  const bout = (red: string, blue: string) => `bout R ${red}, B ${blue}\n1 R feint .\n2 R feint .`;

  test("what a team may have tonight its fencers have together", () => {
    const bouts = [
      bout("Ana of Larks", "Ben of Crows"),
      bout("Cem of Larks", "Dia of Crows"),
      bout("Eva of Larks", "Fin of Owls"),
    ];
    expect(evening(cap, bouts)).toEqual([
      "points 0-0 bonus 4-0",
      "points 0-0 bonus 1-0",
      "points 0-0 bonus 0-0",
    ]);
  });

  test("without a name a team is its fencer", () => {
    const bouts = [bout("Ana", "Ben"), bout("Cem", "Ben"), bout("Ana", "Cem")];
    expect(evening(cap, bouts)).toEqual([
      "points 0-0 bonus 4-0",
      "points 0-0 bonus 4-0",
      "points 0-0 bonus 1-0",
    ]);
  });

  test("two of one team fence each for himself", () => {
    const bouts = [bout("Ana of Larks", "Cem of Larks"), bout("Cem of Larks", "Ben of Crows")];
    expect(evening(cap, bouts)).toEqual(["points 0-0 bonus 4-0", "points 0-0 bonus 4-0"]);
  });

  test('"to their team" pays the other fencer, and "their team\'s" asks for the other team\'s mark', () => {
    const spirit = `marks:
  spirit: {is: a count for each team tonight, changes: up 1 when I parry}
rules:
  - {name: Gift, when: I step out, pays: 1 bonus to their team}
  - {name: Behind, when: I feint, if: their team's spirit is 2 or more, pays: 3 bonus to my team}`;
    const bouts = [
      "bout R Ana of Larks, B Ben of Crows\n1 R parry .\n2 R step out .",
      "bout R Dia of Crows, B Cem of Larks\n1 B parry .\n2 R feint .",
    ];
    expect(evening(spirit, bouts)).toEqual(["points 0-0 bonus 0-1", "points 0-0 bonus 3-0"]);
    expect(tallyOf(scorerOf(spirit), bouts.join("\n")).marks).toEqual({ spirit: { red: 0, blue: 2 } });
  });
});

describe("a relay", () => {
  // common practice, no source: the bouts of a relay go on from one team total to the next
  const RELAY = "bout: {ends: 'a team at 5, 10, then 15 points'}\ntouches: {I hit: 1}";
  const scorer = scorerOf(RELAY);
  const first = `bout R Ana of Larks, B Ben of Crows\n${hits("R", 5)}`;
  const second = `bout R Dia of Crows, B Cem of Larks\n${hits("R", 9)}\n${hits("R", 1, 10)}`;
  const third = `bout R Eva of Larks, B Fin of Crows\n${hits("R", 10)}`;

  test("the first bout ends at 5, and the tally says both teams' totals", () => {
    const tally = tallyOf(scorer, first);
    expect([result(tally), tally.ended, tally.endedAt]).toEqual(["points 5-0 bonus 0-0", "red wins", 5]);
    expect(tally.teams).toEqual({
      red: { team: "Larks", points: 5 },
      blue: { team: "Crows", points: 0 },
      bout: 1,
    });
  });

  test("the second ends where a team has 10 in all, and the score shown is the fencer's own", () => {
    const tally = tallyOf(scorer, `${first}\n${second}`);
    expect([result(tally), tally.endedAt]).toEqual(["points 10-0 bonus 0-0", 10]);
    expect(tally.teams).toEqual({
      red: { team: "Crows", points: 10 },
      blue: { team: "Larks", points: 5 },
      bout: 2,
    });
  });

  test("the last number stays", () => {
    const after = tallyOf(scorer, `${first}\n${second}\n${third}`);
    expect([after.endedAt, after.teams]).toEqual([
      10,
      { red: { team: "Larks", points: 15 }, blue: { team: "Crows", points: 10 }, bout: 3 },
    ]);
    const fourth = tallyOf(
      scorer,
      `${first}\n${second}\n${third}\nbout R Ana of Larks, B Ben of Crows\n${hits("B", 5)}`,
    );
    expect([fourth.endedAt, fourth.teams?.bout]).toEqual([1, 4]);
  });

  test("other teams begin anew", () => {
    const owls = tallyOf(scorer, `${first}\nbout R Ana of Larks, B Gil of Owls\n${hits("R", 6)}`);
    expect([owls.endedAt, owls.teams?.red.points]).toEqual([5, 5]);
  });

  test("a bout that is not the last is over at its number, though the two stand level", () => {
    const level = scorerOf(
      "bout: {ends: 'a team at 3, then 6 points', ties: sudden death}\ntouches: {I hit the head: 3, I hit: 1}",
    );
    const bout = (line: string) => `bout R Ana of Larks, B Ben of Crows\n${line}`;
    const one = tallyOf(level, bout("1 R cut head !, B cut head ! ."));
    expect([result(one), one.ended]).toEqual(["points 3-3 bonus 0-0", "draw"]);
    // In the last one the totals are level too, so the sentence about ties holds.
    const two = tallyOf(
      level,
      `${bout("1 R cut head !, B cut head ! .")}\n${bout("1 R cut head !, B cut head ! .")}`,
    );
    expect([two.ended, two.teams?.bout]).toEqual([null, 2]);
  });

  test("the totals are brought in by three lines", () => {
    const brought = `bout R Dia of Crows, B Cem of Larks
had B 5 points by the team in the match
had 1 bout in the match
${hits("R", 10)}`;
    expect(tallyOf(scorer, brought).teams).toEqual(tallyOf(scorer, `${first}\n${second}`).teams);
    const lines = bringIn(scorer.ruleSet, eveningAfter(scorer, sheetOf(scorer, first)), {
      red: "Dia",
      blue: "Cem",
      redTeam: "Crows",
      blueTeam: "Larks",
    });
    const own = sheetOf(scorer, hits("R", 10));
    expect(scoreBout(scorer, [...lines, ...own]).teams).toEqual(tallyOf(scorer, brought).teams);
  });

  test("where a total is open, so is whether the bout is over", () => {
    const tally = tallyOf(scorer, `bout R Ana of Larks, B Ben of Crows\n${hits("R", 4)}\n5 R cut head !? .`);
    expect([tally.ended, tally.open, tally.teams?.red.points]).toEqual([null, 1, 4]);
  });
});

describe("what a fencer may score in a match of two teams", () => {
  const LIMIT = "bout: {limits: 3 points a fencer}\ntouches: {I hit the head: 2, I hit: 1}";
  const bout = (red: string, blue: string) => `bout R ${red}, B ${blue}\n1 R cut head ! .\n2 R cut head ! .`;

  test("what is over is cut, and the sentence says so", () => {
    const tally = tallyOf(scorerOf(LIMIT), bout("Ana of Larks", "Ben of Crows"));
    expect(result(tally)).toBe("points 3-0 bonus 0-0");
    expect(tally.awards[1]?.sentence).toBe(
      "Touch: Red hit the head with a cut: 2 points, the fencer's limit: 1 point.",
    );
  });

  test("it goes on over the bouts of these two teams, and begins anew against another team", () => {
    const bouts = [
      bout("Ana of Larks", "Ben of Crows"),
      bout("Cem of Larks", "Ben of Crows"),
      bout("Ana of Larks", "Dia of Crows"),
      bout("Ana of Larks", "Gil of Owls"),
    ];
    expect(evening(LIMIT, bouts)).toEqual([
      "points 3-0 bonus 0-0",
      "points 3-0 bonus 0-0",
      "points 0-0 bonus 0-0",
      "points 3-0 bonus 0-0",
    ]);
  });

  test("it is brought in by a line", () => {
    const brought = "bout R Ana of Larks, B Dia of Crows\nhad R 2 points in the match\n1 R cut head ! .";
    expect(result(tallyOf(scorerOf(LIMIT), brought))).toBe("points 1-0 bonus 0-0");
  });
});
