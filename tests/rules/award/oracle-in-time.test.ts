import { describe, expect, test } from "vitest";
import { compile } from "../../../rules/award/compile.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import { oracle } from "../../support/oracle.ts";
import { randomBout, seeded, TIMED_SETS, withSeconds } from "../../support/random-bouts.ts";
import { randomTimedRuleSet } from "../../support/random-phrases.ts";

const EXCHANGES = process.env["LONG"] === "1" ? 100_000 : 6_000;
const A_BOUT = 8;

type Told = readonly { exchange: number; to: string; rule: string; unit: string; amount: number }[];
const sorted = (awards: Told): string[] =>
  awards
    .map(
      ({ exchange, to, rule, unit, amount }) =>
        `${String(exchange).padStart(3)} ${rule} -> ${to}: ${String(amount)} ${unit}`,
    )
    .sort();

describe("time and likeness against the slow, obvious oracle", () => {
  test.each(TIMED_SETS.map((ruleSet) => [ruleSet.name, ruleSet] as const))(
    "%s: the same awards in every random bout, and nothing open",
    (_, ruleSet) => {
      const scorer = compile(ruleSet);
      const paid = new Set<string>();
      for (let seed = 1; seed <= EXCHANGES / A_BOUT; seed++) {
        const random = seeded(seed);
        const sheet = withSeconds(random, randomBout(random, A_BOUT));
        const tally = scoreBout(scorer, sheet);
        const wanted = oracle(ruleSet, sheet);
        expect(sorted(tally.awards), `seed ${String(seed)}`).toEqual(sorted(wanted));
        expect(tally.open, `seed ${String(seed)}`).toBe(0);
        for (const { rule } of wanted) paid.add(rule);
      }
      expect([...paid].sort()).toEqual(["touch", ...ruleSet.rules.map(({ name }) => name)].sort());
    },
  );

  test("random phrases with times, next and likeness match exactly where trying every way matches", () => {
    let awards = 0;
    for (let seed = 1; seed <= EXCHANGES / A_BOUT; seed++) {
      const random = seeded(seed);
      const ruleSet = randomTimedRuleSet(random);
      const sheet = withSeconds(random, randomBout(random, A_BOUT));
      const tally = scoreBout(compile(ruleSet), sheet);
      const wanted = oracle(ruleSet, sheet);
      awards += wanted.length;
      expect(sorted(tally.awards), `seed ${String(seed)}`).toEqual(sorted(wanted));
    }
    expect(awards).toBeGreaterThan(EXCHANGES / 2);
  });
});
