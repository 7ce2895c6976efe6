/** A small test for each promise that rules/LANGUAGE.md gives about rules: a rule set, a bout sheet, the tally. */
import { describe, expect, test } from "vitest";
import { bonus, fault, marks, set, tally, tallyOf, TOUCHES, when } from "./scored.ts";

const steps = (n: number): string => Array.from({ length: n }, () => "I cut").join(", then ");
const listed = (key: string, lines: string): string =>
  set(`  - name: Rule\n    when: I hit\n    ${key}:\n${lines}    pays: 1 bonus to me\n`);
const SLIPS = "marks:\n  slips:\n    is: a count for each fencer\n    changes: up 1 when they miss\n";
const slips = (condition: string): string =>
  set(`  - name: Rule\n    when: I hit\n    if: ${condition}\n    pays: 1 bonus to me\n`, SLIPS);
const TOKEN =
  "marks:\n  initiative:\n    is: a token\n    starts: with red\n    changes: changes hands when I or they parry\n";
const moment = (at: string): string =>
  set(
    `  - name: Rule\n    when: I hit\n    if: the initiative is mine${at}\n    pays: 1 bonus to me\n`,
    TOKEN,
  );

describe("phrases", () => {
  test("[P1] every rule is tried for both fencers, and none may name a side", () => {
    const answer = when("they cut, then I parry, then I hit");
    expect(bonus(answer, "1 B cut head, R parry, R cut arm ! .\n2 R cut head, B parry, B cut arm ! .")).toBe(
      "1-1",
    );
    expect(fault(when("red hits"))).toContain("A rule never names a side");
  });

  test("[P2] then leaves room between, at once leaves none", () => {
    const sheet = "1 R feint, B parry, R cut head ! .";
    expect(bonus(when("I feint, then I hit"), sheet)).toBe("1-0");
    expect(bonus(when("I feint, at once I hit"), sheet)).toBe("0-0");
    expect(bonus(when("I feint, at once I hit"), "1 R feint, R cut head ! .")).toBe("1-0");
  });

  test("[P2] first opens the exchange, begin opens one fencer's own part of it", () => {
    const after = "1 B invite, R feint, R cut head ! .";
    expect(bonus(when("first I feint, then I hit"), after)).toBe("0-0");
    expect(bonus(when("first I feint, then I hit"), "1 R feint, R cut head ! .")).toBe("1-0");
    expect(bonus(when("I begin with a thrust, then I hit"), "1 B invite, R thrust, R cut head ! .")).toBe(
      "1-0",
    );
    expect(bonus(when("I begin with a thrust, then I hit"), "1 R parry, R thrust, R cut head ! .")).toBe(
      "0-0",
    );
  });

  test("[P2] never forbids before, between, or until the halt, by where it stands", () => {
    expect(bonus(when("I never feint, then I hit"), "1 R feint, R cut head ! .")).toBe("0-0");
    expect(bonus(when("I never feint, then I hit"), "1 R cut head !, R feint .")).toBe("1-0");
    const between = when("they cut, then they never feint, then I hit");
    expect(bonus(between, "1 B cut, B feint, R cut head ! .")).toBe("0-0");
    expect(bonus(between, "1 B feint, B cut, R cut head ! .")).toBe("1-0");
    expect(bonus(when("I hit, then they never hit"), "1 R cut head !, B afterblow arm .")).toBe("0-1");
    expect(bonus(when("I hit, then they never hit"), "1 B cut arm !, R cut head ! .")).toBe("1-0");
  });

  test("[P3] a phrase that fails once in an exchange may still hold later in it", () => {
    const chain = when("they cut, at once I parry, at once I hit");
    expect(bonus(chain, "1 B cut, R feint, B cut, R parry, R cut head ! .")).toBe("1-0");
    const broken = when("they cut, then they never feint, then I hit");
    expect(bonus(broken, "1 B cut, B feint, B cut, R cut head ! .")).toBe("1-0");
  });

  test("[P3] a phrase has six actions at most", () => {
    expect(fault(when(steps(6)))).toBe("");
    expect(fault(when(steps(7)))).toContain("six actions");
  });

  test("[P4] cleanly means that the other landed nothing", () => {
    expect(bonus(when("I hit cleanly"), "1 R cut head ! .")).toBe("1-0");
    expect(bonus(when("I hit cleanly"), "1 R cut head !, B afterblow arm .")).toBe("0-0");
  });

  test("[P4] strike is any offence, act is anything", () => {
    expect(bonus(when("I strike"), "1 R feint .\n2 R parry .")).toBe("0-0");
    expect(bonus(when("I strike"), "1 R stop-hit miss .")).toBe("1-0");
    expect(bonus(when("I act"), "1 R parry .")).toBe("1-0");
  });

  test("[P4] a blow's name implies its form, direction and side, and is refuted by them", () => {
    const descending = when("I hit with a descending cut from the right", "weapon: longsword\n");
    expect(tallyOf(descending, "1 R zornhau head ! .")).toBe("points 1-0 bonus 1-0 open 0");
    const level = when("I hit with a zwerchhau", "weapon: longsword\n");
    expect(tallyOf(level, "1 R cut head !")).toBe("points 1-0 bonus 0-0 open 1");
    expect(tallyOf(level, "1 R thrust head !")).toBe("points 1-0 bonus 0-0 open 0");
    expect(tallyOf(level, "1 R descending cut head !")).toBe("points 1-0 bonus 0-0 open 0");
  });
});

describe("rules", () => {
  test("[P5] the lines of a list are any of them", () => {
    const any = set(
      "  - name: Rule\n    when:\n      - I parry, then I hit\n      - I beat, then I hit\n    pays: 1 bonus to me\n",
    );
    expect(bonus(any, "1 R beat, R cut head ! .\n2 R parry, R cut head ! .\n3 R cut head ! .")).toBe("2-0");
  });

  test("[P5] and joins conditions that must all hold, in if and in unless", () => {
    const both = "      - I parry, and I feint\n      - they miss\n";
    const sheet =
      "1 R parry, R cut head ! .\n2 R parry, R feint, R cut head ! .\n3 B cut miss, R cut head ! .";
    expect(bonus(listed("if", both), sheet)).toBe("2-0");
    expect(bonus(listed("unless", both), sheet)).toBe("1-0");
  });

  test("[P5] a rule without when is tried in every exchange", () => {
    const every = set("  - name: Rule\n    if: it is exchange 2\n    pays: 1 bonus to me\n");
    expect(bonus(every, "1 R cut head ! .\n2 R cut head miss .")).toBe("1-1");
  });

  test("[P6] a mark is read as the exchange began, with now as this exchange leaves it", () => {
    const first = "1 B cut miss, R cut head ! .";
    expect(bonus(slips("my slips is 1"), first)).toBe("0-0");
    expect(bonus(slips("my slips is 1"), `${first}\n2 R cut head ! .`)).toBe("1-0");
    expect(bonus(slips("my slips is 1 now"), first)).toBe("1-0");
  });

  test("[P6] the score is read as the exchange began, the clock at the halt", () => {
    const behind = set("  - name: Rule\n    when: I hit\n    if: I am behind\n    pays: 1 bonus to me\n");
    expect(bonus(behind, "1 B cut head ! .\n2 R cut head ! .\n3 R cut head ! .")).toBe("1-0");
    const late = set(
      "  - name: Rule\n    when: I hit\n    if: 30 s or less are left\n    pays: 1 bonus to me\n",
    );
    expect(bonus(late, "1 R cut head ! . [31 s left]\n2 R cut head ! . [30 s left]")).toBe("1-0");
  });

  test("[P6] at that moment looks at a token just before the last action", () => {
    const sheet = "1 R cut head, B parry, B cut head ! .";
    expect(bonus(moment(" at that moment"), sheet)).toBe("0-1");
    expect(bonus(moment(""), sheet)).toBe("0-0");
  });

  test("[P6] roles for each exchange are read as found, and forgotten after it", () => {
    const found = set(
      "  - name: Rule\n    when: I hit\n    if: I am the defender\n    pays: 1 bonus to me\n",
      "marks:\n  who defends:\n    is: roles defender and attacker for each exchange\n    changes: passes to me when I parry\n",
    );
    expect(bonus(found, "1 B cut, R parry, R cut head ! .\n2 R cut head ! .")).toBe("1-0");
  });

  const LUCK = "picks:\n  luck:\n    by: chance\n    from: [pays, nothing]\n    when: after each exchange\n";
  test("[P6] a pick for each exchange holds for that exchange, and is unknown until drawn", () => {
    const lucky = set(
      "  - name: Rule\n    when: I hit\n    if: the luck is pays\n    pays: 1 bonus to me\n",
      LUCK,
    );
    expect(tallyOf(lucky, "1 R cut head ! . {luck = pays}\n2 R cut head ! .")).toBe(
      "points 2-0 bonus 1-0 open 1",
    );
  });

  test("[P7] the last exchange is the last that was not a no exchange", () => {
    const answer = set(
      "  - name: Rule\n    when: I hit\n    if: in the last exchange they hit\n    pays: 1 bonus to me\n",
    );
    expect(bonus(answer, "1 B cut head ! .\n2 no exchange\n3 R cut head ! .")).toBe("1-0");
    expect(bonus(answer, "1 B cut head ! .\n2 R cut miss .\n3 R cut head ! .")).toBe("0-0");
  });

  test("[P8] bonus and points are two tallies, and the unit is never left out", () => {
    const both = set(
      "  - name: Rule\n    when: I parry\n    pays:\n      - 2 bonus to me\n      - 1 point to them\n",
    );
    expect(tallyOf(both, "1 R parry .")).toBe("points 0-1 bonus 2-0 open 0");
    expect(fault(when("I hit").replace("1 bonus", "1"))).toContain("1 of what?");
  });

  test("[P9] a row of numbers falls by how often the rule fired for me in this bout; the last stays", () => {
    const falling = when("I hit").replace("1 bonus", "3, 2, then 0.5 bonus");
    const sheet = "1 R cut head ! .\n2 B cut head ! .\n3 R cut head ! .\n4 R cut head ! .\n5 R cut head ! .";
    expect(bonus(falling, sheet)).toBe("6-3");
    expect(bonus(falling, `${sheet}\nbout\n1 R cut head ! .`)).toBe("3-0");
  });

  test("[P9] by takes the number from a pick", () => {
    const weeks = when(
      "I hit",
      'picks:\n  week:\n    by: the coach\n    from: ["1", "2", "3"]\n    when: before the evening\n',
    ).replace("1 bonus to me", "3, 2, then 1 bonus to me by week");
    expect(bonus(weeks, "pick week = 2\n1 R cut head ! .\n2 R cut head ! .")).toBe("4-0");
  });
});

describe("[P10] one order of effects, whatever the order in the file", () => {
  const PIECES = [
    "  - name: Hit\n    when: I hit\n    pays: 3 bonus to me\n    at most: 7 bonus an exchange\n",
    "  - name: Small\n    when: I hit\n    pays: 1 bonus to me\n    best of: two\n",
    "  - name: Large\n    when: I hit\n    pays: 2 bonus to me\n    best of: two\n",
    "  - name: Trebled\n    when: I hit\n    does: triple my bonus\n",
  ];
  // 3 trebled is 9, capped at 7; of the two only 2 stays, trebled 6.
  test("best of, then triple, then at most", () => {
    expect(bonus(set(PIECES.join("")), "1 R cut head ! .")).toBe("13-0");
    expect(bonus(set([...PIECES].reverse().join("")), "1 R cut head ! .")).toBe("13-0");
  });

  test("annul comes before triple, and a rule's own effect spares what it pays", () => {
    const gone = "  - name: Gone\n    when: I hit\n    pays: 1 bonus to me\n    does: annul my bonus\n";
    expect(bonus(set(PIECES.join("") + gone), "1 R cut head ! .")).toBe("3-0");
    expect(bonus(set(gone + PIECES.join("")), "1 R cut head ! .")).toBe("3-0");
  });

  test("the bout's doubles come before the rules", () => {
    const twice = set(
      "  - name: Rule\n    when: I hit\n    does: double my points\n",
      "bout:\n  doubles: both score\n",
    );
    expect(tallyOf(twice, "1 double R cut head !, B cut arm ! .")).toBe("points 2-2 bonus 0-0 open 0");
    expect(
      tallyOf(twice.replace("both score", "score nothing"), "1 double R cut head !, B cut arm ! ."),
    ).toBe("points 0-0 bonus 0-0 open 0");
  });

  test("ups and downs are summed, then to wins", () => {
    const count = set(
      "",
      "marks:\n  grip:\n    is: a count for each fencer\n    starts: at 5\n    changes:\n      - up 2 when I hit\n      - down 1 when I feint\n      - to 0 when I parry\n",
    ).replace("rules:\n", "");
    expect(marks(count, "1 R feint, R cut head ! .")).toBe("mark R grip = 6; mark B grip = 5");
    expect(marks(count, "1 R parry, R feint, R cut head ! .")).toBe("mark R grip = 0; mark B grip = 5");
  });

  test("a token flips at each last action, roles change once an exchange", () => {
    const change = "    starts: with red\n    changes: changes hands when I or they parry\n";
    const two = `name: Promise\n${TOUCHES}marks:\n  ball:\n    is: a token\n${change}  parts:\n    is: roles giver and taker for the bout\n${change}`;
    expect(marks(two, "1 R parry, B parry .")).toBe("mark ball = R; mark parts = B");
    expect(marks(two, "1 R parry, B parry, R parry .")).toBe("mark ball = B; mark parts = B");
  });

  test("a mark of the bout is changed once an exchange if either fencer matches", () => {
    const hits = `name: Promise\n${TOUCHES}marks:\n  hits:\n    is: a count for the bout\n    changes: up 1 when I hit\n`;
    expect(marks(hits, "1 R cut head !, B cut head ! .\n2 B cut head ! .")).toBe("mark hits = 2");
  });

  const PAID = 'marks:\n  had:\n    is: a count for each fencer\n    changes: up 1 when "Once" pays me\n';
  const once = "  - name: Once\n    when: I hit\n    pays: 1 bonus to me\n    at most: once a bout\n";
  const next = "  - name: Next\n    when: I hit\n    if: my had is 1\n    pays: 2 bonus to me\n";
  test("a change that names a payment comes last, after the caps, and no now reads it", () => {
    expect(marks(set(once, PAID), "1 R cut head ! .\n2 R cut head ! .")).toBe(
      "mark R had = 1; mark B had = 0",
    );
    expect(bonus(set(once + next, PAID), "1 R cut head ! .\n2 R cut head ! .")).toBe("3-0");
    expect(fault(set(once + next.replace("is 1", "is 1 now"), PAID))).toContain('"now" cannot read "had"');
  });
});

describe("how often, what is unknown, the end", () => {
  test("[P11] a rule pays once a fencer and exchange, unless it says each time", () => {
    const sheet = "1 R parry, B cut, R parry, B parry .";
    expect(bonus(when("I parry"), sheet)).toBe("1-1");
    expect(bonus(when("I parry").replace("to me", "to me each time"), sheet)).toBe("2-1");
    const last = when("I feint, then I parry").replace("to me", "to me each time");
    expect(bonus(last, "1 R feint, R feint, R parry .")).toBe("1-0");
  });

  const TEMPO = set(
    "  - name: Clever\n    when: I hit in one tempo\n    unless: I hit in opposition\n    pays: 1 bonus to me\n",
  );
  test("[P12] an award is open while an unknown fact could change it, and only that fact is asked for", () => {
    const open = tally(TEMPO, "1 R cut head in one tempo !");
    expect(open.bonus).toEqual({ red: 0, blue: 0 });
    expect(open.questions.map(({ text }) => text)).toEqual(["Exchange 1: was Red's cut in opposition?"]);
    expect(tallyOf(TEMPO, "1 R cut head in opposition !")).toBe("points 1-0 bonus 0-0 open 0");
    expect(tally(TEMPO, "1 R cut head in opposition !").questions).toEqual([]);
  });

  test("[P12] two unknown facts do not hide each other", () => {
    const both = tally(TEMPO, "1 R cut head !");
    expect(both.open).toBe(1);
    expect(both.questions.map(({ text }) => text).sort()).toEqual([
      "Exchange 1: was Red's cut in one tempo?",
      "Exchange 1: was Red's cut in opposition?",
    ]);
  });

  test("[P12] [D5] where every possibility pays the same, nothing is open", () => {
    const either = set(
      "  - name: Rule\n    when:\n      - I hit in one tempo\n      - I hit not in one tempo\n    pays: 1 bonus to me\n",
    );
    expect(tallyOf(either, "1 R cut head !")).toBe("points 1-0 bonus 1-0 open 0");
  });

  test("[P12] a winner whom no unknown fact can change is that winner", () => {
    expect(tallyOf("name: Promise\ntouches:\n  I hit: 1\n", "score 5-0\n1 B cut arm !? .\nend")).toBe(
      "points 5-0 bonus 0-0 open 1 ended red wins",
    );
  });

  const LAST = set(
    "  - name: Rule\n    at: the end of the bout\n    if: I win the bout, and in the last exchange I hit with a thrust\n    pays: 2 bonus to me\n",
  );
  test("[P13] a rule at the end of the bout is tried there, and reads the bout's last exchange", () => {
    const bout = "1 B cut head ! .\n2 R cut head ! .\n3 R thrust head ! .\n4 no exchange";
    expect(bonus(LAST, bout)).toBe("0-0");
    expect(tallyOf(LAST, `${bout}\nend`)).toBe("points 2-1 bonus 2-0 open 0 ended red wins");
    expect(fault(LAST.replace("    if:", "    when: I hit\n    if:"))).toContain(
      "At the end there is no exchange to look at",
    );
  });

  test("[P13] a rule at the end of the evening is tried once for each fencer of the evening", () => {
    const evening =
      "name: Evening\nmarks:\n  hits:\n    is: a count for each fencer tonight\n    changes: up 1 when I hit\n" +
      `${TOUCHES}rules:\n  - name: Two hits\n    at: the end of the evening\n` +
      "    if: my hits is 2 or more\n    pays: 2 bonus to me\n";
    const bouts = "bout R Ana, B Ben\n1 R cut ! .\n2 R cut ! .\nend\nbout R Ben, B Cleo\n1 R cut ! .\nend\n";
    expect(tally(evening, bouts).evening).toBeUndefined();
    expect(tally(evening, `${bouts}evening`).evening).toMatchObject([
      { fencer: "Ana", rule: "Two hits", unit: "bonus", amount: 2 },
    ]);
  });
});
