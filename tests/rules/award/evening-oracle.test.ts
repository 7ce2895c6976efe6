/**
 * Caps over an evening against a slow, obvious count: what each exchange would pay without caps, bout by bout, and a
 * book in which every fencer, pair, team and the hall has a line of its own.
 */
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { scoreBout } from "../../../rules/award/score.ts";
import type { Award } from "../../../rules/award/tally.ts";
import type { Limit, Rule } from "../../../rules/language/tree.ts";
import type { BoutSheet, SheetLine } from "../../../rules/record.ts";
import { evenings } from "../../support/evenings.ts";
import { scorerOf, sheetOf } from "../../support/score.ts";

const RUNS = process.env["LONG"] === "1" ? 4000 : 150;

const CAPS = `touches: {I hit the head: 2, I hit: 1}
rules:
  - {name: Pair, when: I parry, pays: 2 bonus to me, at most: '3 bonus a bout, 5 bonus a pair tonight'}
  - {name: Team, when: I feint, pays: 1 bonus to my team, at most: 2 bonus a team tonight}
  - {name: Own, when: I hit, pays: 2 bonus to me, at most: '3 bonus a bout, 5 bonus tonight'}
  - {name: Few, when: I hit the head, pays: 5 bonus to me, at most: twice tonight}
  - {name: Gift, when: I step out, pays: 1 bonus to their team, at most: twice a team tonight}
  - {name: Once, when: I hit cleanly, pays: 3 bonus to me, at most: once in the hall tonight}`;

const scorer = scorerOf(CAPS);
const uncapped = scorerOf(CAPS.replaceAll(/, at most: ('[^']*'|[^}]*)\}/gu, "}"));

type Bout = Extract<SheetLine, { type: "bout" }>;

/** Whose line of the book a limit counts in. */
function lineOf(limit: Limit, rule: Rule, bout: Bout, nth: number, to: "red" | "blue"): string {
  const name = { red: bout.red, blue: bout.blue }[to] ?? "";
  const ofTwo = bout.redTeam === bout.blueTeam ? name : { red: bout.redTeam, blue: bout.blueTeam }[to];
  const whose: Readonly<Record<string, string>> = {
    bout: `${String(nth)} ${name}`,
    pair: `${name} of ${[bout.red, bout.blue].sort().join(" and ")}`,
    team: `team ${ofTwo ?? ""}`,
    evening: name,
    hall: "",
  };
  return `${rule.name} ${limit.scope} ${limit.of} ${whose[limit.scope] ?? ""}`;
}

/** The awards of every bout, cut by the book. Of two who are first in the hall at once both have it. */
function counted(bouts: readonly BoutSheet[]): readonly (readonly Award[])[] {
  const book = new Map<string, number>();
  return bouts.map((sheet, nth) => {
    const bout = sheet[0] as Bout;
    const { exchanges } = scoreBout(uncapped, sheet);
    return exchanges.flatMap(({ awards }) => {
      const before = new Map(book);
      return awards.map((award) => {
        const rule = scorer.ruleSet.rules.find(({ name }) => name === award.rule);
        let { amount } = award;
        for (const limit of rule?.atMost ?? []) {
          const had = before.get(lineOf(limit, rule as Rule, bout, nth, award.to)) ?? 0;
          const left = Math.max(0, limit.n - had);
          amount = limit.of === "times" ? (left > 0 ? amount : 0) : Math.min(amount, left);
        }
        for (const limit of amount > 0 ? (rule?.atMost ?? []) : []) {
          const line = lineOf(limit, rule as Rule, bout, nth, award.to);
          book.set(line, (book.get(line) ?? 0) + (limit.of === "times" ? 1 : amount));
        }
        return { ...award, amount };
      });
    });
  });
}

const told = (awards: readonly Award[]): readonly string[] =>
  awards
    .filter(({ amount }) => amount !== 0)
    .map(({ exchange, to, rule, amount }) => `${String(exchange)} ${rule} ${to} ${String(amount)}`)
    .sort();

describe("caps over an evening", () => {
  test("every bout pays what the book has left for it", () => {
    fc.assert(
      fc.property(
        evenings(() => fc.constant([])),
        ({ bouts }) => {
          const sheets = bouts.map((bout) => sheetOf(scorer, bout));
          const book = counted(sheets);
          sheets.forEach((_, i) => {
            const { awards } = scoreBout(scorer, sheets.slice(0, i + 1).flat());
            expect(told(awards)).toEqual(told(book[i] ?? []));
          });
        },
      ),
      { seed: 54, numRuns: RUNS },
    );
  });
});

const TURNED: Readonly<Record<string, string>> = { R: "B", B: "R" };
/** Every bout with its fencers on the other sides. */
const turned = (bout: string): string =>
  bout
    .replace(/^bout R (.*), B (.*)$/mu, "bout R $2, B $1")
    .replaceAll(/\b([RB]) (?=cut|thrust|parry|feint|step)/gu, (_, side: string) => `${TURNED[side] ?? ""} `)
    .replaceAll(/^end ([RB])$/gmu, (_, side: string) => `end ${TURNED[side] ?? ""}`);

test("on the other sides every fencer has the same [P1]", () => {
  fc.assert(
    fc.property(
      evenings(() => fc.constant([])),
      fc.nat(),
      ({ bouts }, n) => {
        const one = scoreBout(scorer, sheetOf(scorer, bouts.join("\n")));
        // Only some of the bouts are turned: what lasts follows the fencers, not the sides.
        const other = scoreBout(
          scorer,
          sheetOf(scorer, bouts.map((bout, i) => ((n >> i) & 1 ? turned(bout) : bout)).join("\n")),
        );
        const isTurned = ((n >> (bouts.length - 1)) & 1) === 1;
        const { points, bonus } = isTurned
          ? {
              points: { red: other.points.blue, blue: other.points.red },
              bonus: { red: other.bonus.blue, blue: other.bonus.red },
            }
          : other;
        expect({ points, bonus }).toEqual({ points: one.points, bonus: one.bonus });
      },
    ),
    { seed: 1, numRuns: RUNS },
  );
});

test("while the hall has not answered, nothing is settled that an answer changes", () => {
  fc.assert(
    fc.property(
      evenings(() => fc.constant(["hall"])),
      fc.array(fc.nat({ max: 3 }), { minLength: 8, maxLength: 8 }),
      ({ bouts }, answers) => {
        const open = scoreBout(scorer, sheetOf(scorer, bouts.join("\n")));
        const granted = open.claims.map(({ exchange, to, rule, n }, i): SheetLine => ({
          type: "granted",
          exchange,
          side: to,
          rule,
          n: Math.min(n, answers[i % answers.length] ?? 0),
        }));
        const lines = sheetOf(scorer, bouts.join("\n"));
        const settled = scoreBout(scorer, [...lines, ...granted]);
        expect(told(settled.awards)).toEqual(expect.arrayContaining([...told(open.awards)]));
        for (const side of ["red", "blue"] as const) {
          const { least, most } = open.span.bonus[side];
          expect(settled.span.bonus[side].least).toBeGreaterThanOrEqual(least);
          expect(settled.span.bonus[side].most).toBeLessThanOrEqual(most);
        }
      },
    ),
    { seed: 2, numRuns: Math.min(RUNS, 80) },
  );
});
