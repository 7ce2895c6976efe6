/** Level at the end: what each sentence under "ties" makes of it. */
import { describe, expect, test } from "vitest";
import {
  callBout,
  end,
  fence,
  fenced,
  from,
  given,
  halt,
  hit,
  later,
  REFEREE,
  underBout,
} from "../../support/given.ts";

const level = [fenced("x1", hit("red", "arm")), fenced("x2", hit("blue", "arm"))];
const timeOut = [fence, later(400_000, halt)];
const night = (ties: string) => callBout(underBout(`ties: ${ties}`, "ends: after 3 min"));

describe("level at the end", () => {
  test("a draw is a draw", () =>
    void given(night("draw"), ...level, timeOut, end).then((bout) => expect(bout.ending).toBe("draw")));

  test("what is still open holds nobody up: the settled score says who has won, until an answer says otherwise", () => {
    const doubtful = fenced("x2", {
      acts: [{ by: "blue", kind: "attack", target: "head", end: "perhaps" }],
      open: false,
    });
    void given(night("draw"), fenced("x1", hit("red", "torso")), doubtful, timeOut, end)
      .then((bout) => expect([bout.tally.open, bout.ending]).toEqual([1, "red wins"]))
      .when({ type: "GiveFacts", exchange: "x2", facts: [{ fact: "end", act: "x2a", end: "hit" }] })
      .then((bout) => expect(bout.ending).toBe("blue wins"));
  });

  test("fewer of a count, and then sudden death where that is level too", () =>
    void given(night('"fewer warnings, then sudden death"'), ...level, timeOut, end).then((bout) =>
      expect([bout.stage, bout.tieBreak]).toEqual(["tie-break", "sudden death"]),
    ));

  test("fewer warnings: the card decides", () =>
    void given(
      night('"fewer warnings, then sudden death"'),
      ...level,
      timeOut,
      from(REFEREE, { type: "GivePenalty", side: "red", penalty: "warning", why: "late" }),
      end,
    ).then((bout) => expect([bout.stage, bout.ending]).toEqual(["ended", "blue wins"])));

  test("who hit first is known when time runs out", () =>
    void given(night("who hit first"), ...level, timeOut, end).then((bout) =>
      expect(bout.ending).toBe("red wins"),
    ));

  test("a bout without a winner ends so, whoever is ahead", () =>
    void given(
      callBout(underBout("wins: nobody", "ends: after 3 min")),
      ...level.slice(0, 1),
      timeOut,
      end,
    ).then((bout) => expect(bout.ending).toBe("no winner")));

  test("sudden death: the next to be ahead wins", () =>
    void given(night("sudden death"), ...level, timeOut, end)
      .then((bout) => expect([bout.stage, bout.tieBreak]).toEqual(["tie-break", "sudden death"]))
      .when(end)
      .refused("bout-not-over"));

  test("sudden death goes on while level and ends with a hit", () =>
    void given(night("sudden death"), ...level, timeOut, end, fence, halt)
      .then((bout) => expect(bout.stage).toBe("tie-break"))
      .when({ type: "RecordExchange", exchange: "x3", record: hit("blue", "arm") }, end)
      .then((bout) => expect([bout.stage, bout.ending]).toEqual(["ended", "blue wins"])));

  test("Fence! begins the tie-break by itself", () =>
    void given(night("sudden death"), ...level, timeOut, fence).then((bout, story) => {
      expect(story.happened.slice(-2)).toEqual(["TieBreakCalled", "FencingStarted"]);
      expect(bout.stage).toBe("fencing");
    }));

  test("more seconds are put on the clock; level again is a draw", () =>
    void given(night("30 s more"), ...level, timeOut, end)
      .then((bout) => expect(bout.clock).toMatchObject({ leftMs: 30_000, counts: "down", running: false }))
      .when(fence, later(31_000, halt), end)
      .then((bout) => expect(bout.ending).toBe("draw")));

  test("a priority minute is one minute, and level after it the referee says who had priority", () => {
    const after = given(night("priority minute"), ...level, timeOut, end);
    expect(after.bout.clock.leftMs).toBe(60_000);
    const over = after.when(fence, later(61_000, halt));
    over.when(end).refused("bout-not-over");
    over
      .when(from(REFEREE, { type: "EndBout", ending: "red wins" }))
      .then((bout) => expect(bout.ending).toBe("red wins"));
  });

  test("judges' choice waits for the referee's word", () => {
    const waiting = given(night("judges' choice"), ...level, timeOut);
    waiting.when(end).refused("bout-not-over");
    waiting.when(fence).refused("bout-not-over");
    waiting
      .when(from(REFEREE, { type: "EndBout", ending: "blue wins" }))
      .then((bout) => expect(bout.ending).toBe("blue wins"));
  });
});
