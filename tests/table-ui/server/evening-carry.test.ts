/** [W25] What lasts all evening comes into each bout as it is called, and what a correction moves of it is said, never changed. */
import { describe, expect, test } from "vitest";
import { foldBout } from "../../../engine/index.ts";
import { hits, openTwoRings, type Hall, type Name } from "../../support/two-rings.ts";

const TONIGHT = `name: Lasts all evening
marks:
  scars:
    is: a count for each fencer tonight
    changes:
      - up 1 when they hit
  grudge:
    is: a count for each pair tonight
    changes:
      - up 1 when I hit the head
  crown:
    is: a token
    starts: with the last loser
    changes:
      - passes to me when I hit the leg
touches:
  I hit: 1
rules:
  - name: Head hunter
    when: I hit the head
    pays: 2 bonus to me
    at most: 5 bonus tonight
  - name: Scarred
    when: I hit
    if: my scars is 2 or more
    pays: 1 bonus to me
`;

/** A whole bout: each exchange one hit, then it ends by the coach's word. */
async function fence(
  hall: Hall,
  bout: string,
  [red, blue]: readonly [Name, Name],
  what: readonly Parameters<typeof hits>[],
  ending: "red wins" | "blue wins" = "red wins",
): Promise<void> {
  await hall.call(bout, red, blue);
  for (const [at, [by, target]] of what.entries()) await hall.record(bout, `${bout}${at}`, hits(by, target));
  await hall.say(bout, { type: "EndBout", ending });
}

const linesOf = (hall: Hall, bout: string) => hall.bout(bout).brings.lines ?? [];
const marked = (hall: Hall, bout: string, mark: string) =>
  linesOf(hall, bout).filter((line) => line.type === "mark" && line.mark === mark);

describe("[W25] what comes in", () => {
  test("marks tonight follow the fencer to the next bout, on whichever side", async () => {
    const hall = await openTwoRings(TONIGHT);
    await fence(
      hall,
      "a",
      ["mira", "teo"],
      [
        ["red", "arm"],
        ["red", "arm"],
        ["blue", "arm"],
      ],
    );
    await hall.call("b", "teo", "lena");
    expect(marked(hall, "b", "scars")).toEqual([{ type: "mark", side: "red", mark: "scars", value: 2 }]);
    await hall.record("b", "b0", hits("red", "arm"));
    // Two scars at the beginning of the exchange: it pays.
    expect(hall.bout("b").tally.bonus).toEqual({ red: 1, blue: 0 });
  });

  test("a cap of the evening goes on from what was had", async () => {
    const hall = await openTwoRings(TONIGHT);
    await fence(
      hall,
      "a",
      ["mira", "teo"],
      [
        ["red", "head"],
        ["red", "head"],
      ],
    );
    expect(hall.bout("a").tally.bonus.red).toBe(4);
    await hall.call("b", "lena", "mira");
    await hall.record("b", "b0", hits("blue", "head"));
    expect(hall.bout("b").tally.bonus.blue).toBe(1);
  });

  test("what the pair has belongs to the pair: against another partner it begins anew", async () => {
    const hall = await openTwoRings(TONIGHT);
    await fence(hall, "a", ["mira", "teo"], [["red", "head"]]);
    await fence(hall, "b", ["mira", "lena"], [["blue", "arm"]]);
    expect(marked(hall, "b", "grudge")).toEqual([]);
    await hall.call("c", "teo", "mira");
    expect(marked(hall, "c", "grudge")).toEqual([{ type: "mark", mark: "grudge", value: 1 }]);
  });

  test("the last loser begins with the token", async () => {
    const hall = await openTwoRings(TONIGHT);
    await fence(hall, "a", ["mira", "teo"], [["red", "arm"]]);
    await hall.call("b", "lena", "teo");
    expect(marked(hall, "b", "crown")).toEqual([{ type: "mark", mark: "crown", value: "blue" }]);
  });

  test("the first bout of the evening brings in nothing but its fencers", async () => {
    const hall = await openTwoRings(TONIGHT);
    await hall.call("a", "mira", "teo");
    const { mira: red, teo: blue } = hall.ids;
    expect(hall.bout("a").brings).toEqual({ roster: [{ type: "bout", red, blue }], lines: [], after: [] });
  });

  test("it stands in the bout's own first event, so that the bout replays alone", async () => {
    const hall = await openTwoRings(TONIGHT);
    await fence(
      hall,
      "a",
      ["mira", "teo"],
      [
        ["red", "head"],
        ["red", "head"],
      ],
    );
    await fence(hall, "b", ["mira", "lena"], [["red", "head"]]);
    const again = foldBout(hall.house.streams.bout("b")?.events ?? [], hall.house.shelf.scorers);
    expect(again?.tally).toEqual(hall.bout("b").tally);
    expect(again?.tally.bonus.red).toBe(1);
  });

  test("the same call again changes nothing", async () => {
    const hall = await openTwoRings(TONIGHT);
    await fence(hall, "a", ["mira", "teo"], [["red", "head"]]);
    await hall.call("b", "lena", "omar");
    const before = hall.bout("b");
    const answer = await hall.house.bouts.callBout({ kind: "coach", seat: "coach seat" }, "b");
    expect(answer.ok).toBe(false);
    expect(hall.bout("b")).toBe(before);
  });
});

describe("[W25] a correction of an earlier bout", () => {
  const corrected = async (): Promise<Hall> => {
    const hall = await openTwoRings(TONIGHT);
    await fence(
      hall,
      "a",
      ["mira", "teo"],
      [
        ["red", "arm"],
        ["red", "arm"],
      ],
    );
    await fence(hall, "b", ["lena", "teo"], [["blue", "arm"]]);
    await hall.call("c", "teo", "omar");
    expect(hall.shown("b").earlier).toEqual([]);
    await hall.say("a", { type: "RemoveExchange", exchange: "a1" });
    return hall;
  };

  test("is flagged on the later bout, with whom it moves, and nothing there is scored anew", async () => {
    const hall = await corrected();
    expect(hall.bout("b").tally.bonus.blue).toBe(1);
    expect(hall.shown("b").earlier).toEqual([
      "Blue's scars came into this bout as 2; an earlier bout was put right since, and it would be 1.",
    ]);
  });

  test("reaches the bout after that too", async () => {
    const hall = await corrected();
    expect(hall.shown("c").earlier).toEqual([
      "Red's scars came into this bout as 2; an earlier bout was put right since, and it would be 1.",
    ]);
  });

  test("put right again, the flag is gone", async () => {
    const hall = await corrected();
    await hall.say("a", {
      type: "InsertExchange",
      exchange: "a2",
      after: "start",
      record: hits("red", "arm"),
    });
    expect(hall.shown("b").earlier).toEqual([]);
  });

  test("one that moves nothing that lasts flags nothing", async () => {
    const hall = await openTwoRings(TONIGHT);
    await fence(hall, "a", ["mira", "teo"], [["red", "arm"]]);
    await hall.call("b", "lena", "teo");
    await hall.say("a", { type: "ChangeExchange", exchange: "a0", record: hits("red", "torso") });
    expect(hall.shown("b").earlier).toEqual([]);
  });

  test("a bout that goes on leaves nothing yet: its progress is no correction", async () => {
    const hall = await openTwoRings(TONIGHT);
    await hall.call("a", "mira", "teo", "r1");
    await hall.call("b", "lena", "omar", "r2");
    await hall.record("a", "a0", hits("red", "head"));
    expect(hall.shown("b").earlier).toEqual([]);
  });
});
