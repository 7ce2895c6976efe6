import { describe, expect, test } from "vitest";
import { result, scoreOf, scorerOf, tallyOf } from "../../support/score.ts";

/** One condition in an otherwise empty rule set: the bonus tells in how many exchanges it held, for Red and for Blue. */
const held = (condition: string, bout: string, before = ""): string =>
  scoreOf(
    `${before}touches: {I hit: 1}\nrules: [{name: It, if: '${condition}', pays: 1 bonus to me}]`,
    bout,
  ).split("bonus ")[1] ?? "";

describe("how and which exchange", () => {
  const bout = "1 double R cut head !, B cut head ! .\n2 simultaneous R cut head, B cut arm .\n3 R feint .";

  test.each([
    ["it is a double", "1-1"],
    ["it is not a double", "2-2"],
    ["it is simultaneous", "1-1"],
    ["it is exchange 2", "1-1"],
    ["it is not exchange 2", "2-2"],
    ["in the last exchange it is a double", "1-1"],
    ["in the last exchange it is simultaneous", "1-1"],
  ])("%s", (condition, gives) => expect(held(condition, bout)).toBe(gives));

  test("a no exchange is no exchange's number, and not the last exchange [P7, S8]", () => {
    expect(held("it is exchange 2", "1 R feint .\n2 no exchange\n3 R feint .")).toBe("1-1");
    expect(held("it is a no exchange, and it is exchange 1", "1 R feint .\n2 no exchange")).toBe("1-1");
    expect(
      held(
        "in the last exchange it is a double",
        "1 double R cut head !, B cut head ! .\n2 no exchange\n3 R feint .",
      ),
    ).toBe("1-1");
    expect(held("in the last exchange I feint", "1 R feint .\n2 no exchange\n3 B parry .")).toBe("1-0");
  });

  test("it is the last exchange: the one after which the bout is over by number", () => {
    const before = "bout: {ends: after 3 exchanges}\n";
    expect(held("it is the last exchange", "1 R feint .\n2 R feint .\n3 R feint .", before)).toBe("1-1");
    expect(held("it is the last exchange", "1 R feint .\n2 no exchange\n3 R feint .", before)).toBe("0-0");
  });

  test("in the last exchange: what was done in it, for each as I, and no longer than that", () => {
    expect(held("in the last exchange they feint", "1 R feint .\n2 B parry .\n3 B parry .")).toBe("0-1");
  });
});

describe("the score and the clock", () => {
  test.each([
    ["I am ahead", "1-0"],
    ["they are ahead", "0-1"],
    ["I am behind", "0-1"],
    ["they are behind", "1-0"],
    ["I am level", "0-0"],
    ["I am ahead by 2", "1-0"],
    ["I am ahead by 2 or more", "1-0"],
    ["I am ahead by 3 or more", "0-0"],
    ["I am ahead by 2 or less", "1-0"],
    ["I am ahead by 1 or less", "0-0"],
    ["they are behind by 1 or more", "1-0"],
  ])("%s at 3-1", (condition, gives) => expect(held(condition, "score 3-1\n1 R feint .")).toBe(gives));

  test("level: neither is ahead nor behind", () => {
    for (const condition of ["I am ahead", "I am behind", "they are ahead"])
      expect(held(condition, "score 2-2\n1 R feint .")).toBe("0-0");
    expect(held("I am level", "score 2-2\n1 R feint .")).toBe("1-1");
  });

  test.each([
    ["30 s or less are left", 30, "1-1"],
    ["30 s or less are left", 31, "0-0"],
    ["30 s or more are left", 30, "1-1"],
    ["30 s or more are left", 29, "0-0"],
  ])("%s, with %i s on the clock", (condition, left, gives) =>
    expect(held(condition, `1 R feint . [${String(left)} s left]`)).toBe(gives),
  );
});

describe("calls, and what other rules pay", () => {
  const words = "words: {praise: a call, blame: a call}\n";

  test("the call that is named, for the one for whom it was given", () => {
    const bout = "1 R feint . call praise R @j1";
    expect(held("the judge calls praise for me", bout, words)).toBe("1-0");
    expect(held("the judge calls praise for them", bout, words)).toBe("0-1");
    expect(held("the judge calls blame for me", bout, words)).toBe("0-0");
  });

  const asking = (condition: string): string => `rules:
  - {name: Parry, when: I parry, pays: 1 point to me}
  - {name: It, if: '${condition}', pays: 1 bonus to me}`;

  test("a payment is whose it is, in this exchange and in the last", () => {
    expect(scoreOf(asking('"Parry" pays me'), "1 R parry .")).toBe("points 1-0 bonus 1-0");
    expect(scoreOf(asking('"Parry" pays them'), "1 R parry .")).toBe("points 1-0 bonus 0-1");
    expect(
      scoreOf(asking('"Parry" paid me in the last exchange'), "1 R parry .\n2 B feint .\n3 B feint ."),
    ).toBe("points 1-0 bonus 1-0");
    expect(scoreOf(asking('"Parry" paid them in the last exchange'), "1 R parry .\n2 B feint .")).toBe(
      "points 1-0 bonus 0-1",
    );
  });

  test("a bonus that was paid in the last exchange was paid too", () => {
    const text = asking('"Parry" paid me in the last exchange').replace("1 point", "1 bonus");
    expect(scoreOf(text, "1 R parry .\n2 B feint .")).toBe("points 0-0 bonus 2-0");
  });

  test("what was annulled or capped away was not paid in the last exchange", () => {
    const text = `rules:
  - {name: Parry, when: I parry, pays: 1 point to me, at most: once a bout}
  - {name: It, if: '"Parry" paid me in the last exchange', pays: 1 bonus to me}`;
    expect(scoreOf(text, "1 R parry .\n2 R parry .\n3 R feint .")).toBe("points 1-0 bonus 1-0");
  });
});

describe("marks, picks, roles and tokens", () => {
  const mark = (sentence: string): string => `marks: {n: ${sentence}}\n`;
  const count = mark("{is: a count for each fencer, changes: [up 1 when I parry]}");

  test.each([
    ["my n is 2", "1-0"],
    ["my n is 2 or more", "1-0"],
    ["my n is 1 or less", "0-1"],
    ["my n is 3 or more", "0-0"],
    ["their n is 2", "0-1"],
    ["my n is more than theirs", "1-0"],
    ["my n is less than theirs", "0-1"],
    ["my n is level with theirs", "0-0"],
  ])("%s, after two parries of Red's and one of Blue's", (condition, gives) => {
    const text = `${count}rules: [{name: It, when: I or they feint, if: ${condition}, pays: 1 bonus to me}]`;
    expect(scoreOf(text, "1 R parry, B parry .\n2 R parry .\n3 R feint .").split("bonus ")[1]).toBe(gives);
  });

  test("level with theirs: neither more nor less", () => {
    expect(held("my n is level with theirs", "1 R feint .", count)).toBe("1-1");
    expect(held("my n is more than theirs", "1 R feint .", count)).toBe("0-0");
  });

  test("a flag for each fencer: on and off, mine and theirs", () => {
    const flag = mark("{is: a flag for each fencer, changes: [on when I parry, off when I feint]}");
    const bout = "1 R parry .\n2 B bind .\n3 R feint .\n4 B bind .";
    expect(held("my n is on", bout, flag)).toBe("2-0");
    expect(held("their n is on", bout, flag)).toBe("0-2");
    expect(held("my n is off", bout, flag)).toBe("2-4");
  });

  test("on and off in one exchange: off, whatever the order [P10]", () => {
    for (const changes of ["on when I parry, off when I feint", "off when I feint, on when I parry"])
      expect(
        held(
          "my n is on",
          "1 R parry, R feint .\n2 B bind .",
          mark(`{is: a flag for each fencer, changes: [${changes}]}`),
        ),
      ).toBe("0-0");
  });

  test("a pick is the value that was said, each fencer's his own", () => {
    const pick = "picks: {t: {by: each fencer, from: [head, arm], when: before the bout}}\n";
    const bout = "pick R t = head\npick B t = arm\n1 R feint .";
    expect(held("my t is head", bout, pick)).toBe("1-0");
    expect(held("my t is arm", bout, pick)).toBe("0-1");
    expect(held("their t is arm", bout, pick)).toBe("1-0");
  });

  test("roles: mine and theirs", () => {
    const roles = mark("{is: roles attacker and defender for the bout, starts: with red}");
    expect(held("I am the attacker", "1 R feint .", roles)).toBe("1-0");
    expect(held("I am the defender", "1 R feint .", roles)).toBe("0-1");
    expect(held("they are the attacker", "1 R feint .", roles)).toBe("0-1");
  });

  test("a token: as the exchange began, or at that moment", () => {
    const token = mark("{is: a token, starts: with red, changes: [changes hands when I or they parry]}");
    const rule = (condition: string): string =>
      `${token}rules: [{name: It, when: I feint, if: ${condition}, pays: 1 bonus to me}]`;
    const bout = "1 B parry, R feint, B feint .";
    expect(scoreOf(rule("the n is mine"), bout)).toBe("points 0-0 bonus 1-0");
    expect(scoreOf(rule("the n is theirs"), bout)).toBe("points 0-0 bonus 0-1");
    expect(scoreOf(rule("the n is mine at that moment"), bout)).toBe("points 0-0 bonus 0-1");
  });

  test("at that moment is just before the action, not after what the action itself moves", () => {
    const text = `${mark("{is: a token, starts: with red, changes: [changes hands when I or they parry]}")}rules: [{name: It, when: I parry, if: the n is mine at that moment, pays: 1 bonus to me}]`;
    expect(scoreOf(text, "1 R parry .")).toBe("points 0-0 bonus 1-0");
    expect(scoreOf(text, "1 B parry .")).toBe("points 0-0 bonus 0-0");
  });
});

describe("the end of the bout", () => {
  test.each([
    ["I win the bout", "1-0"],
    ["they win the bout", "0-1"],
    ["I lose the bout", "0-1"],
    ["they lose the bout", "1-0"],
  ])("%s, where Red has won", (condition, gives) => {
    const text = `touches: {I hit: 1}\nrules: [{name: It, at: the end of the bout, if: ${condition}, pays: 1 bonus to me}]`;
    expect(scoreOf(text, "1 R cut head ! .\nend")).toBe(`points 1-0 bonus ${gives}`);
  });

  test("nobody has won a draw", () => {
    const text =
      "touches: {I hit: 1}\nrules: [{name: It, at: the end of the bout, if: I win the bout, pays: 1 bonus to me}]";
    const tally = tallyOf(scorerOf(text), "1 R cut head ! .\n2 B cut head ! .\nend");
    expect([result(tally), tally.ended]).toEqual(["points 1-1 bonus 0-0", "draw"]);
  });
});
