/**
 * Rules beyond the shared cases (common practice, no source): negations, sums, any two of three, seconds, other targets,
 * earlier exchanges, shared limits and the bout's further sentences, each with sheets that pay and that just miss.
 */
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { casesOf, given, scored, wanted } from "../support/gives.ts";

const CASES = casesOf(readFileSync(new URL("../golden/cases-further.yaml", import.meta.url), "utf8"));

describe("further rules that a coach would write", () => {
  test("there are at least 46, each with a sheet", () => {
    expect(CASES.length).toBeGreaterThanOrEqual(46);
    expect(CASES.filter(({ sheets }) => sheets.length === 0)).toEqual([]);
  });

  test.each(CASES.map((one) => [one.name, one] as const))("%s", (name, one) => {
    scored(one).forEach(({ tally, gives }, at) => {
      const expected = wanted(gives);
      expect(given(tally, Object.keys(expected)), `${name}\n${one.sheets[at]?.bout ?? ""}`).toEqual(expected);
    });
  });
});
