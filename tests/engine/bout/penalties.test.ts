/** Penalties, and the choices that are made before the bout. */
import { describe, expect, test } from "vitest";
import type { Bout } from "../../../engine/index.ts";
import { begun, callBout, end, fenced, fencer, from, given, hit, underBout } from "../../support/given.ts";

const score = ({ tally }: Bout) => `${tally.points.red}-${tally.points.blue}`;

describe("penalties", () => {
  test("a penalty hit gives one point to the other, and the tally shows it", () =>
    void given(callBout(), fenced("x1", hit("red", "torso")))
      .when({ type: "GivePenalty", side: "red", penalty: "penalty hit", why: "struck after halt" })
      .then((bout) => {
        expect(score(bout)).toBe("2-1");
        expect(bout.tally.awards.at(-1)).toMatchObject({ to: "blue", unit: "points", amount: 1 });
      }));

  test("a penalty hit can be the last point", () =>
    void given(callBout(underBout("ends: at 3 points")), fenced("x1", hit("blue", "torso")))
      .when({ type: "GivePenalty", side: "red", penalty: "penalty hit", why: "struck after halt" }, end)
      .then((bout) => expect(bout.ending).toBe("blue wins")));

  test("a warning costs nothing", () =>
    void begun()
      .when({ type: "GivePenalty", side: "red", penalty: "warning", why: "out of the ring" })
      .then((bout) => expect([score(bout), bout.penalties.length]).toEqual(["0-0", 1])));

  test("whoever is sent out has forfeited", () =>
    void begun()
      .when({ type: "GivePenalty", side: "red", penalty: "out", why: "dangerous" })
      .then((bout) => expect([bout.stage, bout.ending]).toEqual(["ended", "red forfeits"])));
});

const choose = (side: "red" | "blue", value: string) =>
  ({ type: "SetPick", pick: "named target", side, value }) as const;

describe("sealed choices", () => {
  test("a fencer chooses for themselves, before the bout, one of the values", () => {
    const called = given(callBout());
    called
      .when(from(fencer("mira"), choose("red", "head")))
      .then((bout) =>
        expect(bout.picks).toEqual([{ pick: "named target", side: "red", value: "head", before: 1 }]),
      );
    called.when(from(fencer("mira"), choose("blue", "head"))).refused("not-your-seat");
    called.when(from(fencer("lena"), choose("red", "head"))).refused("not-your-seat");
    called.when(from(fencer("mira"), choose("red", "knee"))).refused("not-a-value");
    called.when({ type: "SetPick", pick: "named target", value: "head" }).refused("no-such-pick");
    called.when({ type: "SetPick", pick: "weather", value: "rain" }).refused("no-such-pick");
  });

  test("a choice may be changed until the bout begins, and then it is closed", () =>
    void given(callBout(), choose("red", "head"), choose("red", "arm"))
      .then((bout) => expect(bout.picks.map(({ value }) => value)).toEqual(["arm"]))
      .when({ type: "StartFencing" })
      .when(choose("red", "torso"))
      .refused("pick-closed"));
});
