/**
 * Faulty rule sets and sheets and what is said about them, as file pairs: tests/golden/faults/NAME.yaml (or
 * sheets/NAME.sheet) and NAME.faults.txt. UPDATE_GOLDENS=1 rewrites the texts.
 */
import { writeFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { formatFaults, type Fault } from "../../../rules/language/faults.ts";
import { readRuleSet } from "../../../rules/language/read.ts";
import { faultyRuleSets, faultySheets, saidOf, strays } from "../../support/fault-files.ts";

const GOLDENS = [...faultyRuleSets(), ...faultySheets()];
const update = process.env["UPDATE_GOLDENS"] === "1";

const said = (text: string, file: string): readonly Fault[] => saidOf(readRuleSet(text, file));

const code = (text: string): string => said(text, "x.yaml")[0]?.code ?? "";

test("there are goldens, and no text without its rule set or sheet", () => {
  expect(GOLDENS.length).toBeGreaterThanOrEqual(70);
  expect(faultySheets().length).toBeGreaterThanOrEqual(20);
  expect(strays()).toEqual([]);
});

describe("what is written wrongly is answered with every fault, its place and its cure", () => {
  test.each(GOLDENS)("$name", ({ name, text, read, said: golden, saidFile }) => {
    const faults = saidOf(read(text, name.replace(/^.*\//, "")));
    expect(faults.length).toBeGreaterThan(0);
    const formatted = `${formatFaults(faults)}\n`;
    if (update) writeFileSync(saidFile, formatted);
    else expect(formatted).toBe(golden);
  });
});

describe("the messages that the language promises", () => {
  const head = "name: Tuesday\nweapon: longsword\ntouches:\n  I hit: 1\nrules:\n  - name: Answer\n";
  const messages = (lines: string): readonly string[] =>
    said(`${head}${lines}`, "night.yaml").map((fault) => fault.message);
  const pays = "    pays: 1 bonus to me\n";

  test("spelling help from four letters up", () => {
    expect(messages(`    when: I hit the haed\n${pays}`)).toEqual([
      '"haed" is not a word I know here. Did you mean "head"?',
    ]);
    expect(messages(`    when: I hti\n${pays}`)[0]).not.toContain("Did you mean");
  });

  test("the class of a word gives its cure", () => {
    expect(messages(`    when: they zwerchhau\n${pays}`)).toEqual([
      '"zwerchhau" does not fit here: it is a blow. Write "they strike with a zwerchhau".',
    ]);
  });

  test("[P8] the unit is never left out", () => {
    expect(messages("    when: I riposte and hit\n    pays: 2 to me\n")).toEqual([
      '2 of what? Write "2 bonus to me" (the bonus tally) or "2 points to me" (the score).',
    ]);
  });

  test("who acts comes first", () => {
    expect(messages(`    when: my riposte lands\n${pays}`)).toEqual([
      'Begin with who acts: write "I riposte and hit" for "my riposte lands".',
    ]);
  });

  test("[P1] a side is never named", () => {
    expect(messages(`    when: red hits\n${pays}`)[0]).toContain("A rule never names a side");
  });

  test("a cure can be put in with one press", () => {
    const [fault] = said(`${head}    when: I hit the haed\n${pays}`, "night.yaml");
    expect(fault?.cure).toBeDefined();
    if (fault?.cure === undefined) return;
    const { from, to, text } = fault.cure;
    expect(fault.source.slice(0, from) + text + fault.source.slice(to)).toBe("    when: I hit the head");
  });

  test("all faults are told at once, in the order of the file", () => {
    const faults = said(
      `${head}    when: I hit the haed\n    if: I am befind\n    pays: 2 to me\n`,
      "night.yaml",
    );
    expect(faults.map(({ line, column }) => [line, column])).toEqual([
      [7, 21],
      [8, 14],
      [9, 11],
    ]);
  });
});

describe("what is refused as a whole", () => {
  test("a file of 1 MB", () => {
    expect(code(`name: Big\ntouches:\n  I hit: 1\n#${"x".repeat(1024 * 1024)}\n`)).toBe("too-big");
  });

  test("thousands of nested brackets", () => {
    expect(code(`name: ${"[".repeat(50_000)}\n`)).toBe("not-yaml");
  });

  test.each([
    ["dashes", "- ".repeat(50_000)],
    ["dashes and tabs", "-\t".repeat(50_000)],
    ["question marks", "? ".repeat(50_000)],
    ["steps inwards", Array.from({ length: 400 }, (_, i) => `${" ".repeat(i)}a:`).join("\n")],
  ])("thousands of %s, which would end the process in the parser", (_name, text) => {
    expect(code(text)).toBe("not-yaml");
  });

  test("aliases that would multiply", () => {
    const bomb = ["a0: &a0 [x, x]"];
    for (let i = 1; i < 30; i++)
      bomb.push(`a${String(i)}: &a${String(i)} [*a${String(i - 1)}, *a${String(i - 1)}]`);
    expect(
      said(`name: Bomb\nwords:\n  ${bomb.join("\n  ")}\n`, "x.yaml").some((f) => f.code === "no-aliases"),
    ).toBe(true);
  });

  test("more rules than an evening could hold", () => {
    const rules = Array.from({ length: 300 }, (_, i) => `  - name: Rule ${String(i)}\n`).join("");
    expect(code(`name: Many\ntouches:\n  I hit: 1\nrules:\n${rules}`)).toBe("too-many");
  });

  test("a sentence that nobody could say", () => {
    expect(code(`name: Long\ntouches:\n  ${"I hit, then ".repeat(400)} I hit: 1\n`)).not.toBe("");
  });
});

describe("warnings never block", () => {
  test("a rule set with warnings is in order", () => {
    const outcome = readRuleSet("name: Warned\ntouches:\n  I attack and hit: 1\n");
    expect(outcome.ok && outcome.warnings.map((warning) => warning.code)).toEqual(["asks-often"]);
  });

  test("a rule set with only a name and touches is valid", () => {
    const outcome = readRuleSet("name: Bare\ntouches:\n  I hit: 1\n");
    expect(outcome).toMatchObject({ ok: true, warnings: [] });
  });
});
