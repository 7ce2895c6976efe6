import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { scoreBout } from "../../../rules/award/score.ts";
import { bringIn, carryOn, eveningAfter } from "../../../rules/award/evening.ts";
import type { EveningEntry, Fencers } from "../../../rules/award/entry.ts";
import type { Scorer } from "../../../rules/award/compile.ts";
import type { Tally } from "../../../rules/award/tally.ts";
import type { BoutSheet } from "../../../rules/record.ts";
import { printJsonLines, printSheet, readJsonLines, readSheet } from "../../../rules/language/sheet.ts";
import { scorerOf, sheetOf } from "../../support/score.ts";
import { evenings } from "../../support/evenings.ts";

const CAPS = `touches: {I hit the head: 2, I hit: 1}
rules:
  - {name: Pair, when: I parry, pays: 2 bonus to me, at most: 3 bonus a pair tonight}
  - {name: Team, when: I feint, pays: 1 bonus to my team, at most: 2 bonus a team tonight}
  - {name: First, when: I hit the head, pays: 5 bonus to me, at most: once in the hall tonight}
  - {name: Own, when: I hit, pays: '3, 2, then 1 bonus to me', at most: 4 bonus tonight}
  - {name: Gift, when: I step out, pays: 1 bonus to their team, at most: twice a team tonight}`;

const COUNTS = `bout:
  ends: a team at 4, 8, then 12 points
  limits: 3 points a fencer
touches: {I hit the head: 2, I hit: 1}
rules:
  - {name: Wins, when: I parry, if: my wins tonight is 1 or more, pays: 1 bonus to me}
  - {name: Many, when: I feint, if: my bouts tonight plus my points tonight is 4 or more, pays: 1 bonus to me times my bonus tonight}`;

const none = () => fc.constant([]);
const SETS: readonly (readonly [string, string, () => fc.Arbitrary<readonly string[]>])[] = [
  ["caps", CAPS, none],
  ["counts", COUNTS, none],
];

const fencersOf = (sheet: BoutSheet): Fencers => {
  const line = sheet.findLast((one) => one.type === "bout");
  if (line?.type !== "bout") throw new Error("no bout line");
  const { red = "", blue = "", redTeam = "", blueTeam = "" } = line;
  return { red, blue, redTeam, blueTeam };
};

/** The last bout alone, with what the bouts before it left. */
function alone(scorer: Scorer, bouts: readonly string[]): { whole: Tally; alone: Tally } {
  const sheets = bouts.map((bout) => sheetOf(scorer, bout));
  const last = sheets.at(-1) ?? [];
  const entries = eveningAfter(scorer, sheets.slice(0, -1).flat());
  const json = JSON.parse(JSON.stringify(entries)) as readonly EveningEntry[];
  const brought = bringIn(scorer.ruleSet, json, fencersOf(last));
  return {
    whole: scoreBout(scorer, sheets.flat()),
    alone: scoreBout(scorer, [...brought, ...last.slice(1)]),
  };
}

describe.each(SETS)("%s: an evening is its bouts, one after the other", (_, text, extra) => {
  const scorer = scorerOf(text);

  test("the last bout alone, with what the earlier ones left, gives the same tally", () => {
    fc.assert(
      fc.property(evenings(extra), ({ bouts }) => {
        const tallies = alone(scorer, bouts);
        expect(tallies.alone).toEqual(tallies.whole);
      }),
      { seed: 71, numRuns: 80 },
    );
  });

  test("bout after bout carried on is the same as all of them in one sheet", () => {
    fc.assert(
      fc.property(evenings(extra), ({ bouts }) => {
        const sheets = bouts.map((bout) => sheetOf(scorer, bout));
        let entries: readonly EveningEntry[] = [];
        for (const sheet of sheets.slice(0, -1)) {
          const brought = bringIn(scorer.ruleSet, entries, fencersOf(sheet));
          entries = carryOn(entries, eveningAfter(scorer, [...brought, ...sheet.slice(1)]));
        }
        const last = sheets.at(-1) ?? [];
        const brought = bringIn(scorer.ruleSet, entries, fencersOf(last));
        expect(scoreBout(scorer, [...brought, ...last.slice(1)])).toEqual(scoreBout(scorer, sheets.flat()));
      }),
      { seed: 72, numRuns: 50 },
    );
  });

  test("where something is open, what is settled alone is settled in the whole evening", () => {
    fc.assert(
      fc.property(evenings(extra, 3), ({ bouts }) => {
        const tallies = alone(scorer, bouts);
        for (const side of ["red", "blue"] as const)
          for (const unit of ["points", "bonus"] as const) {
            const [inner, outer] = [tallies.whole.span[unit][side], tallies.alone.span[unit][side]];
            expect([outer.least <= inner.least, inner.most <= outer.most, unit, side]).toEqual([
              true,
              true,
              unit,
              side,
            ]);
          }
      }),
      { seed: 73, numRuns: 6 },
    );
  });

  test("what is brought in is written and read back in both forms", () => {
    fc.assert(
      fc.property(evenings(extra, 3), ({ bouts }) => {
        const sheets = bouts.map((bout) => sheetOf(scorer, bout));
        const lines = bringIn(
          scorer.ruleSet,
          eveningAfter(scorer, sheets.flat()),
          fencersOf(sheets[0] ?? []),
        );
        const read = readSheet(printSheet(lines), scorer.ruleSet);
        const json = readJsonLines(printJsonLines(lines), scorer.ruleSet);
        expect([read, json]).toMatchObject([
          { ok: true, value: lines },
          { ok: true, value: lines },
        ]);
      }),
      { seed: 74, numRuns: 20 },
    );
  });
});
