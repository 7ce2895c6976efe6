/** Whatever is done to a file, the reader answers: no crash, and every place lies inside the file. */
import { readFileSync } from "node:fs";
import * as fc from "fast-check";
import { expect, test } from "vitest";
import { formatFaults } from "../../../rules/language/faults.ts";
import { printRuleSet } from "../../../rules/language/print.ts";
import { readRuleSet } from "../../../rules/language/read.ts";

const seeds = readFileSync(new URL("../../golden/cases.yaml", import.meta.url), "utf8")
  .split("\n---\n")
  .slice(1)
  .map((text) => text.replace(/\nsheets:[\s\S]*$/, "\n"));
const MUTANTS = process.env["LONG"] === "1" ? 50_000 : 2_000;

const PIECES = [
  ..."\"':-[]{}#&*!|>%@`,\t\n\r \\0",
  "I ",
  "they ",
  ", then ",
  ", at once ",
  "never ",
  "and hit",
  " or ",
  "my ",
  "the ",
  ", and ",
  "if: ",
  "rules:\n",
  "  - ",
  "now",
  "with a ",
  "é",
  "💥",
  "\u0000",
  "\u2028",
  "﻿",
  "---\n",
  "<<: *a",
  "999999999999",
  "-0.5",
  "éh",
  "İ",
];

interface Edit {
  readonly at: number;
  readonly length: number;
  readonly piece: string;
}
const edit = fc.record<Edit>({
  at: fc.double({ min: 0, max: 1, noNaN: true }),
  length: fc.nat({ max: 8 }),
  piece: fc.oneof(fc.constantFrom(...PIECES), fc.string({ maxLength: 5 })),
});
/** Small enough that some files still read. */
const slight = fc.record<Edit>({
  at: fc.double({ min: 0, max: 1, noNaN: true }),
  length: fc.constant(0),
  piece: fc.constantFrom(" ", "  ", "1", "0", "the ", "\n", " # aside\n", "a "),
});
const someEdits = fc.oneof(
  fc.array(edit, { minLength: 1, maxLength: 6 }),
  fc.array(slight, { minLength: 1, maxLength: 2 }),
);

const mutate = (text: string, edits: readonly Edit[]): string =>
  edits.reduce((now, { at, length, piece }) => {
    const from = Math.floor(at * now.length);
    return now.slice(0, from) + piece + now.slice(from + length);
  }, text);

test(`${String(MUTANTS)} mutated files are read or refused, never crashed on`, () => {
  let refused = 0;
  let taken = 0;
  fc.assert(
    fc.property(fc.constantFrom(...seeds), someEdits, (seed, changes) => {
      const text = mutate(seed, changes);
      const outcome = readRuleSet(text, "mutant.yaml");
      const lines = text.split("\n").map((line) => line.replace(/\r$/, ""));
      for (const fault of outcome.ok ? outcome.warnings : outcome.faults) {
        const line = lines[fault.line - 1];
        expect(line).toBe(fault.source);
        expect(fault.column).toBeGreaterThanOrEqual(1);
        expect(fault.column).toBeLessThanOrEqual((line ?? "").length + 1);
        expect(fault.message).toMatch(/\S/);
        expect(formatFaults([fault])).toContain(
          `mutant.yaml:${String(fault.line)}:${String(fault.column)}: `,
        );
      }
      if (!outcome.ok) {
        refused++;
        expect(outcome.faults.length).toBeGreaterThan(0);
        return;
      }
      taken++;
      // What still reads must still round-trip.
      const again = readRuleSet(printRuleSet(outcome.value), "again.yaml");
      expect(again.ok ? again.value : formatFaults(again.faults)).toEqual(outcome.value);
    }),
    { numRuns: MUTANTS, seed: 20_2607 },
  );
  // The story did something: both ends were met often.
  expect(refused).toBeGreaterThan(MUTANTS / 10);
  expect(taken).toBeGreaterThan(MUTANTS / 50);
});
