import { describe, expect, test } from "vitest";
import { printJsonLines, printSheet, readJsonLines, readSheet } from "../../../rules/language/sheet.ts";
import { amountOf, outlook } from "../../../rules/award/plan-probe.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import { scorerOf, sheetOf, tallyOf } from "../../support/score.ts";

/** A rule set whose first touch asks for the thing; anything else is worth nothing. */
const asks = (phrase: string, weapon?: string, more = ""): string =>
  `${weapon === undefined ? "" : `weapon: ${weapon}\n`}${more}touches:\n  ${phrase}: 1`;

type Answer = "yes" | "no" | "open";

/** Whether Red's action is what the touch asks, in a closed line. */
function is(text: string, act: string, before = ""): Answer {
  const tally = tallyOf(scorerOf(text), `${before}1 R ${act} ! .`);
  if (tally.open > 0) return "open";
  return tally.points.red === 1 ? "yes" : "no";
}

describe("a general word that was recorded may have been a finer one, or just that", () => {
  const FENDENTE = asks("I hit with a mandritto fendente", "sidesword");
  const MANDRITTO = asks("I hit with a mandritto", "sidesword");

  test("a bare mandritto may be a mandritto fendente; a riverso is none", () => {
    expect(is(FENDENTE, "mandritto")).toBe("open");
    expect(is(FENDENTE, "fendente")).toBe("open");
    expect(is(FENDENTE, "cut")).toBe("open");
    expect(is(FENDENTE, "mandritto fendente")).toBe("yes");
    expect(is(FENDENTE, "riverso")).toBe("no");
    expect(is(FENDENTE, "thrust")).toBe("no");
  });

  test("what else was seen of it settles it", () => {
    expect(is(FENDENTE, "rising mandritto")).toBe("no");
    expect(is(FENDENTE, "fendente from the left")).toBe("no");
    expect(is(FENDENTE, "mandritto not fendente")).toBe("no");
  });

  test("the finer word is the general one too", () => {
    for (const blow of ["mandritto", "mandritto fendente", "mandritto tondo", "mezzo mandritto"])
      expect(is(MANDRITTO, blow)).toBe("yes");
    expect(is(MANDRITTO, "fendente")).toBe("open");
    expect(is(MANDRITTO, "riverso fendente")).toBe("no");
  });

  test("a head may have been the face; a face is a head", () => {
    expect(is(asks("I hit the face"), "head")).toBe("open");
    expect(is(asks("I hit the face"), "head not face")).toBe("no");
    expect(is(asks("I hit the face"), "torso")).toBe("no");
    expect(is(asks("I hit the head"), "face")).toBe("yes");
    expect(is(asks("I hit anything but the head"), "throat")).toBe("no");
    expect(is(asks("I hit the limb"), "foot")).toBe("yes");
  });

  test("a counter-attack may have been a stop-hit, a touch of the blades a parry", () => {
    expect(is(asks("I stop-hit and hit"), "counter-attack")).toBe("open");
    expect(is(asks("I counter-attack and hit"), "stop-hit")).toBe("yes");
    const parries = asks("I parry, then I hit");
    const after = (kind: string): Answer => {
      const tally = tallyOf(scorerOf(parries), `1 B cut head, R ${kind}, R attack ! .`);
      return tally.open > 0 ? "open" : tally.points.red === 1 ? "yes" : "no";
    };
    expect([after("touch blades"), after("parry"), after("void")]).toEqual(["open", "yes", "no"]);
  });

  test("a guard's family name may stand for any of the family", () => {
    expect(is(asks("I hit from coda lunga stretta", "sidesword"), "from coda lunga")).toBe("open");
    expect(is(asks("I hit from coda lunga", "sidesword"), "from coda lunga stretta")).toBe("yes");
    expect(is(asks("I hit from coda lunga", "sidesword"), "from porta di ferro")).toBe("no");
  });

  test("an upper opening may be the left one", () => {
    expect(is(asks("I hit the upper left opening", "longsword"), "upper opening")).toBe("open");
    expect(is(asks("I hit the upper opening", "longsword"), "upper left opening")).toBe("yes");
    expect(is(asks("I hit the upper left opening", "longsword"), "lower opening")).toBe("no");
    expect(is(asks("I hit the upper left opening", "longsword"), "scheitelhau")).toBe("open");
  });

  test("a blow that falls on the head falls on the face or the throat as well", () => {
    expect(is(asks("I hit with cut 7", "sabre"), "cut 7 face")).toBe("yes");
    expect(is(asks("I hit with cut 7", "sabre"), "cut 7 torso")).toBe("no");
    expect(is(asks("I hit the head", "sabre"), "cut 7")).toBe("yes");
  });

  test("a list of what may be missing opens and closes the finer words with the general one", () => {
    const stop = scorerOf(asks("they stop-hit, then I hit"));
    expect(tallyOf(stop, "1 R head ! . but counter-attack").open).toBe(1);
    expect(tallyOf(stop, "1 R head ! . but parry").open).toBe(0);
    expect(tallyOf(stop, "1 R head ! but no counter-attack").open).toBe(0);
    expect(tallyOf(stop, "1 R head ! but no parry").open).toBe(1);
  });

  test("a pick is read as its word", () => {
    const text = asks(
      "I hit my part",
      undefined,
      "picks:\n  part: {by: each fencer, from: [head, face, torso], when: before the bout}\n",
    );
    expect(is(text, "face", "pick R part = head\n")).toBe("yes");
    expect(is(text, "head", "pick R part = face\n")).toBe("open");
    expect(is(text, "torso", "pick R part = face\n")).toBe("no");
  });
});

describe("what a mark remembers is read as that word written in the rule", () => {
  const note = (what: string, phrase: string, weapon?: string): string =>
    asks(
      phrase,
      weapon,
      `marks:\n  last: {is: a note for each fencer, changes: becomes the ${what} when I hit}\n`,
    );
  const second = (text: string, first: string, then: string): Answer => {
    const tally = tallyOf(scorerOf(text), `1 R ${first} ! .\n2 R ${then} ! .`);
    const [, last] = tally.exchanges;
    if ((last?.open.length ?? 0) > 0) return "open";
    return last?.awards.length === 1 ? "yes" : "no";
  };

  test("after the head the face is no other target; after the face a head may be the same", () => {
    const other = note("target", "I hit anything but my last");
    expect(second(other, "head", "head")).toBe("no");
    expect(second(other, "head", "face")).toBe("no");
    expect(second(other, "face", "head")).toBe("open");
    expect(second(other, "face", "throat")).toBe("yes");
    expect(second(other, "face", "torso")).toBe("yes");
  });

  test("what was left open is asked, with words that it may have been", () => {
    const scorer = scorerOf(note("target", "I hit anything but my last"));
    const { questions } = tallyOf(scorer, "1 R face ! .\n2 R head ! .");
    expect(questions.map(({ text }) => text)).toEqual(["Exchange 2: what was the target of Red's hit?"]);
    const labels = questions[0]?.answers.map(({ label }) => label) ?? [];
    expect(labels).toContain("face");
    expect(labels).toContain("head");
    expect(labels).not.toContain("torso");
  });

  test("a set, a blow and an opening are no different", () => {
    const set = asks(
      "I hit one of my had",
      undefined,
      "marks:\n  had: {is: a set for each fencer, changes: gains the target when I hit}\n",
    );
    expect(second(set, "head", "face")).toBe("yes");
    expect(second(set, "face", "head")).toBe("open");
    expect(second(set, "face", "torso")).toBe("no");
    const blow = note("blow", "I hit with my last", "sidesword");
    expect(second(blow, "mandritto", "mandritto tondo")).toBe("yes");
    expect(second(blow, "mandritto tondo", "mandritto")).toBe("open");
    expect(second(blow, "mandritto tondo", "riverso")).toBe("no");
    const opening = note("opening", "I hit anything but my last", "longsword");
    expect(second(opening, "upper left opening", "upper left opening")).toBe("no");
    expect(second(opening, "upper left opening", "scheitelhau")).toBe("open");
    expect(second(opening, "upper left opening", "lower left opening")).toBe("yes");
  });
});

describe("left-handers", () => {
  const RIGHT = asks("I hit from the right", "longsword");
  const LEFT = asks("I hit from the left", "longsword");

  test("a forehand comes from the right of a right-hander and from the left of a left-hander", () => {
    expect(is(RIGHT, "zornhau")).toBe("yes");
    expect(is(RIGHT, "zornhau", "left-handed R\n")).toBe("no");
    expect(is(LEFT, "zornhau", "left-handed R\n")).toBe("yes");
    expect(is(LEFT, "zornhau", "left-handed B\n")).toBe("no");
  });

  test("a blow is the same blow for everybody", () => {
    const zornhau = asks("I hit with a zornhau", "longsword");
    expect(is(zornhau, "zornhau", "left-handed R\n")).toBe("yes");
    expect(is(zornhau, "descending cut from the right", "left-handed R\n")).toBe("no");
    expect(is(zornhau, "descending cut from the left", "left-handed R\n")).toBe("open");
    expect(is(zornhau, "descending cut from the left")).toBe("no");
    const cut = asks("I hit with a descending cut from the left", "sidesword");
    expect(is(cut, "mandritto fendente", "left-handed R\n")).toBe("yes");
    expect(is(cut, "mandritto fendente")).toBe("no");
    expect(is(cut, "riverso fendente", "left-handed R\n")).toBe("no");
  });

  test("what has no stroke does not turn", () => {
    expect(is(RIGHT, "oberhau", "left-handed R\n")).toBe("open");
    expect(is(RIGHT, "cut from the right", "left-handed R\n")).toBe("yes");
    expect(is(RIGHT, "scheitelhau", "left-handed R\n")).toBe("no");
  });

  // A straight cut from the striker's upper left goes to the upper right of whoever faces him, and out below on the left.
  test("a diagonal cut turns to its mirror image, the openings as well", () => {
    const left = asks("I hit the upper left opening");
    const right = asks("I hit the upper right opening");
    // It may have landed above or below, but on the line that it goes.
    expect(is(left, "mandritto sgualimbro")).toBe("open");
    expect(is(right, "mandritto sgualimbro")).toBe("no");
    expect(is(left, "mandritto sgualimbro", "left-handed R\n")).toBe("no");
    expect(is(right, "mandritto sgualimbro", "left-handed R\n")).toBe("open");
    const rule = asks("I hit with a mandritto sgualimbro", "sidesword");
    expect(is(rule, "mandritto from the left", "left-handed R\n")).toBe("open");
    expect(is(rule, "mandritto sgualimbro", "left-handed R\n")).toBe("yes");
    expect(is(rule, "riverso sgualimbro", "left-handed R\n")).toBe("no");
  });

  // A thrust over the arm goes outside of the arm that it goes over.
  test("what is named from the other's arm turns with the other's hand", () => {
    const right = asks("I hit the upper right opening");
    expect(is(right, "carte over the arm")).toBe("yes");
    expect(is(right, "carte over the arm", "left-handed R\n")).toBe("yes");
    expect(is(right, "carte over the arm", "left-handed B\n")).toBe("no");
    expect(is(right, "tierce thrust")).toBe("yes");
    expect(is(right, "tierce thrust", "left-handed R\n")).toBe("no");
    expect(is(right, "tierce thrust", "left-handed B\n")).toBe("yes");
  });

  test("the numbered cuts are told of right-handers only: from which side a left-hander's come stays open", () => {
    const right = asks("I hit from the right", "sabre");
    expect(is(right, "cut 1")).toBe("yes");
    expect(is(right, "cut 2")).toBe("no");
    expect(is(right, "cut 1", "left-handed R\n")).toBe("open");
    expect(is(asks("I hit with a descending cut", "sabre"), "cut 1", "left-handed R\n")).toBe("yes");
    expect(is(asks("I hit with cut 1", "sabre"), "cut 1", "left-handed R\n")).toBe("yes");
  });

  test("the line is about its whole bout, wherever it stands in it, and about no other bout", () => {
    const scorer = scorerOf(LEFT);
    const hits = (bout: string): string => {
      const { points, open } = tallyOf(scorer, bout);
      return `${String(points.red)}-${String(points.blue)} open ${String(open)}`;
    };
    expect(hits("1 R zornhau ! .\nleft-handed R")).toBe("1-0 open 0");
    expect(hits("left-handed R\nbout R Ana, B Ben\n1 R zornhau ! .")).toBe("0-0 open 0");
    expect(hits("bout R Ana, B Ben\nleft-handed B\n1 R zornhau ! .\n2 B zornhau ! .")).toBe("0-1 open 0");
    expect(hits("left-handed R\n1 R cut ! .\nagain 1 R zornhau ! .")).toBe("1-0 open 0");
  });

  test("what both do at once with different hands comes from neither side for sure", () => {
    const both = asks("we both strike from the right", "longsword").replace(": 1", " and hit: 1");
    const result = (hands: string): number => tallyOf(scorerOf(both), `${hands}1 RB zornhau ! .`).open;
    expect(result("")).toBe(0);
    expect(result("left-handed R\n")).toBeGreaterThan(0);
    expect(result("left-handed R\nleft-handed B\n")).toBe(0);
  });

  test("Red and Blue mirrored give the mirrored tally", () => {
    const scorer = scorerOf(asks("I hit with a descending cut from the left", "longsword"));
    const sheet = "left-handed R\n1 R zornhau ! .\n2 B zornhau ! .\n3 R descending cut ! .";
    const mirror = sheet.replaceAll(/\b[RB]\b/gu, (side) => (side === "R" ? "B" : "R"));
    const [one, two] = [tallyOf(scorer, sheet), tallyOf(scorer, mirror)];
    expect([two.points.blue, two.points.red, two.open]).toEqual([one.points.red, one.points.blue, one.open]);
  });

  test("what the table may press for the next exchange knows the hands of this bout", () => {
    const scorer = scorerOf(LEFT);
    const line = sheetOf(scorer, "1 R zornhau ! .").find((one) => one.type === "exchange");
    if (line === undefined) throw new Error("no exchange");
    const worth = (before: string): number =>
      amountOf(outlook(scorer, sheetOf(scorer, before), line), "touch", "red", "points").least;
    expect([worth("left-handed R"), worth("left-handed B"), worth("left-handed R\nbout")]).toEqual([1, 0, 0]);
  });

  test("the sheet, its print and its JSON Lines say the same", () => {
    const scorer = scorerOf(LEFT);
    const sheet = sheetOf(scorer, "left-handed R\nLeft-Handed B # in any case\n1 R zornhau head ! .");
    expect(printSheet(sheet)).toBe("left-handed R\nleft-handed B\n1 R zornhau head ! .\n");
    expect(printJsonLines(sheet).split("\n")[0]).toBe('{"type":"left-handed","side":"red"}');
    const again = [
      readSheet(printSheet(sheet), scorer.ruleSet),
      readJsonLines(printJsonLines(sheet), scorer.ruleSet),
    ];
    for (const read of again) {
      expect(read.ok && read.value).toEqual(sheet);
      if (read.ok) expect(scoreBout(scorer, read.value)).toEqual(scoreBout(scorer, sheet));
    }
  });

  test("who it is must be said", () => {
    const { ruleSet } = scorerOf(LEFT);
    const fault = (line: string): string => {
      const read = readSheet(line, ruleSet);
      return read.ok ? "" : (read.faults[0]?.message ?? "");
    };
    expect(fault("left-handed")).toBe('Write who strikes with the left: "left-handed R".');
    expect(fault("left-handed RB")).toBe('Write who strikes with the left: "left-handed R".');
    expect(fault("left-handed R B")).toBe('Write who strikes with the left: "left-handed R".');
  });
});
