/** The clock is data: what it shows follows from the last thing that happened to it. */
import { describe, expect, test } from "vitest";
import { clockAt, isTimeUp } from "../../../engine/index.ts";
import { callBout, fence, given, halt, later, underBout } from "../../support/given.ts";

describe("the clock", () => {
  test("runs down from the rule set's minutes between Fence! and halt", () => {
    const running = given(callBout(), fence);
    expect(running.bout.clock).toMatchObject({ running: true, leftMs: 180_000, counts: "down" });
    expect(clockAt(running.bout.clock, running.told.at + 12_500)).toBe(167_500);
    running
      .when(later(12_500, halt))
      .then((bout) => expect(bout.clock).toMatchObject({ running: false, leftMs: 167_500 }));
  });

  test("never shows less than nothing", () => {
    const { bout, told } = given(callBout(), fence);
    expect(clockAt(bout.clock, told.at + 999_999)).toBe(0);
    expect(isTimeUp(bout.clock, told.at + 999_999)).toBe(true);
  });

  test("does not run backwards when a device's time does", () => {
    const { bout, told } = given(callBout(), fence);
    expect(clockAt(bout.clock, told.at - 5_000)).toBe(180_000);
  });

  test("counts up where the rule set names no time", () => {
    const story = given(callBout(underBout("ends: at 5 points")), fence, later(7_000, halt));
    expect(story.bout.clock).toMatchObject({ counts: "up", leftMs: 7_000 });
    expect(isTimeUp(story.bout.clock, story.told.at)).toBe(false);
  });

  test("starts with what the rule set leaves on it", () =>
    void given(callBout(underBout("starts: 20 s are left", "ends: after 1 min"))).then((bout) =>
      expect(bout.clock.leftMs).toBe(20_000),
    ));

  test("a running clock goes on through a halt and stops for an injury", () => {
    const story = given(
      callBout(underBout("clock: running", "ends: after 2 min")),
      fence,
      later(10_000, halt),
    );
    expect(story.bout.clock.running).toBe(true);
    expect(clockAt(story.bout.clock, story.told.at)).toBe(110_000);
    story
      .when(later(5_000, { type: "Pause", reason: "injury" }))
      .then((bout) => expect(bout.clock).toMatchObject({ running: false, leftMs: 105_000 }));
  });

  test("that was forgotten can be set, running or not", () => {
    given(callBout(), { type: "SetClock", leftMs: 90_000 }).then((bout) =>
      expect(bout.clock).toMatchObject({ running: false, leftMs: 90_000 }),
    );
    given(callBout(), fence, { type: "SetClock", leftMs: 90_000 }).then((bout) =>
      expect(bout.clock).toMatchObject({ running: true, leftMs: 90_000 }),
    );
    given(callBout()).when({ type: "SetClock", leftMs: -1 }).refused("bad-message");
    given(callBout()).when({ type: "SetClock", leftMs: 0.5 }).refused("bad-message");
  });
});
