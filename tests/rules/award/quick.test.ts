import { describe, expect, test } from "vitest";
import { compile } from "../../../rules/award/compile.ts";
import { QuickBout } from "../../../rules/award/quick.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import type { ExchangeLine } from "../../../rules/record.ts";
import { type Side, SIDES, UNITS } from "../../../rules/vocabulary.ts";
import { randomBout, RULE_SETS, seeded } from "../../support/random-bouts.ts";

const BOUTS = process.env["LONG"] === "1" ? 4_000 : 120;

/** Rule sets that the short path takes: without an end, because it knows no worlds, only one. */
const ENDLESS = RULE_SETS.filter(({ bout }) => bout.ends.length === 0);

describe("the short path for what is fully known", () => {
  test.each(ENDLESS.map((ruleSet) => [ruleSet.name, ruleSet] as const))(
    "%s: the same awards as the long way, exchange by exchange",
    (_, ruleSet) => {
      const scorer = compile(ruleSet);
      // The long way on a program of its own: the two share no workspace.
      const slow = compile(ruleSet);
      const quick = new QuickBout(scorer);
      const { rules, own } = scorer.program;
      const numberOf = (name: string): number =>
        name === "touch"
          ? own.touch
          : name === "double"
            ? own.double
            : rules.findIndex(({ rule }) => rule.name === name);
      let taken = 0;
      for (let seed = 1; seed <= BOUTS; seed++) {
        const sheet = randomBout(seeded(seed), 8).filter((line) => line.type === "exchange");
        const tally = scoreBout(slow, sheet);
        quick.restart();
        for (const [i, line] of sheet.entries()) {
          if (!quick.line(line as ExchangeLine)) break;
          taken++;
          const wanted = tally.exchanges[i]?.awards ?? [];
          const given = wanted.map(({ rule, to, unit }) =>
            quick.machine.sum(numberOf(rule), SIDES.indexOf(to), UNITS.indexOf(unit)),
          );
          expect(given, `seed ${String(seed)}, exchange ${String(i + 1)}`).toEqual(
            wanted.map(({ amount }) => amount),
          );
          const all = (side: Side, unit: number): number => quick.machine.sum(-1, SIDES.indexOf(side), unit);
          for (const side of SIDES)
            UNITS.forEach((unit, at) => {
              const sum = wanted.reduce(
                (n, one) => (one.to === side && one.unit === unit ? n + one.amount : n),
                0,
              );
              expect(all(side, at), `seed ${String(seed)}, exchange ${String(i + 1)}`).toBe(sum);
            });
        }
      }
      expect(taken).toBeGreaterThan(BOUTS);
    },
  );

  test("a line with an unknown is not taken", () => {
    const quick = new QuickBout(compile(ENDLESS[0] as (typeof ENDLESS)[number]));
    const cut = { by: "red", form: "cut", target: "head", end: "perhaps" } as const;
    expect(quick.line({ type: "exchange", no: 1, acts: [cut], open: false })).toBe(false);
    expect(quick.line({ type: "exchange", no: 1, acts: [], open: true })).toBe(false);
  });
});
