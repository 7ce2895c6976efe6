/** What lasts longer than a bout: caps and marks of an evening, fencers remembered, the hill, the hall. */
import { describe, expect, test } from "vitest";
import { bringIn, carryOn, eveningAfter } from "../../../rules/award/evening.ts";
import { printSheet } from "../../../rules/language/sheet.ts";
import { result, scorerOf, sheetOf, tallyOf } from "../../support/score.ts";

/** The result after each bout of an evening. */
function evening(text: string, bouts: readonly string[]): readonly string[] {
  const scorer = scorerOf(text);
  return bouts.map((_, i) => result(tallyOf(scorer, bouts.slice(0, i + 1).join("\n"))));
}

describe("caps that go on from bout to bout", () => {
  const caps = `phrases: {theme: 'they cut to the head, then I parry, then I hit'}
rules:
  - {name: Theme, when: I make the theme, pays: 2 bonus to me, at most: '4 bonus a bout, 6 bonus a pair tonight'}`;
  const theme = (no: number) => `${String(no)} B cut head, R parry, R cut arm ! .`;
  const bout = (red: string, blue: string) =>
    [`bout R ${red}, B ${blue}`, theme(1), theme(2), theme(3)].join("\n");

  test("a fencer has 4 in a bout and 6 of a pair in an evening, and with another partner it begins anew (case 73)", () => {
    const bouts = [bout("Ana", "Ben"), bout("Ana", "Ben"), bout("Ana", "Ben"), bout("Ana", "Cem")];
    expect(evening(caps, bouts)).toEqual([
      "points 0-0 bonus 4-0",
      "points 0-0 bonus 2-0",
      "points 0-0 bonus 0-0",
      "points 0-0 bonus 4-0",
    ]);
  });

  test("the first success tonight pays once for each fencer (case 53), the first in the hall once for all (case 54)", () => {
    const first = `rules:
  - {name: First, when: I feint, pays: 3 bonus to me, at most: once tonight}
  - {name: First of all, when: I feint, pays: 5 bonus to me, at most: once in the hall tonight}`;
    const bouts = ["bout R Ana, B Ben\n1 B feint .", "bout R Ben, B Cem\n1 R feint .\n2 B feint ."];
    expect(evening(first, bouts)).toEqual(["points 0-0 bonus 0-8", "points 0-0 bonus 0-3"]);
  });

  test("what makes it fail has a cap of its own for each partner (case 72)", () => {
    const taught = `phrases: {theme: 'they strike to the head, then I parry, then I riposte and hit'}
picks:
  grade: {by: the coach for each fencer, from: [senior, junior], when: before the evening}
touches: {I hit: 1}
rules:
  - name: Taught it
    when: they make the theme
    if: my grade is senior, and their grade is junior
    pays: 1 bonus to me
    at most: once a pair tonight, 2 bonus tonight`;
    const lesson = "1 R cut head, B parry, B riposte arm ! .\n2 R cut head, B parry, B riposte arm ! .";
    const bouts = ["Ben", "Ben", "Cem", "Dia"].map(
      (junior) => `bout R Ana, B ${junior}\npick R grade = senior\npick B grade = junior\n${lesson}`,
    );
    expect(evening(taught, bouts)).toEqual([
      "points 0-2 bonus 1-0",
      "points 0-2 bonus 0-0",
      "points 0-2 bonus 1-0",
      "points 0-2 bonus 0-0",
    ]);
  });

  test("a handicap follows two wins or two losses in a row (case 64)", () => {
    const handicap = `marks:
  lead:
    is: a count for each fencer tonight
    changes:
      - up 1 at the end of the bout when I win the bout, and my run is 1 or more
      - down 1 at the end of the bout when I lose the bout, and my run is 0
  run: {is: a count for each fencer tonight, changes: [up 1 at the end of the bout when I win the bout, to 0 at the end of the bout when I lose the bout]}
touches: {I hit: 1}`;
    const scorer = scorerOf(handicap);
    const bouts = ["Ben", "Cem", "Dia"].map((name) => `bout R Ana, B ${name}\n1 R cut head ! .\nend`);
    const lead = bouts.map((_, i) => tallyOf(scorer, bouts.slice(0, i + 1).join("\n")).marks["lead"]);
    expect(lead).toEqual([
      { red: 0, blue: -1 },
      { red: 1, blue: -1 },
      { red: 2, blue: -1 },
    ]);
  });

  test("the theme defended pays what it would have paid, in every bout anew (case 55)", () => {
    const denied = `rules:
  - {name: Theme, when: 'I feint, then I hit', pays: '3, 2, then 1 bonus to me'}
  - name: Denied
    when: they feint, then I parry
    unless: they hit
    pays: what "Theme" pays them to me`;
    const bouts = [
      "bout R Ana, B Ben\n1 B feint, R parry .",
      "bout R Ana, B Cem\n1 B feint, B cut arm ! .\n2 B feint, R parry .",
    ];
    expect(evening(denied, bouts)).toEqual(["points 0-0 bonus 3-0", "points 0-0 bonus 2-3"]);
  });
});

describe("fencers remembered", () => {
  const BEATEN = `marks:
  beaten: {is: a set for each fencer tonight, changes: gains the partner at the end of the bout when I win the bout}
  champion: {is: a note for the hall, changes: becomes the fencer at the end of the bout when I win the bout}
touches: {I hit: 1}
rules:
  - {name: Again, when: I hit, if: they are one of my beaten, pays: 1 bonus to me}
  - {name: Upset, at: the end of the bout, if: 'I win the bout, and they are the champion', pays: 3 bonus to me}
  - {name: Third, at: the end of the bout, if: my beaten is 2 or more now, pays: 2 bonus to me}`;
  const won = (red: string, blue: string, by: string) =>
    `bout R ${red}, B ${blue}\n1 ${by} cut head ! .\nend`;

  test("a set of partners is asked for one, and for how many; a note for who it is", () => {
    const bouts = [
      won("Ana", "Ben", "R"),
      won("Ben", "Ana", "B"),
      won("Cem", "Ana", "R"),
      won("Ana", "Dia", "R"),
    ];
    expect(evening(BEATEN, bouts)).toEqual([
      "points 1-0 bonus 0-0",
      "points 0-1 bonus 0-1",
      "points 1-0 bonus 3-0",
      "points 1-0 bonus 2-0",
    ]);
  });

  test("the tally shows them by name", () => {
    const bouts = [won("Ana", "Ben", "R"), won("Cem", "Ana", "B")].join("\n");
    expect(tallyOf(scorerOf(BEATEN), bouts).marks).toEqual({
      beaten: { red: [], blue: ["Ben", "Cem"] },
      champion: "Ana",
    });
  });

  test("they can be written on the sheet, by name or by side", () => {
    const scorer = scorerOf(BEATEN);
    const lines = "bout R Ana, B Ben\nmark R beaten = Ben, Cem\nmark champion = B\n1 R cut head ! .\nend";
    expect(result(tallyOf(scorer, lines))).toBe("points 1-0 bonus 6-0");
    expect(tallyOf(scorer, lines).marks["beaten"]).toEqual({ red: ["Ben", "Cem"], blue: [] });
  });

  test("a note that would become both at once stays as it is", () => {
    const both = `marks:
  last: {is: a note for the bout, changes: becomes the fencer when I hit}
touches: {I hit: 1}`;
    const scorer = scorerOf(both);
    const bout = "bout R Ana, B Ben\n1 B cut head ! .\n2 double R cut head !, B cut head ! .";
    expect(tallyOf(scorer, bout).marks["last"]).toBe("Ben");
    expect(tallyOf(scorer, bout.replace("1 B", "1 R")).marks["last"]).toBe("Ana");
  });
});

describe("the hill (case 71)", () => {
  const HILL = `marks:
  hill: {is: a token for the hall, changes: passes to me at the end of the bout when I win the bout}
  defences:
    is: a count for each fencer tonight
    changes:
      - up 1 at the end of the bout when the hill is mine, and I win the bout
      - to 0 at the end of the bout when I lose the bout
touches: {I hit: 1}
rules:
  - {name: Hill held, at: the end of the bout, if: 'I win the bout, and my defences is 1 or more now', pays: 1 bonus to me}
  - {name: Three held, at: the end of the bout, if: my defences is 3 or more now, does: retire me}`;
  const scorer = scorerOf(HILL);
  const bouts = [
    "bout R Ana, B Ben\n1 R cut ! .\nend",
    "bout R Cem, B Ana\n1 B cut ! .\nend",
    "bout R Ana, B Dia\n1 R cut ! .\nend",
    "bout R Ben, B Ana\n1 B cut ! .\nend",
  ];
  const after = (n: number) => tallyOf(scorer, bouts.slice(0, n).join("\n"));

  test("whoever wins takes it, each defence pays 1, and after the third he retires, whichever side he stands on", () => {
    expect([1, 2, 3, 4].map((n) => result(after(n)))).toEqual([
      "points 1-0 bonus 0-0",
      "points 0-1 bonus 0-1",
      "points 1-0 bonus 1-0",
      "points 0-1 bonus 0-1",
    ]);
    expect([1, 2, 3, 4].map((n) => after(n).marks["hill"])).toEqual(["red", "blue", "red", "blue"]);
    expect([3, 4].map((n) => after(n).retired)).toEqual([
      { red: false, blue: false },
      { red: false, blue: true },
    ]);
  });

  test("while two others fence, it is with whoever has it, and nobody defends it", () => {
    const others = `${bouts[0] ?? ""}\nbout R Cem, B Dia\n1 no exchange`;
    expect(tallyOf(scorer, others).marks["hill"]).toBe("Ana");
    const won = tallyOf(scorer, `${bouts[0] ?? ""}\nbout R Cem, B Dia\n1 R cut ! .\nend`);
    expect([won.marks["hill"], result(won)]).toEqual(["red", "points 1-0 bonus 0-0"]);
  });

  test("it can be brought in by the name of somebody who does not fence", () => {
    const lines = "bout R Cem, B Dia\nmark hill = Ana\n1 no exchange";
    expect(tallyOf(scorer, lines).marks["hill"]).toBe("Ana");
    expect(printSheet(sheetOf(scorer, lines))).toContain("mark hill = Ana\n");
  });
});

describe("the last loser begins", () => {
  const token = `marks:
  initiative: {is: a token, starts: with the last loser}
touches: {I hit: 1}
rules:
  - {name: With it, when: I hit, if: the initiative is mine, pays: 1 bonus to me}`;
  const scorer = scorerOf(token);

  test("each fencer's own last bout counts", () => {
    const bouts =
      "bout R Ana, B Ben\n1 R cut ! .\nend\nbout R Cem, B Dia\n1 R cut ! .\nend\nbout R Ben, B Cem\n1 R cut ! .";
    expect(result(tallyOf(scorer, bouts))).toBe("points 1-0 bonus 1-0");
  });

  test("where both lost theirs, the table is asked", () => {
    const bouts =
      "bout R Ana, B Ben\n1 R cut ! .\nend\nbout R Cem, B Dia\n1 R cut ! .\nend\nbout R Ben, B Dia\n1 R cut ! .";
    expect(tallyOf(scorer, bouts).questions.map(({ text }) => text)).toEqual([
      "Who has the initiative to begin with?",
    ]);
  });
});

describe("two rings at once (case 54)", () => {
  const FIRST = `rules:
  - {name: First, when: I feint, pays: 5 bonus to me, at most: once in the hall tonight}`;
  const scorer = scorerOf(FIRST);
  const ring = (lines: string) => tallyOf(scorer, `bout R Ana, B Ben\nhall\n${lines}`);

  test("what another ring may have had already waits for the hall's answer", () => {
    const tally = ring("1 R feint .");
    expect([result(tally), tally.open]).toEqual(["points 0-0 bonus 0-0", 1]);
    expect(tally.claims).toEqual([{ exchange: 1, to: "red", rule: "First", of: "times", n: 1 }]);
    expect(tally.questions).toMatchObject([
      { text: 'Exchange 1: the hall has to answer: does "First" still pay Red?', ask: "table", answers: [] },
    ]);
  });

  test("what it grants is paid, and what it does not grant is not", () => {
    const granted = ring('1 R feint .\ngranted 1 R "First" = 1');
    expect([result(granted), granted.open, granted.claims]).toEqual(["points 0-0 bonus 5-0", 0, []]);
    const refused = ring('1 R feint .\ngranted 1 R "First" = 0');
    expect([result(refused), refused.open, refused.claims]).toEqual(["points 0-0 bonus 0-0", 0, []]);
  });

  test("nothing is claimed while it is not even certain that it was earned", () => {
    const tally = ring("1 R cut head ! but no parry");
    expect([tally.open, tally.claims]).toEqual([2, []]);
  });

  test("where only this sheet is the evening, nothing waits", () => {
    expect(result(tallyOf(scorer, "bout R Ana, B Ben\n1 R feint ."))).toBe("points 0-0 bonus 5-0");
  });

  test("a cap of an amount may be granted in part", () => {
    const amount = scorerOf(
      "rules: [{name: Pot, when: I feint, pays: 3 bonus to me, at most: 10 bonus in the hall tonight}]",
    );
    const line = "bout R Ana, B Ben\nhall\n1 R feint .";
    expect(tallyOf(amount, line).claims).toEqual([
      { exchange: 1, to: "red", rule: "Pot", of: "bonus", n: 3 },
    ]);
    expect(result(tallyOf(amount, `${line}\ngranted 1 R "Pot" = 2`))).toBe("points 0-0 bonus 2-0");
  });

  test("what a ring added is told apart, so that two rings can be summed", () => {
    const pot = scorerOf(
      "rules: [{name: Pot, when: I feint, pays: 3 bonus to me, at most: 10 bonus in the hall tonight}]",
    );
    const start = eveningAfter(pot, sheetOf(pot, "bout R Ana, B Ben\n1 R feint .\nend"));
    const ringOf = (red: string, blue: string) => {
      const brought = bringIn(pot.ruleSet, start, { red, blue });
      const own = sheetOf(pot, '1 R feint .\ngranted 1 R "Pot" = 3\nend');
      return eveningAfter(pot, [...brought, { type: "hall" }, ...own]);
    };
    const [one, two] = [ringOf("Ana", "Ben"), ringOf("Cem", "Dia")];
    expect(one).toMatchObject([
      { holder: { hall: true }, kind: "had", span: { least: 6, most: 6 }, added: { least: 3, most: 3 } },
    ]);
    const both = carryOn(carryOn(start, one), two);
    expect(both).toMatchObject([{ span: { least: 9, most: 9 } }]);
    expect(carryOn(carryOn(start, two), one)).toEqual(both);
  });
});
