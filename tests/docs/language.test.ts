/** Runs every block of rules/LANGUAGE.md: what it shows is read, scored and compared, in the order of the page. */
import { describe, expect, test } from "vitest";
import { unsupported } from "../../rules/award/compile.ts";
import { formatFaults } from "../../rules/language/faults.ts";
import { printPhrase } from "../../rules/language/print-phrase.ts";
import { printRuleSet } from "../../rules/language/print.ts";
import { readRuleSet } from "../../rules/language/read.ts";
import { printJsonLines, readJsonLines, readSheet } from "../../rules/language/sheet.ts";
import type { RuleSet } from "../../rules/language/tree.ts";
import { text } from "../support/tree.ts";
import { faultsOf, marksSaid, must, said, score } from "./scored.ts";

interface Block {
  readonly kind: string;
  readonly body: string;
  /** Of its first line on the page. */
  readonly line: number;
}

const page = text("rules/LANGUAGE.md");
const BLOCKS: readonly Block[] = [...page.matchAll(/^```(.*)\n([\s\S]*?)^```$/gm)].map((found) => ({
  kind: found[1] ?? "",
  body: found[2] ?? "",
  line: page.slice(0, found.index).split("\n").length + 1,
}));

/** Names that single sentences of the page use. */
const FRAME = `name: Frame
weapon: longsword
words:
  praise: a call
phrases:
  theme: they cut to the head, then I parry, then I hit
picks:
  week:
    by: the coach
    from: ["1", "2", "3"]
    when: before the evening
  card:
    by: the coach
    from: [ripostes, thrusts]
    when: every 60 s
  secret opening:
    by: each fencer
    from: [upper left opening, upper right opening]
    when: before the bout
marks:
  streak:
    is: a count for each fencer
    changes: up 1 when I hit
  hurry:
    is: a flag for the bout
    changes: on when it is a double
  beaten:
    is: a set for each fencer tonight
    changes: gains the partner at the end of the bout when I win the bout
  initiative:
    is: a token
    starts: with red
  who attacks:
    is: roles attacker and defender for the bout
    starts: with red
bout:
  ends: [after 10 exchanges, after 3 min]
touches:
  I hit: 1
rules:
  - name: Riposte
    when: I riposte and hit
    pays: 1 bonus to me
  - name: Line
`;

const quoted = (line: string): string => `'${line.replaceAll("'", "''")}'`;
const pays = "    pays: 1 bonus to me\n";
/** How one line of a block of sentences stands in a rule. */
const SENTENCES: Readonly<Record<string, (line: string) => string>> = {
  phrase: (line) => `    when: ${quoted(line)}\n${pays}`,
  condition: (line) => `    if: ${quoted(line)}\n${pays}`,
  pays: (line) => `    when: I wait\n    pays: ${quoted(line)}\n`,
  does: (line) => `    does: ${quoted(line)}\n`,
  limit: (line) => `    when: I hit\n${pays}    at most: ${quoted(line)}\n`,
};

const indented = (body: string): string => body.replace(/^(?=.)/gm, "  ");
/** How a piece of a rule set is made whole. */
const WHOLE: Readonly<Record<string, (body: string) => string>> = {
  yaml: (body) => body,
  "yaml part": (body) => `name: Part\n${body}touches:\n  I hit: 1\n`,
  "yaml touches": (body) => `name: Touches\ntouches:\n${indented(body)}`,
  "yaml rules": (body) => `name: Rules\ntouches:\n  I hit: 1\nrules:\n${indented(body)}`,
};

/** What the blocks before have left, as a reader of the page has them in mind. */
interface Reading {
  ruleSet: RuleSet;
  sheet: string;
  faults: string;
}

const readable = (source: string): RuleSet => {
  const outcome = readRuleSet(source, "LANGUAGE.md");
  const ruleSet = must(outcome);
  expect(outcome.ok ? formatFaults(outcome.warnings) : "").toBe("");
  expect(unsupported(ruleSet)).toEqual([]);
  expect(must(readRuleSet(printRuleSet(ruleSet)))).toEqual(ruleSet);
  return ruleSet;
};

function sentences(kind: string, body: string): void {
  const frame = SENTENCES[kind] as (line: string) => string;
  for (const line of body.trimEnd().split("\n")) {
    const ruleSet = must(readRuleSet(FRAME + frame(line), line));
    expect(unsupported(ruleSet), line).toEqual([]);
    // The page teaches the form that is printed.
    expect(printRuleSet(ruleSet).replaceAll(/["'\\]/g, "")).toContain(line.replaceAll(/["']/g, ""));
  }
}

function written(body: string): void {
  for (const line of body.trimEnd().split("\n")) {
    const [from = "", to = ""] = line.split("  =>  ");
    const rule = must(readRuleSet(`${FRAME}    when: ${from}\n${pays}`)).rules[1];
    const [phrase] = rule?.when ?? [];
    expect(phrase && printPhrase(phrase)).toBe(to);
  }
}

function tally(body: string, { ruleSet, sheet }: Reading): void {
  const tallied = score(ruleSet, sheet);
  const lines = body.trimEnd().split("\n");
  const only = (start: string): readonly string[] => lines.filter((line) => line.startsWith(start));
  expect(lines[0]).toBe(said(tallied));
  const says = only("says ");
  const asks = only("asks ");
  if (says.length > 0) expect(says).toEqual(tallied.awards.map(({ sentence }) => `says ${sentence}`));
  if (asks.length > 0)
    expect([...asks].sort()).toEqual(tallied.questions.map((question) => `asks ${question.text}`).sort());
  expect(marksSaid(tallied)).toEqual(expect.arrayContaining([...only("mark ")]));
  expect(lines.length).toBe(1 + says.length + asks.length + only("mark ").length);
}

/** Every small name of the grammar is explained in it, and every explained one is used. */
function grammar(body: string): void {
  const plain = body.replaceAll(/\(\*[\s\S]*?\*\)/g, "").replaceAll(/"[^"]*"/g, "");
  const defined = [...plain.matchAll(/^([a-z]+) +=/gm)].map((found) => found[1] ?? "");
  const used = [...plain.matchAll(/\b[a-z]+\b(?! +=)/g)].map(([name]) => name);
  expect(defined.length).toBeGreaterThan(30);
  expect(used.filter((name) => !defined.includes(name))).toEqual([]);
  expect(new Set(defined).size).toBe(defined.length);
}

/** Runs one block; false where its kind is unknown. */
function run({ kind, body }: Block, reading: Reading): boolean {
  if (kind in WHOLE) reading.ruleSet = readable((WHOLE[kind] as (body: string) => string)(body));
  else if (kind in SENTENCES) sentences(kind, body);
  else if (kind === "yaml fault") reading.faults = faultsOf(readRuleSet(body, "evening.yaml"));
  else if (kind === "sheet fault")
    reading.faults = faultsOf(readSheet(body, reading.ruleSet, "evening.sheet"));
  else if (kind === "sheet" || kind === "sheet same") {
    reading.sheet = body;
    must(readSheet(body, reading.ruleSet, "evening.sheet"));
  } else if (kind === "tally") tally(body, reading);
  else if (kind === "fault") expect(reading.faults).toBe(body.trimEnd());
  else if (kind === "jsonl") {
    const sheet = must(readSheet(reading.sheet, reading.ruleSet));
    expect(printJsonLines(sheet)).toBe(body);
    expect(must(readJsonLines(body, reading.ruleSet))).toEqual(sheet);
  } else if (kind === "written") written(body);
  else if (kind === "ebnf") grammar(body);
  else return false;
  return true;
}

/** What must stand right behind a block, so that nothing is shown without its answer. */
const ANSWER: Readonly<Record<string, string>> = {
  sheet: "tally",
  "sheet same": "jsonl",
  "sheet fault": "fault",
  "yaml fault": "fault",
};

describe("every block of the language's page", () => {
  const reading: Reading = {
    ruleSet: must(readRuleSet("name: None\ntouches:\n  I hit: 1\n")),
    sheet: "",
    faults: "",
  };
  let ran = 0;
  test.each(BLOCKS)("line $line: $kind", (block) => {
    expect(run(block, reading), `"${block.kind}" is no kind of block`).toBe(true);
    ran++;
  });

  test("all of them ran, of every kind", () => {
    expect(ran).toBe(BLOCKS.length);
    expect(ran).toBe(page.match(/^```\S/gm)?.length);
    expect(ran).toBeGreaterThan(50);
    const kinds = new Set(BLOCKS.map(({ kind }) => kind));
    for (const kind of [...Object.keys(WHOLE), ...Object.keys(SENTENCES), ...Object.keys(ANSWER)])
      expect(kinds).toContain(kind);
  });

  test("a sheet has its tally behind it, and a fault its message", () => {
    BLOCKS.forEach(({ kind, line }, at) => {
      const answer = ANSWER[kind];
      if (answer !== undefined) expect(BLOCKS[at + 1]?.kind, `line ${String(line)}`).toBe(answer);
    });
  });
});

/** The keys of the page's two tables, and how one value of each is made a whole rule set. */
const TABLES = [
  {
    keys: "ends starts wins clock halt ties doubles afterblows simultaneous panel limits at-the-end bonus",
    whole: (key: string, value: string) =>
      `name: Bout\nbout:\n  ${key}: ${value}\nmarks:\n  NAME:\n    is: a count for each fencer\n    starts: at 1\ntouches:\n  I hit: 1\n`,
  },
  {
    keys: "by when seen-by shown",
    whole: (key: string, value: string) =>
      printed(
        { by: "the coach", from: "[head, arm]", when: "before each exchange", [key]: value },
        "marks:\n  who:\n    is: roles attacker and defender for the bout\n    starts: with red\n",
      ),
  },
];
const printed = (pick: Readonly<Record<string, string>>, more: string): string =>
  `name: Pick\n${more}picks:\n  card:\n${Object.entries(pick)
    .map(([key, value]) => `    ${key}: ${value}\n`)
    .join("")}touches:\n  I hit: 1\n`;

describe("the tables of the page", () => {
  const rows = [...page.matchAll(/^\| `([^`]+)` \| (.*?) \|/gm)].map((found) => ({
    key: found[1] ?? "",
    values: [...(found[2] ?? "").matchAll(/`([^`]+)`/g)].map(([, value]) => value ?? ""),
  }));

  test.each(
    TABLES.flatMap(({ keys, whole }) =>
      keys.split(" ").map((key) => ({ key: key.replaceAll("-", " "), whole })),
    ),
  )("every value of $key may be written", ({ key, whole }) => {
    const values = rows.find((row) => row.key === key)?.values ?? [];
    expect(values.length).toBeGreaterThan(0);
    for (const value of values) expect(faultsOf(readRuleSet(whole(key, value), value))).toBe("");
  });
});

const MOST = { P: 22, S: 17 } as const;

test(`P1 to P${String(MOST.P)} and S1 to S${String(MOST.S)} are promised, each on one line`, () => {
  const promised = [...page.matchAll(/^- \[([PS]\d+)\] \S/gm)].map((found) => found[1] ?? "");
  const wanted = (["P", "S"] as const).flatMap((letter) =>
    Array.from({ length: MOST[letter] }, (_, i) => `${letter}${String(i + 1)}`),
  );
  expect([...promised].sort()).toEqual([...wanted].sort());
});
