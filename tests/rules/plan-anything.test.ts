import { readFileSync } from "node:fs";
import { array, assert, constantFrom, property } from "fast-check";
import { describe, expect, test } from "vitest";
import { parseAllDocuments, stringify } from "yaml";
import { SETS } from "../../rules/.generated/shelf.ts";
import { chips, draftLine, draftStart, press } from "../../rules/award/plan-draft.ts";
import type { Draft } from "../../rules/award/plan-read.ts";
import { formatFaults } from "../../rules/language/faults.ts";
import { printSheet, readSheet } from "../../rules/language/sheet.ts";
import type { BoutSheet } from "../../rules/record.ts";
import { entered, planOf, presses } from "../support/presses.ts";

/** Every rule set that comes with the house, and every numbered case of the language. */
const ALL = [
  ...SETS.map((set) => ({ name: set.id, text: set.text })),
  ...parseAllDocuments(readFileSync(new URL("../golden/cases.yaml", import.meta.url), "utf8")).map(
    (document) => {
      const { sheets: _sheets, ...set } = document.toJS() as {
        readonly name: string;
        readonly sheets: unknown;
      };
      return { name: set.name, text: stringify(set) };
    },
  ),
];

describe("whatever is pressed, under every rule set", () => {
  test("two manners that exclude each other are never on one action", () => {
    const plan = planOf(
      "name: Plain\ntouches:\n  I riposte directly and hit: 1\n  I riposte indirectly and hit: 2\n",
    );
    const draft = presses(plan, ["red: Hit", "red:touch:0"]);
    expect(chips(draft).map((one) => one.state)).toEqual(["lit", "hidden", "hidden", "hidden"]);
  });
  test("all of them are tried", () => expect(ALL.length).toBeGreaterThanOrEqual(64));
  test.each(ALL)("$name: at most six hit keys a side, and ids are unique", ({ text }) => {
    const plan = planOf(text);
    const ids = [...plan.hits.red, ...plan.hits.blue, ...plan.neither, ...plan.chips].map((key) => key.id);
    expect(plan.hits.red.length).toBeLessThanOrEqual(6);
    expect(new Set(ids).size).toBe(ids.length);
  });
  test.each(ALL)(
    "$name: the line is one that a sheet can say, and what a lit chip pays is paid",
    ({ text }) => {
      const plan = planOf(text);
      const keys = [...plan.hits.red, ...plan.hits.blue, ...plan.neither, ...plan.chips].map((key) => key.id);
      assert(
        property(array(constantFrom(...keys), { minLength: 1, maxLength: 5 }), (pressed) => {
          const draft = pressed.reduce(press, draftStart(plan));
          const line = draftLine(draft, 1);
          const read = readSheet(printSheet([line]), plan.scorer.ruleSet);
          if (!read.ok) throw new Error(formatFaults(read.faults));
          expect(read.value.map(withoutIds)).toEqual([line]);
          const paid = entered(draft).awards;
          for (const one of chips(draft)) {
            if (one.state !== "lit" || one.now === undefined) continue;
            const { unit, to, amount } = one.now;
            const sum = paid
              .filter((award) => award.rule === one.rule && award.unit === unit && award.to === to)
              .reduce((total, award) => total + award.amount, 0);
            expect(sum).toBe(amount);
          }
          expect(pressed.reduceRight(undo, draft).presses.length).toBeLessThanOrEqual(draft.presses.length);
        }),
        { seed: 1570, numRuns: 12 },
      );
    },
  );
});

/** Pressing what still holds once more takes it back. */
const undo = (draft: Draft, id: string): Draft => (draft.presses.includes(id) ? press(draft, id) : draft);
function withoutIds(line: BoutSheet[number]): BoutSheet[number] {
  if (line.type !== "exchange") return line;
  return { ...line, acts: line.acts.map(({ id: _id, ...act }) => act) };
}
