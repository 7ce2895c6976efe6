import { describe, expect, test } from "vitest";
import { compile } from "../../../rules/award/compile.ts";
import { applyFacts } from "../../../rules/award/facts.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import type { Tally } from "../../../rules/award/tally.ts";
import type { Mark, RuleSet } from "../../../rules/language/tree.ts";
import type { BoutSheet, ExchangeLine, SheetLine } from "../../../rules/record.ts";
import { forget } from "../../support/forget.ts";
import {
  FURTHER_SETS,
  mirrored,
  type Random,
  randomBout,
  randomExchange,
  RULE_SETS,
  seeded,
  shuffled,
  withPicks,
} from "../../support/random-bouts.ts";

/** Promises that hold for every rule set and every bout, each over this many random exchanges. */
const EXCHANGES = process.env["LONG"] === "1" ? 1_000_000 : 10_000;
const A_BOUT = 8;
const SETS = [...RULE_SETS, ...FURTHER_SETS];

/** A failure names the seed that replays it. */
function eachBout(
  exchanges: number,
  check: (random: Random, ruleSet: RuleSet, sheet: BoutSheet, what: string) => void,
): void {
  for (let seed = 1; seed <= exchanges / A_BOUT; seed++) {
    const random = seeded(seed);
    const ruleSet = SETS[seed % SETS.length] as RuleSet;
    const sheet = withPicks(random, ruleSet, randomBout(random, A_BOUT));
    check(random, ruleSet, sheet, `seed ${String(seed)}, ${ruleSet.name}`);
  }
}

const scorers = new Map(SETS.map((ruleSet) => [ruleSet, compile(ruleSet)]));
const score = (ruleSet: RuleSet, sheet: BoutSheet): Tally =>
  scoreBout(scorers.get(ruleSet) ?? compile(ruleSet), sheet);

/** What a tally gives, without the sentences and in no order. */
const gist = (tally: Tally): object => ({
  awards: tally.awards
    .map(
      ({ exchange, to, rule, unit, amount }) => `${String(exchange)} ${rule} ${to} ${unit} ${String(amount)}`,
    )
    .sort(),
  ...scores(tally),
});
const scores = ({ points, bonus, ended, endedAt, warned, retired, marks, open, span }: Tally): object => ({
  points,
  bonus,
  ended,
  endedAt,
  warned,
  retired,
  marks,
  open,
  span,
});

describe("the order in which rules are written", () => {
  /** Everything that stands in a list whose order has no meaning, in another order. */
  function mixed(random: Random, ruleSet: RuleSet): RuleSet {
    const lines = <T>(list: readonly T[] | undefined): T[] => shuffled(random, list ?? []);
    return {
      ...ruleSet,
      rules: lines(ruleSet.rules).map((rule) => ({
        ...rule,
        ...(rule.when === undefined ? {} : { when: lines(rule.when) }),
        ...(rule.if === undefined ? {} : { if: lines(rule.if).map((line) => lines(line)) }),
        ...(rule.unless === undefined ? {} : { unless: lines(rule.unless).map((line) => lines(line)) }),
        ...(rule.pays === undefined ? {} : { pays: lines(rule.pays) }),
        ...(rule.does === undefined ? {} : { does: lines(rule.does) }),
        ...(rule.atMost === undefined ? {} : { atMost: lines(rule.atMost) }),
      })),
      touches: lines(ruleSet.touches),
      picks: lines(ruleSet.picks),
      phrases: lines(ruleSet.phrases),
      marks: lines(ruleSet.marks).map((mark) => ({ ...mark, changes: lines(mark.changes) })),
    };
  }

  test("never matters: rules, lines, sums, effects, limits, touches, marks and changes [P10]", () => {
    eachBout(EXCHANGES, (random, ruleSet, sheet, what) => {
      expect(gist(score(mixed(random, ruleSet), sheet)), what).toEqual(gist(score(ruleSet, sheet)));
    });
  });
});

describe("red and blue", () => {
  const SWAPPED = { red: "blue", blue: "red" } as const;
  const ENDS = { "red wins": "blue wins", "blue wins": "red wins" } as const;

  /** A token or role that starts with one side starts with the other. */
  const otherSide = (ruleSet: RuleSet): RuleSet => ({
    ...ruleSet,
    marks: ruleSet.marks.map((mark): Mark => {
      const { starts } = mark;
      if (starts === undefined || !("with" in starts)) return mark;
      if (starts.with !== "red" && starts.with !== "blue") return mark;
      return { ...mark, starts: { with: SWAPPED[starts.with] } };
    }),
  });
  const HOLDERS: Readonly<Record<string, string>> = { red: "blue", blue: "red" };

  const swap = <T>({ red, blue }: { red: T; blue: T }): { red: T; blue: T } => ({ red: blue, blue: red });
  const turned = (tally: Tally): unknown => ({
    points: swap(tally.points),
    bonus: swap(tally.bonus),
    span: { points: swap(tally.span.points), bonus: swap(tally.span.bonus) },
    warned: swap(tally.warned),
    retired: tally.retired && swap(tally.retired),
    ended: tally.ended === "red wins" || tally.ended === "blue wins" ? ENDS[tally.ended] : tally.ended,
    endedAt: tally.endedAt,
    open: tally.open,
    marks: Object.fromEntries(
      Object.entries(tally.marks).map(([name, value]) => [
        name,
        typeof value === "object" && "red" in value
          ? swap(value)
          : typeof value === "string"
            ? (HOLDERS[value] ?? value)
            : value,
      ]),
    ),
  });

  /** Each fencer's own picks go with him. */
  const mirroredPicks = (line: SheetLine): SheetLine => {
    if (line.type !== "exchange" || line.picks === undefined) return line;
    const picks = Object.entries(line.picks).map(([key, value]) => [
      key.replace(/^(red|blue) /, (_, side: string) => `${HOLDERS[side] ?? side} `),
      value,
    ]);
    return { ...line, picks: Object.fromEntries(picks) as Record<string, string> };
  };

  test("mirrored give mirrored tallies: score, bonus, marks, warnings and the end [P1]", () => {
    eachBout(EXCHANGES, (_random, ruleSet, sheet, what) => {
      const there = score(otherSide(ruleSet), mirrored(sheet).map(mirroredPicks));
      expect(turned(there), what).toEqual(scores(score(ruleSet, sheet)));
    });
  });
});

describe("corrections [S15]", () => {
  test("give the same tally as having recorded it right at once, whatever ended before or after", () => {
    let moved = 0;
    eachBout(EXCHANGES, (random, ruleSet, right, what) => {
      const places = right.flatMap((line, i) => (line.type === "exchange" ? [i] : []));
      const wrong = shuffled(random, places).slice(0, 1 + random.below(2));
      const sheet = right.map((line, i): SheetLine => {
        if (line.type !== "exchange" || !wrong.includes(i)) return line;
        const other = randomExchange(random, line.no);
        return { ...other, ...(line.picks === undefined ? {} : { picks: line.picks }) };
      });
      const again = wrong.map((i): SheetLine => ({ ...(right[i] as ExchangeLine), again: true }));
      const corrected = score(ruleSet, [...sheet, ...again]);
      const atOnce = score(ruleSet, right);
      expect(corrected, what).toEqual(atOnce);
      if (score(ruleSet, sheet).endedAt !== atOnce.endedAt) moved++;
    });
    // Many of them move the end of the bout, so that later exchanges count again or no longer.
    expect(moved).toBeGreaterThan(EXCHANGES / A_BOUT / 20);
  });
});

describe("an answer", () => {
  test("never changes what is settled: any one answer to any one question [P12]", () => {
    let answers = 0;
    let settled = 0;
    eachBout(EXCHANGES / 40, (random, ruleSet, full, what) => {
      const sheet = forget(random, full.slice(0, 5), 1 + random.below(3));
      const before = score(ruleSet, sheet);
      for (const question of before.questions) {
        for (const { facts, label } of question.answers) {
          const told = sheet.map((line) =>
            line.type === "exchange" && line.no === question.exchange ? applyFacts(line, facts) : line,
          );
          const after = new Map(score(ruleSet, told).awards.map((award) => [keyOf(award), award.amount]));
          answers++;
          for (const award of before.awards) {
            settled++;
            expect(after.get(keyOf(award)), `${what}: ${question.text} ${label}: ${keyOf(award)}`).toBe(
              award.amount,
            );
          }
        }
      }
    });
    expect(answers).toBeGreaterThan(EXCHANGES / 400);
    expect(settled).toBeGreaterThan(answers);
  });
});

const keyOf = ({ exchange, rule, to, unit }: Tally["awards"][number]): string =>
  `${String(exchange)} ${rule} ${to} ${unit}`;
