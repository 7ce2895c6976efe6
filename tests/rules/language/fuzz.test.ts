/**
 * Whatever is done to a file, the reader answers: no crash, no hang (steps are counted, never time), and every fault lies
 * inside the file. The same for bout sheets and for JSON Lines.
 */
import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";
import { compile, unsupported } from "../../../rules/award/compile.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import { Cursor } from "../../../rules/language/cursor.ts";
import { formatFaults, type Fault, type Outcome } from "../../../rules/language/faults.ts";
import { printRuleSet } from "../../../rules/language/print.ts";
import { readRuleSet } from "../../../rules/language/read.ts";
import { SheetWords } from "../../../rules/language/sheet-words.ts";
import { printJsonLines, printSheet, readJsonLines, readSheet } from "../../../rules/language/sheet.ts";
import type { RuleSet } from "../../../rules/language/tree.ts";
import type { BoutSheet } from "../../../rules/record.ts";
import { Mutator, PROTOTYPE_NAMES } from "../../support/mutate.ts";
import { caseFiles, pageFiles, pageSheets, readySets } from "../../support/rule-files.ts";

const FILES = process.env["LONG"] === "1" ? 100_000 : 10_000;

/** Small ones are mutated more deeply, and ten thousand of them are read in seconds. */
const SMALL = 500;
const small = (texts: readonly string[]): readonly string[] => texts.filter((text) => text.length <= SMALL);
const ruleTexts = small([...readySets(), ...caseFiles(), ...pageFiles()].map(({ text }) => text));
const sheetTexts = small([
  ...caseFiles().flatMap(({ sheets }) => sheets.map(({ bout }) => bout)),
  ...pageSheets(),
]);

const RULE_PIECES = [
  ...["I ", "they ", ", then ", ", at once ", "never ", "and hit", " or ", "my ", "the ", ", and ", "if: "],
  ...[
    "rules:\n",
    "  - ",
    "now",
    "with a ",
    "---\n",
    "...\n",
    "<<: *a",
    "&a ",
    "*a",
    "!!map ",
    "%YAML 1.2\n",
    ": ",
  ],
  ...["pays: 2 bonus to me\n", "in the last exchange ", "each time", "bonus", '"Riposte" pays me', "name: "],
];
const SHEET_PIECES = [
  ...[
    "R ",
    "B ",
    "RB ",
    "! ",
    "!? ",
    ". ",
    ", ",
    "again 1 ",
    "call ",
    "assent @j1",
    "@j1 ",
    "for 41 s",
    "[25 s left]",
  ],
  ...[
    "{luck = pays}",
    "not ",
    "double ",
    "no exchange",
    "but no parry",
    ". but contact",
    "pick ",
    "mark ",
    " = ",
  ],
  ...[
    "score 2-1\n",
    "penalty R\n",
    "end\n",
    "bout R Ana, B Ben\n",
    "evening\n",
    '"kept"',
    "# ",
    "fall short",
    "3 ",
  ],
];
const JSON_PIECES = [
  ...[
    '"type":"exchange",',
    '"acts":[',
    "]",
    "}",
    "{",
    ",",
    ":",
    '"no":1',
    "null",
    "true",
    "[[[[",
    '"open":["parry"]',
  ],
  ...[
    '"__proto__":{"a":1}',
    '"constructor":1',
    '"by":"red"',
    '"\\ud800"',
    '"picks":{"__proto__":"x"}',
    "1e999",
    '"',
  ],
];

/** Steps that reading took: pieces of the grammar looked for, and words of a sheet. */
let steps = 0;
beforeEach(() => {
  steps = 0;
  const { sees } = Cursor.prototype;
  const { match } = SheetWords.prototype;
  vi.spyOn(Cursor.prototype, "sees").mockImplementation(function (this: Cursor, ...given) {
    steps++;
    return sees.apply(this, given);
  });
  vi.spyOn(SheetWords.prototype, "match").mockImplementation(function (this: SheetWords, ...given) {
    steps++;
    return match.apply(this, given);
  });
});
afterEach(() => void vi.restoreAllMocks());

// The traces of errors that nobody prints take longer than the reading.
Error.stackTraceLimit = 0;

/** Far above what any file needs, and far below what a doubling with each word would take. */
const mostSteps = (text: string): number => 20_000 + 600 * text.length;

function isInside(fault: Fault, lines: readonly string[]): boolean {
  const line = lines[fault.line - 1];
  const { from, to } = fault.cure ?? { from: 0, to: 0 };
  return (
    line !== undefined &&
    (line === fault.source ||
      (fault.code === "line-too-long" && line.startsWith(fault.source.slice(0, 80)))) &&
    fault.column >= 1 &&
    fault.column <= fault.source.length + 1 &&
    from >= 0 &&
    from <= to &&
    to <= fault.source.length &&
    /\S/.test(fault.message) &&
    formatFaults([fault]).includes(`:${String(fault.line)}:${String(fault.column)}: `)
  );
}

/** YAML's lines end with a line feed; a sheet may come from any machine. */
const yamlLines = (text: string): readonly string[] =>
  text.split("\n").map((line) => line.replace(/\r$/, ""));
const sheetLines = (text: string): readonly string[] => text.split(/\r\n?|\n/);

interface Told {
  refused: number;
  taken: number;
}

/** Reads as many mutants; what is taken must be the same when it is written and read again. */
function fuzz<T>(
  count: number,
  mutator: Mutator,
  read: (text: string) => Outcome<T>,
  again: (value: T) => readonly (readonly [written: string, outcome: Outcome<T>])[],
  linesOf: (text: string) => readonly string[],
): Told {
  const told = { refused: 0, taken: 0 };
  for (let i = 0; i < count; i++) {
    const text = mutator.text();
    steps = 0;
    const outcome = read(text);
    if (steps > mostSteps(text)) expect.fail(`${String(steps)} steps for:\n${text}`);
    const lines = linesOf(text);
    for (const fault of outcome.ok ? outcome.warnings : outcome.faults)
      if (!isInside(fault, lines)) expect.fail(`${JSON.stringify(fault)} in:\n${JSON.stringify(text)}`);
    if (!outcome.ok) {
      told.refused++;
      if (outcome.faults.length === 0) expect.fail(`refused without a fault:\n${text}`);
      continue;
    }
    told.taken++;
    for (const [written, other] of again(outcome.value)) {
      if (!other.ok) expect.fail(`${formatFaults(other.faults)}\n${written}\nfrom:\n${JSON.stringify(text)}`);
      expect(other.value, JSON.stringify(text)).toEqual(outcome.value);
    }
  }
  return told;
}

const rulesOf = (file: { readonly text: string }): RuleSet => {
  const outcome = readRuleSet(file.text);
  if (!outcome.ok) throw new Error(formatFaults(outcome.faults));
  return outcome.value;
};

describe("mutated files are read or refused, never crashed on", () => {
  test(`${String(FILES)} rule sets`, () => {
    expect(ruleTexts.length).toBeGreaterThan(60);
    const { refused, taken } = fuzz(
      FILES,
      new Mutator(20_2607, ruleTexts, RULE_PIECES),
      (text) => readRuleSet(text, "mutant.yaml"),
      (ruleSet) => {
        const written = printRuleSet(ruleSet);
        return [[written, readRuleSet(written, "again.yaml")]];
      },
      yamlLines,
    );
    // The story did something: both ends were met often.
    expect(refused).toBeGreaterThan(FILES / 4);
    expect(taken).toBeGreaterThan(FILES / 20);
  });

  const under = rulesOf(
    pageFiles().find(({ text }) => text.includes("Everything on one sheet")) ?? { text: "" },
  );
  const both = (sheet: BoutSheet): readonly (readonly [string, Outcome<BoutSheet>])[] => {
    const written = printSheet(sheet);
    const lines = printJsonLines(sheet);
    return [
      [written, readSheet(written, under)],
      [lines, readJsonLines(lines, under)],
    ];
  };

  test(`${String(FILES / 4)} bout sheets`, () => {
    const { refused, taken } = fuzz(
      FILES / 4,
      new Mutator(20_2608, sheetTexts, SHEET_PIECES),
      (text) => readSheet(text, under, "mutant.sheet"),
      both,
      sheetLines,
    );
    expect(refused).toBeGreaterThan(FILES / 16);
    expect(taken).toBeGreaterThan(FILES / 80);
  });

  test(`${String(FILES / 8)} files of JSON Lines`, () => {
    const lines = sheetTexts.flatMap((text) => {
      const outcome = readSheet(text, under);
      return outcome.ok && outcome.value.length > 0 ? [printJsonLines(outcome.value)] : [];
    });
    expect(lines.length).toBeGreaterThan(30);
    const { refused, taken } = fuzz(
      FILES / 8,
      new Mutator(20_2609, lines, JSON_PIECES),
      (text) => readJsonLines(text, under, "mutant.jsonl"),
      both,
      sheetLines,
    );
    expect(refused).toBeGreaterThan(FILES / 32);
    expect(taken).toBeGreaterThan(FILES / 200);
  });
});

describe("names that every object has already are names like any other", () => {
  /** One rule set with the name in every place where a coach gives one. */
  const named = (name: string): string => `name: ${name}
words:
  ${name} word: a call
phrases:
  ${name} phrase: I riposte and hit
picks:
  ${name} pick:
    by: the coach
    from: [${name} value, other]
    when: before the bout
marks:
  ${name} mark:
    is: a count for each fencer
    changes: up 1 when I hit
touches:
  I hit: 1
rules:
  - name: ${name}
    when: I make the ${name} phrase
    if: the ${name} pick is ${name} value
    pays: 2 bonus to me
    best of: ${name}
  - name: Counted
    when: I hit
    if: my ${name} mark is 1 or more
    pays: 1 bonus to me
  - name: Paid
    when: I hit
    if: '"${name}" paid me in the last exchange'
    pays: 4 bonus to me
`;
  const sheet = (name: string): string => `pick ${name} pick = ${name} value
1 B cut head, R parry, R riposte head ! .
2 R cut head ! . call ${name} word R
`;

  test.each([...PROTOTYPE_NAMES.slice(1), "length", "prototype"])("%s", (name) => {
    const ruleSet = rulesOf({ text: named(name) });
    expect(unsupported(ruleSet)).toEqual([]);
    expect(rulesOf({ text: printRuleSet(ruleSet) })).toEqual(ruleSet);
    const read = readSheet(sheet(name), ruleSet);
    expect(read.ok ? "" : formatFaults(read.faults)).toBe("");
    if (!read.ok) return;
    const again = readJsonLines(printJsonLines(read.value), ruleSet);
    expect(again.ok ? again.value : again.faults).toEqual(read.value);
    const { points, bonus } = scoreBout(compile(ruleSet), read.value);
    expect({ points, bonus }).toEqual({ points: { red: 2, blue: 0 }, bonus: { red: 7, blue: 0 } });
  });

  const alone = (name: string): string =>
    `name: X\npicks:\n  ${name}:\n    by: the coach\n    from: [${name}, b]\n    when: before the bout\ntouches:\n  I hit: 1\n`;

  test.each(PROTOTYPE_NAMES.slice(1))("%s alone is a pick and a value", (name) => {
    const read = readSheet(`1 R cut head ! . {${name} = ${name}}\n`, rulesOf({ text: alone(name) }));
    const [line] = read.ok ? read.value : [];
    expect(line?.type === "exchange" ? Object.entries(line.picks ?? {}) : []).toEqual([[name, name]]);
  });

  test("__proto__ is refused, because the objects that programs read cannot have it as a key", () => {
    const outcome = readRuleSet(alone("__proto__"));
    expect(outcome.ok ? [] : outcome.faults.map(({ message }) => message)).toContain(
      '"__proto__" cannot be a name: begin it with a letter or a number.',
    );
  });
});

describe("what is too large is refused with a clear sentence", () => {
  const MEGABYTE = 1024 * 1024;
  const first = (outcome: Outcome<unknown>): string => (outcome.ok ? "" : (outcome.faults[0]?.message ?? ""));
  const under = rulesOf({ text: "name: X\ntouches:\n  I hit: 1\n" });

  test("a rule set of 1 MB, in one line or in many", () => {
    for (const text of [`name: ${"x".repeat(MEGABYTE)}`, "# rule\n".repeat(MEGABYTE / 7)])
      expect(first(readRuleSet(text))).toBe(
        "A rule set may have 256 kB. This file is larger: it cannot be one.",
      );
  });

  test("a sheet and JSON Lines of 1 MB, in one line or in many", () => {
    for (const text of [`1 R ${"cut ".repeat(MEGABYTE / 4)}`, "1 R cut head ! .\n".repeat(MEGABYTE / 16)])
      for (const read of [readSheet, readJsonLines])
        expect(first(read(text, under))).toBe(
          "A bout sheet may have 512 kB. This file is larger: write a file for each bout.",
        );
  });

  test("aliases that would multiply are refused at the first", () => {
    const bomb = ["a0: &a0 [x, x]"];
    for (let i = 1; i < 40; i++)
      bomb.push(`a${String(i)}: &a${String(i)} [*a${String(i - 1)}, *a${String(i - 1)}]`);
    for (const text of [
      `name: Bomb\nwords:\n  ${bomb.join("\n  ")}\n`,
      `name: Bomb\nrules: &r\n  - *r\n`,
      `name: &n Bomb\ntouches:\n  *n : 1\n`,
    ]) {
      const outcome = readRuleSet(text);
      expect(outcome.ok ? [] : outcome.faults.map(({ message }) => message)).toContain(
        "A rule set uses no anchors, aliases and tags. Write the text out.",
      );
      expect(steps).toBeLessThan(mostSteps(text));
    }
  });
});
