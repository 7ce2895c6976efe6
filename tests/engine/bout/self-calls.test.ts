/** Fencers who call it upon themselves: the one who is hit decides, and what the rule set gives the fencers to watch. */
import { describe, expect, test } from "vitest";
import { selfCalls } from "../../../engine/index.ts";
import type { BoutCommand, Fact, Side } from "../../../engine/index.ts";
import {
  callBout,
  fence,
  fencer,
  fenced,
  from,
  given,
  halt,
  hit,
  later,
  TABLE,
  type Story,
} from "../../support/given.ts";

const SELF = `
name: The one who is hit decides
bout: {panel: the one who is hit decides}
touches: {I hit the head: 3, I hit: 1}
`;
const say = (exchange: string, facts: readonly Fact[]): BoutCommand => ({
  type: "GiveFacts",
  exchange,
  facts,
});
const press = (story: Story, side: Side, label: string): BoutCommand => {
  const [asked] = selfCalls(story.bout, side);
  const call = asked?.calls.find((each) => each.label === label);
  if (asked === undefined || call === undefined) throw new Error(`Nothing to press: ${label}`);
  return say(asked.exchange, call.facts);
};
const points = ({ bout }: Story): string => `${bout.tally.points.red}-${bout.tally.points.blue}`;
const MIRA = fencer("mira");
const TEO = fencer("teo");

describe("the one who is hit decides", () => {
  const story = given(callBout(SELF), fenced("x1", hit("red", "head")));

  test("silence accepts the table's record", () => expect(points(story)).toBe("3-0"));

  test("one press: I was not hit, and the hit is gone", () => {
    const after = story.when(from(TEO, press(story, "blue", "I was not hit")));
    expect(points(after)).toBe("0-0");
    expect(points(after.when(from(TEO, press(after, "blue", "I was hit"))))).toBe("3-0");
  });

  test("one press: I was hit, though the table saw no hit", () => {
    const miss = given(
      callBout(SELF),
      fenced("x1", { acts: [{ by: "red", kind: "attack", form: "cut", target: "arm" }], open: false }),
    );
    expect(points(miss)).toBe("0-0");
    expect(points(miss.when(from(TEO, press(miss, "blue", "I was hit"))))).toBe("1-0");
  });

  test("one press, though the table saw nothing of it at all: a touch, and where it landed is asked", () => {
    const nothing = given(callBout(SELF), fenced("x1", { acts: [], open: false }));
    const { tally } = nothing.when(from(TEO, press(nothing, "blue", "I was hit"))).bout;
    expect([tally.span.points.red, tally.questions.map(({ text }) => text)]).toEqual([
      { least: 1, most: 3 },
      ["Exchange 1: was Red's hit to the head? (touch: 1 to 3 points)"],
    ]);
  });

  test("where the hit landed is theirs to say too", () =>
    void story
      .when(from(TEO, say("x1", [{ fact: "attribute", act: "x1a", key: "target", value: "arm" }])))
      .then((bout) => expect(bout.tally.points).toEqual({ red: 1, blue: 0 })));

  test("their word goes before the table's, whoever speaks last", () => {
    const denied = story.when(from(TEO, press(story, "blue", "I was not hit")));
    expect(points(denied.when(from(TABLE, say("x1", [{ fact: "end", act: "x1a", end: "hit" }]))))).toBe(
      "0-0",
    );
  });

  test("the table may say it for them", () =>
    void story
      .when(say("x1", [{ fact: "end", act: "x1a", end: "no hit" }]))
      .then((bout) => expect(bout.tally.points.red).toBe(0)));

  test("nobody speaks of the hit that he gave, or for the other", () => {
    const noHit = say("x1", [{ fact: "end", act: "x1a", end: "no hit" }]);
    story.when(from(MIRA, noHit)).refused("not-your-seat");
    story
      .when(from(TEO, say("x1", [{ fact: "happened", act: { by: "blue", end: "hit" } }])))
      .refused("not-your-seat");
    story.when(from(TEO, say("x1", [{ fact: "nothing else" }]))).refused("not-your-seat");
    story.when(from(fencer("lena"), noHit)).refused("not-your-seat");
  });

  test("under another panel a fencer says nothing of a hit", () => {
    const other = given(
      callBout(SELF.replace("the one who is hit decides}", "majority}")),
      fenced("x1", hit("red", "head")),
    );
    other.when(from(TEO, say("x1", [{ fact: "end", act: "x1a", end: "no hit" }]))).refused("not-your-seat");
    expect(selfCalls(other.bout, "blue")).toEqual([]);
  });

  test("there is nothing to press once the next exchange is fenced", () =>
    expect(selfCalls(story.when(fence).bout, "blue")).toEqual([]));
});

describe("what the fencers and the referee are given to watch", () => {
  const watched = (who: string): string => `
name: Watched
touches: {I hit: 1}
rules:
  - {name: Off the parry, when: "I parry, then I hit", pays: 2 bonus to me, watch: ${who}}
`;
  const open = { ...hit("red", "head"), open: ["parry"] };
  const bonus = ({ bout }: Story): string =>
    `${bout.tally.bonus.red}-${bout.tally.bonus.blue} open ${bout.tally.open}`;

  test("the one upon whom it was done is asked, and answers with one press", () => {
    const story = given(callBout(watched("the fencers")), fenced("x1", open));
    expect(story.bout.tally.questions.map(({ ask }) => ask)).toEqual(["blue"]);
    expect(selfCalls(story.bout, "red")).toEqual([]);
    expect(bonus(story)).toBe("0-0 open 1");
    expect(bonus(story.when(from(TEO, press(story, "blue", "Yes"))))).toBe("2-0 open 0");
    story.when(from(MIRA, press(story, "blue", "Yes"))).refused("not-your-seat");
  });

  test.each(["the fencers", "the referee"])("%s: silent until the next Fence!, it did not happen", (who) => {
    const story = given(callBout(watched(who)), fenced("x1", open));
    expect(bonus(story)).toBe("0-0 open 1");
    expect(bonus(story.when(fence, later(4_000, halt)))).toBe("0-0 open 0");
  });

  test("the referee is asked what the referee watches", () =>
    expect(
      given(callBout(watched("the referee")), fenced("x1", open)).bout.tally.questions.map(({ ask }) => ask),
    ).toEqual(["referee"]));
});

describe("continuous play", () => {
  test("halt: only on a hit to the head: other hits are entered while the fencing goes on", () => {
    const rules = `
name: Continuous
bout: {halt: only on a hit to the head, clock: running}
touches: {I hit: 1}
`;
    const record = (exchange: string, target: string): BoutCommand => ({
      type: "RecordExchange",
      exchange,
      record: hit("red", target),
    });
    void given(callBout(rules), fence, record("x1", "arm"), record("x2", "leg")).then((bout) => {
      expect([bout.stage, bout.tally.points.red]).toEqual(["fencing", 2]);
    });
    void given(callBout(rules), fence, record("x1", "arm"), halt, record("x2", "head")).then((bout) => {
      expect([bout.stage, bout.tally.points.red]).toEqual(["halted", 2]);
    });
  });
});
