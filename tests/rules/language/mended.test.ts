/**
 * The trial of the messages: every golden of tests/golden/faults was mended as a new user would who knows nothing but what
 * is said there. NAME.mended.yaml (or .sheet, .jsonl) is what came out; not-mended.txt lists the others, with the reason.
 */
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { formatFaults } from "../../../rules/language/faults.ts";
import { faultyRuleSets, faultySheets } from "../../support/fault-files.ts";

/** A file with warnings only is in order already. */
const FAULTY = [...faultyRuleSets(), ...faultySheets()].filter(
  ({ text, name, read }) => !read(text, name).ok,
);
const MENDED = FAULTY.filter(({ mended }) => mended !== undefined);

const reasons = new Map(
  readFileSync(new URL("../../golden/faults/not-mended.txt", import.meta.url), "utf8")
    .split("\n")
    .filter((line) => line !== "" && !line.startsWith("#"))
    .map((line) => [line.slice(0, line.indexOf(": ")), line.slice(line.indexOf(": ") + 2)]),
);

describe("what was mended from the message alone has no fault any more", () => {
  test.each(MENDED)("$name", ({ name, text, mended, read }) => {
    expect(mended).not.toBe(text);
    const outcome = read(mended ?? "", name);
    expect(outcome.ok ? "" : formatFaults(outcome.faults)).toBe("");
  });
});

test("every other file has a reason why its messages were not enough", () => {
  expect(FAULTY.filter(({ mended }) => mended === undefined).map(({ name }) => name)).toEqual(
    [...reasons.keys()].sort((a, b) => a.localeCompare(b)),
  );
  for (const reason of reasons.values()) expect(reason).toMatch(/^\S.{20,}\.$/);
});

test("mended from the message alone", () => {
  const count = `mended from the message alone: ${String(MENDED.length)} of ${String(FAULTY.length)}`;
  process.stdout.write(`${count}\n`);
  expect(count).toBe("mended from the message alone: 112 of 118");
  expect(FAULTY.length).toBeGreaterThanOrEqual(70);
});
