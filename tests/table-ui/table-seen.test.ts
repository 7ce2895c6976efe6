/** The tablet paints its own fold; it must show what the server would show it, name for name and leaf for leaf. */
import { expect, test } from "vitest";
import type { BoutCommand } from "../../engine/index.ts";
import { answer, double, end, fence, halt, hit, NIGHT, record, undo } from "../support/given.ts";
import { hashOf, openRing, openTablet, type Ring, type Tablet } from "../support/ring.ts";

const SEALED = NIGHT.replace("when: before the bout", "when: before the bout\n    seen by: the fencer")
  .concat(`
  - name: Named target
    when: I hit my named target
    pays: 1 bonus to me
`);
const OTHER = NIGHT.replace("Cover and answer night", "Another night").replace("head: 3", "head: 5");

async function together(ring: Ring, tablet: Tablet): Promise<void> {
  await tablet.sendAll();
  tablet.receive();
  expect(tablet.desk.setAside).toEqual([]);
  expect(tablet.screen).toBeDefined();
  expect(tablet.screen).toEqual(JSON.parse(JSON.stringify(ring.shown("b1"))));
}

/** Each step alone, and the tablet asked after each. */
async function story(text: string, ...steps: readonly BoutCommand[]): Promise<readonly [Ring, Tablet]> {
  const ring = await openRing(text, [OTHER]);
  const tablet = await openTablet(ring);
  await together(ring, tablet);
  for (const step of steps) {
    expect(tablet.give(step)).toBeUndefined();
    await together(ring, tablet);
  }
  return [ring, tablet];
}

test("from the call to the end, after every event: exchanges, awards, sentences, clock and ending", async () => {
  const [, tablet] = await story(
    NIGHT,
    ...[fence, halt, record("x1", answer("red", "head")), fence, halt, record("x2", double)],
    ...[
      { type: "RemoveExchange", exchange: "x1" } as const,
      undo,
      fence,
      halt,
      record("x3", hit("red", "head")),
    ],
    { type: "GivePenalty", side: "blue", penalty: "warning", why: "Turned the back." },
    ...[fence, halt, record("x4", hit("red", "torso")), end],
  );
  expect(tablet.screen).toMatchObject({
    stage: "ended",
    ringName: "Ring one",
    red: { name: "Mira Halden", points: 8, bonus: 2 },
    blue: { name: "Teo Brandt", warned: 1 },
  });
  expect(tablet.screen?.endingSentence).toContain("Mira");
});

test("what a correction moved, and under which rule set", async () => {
  const [, tablet] = await story(NIGHT, ...[fence, halt, record("x1", hit("red", "head"))], {
    type: "ChangeRuleSet",
    ruleSet: hashOf(OTHER),
  });
  expect(tablet.screen).toMatchObject({ ruleSet: { name: "Another night" }, red: { points: 5 } });
  expect(tablet.screen?.moved.length).toBeGreaterThan(0);
});

test("names follow the fencers when they are swapped, taken back, and swapped again", async () => {
  const swap: BoutCommand = { type: "SwapFencers" };
  const [ring, tablet] = await story(NIGHT, fence, halt, record("x1", hit("red", "head")), swap);
  const names = () => [tablet.screen?.red.name, tablet.screen?.blue.name];
  const [mira, teo] = ["Mira Halden", "Teo Brandt"];
  expect(names()).toEqual([teo, mira]);
  for (const [step, now] of [
    [undo, [mira, teo]],
    [swap, [teo, mira]],
    [swap, [mira, teo]],
  ] as const) {
    tablet.give(step);
    // At once, and the same when the server has it.
    expect(names()).toEqual(now);
    await together(ring, tablet);
    expect(names()).toEqual(now);
  }
});

test("while the server is away the screen is what the server will show when it has heard", async () => {
  const ring = await openRing(NIGHT);
  const tablet = await openTablet(ring);
  const steps = [fence, halt, record("x1", answer("blue")), { type: "SwapFencers" } as const, fence, halt];
  for (const step of steps) expect(tablet.give(step)).toBeUndefined();
  const alone = tablet.screen;
  await tablet.sendAll();
  tablet.receive();
  const { clock: _, ...heard } = ring.shown("b1") ?? expect.fail();
  // The server dates what was sent at once by its own clock.
  expect(alone).toMatchObject(JSON.parse(JSON.stringify(heard)));
});

test("[W5] a sealed choice that the table took shows in no award of its own before it is shown to all", async () => {
  const choose: BoutCommand = { type: "SetPick", pick: "named target", side: "red", value: "head" };
  const [ring, tablet] = await story(SEALED, choose, fence, halt, record("x1", hit("red", "head")));
  expect(ring.fold("b1")?.tally.bonus.red).toBe(1);
  expect(tablet.screen).toMatchObject({ red: { points: 3, bonus: 0 }, exchanges: { x1: { sealed: true } } });
  expect(JSON.stringify(tablet.screen)).not.toContain("Named target: Red");
  for (const step of [
    fence,
    halt,
    record("x2", hit("red", "head")),
    fence,
    halt,
    record("x3", hit("red", "arm")),
    end,
  ]) {
    expect(tablet.give(step)).toBeUndefined();
    await together(ring, tablet);
  }
  expect(tablet.screen).toMatchObject({ stage: "ended", red: { points: 7, bonus: 2 } });
});

test("[W5] nor while the server is away and only the tablet knows what it took", async () => {
  const choose: BoutCommand = { type: "SetPick", pick: "named target", side: "red", value: "head" };
  const tablet = await openTablet(await openRing(SEALED));
  for (const step of [choose, fence, halt, record("x1", hit("red", "head"))])
    expect(tablet.give(step)).toBeUndefined();
  expect(tablet.screen).toMatchObject({ red: { points: 3, bonus: 0 }, exchanges: { x1: { sealed: true } } });
});

test("[W6] votes that are still sealed: neither shows them, and both show them once every judge has voted", async () => {
  const [ring, tablet] = await story(NIGHT);
  const judges = [await ring.sitJudge(1), await ring.sitJudge(2)];
  const open = { acts: [{ id: "x1a", by: "red", end: "hit" }], open: true } as const;
  for (const step of [fence, halt, record("x1", open)]) {
    expect(tablet.give(step)).toBeUndefined();
    await together(ring, tablet);
  }
  const before = tablet.screen?.exchanges;
  const seen = { fact: "attribute", act: "x1a", key: "target", value: "head" } as const;
  for (const [index, judge] of judges.entries()) {
    await ring.say(judge, { type: "Vote", exchange: "x1", facts: [seen], label: "Head" }, "b1");
    await together(ring, tablet);
    if (index === 0) expect(tablet.screen?.exchanges).toEqual(before);
  }
  expect(tablet.desk.bout?.exchanges[0]?.votes.length).toBe(2);
});
