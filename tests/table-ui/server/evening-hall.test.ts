/** [W24] Limits that rings share: every ring asks the evening's own stream, and each bout replays alone. */
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { foldBout, type BoutEvent } from "../../../engine/index.ts";
import { hits, openTwoRings, type Hall } from "../../support/two-rings.ts";

const FIRST = `name: First blood
touches:
  I hit: 1
rules:
  - name: First blood
    when: I hit the head
    pays: 2 bonus to me
    at most: once in the hall tonight
`;

const SHARED = `name: A purse for the hall
touches:
  I hit: 1
rules:
  - name: The purse
    when: I hit the head
    pays: 2 bonus to me
    at most: 5 bonus in the hall tonight
`;

async function twoBouts(text: string): Promise<Hall> {
  const hall = await openTwoRings(text);
  await hall.call("a", "mira", "teo", "r1");
  await hall.call("b", "lena", "omar", "r2");
  return hall;
}

const bonus = (hall: Hall, bout: string): number => hall.bout(bout).tally.bonus.red;
const eventsOf = (hall: Hall, bout: string): readonly BoutEvent["type"][] =>
  (hall.house.streams.bout(bout)?.events ?? []).map(({ data }) => data.type);

describe("[W24] once in the hall tonight", () => {
  test("two rings at once: exactly one is granted", async () => {
    const hall = await twoBouts(FIRST);
    await Promise.all([
      hall.record("a", "x1", hits("red", "head")),
      hall.record("b", "y1", hits("red", "head")),
    ]);
    await hall.rest();
    expect([bonus(hall, "a"), bonus(hall, "b")].sort()).toEqual([0, 2]);
    for (const bout of ["a", "b"]) {
      expect(hall.bout(bout).tally.open).toBe(0);
      expect(eventsOf(hall, bout)).toContain("ClaimsAnswered");
    }
  });

  test("it is open, and says so, until the hall has answered", async () => {
    const hall = await twoBouts(FIRST);
    await hall.record("a", "x1", hits("red", "head"));
    // The answer is the next event of the bout; before it stands the exchange with its award open.
    await hall.rest();
    const events = hall.house.streams.bout("a")?.events ?? [];
    const at = events.findIndex(({ data }) => data.type === "ExchangeRecorded");
    expect(events[at]?.data).toMatchObject({ tally: { bonus: { red: 0, blue: 0 }, open: 1 } });
    expect(events[at + 1]?.data).toMatchObject({
      type: "ClaimsAnswered",
      by: { kind: "hall" },
      tally: { bonus: { red: 2, blue: 0 }, open: 0 },
    });
    const before = foldBout(events.slice(0, at + 1), hall.house.shelf.scorers);
    expect(before?.tally.claims).toEqual([
      { exchange: 1, to: "red", rule: "First blood", of: "times", n: 1 },
    ]);
  });

  test("corrected away it is given back; the ring that waits has it, and its bout says what moved", async () => {
    const hall = await twoBouts(FIRST);
    await hall.record("a", "x1", hits("red", "head"));
    await hall.record("b", "y1", hits("red", "head"));
    await hall.rest();
    expect([bonus(hall, "a"), bonus(hall, "b")]).toEqual([2, 0]);
    await hall.say("a", { type: "ChangeExchange", exchange: "x1", record: hits("red", "arm") });
    await hall.rest();
    expect([bonus(hall, "a"), bonus(hall, "b")]).toEqual([0, 2]);
    expect(hall.shown("b").moved).toEqual(["Exchange 1: Red's First blood, 2 bonus, is new."]);
  });

  test("a bout that was confirmed is flagged when it gets what another gave back", async () => {
    const hall = await twoBouts(FIRST);
    await hall.record("a", "x1", hits("red", "head"));
    await hall.record("b", "y1", hits("red", "head"));
    await hall.rest();
    await hall.say("b", { type: "Stop", why: "the hall closes" });
    await hall.say("b", { type: "ConfirmResult" });
    await hall.say("a", { type: "RemoveExchange", exchange: "x1" });
    await hall.rest();
    expect(bonus(hall, "b")).toBe(2);
    expect(hall.bout("b").changedAfterConfirming).toBe(true);
  });

  test("a fencer who was refused may not simply try again: the hall has had its one", async () => {
    const hall = await twoBouts(FIRST);
    await hall.record("a", "x1", hits("red", "head"));
    await hall.record("b", "y1", hits("red", "head"));
    await hall.record("b", "y2", hits("red", "head"));
    await hall.rest();
    expect([bonus(hall, "a"), bonus(hall, "b")]).toEqual([2, 0]);
    expect(hall.bout("b").tally.open).toBe(0);
  });

  test("an exchange that moves by an insertion keeps its answer", async () => {
    const hall = await twoBouts(FIRST);
    await hall.record("a", "x1", hits("red", "head"));
    await hall.rest();
    await hall.say("a", {
      type: "InsertExchange",
      exchange: "x0",
      after: "start",
      record: hits("blue", "arm"),
    });
    await hall.rest();
    expect(hall.bout("a").tally.exchanges.map((each) => each.bonus.red)).toEqual([0, 2]);
  });

  test("the names mixed up: the claim was the person's", async () => {
    const hall = await twoBouts(FIRST);
    await hall.record("a", "x1", hits("red", "head"));
    await hall.rest();
    await hall.say("a", { type: "SwapFencers" });
    await hall.rest();
    expect(bonus(hall, "a")).toBe(2);
    expect(hall.house.streams.meet.claims).toMatchObject([{ person: hall.ids.teo, granted: 1 }]);
  });

  test("a bout under another rule set claims nothing, and its events are as they always were", async () => {
    const hall = await openTwoRings("name: Plain\ntouches:\n  I hit: 1\n");
    await hall.call("a", "mira", "teo");
    await hall.record("a", "x1", hits("red", "head"));
    await hall.rest();
    expect(eventsOf(hall, "a")).toEqual(["BoutCalled", "ExchangeRecorded"]);
  });
});

/** What two bouts do, one step each time; a bout's own steps keep their order. */
const step = fc.record({
  bout: fc.constantFrom("a", "b"),
  does: fc.constantFrom("head", "head", "arm", "undo", "correct" as const),
  side: fc.constantFrom("red", "blue" as const),
  wait: fc.boolean(),
});

describe("[W24] in any interleaving", () => {
  const LIMIT = 5;
  const due = (hall: Hall): number =>
    ["a", "b"]
      .flatMap((id) => hall.bout(id).exchanges)
      .filter(({ record }) => record.acts[0]?.target === "head").length * 2;

  test("what is granted is what is due, up to the limit, and nothing stays open", async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(step, { minLength: 1, maxLength: 12 }), async (steps) => {
        const hall = await twoBouts(SHARED);
        for (const [at, { bout, does, side, wait }] of steps.entries()) {
          const last = hall.bout(bout).exchanges.at(-1)?.id;
          const exchange = `x${at}`;
          if (does === "undo") await hall.give(bout, { type: "Undo" });
          else if (does === "correct" && last !== undefined)
            await hall.say(bout, { type: "ChangeExchange", exchange: last, record: hits(side, "arm") });
          else await hall.record(bout, exchange, hits(side, does === "head" ? "head" : "arm"));
          if (wait) await hall.rest();
        }
        await hall.rest();
        const tallies = ["a", "b"].map((id) => hall.bout(id).tally);
        const paid = tallies.reduce((sum, { bonus }) => sum + bonus.red + bonus.blue, 0);
        expect(paid).toBe(Math.min(LIMIT, due(hall)));
        expect(tallies.map(({ open }) => open)).toEqual([0, 0]);
        // [D7] Each bout alone, from its own events.
        for (const id of ["a", "b"]) {
          const again = foldBout(hall.house.streams.bout(id)?.events ?? [], hall.house.shelf.scorers);
          expect(again?.tally).toEqual(hall.bout(id).tally);
        }
      }),
      { seed: 20_251_125, numRuns: 60 },
    );
  }, 60_000);
});
