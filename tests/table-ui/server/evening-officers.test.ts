/** Judges' values, chance, and fencers whom a bout takes out of the evening: through the server, as seats see it. */
import { afterEach, describe, expect, test } from "vitest";
import { checkDraws } from "../../../engine/index.ts";
import { commitmentOf } from "../../../engine/bout/chance.ts";
import { hits, openTwoRings } from "../../support/two-rings.ts";
import {
  fenceOnce,
  hit,
  must,
  openTestHall,
  refusedAs,
  setTheStage,
  type Stage,
  type TestHall,
} from "./hall.ts";

let hall: TestHall | undefined;
afterEach(async () => {
  await hall?.close();
  hall = undefined;
});

async function stage(text: string, judges = 2): Promise<Stage & { readonly on: { readonly bout: string } }> {
  hall = await openTestHall();
  const set = await setTheStage(hall, text, judges);
  return { ...set, on: { bout: set.bout } };
}

const PRAISE = `name: Praise
words:
  praise: a call
touches:
  I hit: 1
rules:
  - name: Praised
    if: the judge calls praise for me
    pays: between 0 and 2 bonus to me as the judge says
    watch: a second judge assents
`;
const calls = (value: number) =>
  ({
    type: "GiveFacts",
    exchange: "x1",
    facts: [{ fact: "call", call: { call: "praise", for: "red", value } }],
  }) as const;
const assent = { type: "Assent", exchange: "x1", call: "praise", side: "red" } as const;

describe("[W26] a value that a judge says", () => {
  test("has keys on the judges' pages only where the rule set needs them, from the halt to the next Fence!", async () => {
    const { judges, table, on, ...rest } = await stage(PRAISE);
    const [first] = judges;
    expect(first?.view.values).toBeUndefined();
    await fenceOnce({ judges, table, ...rest }, "x1", hit("red"));
    const view = await first?.until(({ values }) => values !== undefined);
    expect(view?.values).toEqual({
      exchange: "x1",
      no: 1,
      calls: [{ call: "praise", values: [0, 1, 2], assent: true, called: {} }],
      awaits: [],
    });
    must(await table.command(on, { type: "StartFencing" }));
    await first?.until(({ values }) => values === undefined);
  });

  test("is open everywhere until another judge's seat assents", async () => {
    const set = await stage(PRAISE);
    const [first, second] = set.judges;
    if (first === undefined || second === undefined) throw new Error("Two judges sit here.");
    await fenceOnce(set, "x1", hit("red"));
    must(await first.command(set.on, calls(2)));
    const own = await first.until(({ values }) => values?.awaits.length === 1);
    expect(own.values?.awaits).toEqual([
      { call: "praise", side: "red", value: 2, by: "Judge 1", may: false },
    ]);
    expect(own.values?.calls[0]?.called).toEqual({ red: 2 });
    const others = await second.until(({ values }) => values?.awaits.length === 1);
    expect(others.values?.awaits[0]?.may).toBe(true);
    const wall = await set.wall.until((view) => view.rings["r1"]?.bout?.red.openBonus === 2);
    expect(wall.rings["r1"]?.bout?.exchanges["x1"]?.awards.at(-1)).toMatchObject({ open: 2, amount: 0 });
    expect(refusedAs(await first.command(set.on, assent))).toBe("same-judge");
    expect(refusedAs(await set.table.command(set.on, assent))).toBe("not-your-seat");
    must(await second.command(set.on, assent));
    await set.wall.until((view) => view.rings["r1"]?.bout?.red.bonus === 2);
    await second.until(({ values }) => values?.awaits.length === 0);
  });
});

const LUCK = `name: Luck
picks:
  luck:
    by: chance
    from:
      - pays
      - pays nothing
    when: after each exchange
touches:
  I hit: 1
rules:
  - name: Lucky
    when: I hit
    if: the luck is pays
    pays: 1 bonus to me
`;

describe("[W27] chance", () => {
  test("is drawn by the server from the seed that it had committed to, and can be drawn again by anybody", async () => {
    const set = await stage(LUCK, 0);
    const committed = await set.table.until(({ events }) => events["2"]?.type === "SeedCommitted");
    for (const exchange of ["x1", "x2", "x3"]) {
      await fenceOnce(set, exchange, hit("red"));
      must(await set.table.command(set.on, { type: "DrawPick", pick: "luck" }));
    }
    expect(refusedAs(await set.table.command(set.on, { type: "DrawPick", pick: "luck" }))).toBe("not-yet");
    expect(refusedAs(await set.table.command(set.on, { type: "SetPick", pick: "luck", value: "pays" }))).toBe(
      "not-now",
    );
    // Nobody has the seed yet.
    expect(set.table.heard).not.toContain("SeedShown");
    must(await set.table.command(set.on, { type: "Stop", why: "the hall closes" }));
    const ended = await set.table.until(({ events }) =>
      Object.values(events).some(({ type }) => type === "SeedShown"),
    );
    const events = Object.values(ended.events);
    const shown = events.find((event) => event.type === "SeedShown");
    const first = committed.events["2"];
    expect(first?.type === "SeedCommitted" && first.commitment).toBe(commitmentOf(shown?.seed ?? ""));
    const ruleSets = (hash: string) => hall?.running.house.shelf.get(hash)?.ruleSet;
    expect(checkDraws(events, ruleSets).map(({ is }) => is)).toEqual(["right", "right", "right"]);
    await set.wall.until((view) => view.rings["r1"]?.bout?.chance?.[0]?.seed === shown?.seed);
  });

  test("another bout has another seed", async () => {
    const two = await openTwoRings(LUCK);
    await two.call("a", "mira", "teo", "r1");
    await two.call("b", "lena", "omar", "r2");
    const [a, b] = ["a", "b"].map((id) => two.bout(id).chance?.seeds[0]?.commitment);
    expect(a).toMatch(/^[0-9a-f]{64}$/);
    expect(a).not.toBe(b);
  });
});

const HILL = `name: The hill
touches:
  I hit: 1
rules:
  - name: Down from the hill
    when: they hit
    does: retire me
`;

describe("[W28] out of the evening", () => {
  const asOf = (two: Awaited<ReturnType<typeof openTwoRings>>, name: "mira" | "teo") =>
    two.house.streams.meet.fencers.find(({ person }) => person === two.ids[name])?.as;

  test("a rule that retires a fencer marks them, and a correction takes the mark back", async () => {
    const two = await openTwoRings(HILL);
    await two.call("a", "mira", "teo");
    await two.record("a", "x1", hits("red"));
    await two.rest();
    expect([asOf(two, "mira"), asOf(two, "teo")]).toEqual(["here", "retired"]);
    await two.say("a", { type: "ChangeExchange", exchange: "x1", record: hits("blue") });
    await two.rest();
    expect([asOf(two, "mira"), asOf(two, "teo")]).toEqual(["retired", "here"]);
  });

  test("a fencer who is sent out is out for tonight; what the coach says afterwards stands", async () => {
    const two = await openTwoRings(HILL);
    await two.call("a", "mira", "teo");
    await two.say("a", { type: "GivePenalty", side: "blue", penalty: "out", why: "brutality" });
    await two.rest();
    expect(asOf(two, "teo")).toBe("out for tonight");
    await two.say("meet", { type: "MarkFencer", person: two.ids.teo, as: "here" });
    await two.say("a", { type: "ConfirmResult" });
    await two.rest();
    expect(asOf(two, "teo")).toBe("here");
  });
});
