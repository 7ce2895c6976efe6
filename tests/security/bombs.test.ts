/**
 * Texts made to be expensive. Each ends with a fault or a result; what it costs is counted in steps, never in time, and
 * twice the text may cost about twice as much.
 */
import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";
import {
  compile,
  completeAt,
  explain,
  formatFaults,
  hashRuleSet,
  printRuleSet,
  readJsonLines,
  readRuleSet,
  readSheet,
  scoreBout,
  type RuleSet,
} from "../../rules/index.ts";
import { Cursor } from "../../rules/language/cursor.ts";
import {
  LONGEST_SENTENCE,
  MOST_ENTRIES,
  MOST_KILOBYTES,
  MOST_SHEET_KILOBYTES,
} from "../../rules/language/limits.ts";
import { SheetWords } from "../../rules/language/sheet-words.ts";

/** Pieces of the grammar looked for, words of a sheet looked up, and lines of a text looked for. */
let steps = 0;
beforeEach(() => {
  steps = 0;
  const { sees } = Cursor.prototype;
  const { match } = SheetWords.prototype;
  const { lastIndexOf } = String.prototype;
  vi.spyOn(Cursor.prototype, "sees").mockImplementation(function (this: Cursor, ...given) {
    steps += 1;
    return sees.apply(this, given);
  });
  vi.spyOn(SheetWords.prototype, "match").mockImplementation(function (this: SheetWords, ...given) {
    steps += 1;
    return match.apply(this, given);
  });
  vi.spyOn(String.prototype, "lastIndexOf").mockImplementation(function (this: string, ...given) {
    steps += 1;
    return lastIndexOf.apply(this, given);
  });
});
afterEach(() => void vi.restoreAllMocks());

/** Whether it read, or the first fault's code. */
const told = (text: string): string => {
  const outcome = readRuleSet(text);
  return outcome.ok ? "reads" : (outcome.faults[0]?.code ?? "no fault");
};

/** As many of a unit as fill about `size` characters. */
const filled = (size: number, unit: string): string => unit.repeat(Math.ceil(size / unit.length));

const KILO = 1024;

describe("YAML made to grow", () => {
  /** Nine levels of nine aliases each: 9^9 words where somebody follows them. */
  const laughs = [
    "name: A",
    "a: &a [x, x, x, x, x, x, x, x, x]",
    ..."bcdefghi".split("").map((key, i) => {
      const before = "abcdefgh".charAt(i);
      return `${key}: &${key} [${Array.from({ length: 9 }, () => `*${before}`).join(", ")}]`;
    }),
    "rules: *i",
  ].join("\n");

  const BOMBS: readonly (readonly [name: string, text: string, code: string | RegExp])[] = [
    ["aliases of aliases", laughs, /unknown-key|no-aliases/],
    ["an alias of itself", "&a name: *a\n", /no-aliases/],
    ["a merge key", "name: A\n<<: {touches: {I hit: 1}}\n", /merge/],
    ["a merge key in a rule", "name: A\nrules:\n  - <<: {when: I hit}\n", /merge/],
    ["a scalar of ten megabytes", `name: ${"a".repeat(10_000_000)}\n`, /too-big/],
    ["a hundred thousand rules", `name: A\nrules:\n${"  - name: B\n".repeat(100_000)}`, /too-big/],
    ["twenty thousand rules", `name: A\nrules:\n${"  - x\n".repeat(20_000)}`, /too-many/],
    ["twenty thousand keys", filled(100 * KILO, "a: b\n"), /too-many/],
    ["brackets in brackets", `name: ${"[".repeat(100_000)}`, /nested too deeply/],
    ["dashes after dashes", "- ".repeat(100_000), /nested too deeply/],
    [
      "steps of an endless stair",
      Array.from({ length: 600 }, (_, i) => `${" ".repeat(i)}a:`).join("\n"),
      /nested too deeply/,
    ],
    ["tags upon tags", `name: ${"!!str ".repeat(20_000)}A`, /yaml/],
    ["anchors upon anchors", `name: ${"&a ".repeat(40_000)}A`, /yaml|alias/],
    ["commas and no values", `name: [${",".repeat(40_000)}]`, /yaml|bracket/],
    ["escapes that are none", `name: "${"\\x".repeat(50_000)}"`, /yaml|quote/],
    ["directives", `${"%A b\n".repeat(20_000)}---\nname: A\n`, /directives/],
    ["documents", "---\nname: A\n".repeat(20_000), /yaml|document/],
    ["marks of a key alone", "? a\n".repeat(20_000), /too-many/],
  ];
  test.each(BOMBS)("%s", (_, text, code) => {
    const outcome = readRuleSet(text);
    expect(outcome.ok).toBe(false);
    if (outcome.ok) return;
    expect(outcome.faults.map((fault) => `${fault.code}: ${fault.message}`).join("\n")).toMatch(code);
    expect(formatFaults(outcome.faults).length).toBeLessThan(40_000);
    // No work for every error of the parser, of which there may be tens of thousands.
    expect(steps).toBeLessThan(2_000);
  });

  test("the limits are what they are said to be", () => {
    expect({ LONGEST_SENTENCE, MOST_ENTRIES, MOST_KILOBYTES, MOST_SHEET_KILOBYTES }).toEqual({
      LONGEST_SENTENCE: 2_000,
      MOST_ENTRIES: 250,
      MOST_KILOBYTES: 256,
      MOST_SHEET_KILOBYTES: 512,
    });
  });
});

describe("sentences made to be read again and again", () => {
  const rule = (when: string, more = ""): string =>
    `name: A\nrules:\n  - name: B\n    when: ${when}\n    pays: 1 bonus to me\n${more}`;
  const FAMILIES: readonly (readonly [name: string, make: (size: number) => string])[] = [
    ["alternatives", (size) => rule(`I strike to the arm${filled(size, " or leg")}`)],
    ["verbs of one sort", (size) => rule(`I beat${filled(size, " or bind")}`)],
    ["actions", (size) => rule(`I cut${filled(size, ", then I cut")}`)],
    ["waits", (size) => rule(`I cut${filled(size, ", then within 2 s they parry")}`)],
    ["manners", (size) => rule(`I cut${filled(size, " not in one tempo")}`)],
    ["blows", (size) => rule(`I hit${filled(size, " with a descending cut")}`)],
    ["words that are none", (size) => rule(`I hit${filled(size, " foo")}`)],
    ["commas", (size) => rule(`I hit${filled(size, ",")}`)],
    [
      "a list of conditions",
      (size) => rule("I hit", `    if: 2 or more of I am behind${filled(size, "; I am behind")}\n`),
    ],
    ["lists in lists", (size) => rule("I hit", `    if: ${filled(size, "2 or more of ")}\n`)],
    [
      "exchanges before exchanges",
      (size) => rule("I hit", `    if: ${filled(size, "in the last exchange ")}I hit\n`),
    ],
    [
      "conditions joined",
      (size) => rule("I hit", `    if: I am behind${filled(size, ", and I am behind")}\n`),
    ],
    ["pay that falls", (size) => rule("I hit").replace("1 bonus", `${filled(size, "2, ")}then 0 bonus`)],
    ["limits", (size) => rule("I hit", `    at most: 1 bonus a bout${filled(size, ", 1 bonus a bout")}\n`)],
    ["digits", (size) => rule(`I wait for ${"9".repeat(size)} s or more`)],
  ];
  test.each(FAMILIES)("%s: twice as long is about twice the work", (_, make) => {
    const cost = (size: number): number => {
      steps = 0;
      expect(told(make(size))).not.toBe("no fault");
      return steps;
    };
    const short = cost(900);
    const long = cost(1_800);
    expect(long).toBeLessThan(2.5 * short + 500);
  });

  test("a sentence longer than any may be is not read at all, nor completed", () => {
    const text = rule(`I cut${filled(100_000, ", then I cut")}`);
    expect(told(text)).toMatch(/long/);
    expect(steps).toBeLessThan(1_000);
    steps = 0;
    const caret = text.indexOf("\n    pays");
    expect(completeAt(text, caret)).toEqual({ whole: false, replaces: 0, next: [] });
    expect(steps).toBeLessThan(1_000);
  });

  test("a completion tries each candidate, and no candidate more than a few times", () => {
    const at = (size: number): number => {
      const text = rule(`I strike to the arm${filled(size, " or leg")}`);
      steps = 0;
      expect(completeAt(text, text.indexOf("\n    pays"))?.next.length).toBeGreaterThan(10);
      return steps;
    };
    const short = at(300);
    expect(at(600)).toBeLessThan(2.5 * short);
  });
});

const ruleSetOf = (text: string): RuleSet => {
  const outcome = readRuleSet(text);
  if (!outcome.ok) throw new Error(formatFaults(outcome.faults));
  return outcome.value;
};

const PHRASE = "I cut, then they parry, then I riposte, then they parry, then I riposte, then they hit";
const VAGUE =
  "I feint with a descending cut or a thrust to the head or leg or arm, then they parry, then I hit to another target";
/** As many rules as there may be, each as long as there is use for. */
const largest = (when: string): string =>
  [
    "name: A",
    "touches:",
    "  I hit: 1",
    "rules:",
    ...Array.from({ length: 250 }, (_, no) => `  - name: R${no}\n    when: ${when}\n    pays: 1 bonus to me`),
  ].join("\n");

describe("bouts made to be scored for ever", () => {
  const rules = ruleSetOf(largest(VAGUE));

  test("the largest rule set is read, printed, told, hashed and compiled", () => {
    for (const text of [largest(PHRASE), largest(VAGUE)]) {
      const ruleSet = ruleSetOf(text);
      expect(explain(ruleSet).rules).toHaveLength(250);
      expect(hashRuleSet(ruleSetOf(printRuleSet(ruleSet)))).toBe(hashRuleSet(ruleSet));
      expect(steps).toBeLessThan(300 * text.length);
    }
  });

  /** R and B act in turn, and of every act nothing is known but what `act` says. */
  const acts = (count: number, act: string): string =>
    Array.from({ length: count }, (_, no) => `${no % 2 === 0 ? "R" : "B"} ${act}`).join(", ");

  test.each([
    ["a hundred of which nothing is known", acts(100, "attack")],
    ["a hundred that may have hit", acts(100, "!?")],
    ["as many as a line holds", acts(780, "attack")],
  ])("an exchange of acts, %s, has a tally under 250 rules", (_, written) => {
    const sheet = readSheet(`1 ${written}`, rules);
    expect(sheet.ok).toBe(true);
    if (!sheet.ok) return;
    const tally = scoreBout(compile(rules), sheet.value);
    expect(Number.isFinite(tally.points.red) && Number.isFinite(tally.bonus.blue)).toBe(true);
    // Nothing is paid for what nobody saw.
    expect(tally.awards).toEqual([]);
  });

  test("an exchange of ten thousand acts is no line of a sheet, and no line of a file", () => {
    const line = readSheet(`1 ${acts(10_000, "cut")}`, rules);
    expect(line.ok ? "reads" : line.faults[0]?.code).toBe("line-too-long");
    const json = JSON.stringify({
      type: "exchange",
      no: 1,
      acts: Array.from({ length: 10_000 }, (_, no) => ({ id: `a${no}`, by: "red" })),
      open: true,
    });
    const read = readJsonLines(json, rules);
    expect(read.ok ? "reads" : read.faults[0]?.code).toBe("line-too-long");
    expect(steps).toBeLessThan(1_000);
  });

  test("a sheet of a hundred thousand lines is refused whole; one within the limit is read line by line", () => {
    const lines = (count: number): string =>
      Array.from({ length: count }, (_, no) => `${no + 1} R cut head ! .`).join("\n");
    const plain = ruleSetOf("name: A\ntouches:\n  I hit: 1\n");
    const whole = readSheet(lines(100_000), plain);
    expect(whole.ok ? "reads" : whole.faults[0]?.code).toMatch(/big|large/);
    expect(steps).toBeLessThan(1_000);
    steps = 0;
    const some = readSheet(lines(2_000), plain);
    expect(some.ok && some.value.length).toBe(2_000);
    expect(steps).toBeLessThan(20 * 2_000);
    if (some.ok) expect(scoreBout(compile(plain), some.value).points).toEqual({ red: 2_000, blue: 0 });
  });

  test("nested brackets of a file are refused before anything walks them", () => {
    const deep = `{"type":"exchange","no":1,"open":true,"acts":${"[".repeat(3_000)}${"]".repeat(3_000)}}`;
    const read = readJsonLines(deep, rules);
    expect(read.ok).toBe(false);
  });
});
