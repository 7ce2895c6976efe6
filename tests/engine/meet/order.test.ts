/** Who fences next: fair waiting. */
import { describe, expect, test } from "vitest";
import { nextPair } from "../../../engine/index.ts";
import type { Waiting } from "../../../engine/index.ts";

const waits = (person: string, bouts: number, since: number, met: readonly string[] = []): Waiting => ({
  person,
  bouts,
  since,
  met,
});

describe("the next pair", () => {
  test("is those who have fenced least, of them those who wait longest", () =>
    expect(nextPair([waits("a", 2, 10), waits("b", 1, 30), waits("c", 1, 20)])).toEqual({
      red: "c",
      blue: "b",
    }));

  test("is a pair that has not met yet before one that has", () =>
    expect(nextPair([waits("a", 1, 10, ["b"]), waits("b", 1, 20, ["a"]), waits("c", 1, 30)])).toEqual({
      red: "a",
      blue: "c",
    }));

  test("needs two", () => expect(nextPair([waits("a", 0, 0)])).toBeUndefined());

  test("over an evening nobody fences two bouts more than another", () => {
    let people = [..."abcdefg"].map((person) => waits(person, 0, 0));
    for (let now = 1; now <= 70; now++) {
      const pair = nextPair(people);
      if (pair === undefined) throw new Error("nobody is free");
      const { red, blue } = pair;
      people = people.map((each) =>
        each.person === red || each.person === blue
          ? waits(each.person, each.bouts + 1, now, [...each.met, each.person === red ? blue : red])
          : each,
      );
      const bouts = people.map((each) => each.bouts);
      expect(Math.max(...bouts) - Math.min(...bouts)).toBeLessThanOrEqual(1);
    }
    // 70 bouts among 21 pairs: each pair met three or four times.
    const met = people.flatMap((each) =>
      people.filter((one) => one !== each).map((one) => each.met.filter((p) => p === one.person).length),
    );
    expect(Math.max(...met) - Math.min(...met)).toBeLessThanOrEqual(2);
  });
});
