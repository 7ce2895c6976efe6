import { describe, expect, test } from "vitest";
import { compile } from "../../../rules/award/compile.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import type { RuleSet } from "../../../rules/language/tree.ts";
import type { BoutSheet } from "../../../rules/record.ts";
import { oracle } from "../../support/oracle.ts";
import {
  mirrored,
  type Random,
  randomBout,
  RULE_SETS,
  seeded,
  shuffled,
} from "../../support/random-bouts.ts";
import { randomRuleSet } from "../../support/random-phrases.ts";

const EXCHANGES = process.env["LONG"] === "1" ? 1_000_000 : 10_000;
const A_BOUT = 8;

type Told = readonly { exchange: number; to: string; rule: string; unit: string; amount: number }[];
const sorted = (awards: Told): string[] =>
  awards
    .map(
      ({ exchange, to, rule, unit, amount }) =>
        `${String(exchange).padStart(3)} ${rule} -> ${to}: ${String(amount)} ${unit}`,
    )
    .sort();

const scored = (ruleSet: RuleSet, sheet: BoutSheet): string[] =>
  sorted(scoreBout(compile(ruleSet), sheet).awards.filter(({ exchange }) => exchange > 0));

/** Runs `check` on random bouts until the exchanges are used up; a failure names the seed that replays it. */
function eachBout(exchanges: number, check: (random: Random, seed: number) => void): void {
  for (let seed = 1; seed <= exchanges / A_BOUT; seed++) check(seeded(seed), seed);
}

describe("scoring against the slow, obvious oracle", () => {
  test.each(RULE_SETS.map((ruleSet) => [ruleSet.name, ruleSet] as const))(
    "%s: the same awards in every random bout, and nothing open",
    (_, ruleSet) => {
      const scorer = compile(ruleSet);
      const rules = new Set<string>();
      eachBout(EXCHANGES / RULE_SETS.length, (random, seed) => {
        const sheet = randomBout(random, A_BOUT);
        const tally = scoreBout(scorer, sheet);
        const wanted = oracle(ruleSet, sheet);
        expect(sorted(tally.awards.filter(({ exchange }) => exchange > 0)), `seed ${String(seed)}`).toEqual(
          sorted(wanted),
        );
        expect(tally.open, `seed ${String(seed)}`).toBe(0);
        for (const { rule } of wanted) rules.add(rule);
      });
      // Every paying rule was really seen to pay.
      const paying = ruleSet.rules.filter((rule) => rule.pays !== undefined).map(({ name }) => name);
      expect([...rules].sort()).toEqual(expect.arrayContaining(paying.sort()));
    },
  );

  test("random phrases match exactly where trying every way matches, each distinct last step [P2, P3, P11]", () => {
    let awards = 0;
    eachBout(EXCHANGES / 2, (random, seed) => {
      const ruleSet = randomRuleSet(random);
      const sheet = randomBout(random, A_BOUT);
      const wanted = oracle(ruleSet, sheet);
      awards += wanted.length;
      expect(scored(ruleSet, sheet), `seed ${String(seed)}`).toEqual(sorted(wanted));
    });
    expect(awards).toBeGreaterThan(EXCHANGES / 2);
  });
});

describe("what must not matter", () => {
  test("the two fencers swapped: the same tally, swapped [P1]", () => {
    eachBout(EXCHANGES / 4, (random, seed) => {
      const ruleSet = random.pick(RULE_SETS);
      const sheet = randomBout(random, A_BOUT);
      const here = scoreBout(compile(ruleSet), sheet);
      const there = scoreBout(compile(ruleSet), mirrored(sheet));
      expect(
        [there.points.blue, there.points.red, there.bonus.blue, there.bonus.red],
        `seed ${String(seed)}`,
      ).toEqual([here.points.red, here.points.blue, here.bonus.red, here.bonus.blue]);
    });
  });

  test("the order of rules, touches and changes in the file: the same awards [P10]", () => {
    eachBout(EXCHANGES / 4, (random, seed) => {
      const ruleSet = random.pick(RULE_SETS);
      const mixed: RuleSet = {
        ...ruleSet,
        rules: shuffled(random, ruleSet.rules),
        touches: shuffled(random, ruleSet.touches),
        marks: shuffled(random, ruleSet.marks).map((mark) => ({
          ...mark,
          changes: shuffled(random, mark.changes),
        })),
      };
      const sheet = randomBout(random, A_BOUT);
      expect(scored(mixed, sheet), `seed ${String(seed)}`).toEqual(scored(ruleSet, sheet));
    });
  });
});
