import { describe, expect, test } from "vitest";
import { formatFaults } from "../../../rules/language/faults.ts";
import { printRuleSet } from "../../../rules/language/print.ts";
import { readRuleSet } from "../../../rules/language/read.ts";
import { scorerOf, tallyOf } from "../../support/score.ts";

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

describe("a club's own words", () => {
  const WORDS = `words:
  stutter: an action
  jab: an action that strikes
  yielding parry: a kind of parry
  cover: another word for parry
  temple: a part of the head
  left temple: a part of the temple
  Anna's cut: a descending cut to the head
  rising jab: a rising thrust with a lunge to the arm or the torso
  hook: a forehand level cut with the false edge
  sly cut: a kind of zornhau
  high zwerch: a zwerchhau from the left to the head
  glide: footwork
  great leap: a kind of leap
  roof: a kind of day
  odd blow: a blow
  praise: a call
`;
  const own = (phrase: string): string => asks(phrase, "longsword", WORDS);

  test("an action that strikes is a strike, and a plain one is none", () => {
    expect(is(own("I jab and hit"), "jab head")).toBe("yes");
    const struck = (kind: string): number =>
      tallyOf(scorerOf(own("they strike, then I hit")), `1 B ${kind}, R attack ! .`).points.red;
    expect([struck("jab"), struck("stutter")]).toEqual([1, 0]);
  });

  test("a kind of parry is a parry, and what follows it is a riposte", () => {
    const after = (kind: string): number =>
      tallyOf(scorerOf(own("I parry, then I riposte and hit")), `1 B cut head, R ${kind}, R head ! .`).points
        .red;
    expect([after("yielding parry"), after("cover"), after("void")]).toEqual([1, 1, 0]);
    const finer = tallyOf(scorerOf(own("I yielding parry, then I hit")), "1 B cut head, R parry, R head ! .");
    expect(finer.open).toBe(1);
  });

  test("a part of a part is a part of the whole", () => {
    for (const target of ["head", "temple", "left temple"])
      expect(is(own("I hit the head"), target)).toBe("yes");
    expect(is(own("I hit the temple"), "left temple")).toBe("yes");
    expect(is(own("I hit the left temple"), "temple")).toBe("open");
    expect(is(own("I hit the temple"), "face")).toBe("no");
  });

  test("a blow means what its sentence says, and is refuted by it", () => {
    const anna = own("I hit with an Anna's cut");
    expect(is(anna, "anna's cut")).toBe("yes");
    expect(is(anna, "anna's cut temple")).toBe("yes");
    expect(is(anna, "descending cut head")).toBe("open");
    expect(is(anna, "rising cut head")).toBe("no");
    expect(is(anna, "thrust")).toBe("no");
    expect(is(own("I hit the head with a descending cut"), "anna's cut")).toBe("yes");
    expect(is(own("I hit with a lunge"), "rising jab")).toBe("yes");
    expect(is(own("I hit the leg"), "rising jab")).toBe("no");
  });

  test("a kind of blow is that blow, narrowed; a forehand turns with the hand, a side does not", () => {
    expect(is(own("I hit with a zornhau"), "sly cut")).toBe("yes");
    expect(is(own("I hit with a sly cut"), "zornhau")).toBe("open");
    expect(is(own("I hit with a zwerchhau"), "high zwerch")).toBe("yes");
    expect(is(own("I hit with a high zwerch"), "zwerchhau from the right")).toBe("no");
    expect(is(own("I hit from the left"), "high zwerch", "left-handed R\n")).toBe("yes");
    expect(is(own("I hit from the right"), "hook")).toBe("yes");
    expect(is(own("I hit from the right"), "hook", "left-handed R\n")).toBe("no");
    expect(is(own("I hit from the left"), "sly cut", "left-handed R\n")).toBe("yes");
  });

  test("guards and steps have kinds too", () => {
    expect(is(own("I hit from day"), "from roof")).toBe("yes");
    expect(is(own("I hit from roof"), "from day")).toBe("open");
    expect(is(own("I hit with a leap"), "great leap")).toBe("yes");
    expect(is(own("I hit with a glide"), "glide")).toBe("yes");
  });

  test("a sentence tells an own action as a noun", () => {
    const tally = tallyOf(
      scorerOf(own("I yielding parry, then I hit")),
      "1 B cut head, R yielding parry, R head ! .",
    );
    expect(tally.awards[0]?.sentence).toBe("Touch: Red made a yielding parry, then hit the head: 1 point.");
  });

  test("they are printed in one way, and read back the same", () => {
    const read = readRuleSet(`name: Own\n${own("I hit")}`);
    if (!read.ok) throw new Error(formatFaults(read.faults));
    const printed = printRuleSet(read.value);
    expect(printed).toContain(`words:
  stutter: an action
  jab: an action that strikes
  yielding parry: a kind of parry
  cover: another word for parry
  temple: a part of the head
  left temple: a part of the temple
  anna's cut: a descending cut to the head
  rising jab: a rising thrust with a lunge to the arm or the torso
  hook: a forehand level false edge cut
  sly cut: a kind of zornhau
  high zwerch: a zwerchhau from the left to the head
  glide: footwork
  great leap: a kind of leap
  roof: a kind of day
  odd blow: a blow
  praise: a call
`);
    const again = readRuleSet(printed);
    expect(again.ok && again.value).toEqual(read.value);
  });

  test.each([
    ["an action that strikes", "a strike"],
    ["a part of the head", "a target of the head"],
    ["another word for lunge", "the same as a lunge"],
    ["a kind of zornhau", "a zornhau"],
    ["a level true edge cut from the left", "a true edge level cut from the left"],
  ])("%s may be said as: %s", (canonical, said) => {
    const read = readRuleSet(
      `name: Own\nweapon: longsword\nwords:\n  my word: ${said}\ntouches:\n  I hit: 1`,
    );
    expect(read.ok ? printRuleSet(read.value) : formatFaults(read.faults)).toContain(`my word: ${canonical}`);
  });

  test.each([
    [
      "a rising zornhau",
      'A zornhau cannot be rising: its direction is settled already. Leave "rising" out, or begin with another blow.',
    ],
    [
      "a zornhau from the left",
      'A zornhau cannot be from the left: its side is settled already. Leave "from the left" out, or begin with another blow.',
    ],
    [
      "a part of the upper left opening",
      '"upper left opening" is an opening, and openings have no parts here. Write "a part of the" and a part of the body.',
    ],
    [
      "a cut to the head or the upper left opening",
      'Name parts of the body or openings here, not both: a cut "to the head", or one "to the upper left opening".',
    ],
    [
      "a forehand cut from the right",
      `"forehand" says the side already, and turns with a left-hander's hand. Leave "from" out.`,
    ],
    ["a part of the haed", '"haed" is not a word I know here. Did you mean "head"?'],
  ])("%s is a fault that says what to write", (said, message) => {
    const read = readRuleSet(`name: Own\nweapon: longsword\nwords:\n  mine: ${said}\ntouches:\n  I hit: 1`);
    expect(read.ok ? "" : read.faults[0]?.message).toBe(message);
  });

  test("a word of the language cannot be given a new meaning", () => {
    const read = readRuleSet("name: Own\nwords:\n  parry: a kind of void\ntouches:\n  I hit: 1");
    expect(read.ok ? "" : read.faults[0]?.code).toBe("word-already");
  });
});
