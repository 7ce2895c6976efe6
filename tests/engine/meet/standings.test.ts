/** Ranking in a pool (sport fencing's published competition rules; from memory). */
import { describe, expect, test } from "vitest";
import * as fc from "fast-check";
import { standings } from "../../../engine/index.ts";
import type { PoolResult } from "../../../engine/index.ts";

const result = (red: string, blue: string, r: number, b: number): PoolResult => ({
  red,
  blue,
  points: { red: r, blue: b },
  ending: r > b ? "red wins" : r < b ? "blue wins" : "draw",
});

describe("a pool's ranking", () => {
  test("victories by bouts, indicator, hits scored: 4 of 5, 23 scored, 15 received", () => {
    // Worked example of a secondary source: 0.8, +8, 23.
    const results = [
      result("a", "b", 5, 3),
      result("a", "c", 5, 2),
      result("a", "d", 5, 3),
      result("a", "e", 5, 2),
      result("f", "a", 5, 3),
    ];
    const [first] = standings(["a"], results);
    expect(first).toMatchObject({
      person: "a",
      bouts: 5,
      victories: 4,
      scored: 23,
      received: 15,
      indicator: 8,
    });
  });

  test("goes by victories before hits", () =>
    expect(
      standings(["a", "b"], [result("a", "b", 5, 4), result("b", "c", 5, 0), result("a", "c", 5, 4)]).map(
        (s) => s.person,
      ),
    ).toEqual(["a", "b"]));

  test("those whom only the lot can part share a place", () =>
    expect(
      standings(
        ["a", "b", "c"],
        [result("a", "b", 5, 3), result("b", "c", 5, 3), result("c", "a", 5, 3)],
      ).map((s) => s.place),
    ).toEqual([1, 1, 1]));

  test("a stopped bout is closed without loss", () =>
    expect(standings(["a"], [{ ...result("a", "b", 2, 4), ending: "stopped" }])[0]).toMatchObject({
      bouts: 0,
      received: 0,
    }));

  test("a bout without a winner is neither won nor lost nor drawn; its hits count", () =>
    expect(standings(["a"], [{ ...result("a", "b", 2, 4), ending: "no winner" }])[0]).toMatchObject({
      bouts: 0,
      victories: 0,
      scored: 2,
      received: 4,
    }));

  test("the indicators of a complete pool sum to 0", () =>
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.nat(5), fc.nat(5)), { minLength: 6, maxLength: 6 }), (scores) => {
        const pairs = [
          ["a", "b"],
          ["a", "c"],
          ["a", "d"],
          ["b", "c"],
          ["b", "d"],
          ["c", "d"],
        ] as const;
        const results = pairs.map(([red, blue], index) => result(red, blue, ...(scores[index] ?? [0, 0])));
        expect(standings(["a", "b", "c", "d"], results).reduce((sum, s) => sum + s.indicator, 0)).toBe(0);
      }),
      { seed: 7, numRuns: 100 },
    ));
});
