/** Bouts that go otherwise than as usual, against the slow, obvious oracle: awards, and how each bout ends. */
import { describe, expect, test } from "vitest";
import { compile } from "../../../rules/award/compile.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import type { SheetLine } from "../../../rules/record.ts";
import { BOUT_SETS, randomOwnBout } from "../../support/bout-sets.ts";
import { forget } from "../../support/forget.ts";
import { oracle, oracleEnding } from "../../support/oracle.ts";
import { mirrored, seeded, shuffled } from "../../support/random-bouts.ts";

const BOUTS = process.env["LONG"] === "1" ? 40_000 : 400;
const A_BOUT = 8;
const END: SheetLine = { type: "end" };

type Told = readonly { exchange: number; to: string; rule: string; unit: string; amount: number }[];
const sorted = (awards: Told): string[] =>
  awards
    .map(
      ({ exchange, to, rule, unit, amount }) =>
        `${String(exchange).padStart(3)} ${rule} -> ${to}: ${String(amount)} ${unit}`,
    )
    .sort();

const TURNED: Readonly<Record<string, string>> = { "red wins": "blue wins", "blue wins": "red wins" };

describe("the bout's own sentences against the slow, obvious oracle", () => {
  test.each(BOUT_SETS.map((ruleSet) => [ruleSet.name, ruleSet] as const))(
    "%s: the same awards, the same end, nothing open",
    (_, ruleSet) => {
      const scorer = compile(ruleSet);
      const endings = new Set<string>();
      for (let seed = 1; seed <= BOUTS; seed++) {
        const sheet = randomOwnBout(seeded(seed), A_BOUT);
        const tally = scoreBout(scorer, sheet);
        const awards = tally.awards.filter(({ exchange, rule }) => exchange > 0 && rule !== "penalty");
        expect(sorted(awards), `seed ${String(seed)}`).toEqual(sorted(oracle(ruleSet, sheet)));
        const { over, how } = oracleEnding(ruleSet, sheet);
        expect(tally.ended, `seed ${String(seed)}`).toBe(over ? how : null);
        expect(scoreBout(scorer, [...sheet, END]).ended, `seed ${String(seed)}`).toBe(how);
        expect(tally.open, `seed ${String(seed)}`).toBe(0);
        endings.add(how);
      }
      // Every bout could end in several ways, and some did.
      expect(endings.size).toBeGreaterThan(ruleSet.bout.wins === "nobody" ? 1 : 2);
    },
  );

  test("whatever is forgotten, an end that is told is the true one [P12]", () => {
    let open = 0;
    for (const ruleSet of BOUT_SETS) {
      const scorer = compile(ruleSet);
      for (let seed = 1; seed <= BOUTS / 4; seed++) {
        const random = seeded(seed);
        const full = [...randomOwnBout(random, 6), END];
        const { ended } = scoreBout(scorer, full);
        const known = scoreBout(scorer, forget(random, full, 1 + random.below(3))).ended;
        if (known === null) open++;
        else expect(known, `${ruleSet.name}, seed ${String(seed)}`).toBe(ended);
      }
    }
    expect(open).toBeGreaterThan(10);
  });

  test("the two fencers swapped: the same bout, swapped [P1]", () => {
    // Roles that begin with a side are not the same for the other.
    const alike = BOUT_SETS.filter(({ marks }) => marks.every(({ is }) => is !== "roles"));
    for (const ruleSet of alike) {
      const scorer = compile(ruleSet);
      for (let seed = 1; seed <= BOUTS / 4; seed++) {
        const sheet = randomOwnBout(seeded(seed), A_BOUT);
        const here = scoreBout(scorer, sheet);
        const there = scoreBout(scorer, mirrored(sheet));
        expect([there.points, there.bonus, there.warned], `${ruleSet.name}, seed ${String(seed)}`).toEqual([
          { red: here.points.blue, blue: here.points.red },
          { red: here.bonus.blue, blue: here.bonus.red },
          { red: here.warned.blue, blue: here.warned.red },
        ]);
        const ended = here.ended ?? "";
        expect(there.ended ?? "", `${ruleSet.name}, seed ${String(seed)}`).toBe(TURNED[ended] ?? ended);
      }
    }
  });

  test("the order of ends, rules, touches and marks in the file: the same [P10]", () => {
    for (const ruleSet of BOUT_SETS) {
      const scorer = compile(ruleSet);
      for (let seed = 1; seed <= BOUTS / 4; seed++) {
        const random = seeded(seed);
        const sheet = randomOwnBout(random, A_BOUT);
        const mixed = compile({
          ...ruleSet,
          bout: { ...ruleSet.bout, ends: shuffled(random, ruleSet.bout.ends) },
          rules: shuffled(random, ruleSet.rules),
          touches: shuffled(random, ruleSet.touches),
          marks: shuffled(random, ruleSet.marks),
        });
        const [here, there] = [scoreBout(scorer, sheet), scoreBout(mixed, sheet)];
        expect([there.points, there.bonus, there.ended], `${ruleSet.name}, seed ${String(seed)}`).toEqual([
          here.points,
          here.bonus,
          here.ended,
        ]);
      }
    }
  });
});
