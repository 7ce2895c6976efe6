/** A small test for each promise that rules/LANGUAGE.md gives about bout sheets: a rule set, a sheet, the tally. */
import { describe, expect, test } from "vitest";
import { compile } from "../../rules/award/compile.ts";
import { applyFacts } from "../../rules/award/facts.ts";
import { scoreBout } from "../../rules/award/score.ts";
import { readRuleSet } from "../../rules/language/read.ts";
import { printJsonLines, readJsonLines, readSheet } from "../../rules/language/sheet.ts";
import type { ExchangeLine } from "../../rules/record.ts";
import { bonus, marks, must, set, tally, tallyOf, TOUCHES, when } from "./scored.ts";

const off = (more: string): string =>
  `name: Promise\nbout:\n  afterblows: take off 1${more}\ntouches:\n  I hit the head: 3\n  I hit the arm: 1\n`;

describe("the bout sheet", () => {
  const parried = when("I parry, then I hit");
  test("[S1] an open line leaves room before and after, never between two actions, and never for a hit", () => {
    expect(tallyOf(parried, "1 R cut head !")).toBe("points 1-0 bonus 0-0 open 1");
    expect(tallyOf(parried, "1 R cut head ! .")).toBe("points 1-0 bonus 0-0 open 0");
    expect(tallyOf(when("they cut, then I parry, at once I hit"), "1 B cut, R cut head ! .")).toContain(
      "open 0",
    );
    expect(tallyOf(when("first they cut, at once I parry, then I hit"), "1 B cut, R cut head !")).toContain(
      "open 1",
    );
    expect(tallyOf(when("I hit, then they never hit"), "1 R cut head !")).toContain("bonus 1-0 open 0");
  });

  test("[S1] what is written without a mark did not hit; how it ended is unknown, in a closed line neither", () => {
    const missed = when("they miss, then I hit");
    expect(tallyOf(missed, "1 B cut head, R cut head !")).toBe("points 1-0 bonus 0-0 open 1");
    expect(tallyOf(missed, "1 B cut head, R cut head ! .")).toBe("points 1-0 bonus 0-0 open 0");
    expect(tallyOf(missed, "1 B cut head miss, R cut head ! .")).toBe("points 1-0 bonus 1-0 open 0");
  });

  test("[S2] a strike right after one's own parry is a riposte, another one in a closed line an attack", () => {
    const riposte = when("I riposte and hit");
    expect(tallyOf(riposte, "1 B cut, R parry, R cut head !")).toContain("bonus 1-0 open 0");
    expect(tallyOf(riposte, "1 R cut head !")).toContain("bonus 0-0 open 1");
    expect(tallyOf(riposte, "1 R cut head ! .")).toContain("bonus 0-0 open 0");
    expect(tallyOf(when("I attack and hit"), "1 R cut head ! .")).toContain("bonus 1-0 open 0");
  });

  test("[S2] an attribute that is not written is unknown", () => {
    expect(tallyOf(when("I hit the head"), "1 R cut ! .")).toContain("bonus 0-0 open 1");
    expect(tallyOf(when("I hit the head"), "1 R cut arm ! .")).toContain("bonus 0-0 open 0");
  });

  test("[S3] a list after the full stop leaves only those kinds open, and JSON Lines say the same", () => {
    const ruleSet = must(readRuleSet(parried));
    const sheet = must(readSheet("1 R cut head ! . but parry", ruleSet));
    expect(tallyOf(parried, "1 R cut head ! . but parry")).toContain("open 1");
    expect(tallyOf(parried, "1 R cut head ! . but feint")).toContain("open 0");
    expect(must(readJsonLines(printJsonLines(sheet), ruleSet))).toEqual(sheet);
    expect(printJsonLines(sheet)).toContain('"open":["parry"]');
  });

  test("[S4] once a watcher's silence is heard, what was open for that watcher is not", () => {
    const ruleSet = must(readRuleSet(parried));
    const [line] = must(readSheet("1 R cut head ! . but parry", ruleSet));
    const closed = applyFacts(line as ExchangeLine, [{ fact: "nothing else", kinds: ["parry"] }]);
    const scorer = compile(ruleSet);
    expect(scoreBout(scorer, [line as ExchangeLine]).open).toBe(1);
    expect(scoreBout(scorer, [closed]).open).toBe(0);
  });

  test("[S5] the tally is settled awards only; open counts each award, fencer and exchange, touches too", () => {
    const sheet = "1 R cut head !?, B cut head !? .\n2 R cut head ! .";
    const { points, open, span } = tally(when("I hit with a thrust"), sheet);
    expect(points).toEqual({ red: 1, blue: 0 });
    expect(open).toBe(2);
    expect(span.points).toEqual({ red: { least: 1, most: 2 }, blue: { least: 0, most: 1 } });
  });

  test("[S6] two hits without a word for it are two hits; a call not written was not made", () => {
    const called = set(
      "  - name: Rule\n    if: the judge calls praise for me\n    pays: 1 bonus to me\n",
      "words:\n  praise: a call\n",
    );
    expect(tallyOf(called, "1 R cut head !, B cut arm ! .")).toBe("points 1-1 bonus 0-0 open 0");
    expect(tallyOf(called, "1 double R cut head !, B cut arm ! . call praise B")).toBe(
      "points 0-0 bonus 0-1 open 0",
    );
  });

  test("[S6] score sets the score, in place of what starts gave", () => {
    const start = `name: Promise\nbout:\n  starts: the weaker has 4 points\n${TOUCHES}`;
    expect(tallyOf(start, "score 2-1\n1 R cut head ! .")).toBe("points 3-1 bonus 0-0 open 0");
  });

  test("[S7] a plain count rises once an exchange, each time by distinct last actions", () => {
    const counts = `name: Promise\n${TOUCHES}marks:\n  plain:\n    is: a count for each fencer\n    changes: up 1 when I parry\n  every:\n    is: a count for each fencer\n    changes: up 1 each time I parry\n`;
    expect(marks(counts, "1 R parry, R parry, R parry .")).toBe(
      "mark R plain = 1; mark B plain = 0; mark R every = 3; mark B every = 0",
    );
  });

  test("[S8] on a no exchange only what names it is tried, and no touch scores", () => {
    const named = set(
      "  - name: Named\n    when: I act\n    if: it is a no exchange\n    pays: 1 bonus to me\n  - name: Plain\n    when: I act\n    pays: 2 bonus to me\n",
      "marks:\n  breaks:\n    is: a count for the bout\n    changes: up 1 when it is a no exchange\n  acts:\n    is: a count for the bout\n    changes: up 1 when I or they act\n",
    );
    expect(tallyOf(named, "1 no exchange R cut head !")).toBe("points 0-0 bonus 1-0 open 0");
    expect(marks(named, "1 no exchange R cut head !")).toBe("mark breaks = 1; mark acts = 0");
  });

  test("[S9] a cap that has less left than is due pays what is left", () => {
    const capped = when("I hit").replace("1 bonus to me", "3 bonus to me\n    at most: 4 bonus a bout");
    const sheet = "1 R cut head ! .\n2 R cut head ! .\n3 R cut head ! .";
    expect(tally(capped, sheet).exchanges.map((one) => one.bonus.red)).toEqual([3, 4, 4]);
  });

  test("[S10] anything but an empty note is anything", () => {
    const other = when(
      "I hit anything but my last target",
      "marks:\n  last target:\n    is: a note for each fencer\n    changes: becomes the target when I hit\n",
    );
    expect(bonus(other, "1 R cut chest ! .")).toBe("1-0");
    expect(bonus(other, "1 R cut chest ! .\n2 R cut chest ! .\n3 R cut thigh ! .")).toBe("2-0");
  });

  test("[S11] two turnings over in one exchange swap at once", () => {
    const swap = set(
      "  - name: Hit\n    when: I hit\n    pays: 1, then 5 bonus to me\n  - name: Swap\n    if: it is a double\n    does: turn my bonus over to them\n",
    );
    expect(bonus(swap, "1 R cut head ! .\n2 double R cut head !, B cut head ! .")).toBe("2-5");
  });

  test("[S12] take off 1 takes it from the hit, and the afterblow itself scores nothing", () => {
    const sheet = "1 R cut head !, B afterblow head .\n2 R cut arm !, B afterblow head .";
    expect(tallyOf(off(""), sheet)).toBe("points 2-0 bonus 0-0 open 0");
    expect(tallyOf(off(" but leave 1"), sheet)).toBe("points 3-0 bonus 0-0 open 0");
  });

  test("[S13] not below is the floor of the fencer's tally in that unit", () => {
    const floor = set("  - name: Rule\n    when: they hit\n    pays: -2 points to me\n    not below: 0\n");
    expect(tallyOf(floor, "1 B cut head ! .")).toBe("points 0-1 bonus 0-0 open 0");
    expect(tallyOf(floor, "score 5-0\n1 B cut head ! .")).toBe("points 3-1 bonus 0-0 open 0");
  });

  test("[S14] not may stand before any word of an action", () => {
    expect(tallyOf(when("I hit the head"), "1 R cut not head ! .")).toContain("open 0");
    expect(tallyOf(when("I hit with one hand"), "1 R cut not one hand ! .")).toContain("open 0");
    expect(tallyOf(when("I hit with one hand"), "1 R cut ! .")).toContain("open 1");
  });

  test("[S15] again rewrites an exchange, and what follows is scored anew", () => {
    const falling = when("I hit").replace("1 bonus", "3, then 1 bonus");
    const bout = "1 R cut head ! .\n2 R cut head ! .";
    expect(tallyOf(falling, bout)).toBe("points 2-0 bonus 4-0 open 0");
    expect(tallyOf(falling, `${bout}\nagain 1 R cut head miss .`)).toBe("points 1-0 bonus 3-0 open 0");
  });

  test("[S15] bout starts another bout of the evening, and limits follow the names", () => {
    const once = when("I hit").replace("to me", "to me\n    at most: once tonight");
    const bouts = "bout R Ana, B Ben\n1 R cut head ! .\nbout R Cid, B Ana\n1 R cut head !, B cut head ! .";
    expect(tallyOf(once, bouts)).toBe("points 1-1 bonus 1-0 open 0");
    expect(tallyOf(once, bouts.replace("bout R Cid", "evening\nbout R Cid"))).toBe(
      "points 1-1 bonus 1-1 open 0",
    );
  });

  test("[S16] a pick written later settles what it left open", () => {
    const secret = when(
      "I hit my secret",
      "picks:\n  secret:\n    by: each fencer\n    from: [head, arm]\n    when: before the bout\n",
    );
    expect(tallyOf(secret, "1 R cut head ! .")).toBe("points 1-0 bonus 0-0 open 1");
    expect(tallyOf(secret, "1 R cut head ! .\npick R secret = head")).toBe("points 1-0 bonus 1-0 open 0");
  });

  test("[S17] an award whose amount is open waits, though its least is certain, and the question says the span", () => {
    const praised = set(
      "  - name: Praise\n    if: the judge calls praise for me\n    pays: between 1 and 3 bonus to me as the judge says\n",
      "words:\n  praise: a call\n",
    );
    const waiting = tally(praised, "1 R cut head ! . call praise R");
    expect(waiting.bonus.red).toBe(0);
    expect(waiting.span.bonus.red).toEqual({ least: 1, most: 3 });
    expect(waiting.questions[0]?.text).toContain("1 to 3 bonus");
    expect(bonus(praised, "1 R cut head ! . call praise R 2")).toBe("2-0");
  });
});
