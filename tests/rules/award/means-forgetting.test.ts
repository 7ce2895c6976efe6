import { describe, expect, test } from "vitest";
import { compile, type Scorer } from "../../../rules/award/compile.ts";
import { applyFacts } from "../../../rules/award/facts.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import type { OpenAward, Tally } from "../../../rules/award/tally.ts";
import type { BoutSheet } from "../../../rules/record.ts";
import { SIDES, UNITS } from "../../../rules/vocabulary.ts";
import { forget } from "../../support/forget.ts";
import { MEANS_SETS, randomMeansBout } from "../../support/means-sets.ts";
import { type Random, seeded } from "../../support/random-bouts.ts";

/** Bouts of rule sets that look back, sum and hold: what is forgotten of an exchange may matter in a later one. */
const BOUTS = process.env["LONG"] === "1" ? 20_000 : 70;
const A_BOUT = 5;

/** Some facts forgotten, and now and then what the clock showed at two halts. */
function forgotten(random: Random, full: BoutSheet): BoutSheet {
  const less = forget(random, full, 1 + random.below(3));
  if (!random.chance(0.5)) return less;
  const from = 1 + random.below(A_BOUT);
  return less.map((line) => {
    if (line.type !== "exchange" || (line.no !== from && line.no !== from + 1)) return line;
    const { left: _, ...rest } = line;
    return rest;
  });
}

const keyOf = ({ exchange, rule, to, unit }: Omit<OpenAward, "span">): string =>
  `${String(exchange)} ${rule} ${to} ${unit}`;
const amounts = (tally: Tally): Map<string, number> =>
  new Map(tally.awards.filter(({ exchange }) => exchange > 0).map((award) => [keyOf(award), award.amount]));

function eachForgotten(
  check: (scorer: Scorer, full: BoutSheet, less: BoutSheet, random: Random, what: string) => void,
): void {
  const scorers = MEANS_SETS.map((ruleSet) => compile(ruleSet));
  for (let seed = 1; seed <= BOUTS; seed++) {
    const random = seeded(seed);
    const scorer = random.pick(scorers);
    const full = randomMeansBout(random, A_BOUT);
    check(scorer, full, forgotten(random, full), random, `seed ${String(seed)}, ${scorer.ruleSet.name}`);
  }
}

describe("what is not recorded of an earlier exchange is unknown, not false [P7, P12, S5]", () => {
  test("the truth lies in the spans, and nothing settled is wrong", () => {
    let opened = 0;
    eachForgotten((scorer, full, less, _, what) => {
      const truth = scoreBout(scorer, full);
      const known = scoreBout(scorer, less);
      opened += known.open;
      const [real, settled] = [amounts(truth), amounts(known)];
      const open = new Map(known.exchanges.flatMap((one) => one.open).map((one) => [keyOf(one), one.span]));
      for (const key of new Set([...real.keys(), ...settled.keys(), ...open.keys()])) {
        const amount = real.get(key) ?? 0;
        const { least, most } = open.get(key) ?? {
          least: settled.get(key) ?? 0,
          most: settled.get(key) ?? 0,
        };
        expect(amount, `${what}: ${key}`).toBeGreaterThanOrEqual(least);
        expect(amount, `${what}: ${key}`).toBeLessThanOrEqual(most);
      }
      for (const unit of UNITS)
        for (const side of SIDES) {
          expect(truth[unit][side], what).toBeGreaterThanOrEqual(known.span[unit][side].least);
          expect(truth[unit][side], what).toBeLessThanOrEqual(known.span[unit][side].most);
        }
    });
    expect(opened).toBeGreaterThan(BOUTS / 3);
  });

  test("any answers, given one after the other, leave nothing open, and settled awards stay", () => {
    let asked = 0;
    eachForgotten((scorer, _, less, random, what) => {
      let sheet = less;
      let tally = scoreBout(scorer, sheet);
      for (let round = 0; tally.open > 0; round++) {
        const texts = tally.questions.map(({ text }) => text).join(" / ");
        expect(tally.questions.length, `${what}: nothing is asked`).toBeGreaterThan(0);
        expect(round, `${what}: ${texts}`).toBeLessThan(60);
        const question = random.pick(tally.questions);
        const { facts } = random.pick(question.answers);
        sheet = sheet.map((line) =>
          line.type === "exchange" && line.no === question.exchange ? applyFacts(line, facts) : line,
        );
        const after = scoreBout(scorer, sheet);
        const now = amounts(after);
        for (const [key, amount] of amounts(tally))
          expect(now.get(key) ?? 0, `${what}: ${key} after ${question.text}`).toBe(amount);
        asked++;
        tally = after;
      }
    });
    expect(asked).toBeGreaterThan(BOUTS / 10);
  });
});
