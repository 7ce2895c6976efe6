import { describe, expect, test } from "vitest";
import { compile } from "../../../rules/award/compile.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import { MEANS_SETS, randomMeansBout } from "../../support/means-sets.ts";
import { oracle } from "../../support/oracle.ts";
import { mirrored, seeded, shuffled } from "../../support/random-bouts.ts";

const BOUTS = process.env["LONG"] === "1" ? 40_000 : 300;
const A_BOUT = 8;

type Told = readonly { exchange: number; to: string; rule: string; unit: string; amount: number }[];
const sorted = (awards: Told): string[] =>
  awards
    .map(
      ({ exchange, to, rule, unit, amount }) =>
        `${String(exchange).padStart(3)} ${rule} -> ${to}: ${String(amount)} ${unit}`,
    )
    .sort();

describe("conditions, sums, effects and limits against the slow, obvious oracle", () => {
  test.each(MEANS_SETS.map((ruleSet) => [ruleSet.name, ruleSet] as const))(
    "%s: the same awards in every random bout, and nothing open",
    (_, ruleSet) => {
      const scorer = compile(ruleSet);
      const seen = new Set<string>();
      for (let seed = 1; seed <= BOUTS; seed++) {
        const sheet = randomMeansBout(seeded(seed), A_BOUT);
        const tally = scoreBout(scorer, sheet);
        const wanted = oracle(ruleSet, sheet);
        const awards = tally.awards.filter(({ exchange, rule }) => exchange > 0 && rule !== "penalty");
        expect(sorted(awards), `seed ${String(seed)}`).toEqual(sorted(wanted));
        expect(tally.open, `seed ${String(seed)}`).toBe(0);
        for (const { rule } of wanted) seen.add(rule);
      }
      const paying = ruleSet.rules.filter((rule) => rule.pays !== undefined).map(({ name }) => name);
      expect([...seen].sort()).toEqual(expect.arrayContaining(paying.sort()));
    },
  );

  test("the two fencers swapped: the same tally, swapped [P1]; the order in the file: the same [P10]", () => {
    for (const ruleSet of MEANS_SETS) {
      const scorer = compile(ruleSet);
      for (let seed = 1; seed <= BOUTS / 4; seed++) {
        const random = seeded(seed);
        const sheet = randomMeansBout(random, A_BOUT);
        const here = scoreBout(scorer, sheet);
        const turned = mirrored(sheet).map((line) =>
          line.type === "exchange" && line.calls
            ? {
                ...line,
                calls: line.calls.map((call) => ({
                  ...call,
                  for: call.for === "red" ? ("blue" as const) : ("red" as const),
                })),
              }
            : line,
        );
        const there = scoreBout(scorer, turned);
        expect([there.points, there.bonus], `${ruleSet.name}, seed ${String(seed)}`).toEqual([
          { red: here.points.blue, blue: here.points.red },
          { red: here.bonus.blue, blue: here.bonus.red },
        ]);
        const mixed = compile({
          ...ruleSet,
          rules: shuffled(random, ruleSet.rules),
          marks: shuffled(random, ruleSet.marks).map((mark) => ({
            ...mark,
            changes: shuffled(random, mark.changes),
          })),
        });
        const { points, bonus, marks } = scoreBout(mixed, sheet);
        expect([points, bonus, marks], `${ruleSet.name}, seed ${String(seed)}`).toEqual([
          here.points,
          here.bonus,
          here.marks,
        ]);
      }
    }
  });
});
