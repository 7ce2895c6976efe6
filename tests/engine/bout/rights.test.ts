/** Who may do what: the table of the design, row by row. */
import { describe, expect, test } from "vitest";
import { decideBout, isRefusal } from "../../../engine/index.ts";
import type { BoutCommand, SeatsHeld, Source } from "../../../engine/index.ts";
import {
  begun,
  COACH,
  fencer,
  given,
  hit,
  judge,
  record,
  REFEREE,
  scorers,
  TABLE,
  callBout,
} from "../../support/given.ts";

const story = begun().when(record("x1", hit("red", "head")));

/** The refusal's code, or "yes". */
function may(by: Source, command: BoutCommand, more: { pen?: boolean; seats?: SeatsHeld } = {}): string {
  const pen = more.pen === true ? { pen: { epoch: 1, seq: 1 } } : {};
  const seats = more.seats === undefined ? {} : { seats: more.seats };
  const decision = decideBout(
    story.bout,
    { id: "c", at: story.told.at, by, command, ...pen, ...seats },
    scorers,
  );
  return isRefusal(decision) ? decision.refused : "yes";
}

const penalty: BoutCommand = { type: "GivePenalty", side: "red", penalty: "warning", why: "late" };
const vote: BoutCommand = { type: "Vote", exchange: "x1", facts: [], notSeen: true, label: "Not seen" };
const stop: BoutCommand = { type: "Stop", why: "a blade broke" };
const clock: BoutCommand = { type: "SetClock", leftMs: 1_000 };
const call: BoutCommand = {
  type: "GiveFacts",
  exchange: "x1",
  facts: [{ fact: "call", call: { call: "quality", for: "red", value: 1 } }],
};
const fact: BoutCommand = { type: "GiveFacts", exchange: "x1", facts: [{ fact: "left", seconds: 3 }] };

describe("clock, record, correct, cards, end, stop", () => {
  test("the coach may, without a pen", () =>
    expect([clock, penalty, stop].map((c) => may(COACH, c))).toEqual(["yes", "yes", "yes"]));
  test("the table may with the ring's pen", () => {
    expect([clock, penalty, stop].map((c) => may(TABLE, c, { pen: true }))).toEqual(["yes", "yes", "yes"]);
    expect([clock, penalty, stop].map((c) => may(TABLE, c))).toEqual(["no-pen", "no-pen", "no-pen"]);
  });
  test("a judge may only stop", () =>
    expect([clock, penalty, stop].map((c) => may(judge(1), c))).toEqual([
      "not-your-seat",
      "not-your-seat",
      "yes",
    ]));
  test("a fencer may not", () =>
    expect([clock, penalty, stop].map((c) => may(fencer("mira"), c))).toEqual(
      Array(3).fill("not-your-seat"),
    ));
});

describe("votes and calls", () => {
  test("judges and the referee vote, nobody else", () =>
    expect(
      [judge(1), REFEREE, TABLE, COACH, fencer("mira")].map((by) => may(by, vote, { pen: true })),
    ).toEqual(["yes", "yes", "not-your-seat", "not-your-seat", "not-your-seat"]));
  test("a judge calls values, and gives other facts only by a vote", () =>
    expect([may(judge(1), call), may(judge(1), fact), may(REFEREE, fact)]).toEqual([
      "yes",
      "not-your-seat",
      "yes",
    ]));
  test("a fencer calls on their own exchange, and gives no other facts", () =>
    expect([may(fencer("mira"), call), may(fencer("mira"), fact), may(fencer("lena"), call)]).toEqual([
      "yes",
      "not-your-seat",
      "not-your-seat",
    ]));
});

describe("what only the referee may decide", () => {
  const words: readonly BoutCommand[] = [
    penalty,
    { type: "Forfeit", side: "red", why: "left" },
    { type: "EndBout", ending: "draw" },
  ];
  const held: SeatsHeld = { referee: true, judges: [] };
  const empty: SeatsHeld = { referee: false, judges: [judge(1)] };

  test("is accepted from the referee's seat", () =>
    expect(words.map((c) => may(REFEREE, c))).toEqual(Array(3).fill("yes")));
  test("is accepted from the pen while no referee's seat is held", () => {
    expect(words.map((c) => may(TABLE, c, { pen: true, seats: empty }))).toEqual(Array(3).fill("yes"));
    expect(words.map((c) => may(TABLE, c, { pen: true, seats: held }))).toEqual(
      Array(3).fill("not-your-seat"),
    );
  });
  test("ending by the score is the table's all the same", () =>
    expect(may(TABLE, { type: "EndBout" }, { pen: true, seats: held })).toBe("bout-not-over"));
});

describe("calling a bout", () => {
  const calls = callBout().command;
  const called = (by: Source, command = calls) => {
    const decision = decideBout(
      undefined,
      { id: "c", at: 1, by, command, pen: { epoch: 1, seq: 1 } },
      scorers,
    );
    return isRefusal(decision) ? decision.refused : "yes";
  };
  test("is the coach's", () =>
    expect([COACH, TABLE, judge(1), fencer("mira")].map((by) => called(by))).toEqual([
      "yes",
      "not-your-seat",
      "not-your-seat",
      "not-your-seat",
    ]));
  test("needs two fencers and a rule set that is there", () => {
    expect(called(COACH, { ...calls, blue: "mira" } as BoutCommand)).toBe("same-fencer");
    expect(called(COACH, { ...calls, ruleSet: "unknown" } as BoutCommand)).toBe("no-such-rule-set");
  });
  test("happens once", () => void given(callBout()).when(callBout()).refused("already-called"));
  test("comes before everything else", () => {
    const decision = decideBout(undefined, { id: "c", at: 1, by: COACH, command: stop }, scorers);
    expect(isRefusal(decision) && decision.refused).toBe("no-such-bout");
  });
});
