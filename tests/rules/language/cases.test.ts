/** The 58 shared cases: each parses, prints canonically and reads back to an equal tree. */
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { parseAllDocuments, stringify } from "yaml";
import { SETS } from "../../../rules/.generated/shelf.ts";
import { formatFaults } from "../../../rules/language/faults.ts";
import { hashRuleSet } from "../../../rules/language/hash.ts";
import { printRuleSet } from "../../../rules/language/print.ts";
import { readRuleSet } from "../../../rules/language/read.ts";

const file = new URL("../../golden/cases.yaml", import.meta.url);
const text = readFileSync(file, "utf8");

/** Each document without its `sheets`, as a text of its own. */
const cases = parseAllDocuments(text, { schema: "failsafe" }).flatMap((document) => {
  const { sheets: _, ...ruleSet } = (document.toJS() ?? {}) as { name?: string; sheets?: unknown };
  return ruleSet.name === undefined
    ? []
    : [{ name: ruleSet.name, text: stringify(ruleSet, { lineWidth: 0 }) }];
});

test("all 58 cases are there", () => {
  expect(cases.length).toBe(58);
});

describe("a ready rule set reads without a fault, prints and reads back to the same tree", () => {
  test("there are some", () => {
    expect(SETS.length).toBeGreaterThan(0);
  });
  test.each(SETS.map((set) => [set.id, set.text] as const))("%s", (id, setText) => {
    const read = readRuleSet(setText, id);
    expect(read.ok ? "" : formatFaults(read.faults)).toBe("");
    if (!read.ok) return;
    const again = readRuleSet(printRuleSet(read.value), id);
    expect(again.ok && again.value).toEqual(read.value);
  });
});

describe("a case reads, prints and reads back to the same tree", () => {
  test.each(cases)("$name", (one) => {
    const read = readRuleSet(one.text, `${one.name}.yaml`);
    expect(read.ok ? "" : formatFaults(read.faults)).toBe("");
    if (!read.ok) return;
    const printed = printRuleSet(read.value);
    const again = readRuleSet(printed, "printed.yaml");
    expect(again.ok ? "" : formatFaults(again.faults)).toBe("");
    if (!again.ok) return;
    expect(again.value).toEqual(read.value);
    expect(printRuleSet(again.value)).toBe(printed);
    expect(hashRuleSet(again.value)).toBe(hashRuleSet(read.value));
  });
});
