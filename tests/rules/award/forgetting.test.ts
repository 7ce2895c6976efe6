import { describe, expect, test } from "vitest";
import { compile, type Scorer } from "../../../rules/award/compile.ts";
import { applyFacts } from "../../../rules/award/facts.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import type { OpenAward, Question, Tally } from "../../../rules/award/tally.ts";
import type { BoutSheet, SheetLine } from "../../../rules/record.ts";
import { SIDES, type Side, type Unit, UNITS } from "../../../rules/vocabulary.ts";
import { BOUT_SETS } from "../../support/bout-sets.ts";
import { forget } from "../../support/forget.ts";
import {
  FURTHER_SETS,
  type Random,
  randomBout,
  RULE_SETS,
  seeded,
  withPicks,
} from "../../support/random-bouts.ts";

/**
 * Not recorded is unknown, not false: whatever is forgotten of a bout, what scoring settles without it must be what the
 * full record gives, and the truth must lie in every span that it leaves open.
 */
const BOUTS = process.env["LONG"] === "1" ? 40_000 : 150;
const A_BOUT = 5;

const keyOf = (one: { exchange: number; to: Side; rule: string; unit: Unit }): string =>
  `${String(one.exchange)} ${one.rule} ${one.to} ${one.unit}`;

function disagreements(truth: Tally, known: Tally): string[] {
  const real = new Map(truth.awards.map((award) => [keyOf(award), award.amount]));
  const settled = new Map(known.awards.map((award) => [keyOf(award), award.amount]));
  const open = new Map<string, OpenAward>(
    [...known.exchanges.flatMap((one) => one.open)].map((one) => [keyOf(one), one]),
  );
  const wrong: string[] = [];
  for (const key of new Set([...real.keys(), ...settled.keys()])) {
    const amount = real.get(key) ?? 0;
    const span = open.get(key)?.span;
    if (key.startsWith("0 ")) continue;
    if (span) {
      if (amount < span.least || amount > span.most)
        wrong.push(`${key} is ${String(amount)}, outside its span`);
    } else if ((settled.get(key) ?? 0) !== amount)
      wrong.push(`${key} is settled at ${String(settled.get(key) ?? 0)}, really ${String(amount)}`);
  }
  for (const unit of UNITS)
    for (const side of SIDES) {
      const { least, most } = known.span[unit][side];
      if (truth[unit][side] < least || truth[unit][side] > most)
        wrong.push(`${side}'s ${unit} lie outside their span`);
    }
  return wrong;
}

function eachForgotten(
  check: (scorer: Scorer, full: BoutSheet, less: BoutSheet, random: Random, seed: number) => void,
): void {
  const scorers = [...RULE_SETS, ...FURTHER_SETS, ...BOUT_SETS].map((ruleSet) => compile(ruleSet));
  for (let seed = 1; seed <= BOUTS; seed++) {
    const random = seeded(seed);
    const scorer = random.pick(scorers);
    const full = withPicks(random, scorer.ruleSet, randomBout(random, A_BOUT));
    check(scorer, full, forget(random, full, 1 + random.below(4)), random, seed);
  }
}

describe("[P22] the forgetting fuzzer [P12] [S5]", () => {
  test("whatever is forgotten, the truth lies in the spans and nothing settled is wrong", () => {
    let opened = 0;
    eachForgotten((scorer, full, less, _, seed) => {
      const truth = scoreBout(scorer, full);
      const known = scoreBout(scorer, less);
      opened += known.open;
      expect(disagreements(truth, known), `seed ${String(seed)}, ${scorer.ruleSet.name}`).toEqual([]);
    });
    expect(opened).toBeGreaterThan(BOUTS / 3);
  });

  test("questions lead to the end: any answers, given one after the other, leave nothing open, and settled awards stay", () => {
    let asked = 0;
    eachForgotten((scorer, _full, less, random, seed) => {
      if (seed % 4 !== 0) return;
      let sheet = less;
      let tally = scoreBout(scorer, sheet);
      for (let round = 0; tally.open > 0; round++) {
        expect(
          round,
          `seed ${String(seed)}: ${tally.questions.map(({ text }) => text).join(" / ")}`,
        ).toBeLessThan(60);
        const question = random.pick(tally.questions);
        asked++;
        const answered = answer(scorer, sheet, question, random);
        const after = scoreBout(scorer, answered);
        expect(lost(tally, after), `seed ${String(seed)}: ${question.text}`).toEqual([]);
        [sheet, tally] = [answered, after];
      }
    });
    expect(asked).toBeGreaterThan(BOUTS / 10);
  });
});

function answer(scorer: Scorer, sheet: BoutSheet, question: Question, random: Random): BoutSheet {
  if (question.answers.length === 0) return [said(scorer, question, random), ...sheet];
  const { facts } = random.pick(question.answers);
  return sheet.map((line) =>
    line.type === "exchange" && line.no === question.exchange ? applyFacts(line, facts) : line,
  );
}

/** What only a fencer's own seat can say: a choice made before the bout. */
function said({ ruleSet }: Scorer, { id }: Question, random: Random): SheetLine {
  const [, pick, side] = id.split("/") as [string, string, Side];
  const from = ruleSet.picks.find(({ name }) => name === pick)?.from ?? [];
  return { type: "pick", pick, side, value: random.pick(from).text };
}

/** Settled awards that an answer has changed. */
function lost(before: Tally, after: Tally): string[] {
  const now = new Map(after.awards.map((award) => [keyOf(award), award.amount]));
  return before.awards
    .filter((award) => now.get(keyOf(award)) !== award.amount)
    .map((award) => `${keyOf(award)} was ${String(award.amount)}, now ${String(now.get(keyOf(award)) ?? 0)}`);
}
