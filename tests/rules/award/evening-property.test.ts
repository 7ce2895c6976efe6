import * as fc from "fast-check";
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

const MARKS = `marks:
  streak: {is: a count for each fencer tonight, changes: [up 1 when I hit, to 0 when it is a double]}
  met: {is: a count for each pair tonight, changes: up 1 at the end of the bout}
  spirit: {is: a count for each team tonight, changes: [up 1 when I parry, down 1 when I step out]}
  noise: {is: a count for the hall, changes: up 1 when I feint}
  places: {is: a set for each fencer tonight, changes: gains the target when I hit}
  beaten: {is: a set for each fencer tonight, changes: gains the partner at the end of the bout when I win the bout}
  champion: {is: a note for the hall, changes: becomes the fencer at the end of the bout when I win the bout}
  hill: {is: a token for the hall, changes: passes to me at the end of the bout when I win the bout}
  banner: {is: a token for each pair tonight, changes: changes hands when I feint, starts: with red}
  loser: {is: a token, starts: with the last loser}
touches: {I hit the head: 2, I hit: 1}
rules:
  - {name: Streak, when: I hit, pays: 1 bonus to me times my streak}
  - {name: Together, when: I parry, pays: 1 bonus to me times the met}
  - {name: Spirit, when: I hit, if: my team's spirit is more than theirs, pays: 1 bonus to my team}
  - {name: Known, when: I hit, if: they are one of my beaten, pays: 1 bonus to me}
  - {name: Champion, when: they hit, if: I am the champion, pays: 1 point to them}
  - {name: Hill, at: the end of the bout, if: 'I win the bout, and the hill is mine', pays: 2 bonus to me}
  - {name: Nobody's, when: I feint, if: the hill is nobody's, pays: 4 bonus to me}
  - {name: Wide, when: I hit, if: my places is 2 or more, pays: 1 bonus to me}
  - {name: Last, when: I feint, if: the loser is mine, pays: 1 bonus to me}
  - {name: Banner, when: I parry, if: the banner is mine, pays: 1 bonus to me}`;

const PICKS = `picks:
  lucky: {by: each fencer, from: [head, arm], when: before the evening}
  card: {by: the coach, from: [hits, parries], when: before the evening}
touches: {I hit: 1}
rules:
  - {name: Lucky, when: I hit my lucky, pays: 1 bonus to me}
  - {name: Card, when: I parry, if: the card is parries, pays: 1 bonus to me, at most: once tonight}`;

const COUNTS = `bout:
  ends: a team at 4, 8, then 12 points
  limits: 3 points a fencer
touches: {I hit the head: 2, I hit: 1}
rules:
  - {name: Wins, when: I parry, if: my wins tonight is 1 or more, pays: 1 bonus to me}
  - {name: Many, when: I feint, if: my bouts tonight plus my points tonight is 4 or more, pays: 1 bonus to me times my bonus tonight}`;

const none = () => fc.constant([]);
const picks = () => fc.subarray(["pick R lucky = head", "pick B lucky = arm", "pick card = parries"]);
const SETS: readonly (readonly [string, string, () => fc.Arbitrary<readonly string[]>])[] = [
  ["caps", CAPS, none],
  ["marks", MARKS, none],
  ["counts", COUNTS, none],
  ["picks", PICKS, picks],
];

const fencersOf = (sheet: BoutSheet): Fencers => {
  const line = sheet.findLast((one) => one.type === "bout");
  if (line?.type !== "bout") throw new Error("no bout line");
  const { red = "", blue = "", redTeam = "", blueTeam = "" } = line;
  return { red, blue, redTeam, blueTeam };
};

const isKnown = (entries: readonly EveningEntry[]): boolean =>
  entries.every(({ values, span }) => (values ?? [0]).length === 1 && span?.least === span?.most);

/** The last bout alone, with what the bouts before it left. */
function alone(scorer: Scorer, bouts: readonly string[]): { whole: Tally; alone: Tally; known: boolean } {
  const sheets = bouts.map((bout) => sheetOf(scorer, bout));
  const last = sheets.at(-1) ?? [];
  const entries = eveningAfter(scorer, sheets.slice(0, -1).flat());
  const json = JSON.parse(JSON.stringify(entries)) as readonly EveningEntry[];
  const brought = bringIn(scorer.ruleSet, json, fencersOf(last));
  return {
    known: isKnown(entries),
    whole: scoreBout(scorer, sheets.flat()),
    alone: scoreBout(scorer, [...brought, ...last.slice(1)]),
  };
}

/** One exchange of the bouts before the last loses its full stop. */
function forgetOne(bouts: readonly string[], n: number): readonly string[] {
  const lines = bouts.map((bout) => bout.split("\n"));
  const known = lines
    .slice(0, -1)
    .flatMap((bout, i) => bout.flatMap((line, at) => (line.endsWith(" .") ? [{ i, at }] : [])));
  const one = known[n % Math.max(1, known.length)];
  return lines.map((bout, i) =>
    bout.map((line, at) => (one?.i === i && one.at === at ? line.slice(0, -2) : line)).join("\n"),
  );
}

describe.each(SETS)("%s: an evening is its bouts, one after the other", (_, text, extra) => {
  const scorer = scorerOf(text);

  test("the last bout alone, with what the earlier ones left, gives the same tally", () => {
    fc.assert(
      fc.property(evenings(extra), ({ bouts }) => {
        const tallies = alone(scorer, bouts);
        // Of two unknowns of earlier bouts nothing says any more that they belong together.
        if (tallies.known) expect(tallies.alone).toEqual(tallies.whole);
      }),
      { seed: 71, numRuns: 200 },
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
        if (!isKnown(entries)) return;
        expect(scoreBout(scorer, [...brought, ...last.slice(1)])).toEqual(scoreBout(scorer, sheets.flat()));
      }),
      { seed: 72, numRuns: 120 },
    );
  });

  test("what is forgotten of an earlier bout leaves the truth of the last one inside its span", () => {
    fc.assert(
      fc.property(evenings(extra), fc.nat(), ({ bouts }, n) => {
        const truth = alone(scorer, bouts).whole;
        const { whole, alone: forgetful } = alone(scorer, forgetOne(bouts, n));
        for (const side of ["red", "blue"] as const)
          for (const unit of ["points", "bonus"] as const)
            for (const [which, { span }] of Object.entries({ whole, forgetful })) {
              const { least, most } = span[unit][side];
              const true_ = truth[unit][side];
              expect([least <= true_, true_ <= most, which, unit, side]).toEqual([
                true,
                true,
                which,
                unit,
                side,
              ]);
            }
      }),
      { seed: 73, numRuns: 40 },
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
