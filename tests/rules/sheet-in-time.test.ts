import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { printJsonLines, printSheet, readJsonLines, readSheet } from "../../rules/language/sheet.ts";
import type { Act, BoutSheet, ExchangeLine } from "../../rules/record.ts";
import { ruleSetOf } from "../support/random-bouts.ts";

const SET = ruleSetOf("name: Test\ntouches: {I hit: 1}");

const read = (text: string): BoutSheet => {
  const outcome = readSheet(text, SET);
  if (!outcome.ok) throw new Error(outcome.faults.map(({ message }) => message).join("\n"));
  return outcome.value;
};
const actsOf = (text: string): readonly Act[] => (read(text)[0] as ExchangeLine).acts;
const codes = (text: string): readonly string[] => {
  const outcome = readSheet(text, SET);
  return outcome.ok ? [] : outcome.faults.map(({ code }) => code);
};
const jsonCodes = (text: string): readonly string[] => {
  const outcome = readJsonLines(text, SET);
  return outcome.ok ? [] : outcome.faults.map(({ code }) => code);
};

describe("seconds since the action before [S3]", () => {
  const text = "1 B cut head, 0.8 s later R parry, 3 s later R cut head ! .\n";

  test("they stand before whoever acts", () => {
    expect(actsOf(text).map(({ by, after }) => [by, after])).toEqual([
      ["blue", undefined],
      ["red", 0.8],
      ["red", 3],
    ]);
    expect(actsOf("1 R cut, 2 seconds later both withdraw for 4 s .")[1]).toMatchObject({
      by: "both",
      after: 2,
      for: 4,
    });
  });

  test("printed and read again they are the same, as JSON Lines too", () => {
    expect(printSheet(read(text))).toBe(text);
    const lines = printJsonLines(read(text));
    expect(lines).toContain('{"by":"red","kind":"parry","after":0.8}');
    expect(readJsonLines(lines, SET)).toMatchObject({ ok: true, value: read(text) });
  });

  test("any seconds go through both forms", () => {
    const seconds = fc.option(
      fc.integer({ min: 0, max: 86_400_000 }).map((ms) => ms / 1000),
      { nil: undefined },
    );
    fc.assert(
      fc.property(fc.array(seconds, { minLength: 1, maxLength: 6 }), (times) => {
        const acts = times.map((after, i): Act => {
          const act: Act = { by: i % 2 === 0 ? "red" : "blue", kind: "parry" };
          return i === 0 || after === undefined ? act : { ...act, after };
        });
        const sheet = read(printSheet([{ type: "exchange", no: 1, acts, open: false }]));
        const without = (sheet[0] as ExchangeLine).acts.map(({ id: _, ...act }) => act);
        expect(without).toEqual(acts);
        expect(readJsonLines(printJsonLines(sheet), SET)).toMatchObject({ ok: true, value: sheet });
      }),
      { seed: 20_260_401, numRuns: 300 },
    );
  });

  test.each([
    ["1 2 s later R cut head .", ["later-than-nothing"]],
    ["1 R cut, -1 s later B parry .", ["bad-later"]],
    ["1 R cut, 2 s B parry .", ["bad-later"]],
    ["1 R cut, 2 later B parry .", ["bad-later"]],
    ["1 R cut, 100000 s later B parry .", ["bad-later"]],
    ["1 R wait for -2 s .", ["bad-seconds"]],
  ])("%s", (text, wanted) => {
    expect(codes(text)).toEqual(wanted);
  });

  test("in JSON Lines", () => {
    const line = (after: unknown, first: string = ""): string =>
      `{"type":"exchange","no":1,"acts":[{"by":"red","kind":"parry"${first}},{"by":"blue","kind":"parry","after":${JSON.stringify(after)}}],"open":false}`;
    expect(jsonCodes(line(1))).toEqual([]);
    expect(jsonCodes(line(-1))).toEqual(["bad-shape"]);
    expect(jsonCodes(line(1, ',"after":1'))).toEqual(["later-than-nothing"]);
  });

  test("a hyphen still parts words", () => {
    expect(actsOf("1 R stop-hit head ! .")[0]).toMatchObject({ kind: "stop-hit", target: "head" });
  });
});
