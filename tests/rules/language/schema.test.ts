/** `garland schema`: the schema takes what the reader takes of the envelope, and refuses what it refuses. */
import { Ajv2020 } from "ajv/dist/2020.js";
import { describe, expect, test, vi } from "vitest";
import { parse, stringify } from "yaml";
import { KEYS, type Holds, type Keys } from "../../../rules/language/keys.ts";
import { readRuleSet } from "../../../rules/language/read.ts";
import { envelopeSchema } from "../../../rules/language/schema.ts";
import { schema as schemaCommand } from "../../../table-ui/cli/schema.ts";
import { caseFiles, pageFiles, readySets } from "../../support/rule-files.ts";

const ajv = new Ajv2020({ strict: true, allowUnionTypes: true, allErrors: true });
const schema = envelopeSchema();
const takes = ajv.compile(schema);
const said = (data: unknown): string => (takes(data) ? "" : ajv.errorsText(takes.errors));

type Json = string | number | boolean | null | Json[] | { [key: string]: Json };

describe("the schema", () => {
  test("is valid against the meta-schema of 2020-12", async () => {
    expect(schema["$schema"]).toBe("https://json-schema.org/draft/2020-12/schema");
    expect(schema["$id"]).toMatch(/^urn:/);
    expect(await ajv.validateSchema(schema)).toBe(true);
  });

  test("is what `garland schema` prints", () => {
    const write = vi.spyOn(process.stdout, "write").mockReturnValue(true);
    schemaCommand();
    const printed = write.mock.calls.map(([text]) => String(text)).join("");
    write.mockRestore();
    expect(JSON.parse(printed)).toEqual(JSON.parse(JSON.stringify(schema)));
  });

  test("says of every key what it is for, in words, and knows no other keys", () => {
    const groups: { readonly keys: Keys; readonly schema: Record<string, unknown> }[] = [];
    const walk = (keys: Keys, at: Record<string, unknown>): void => {
      groups.push({ keys, schema: at });
      const properties = at["properties"] as Record<string, Record<string, unknown>>;
      for (const [name, { holds }] of Object.entries(keys)) {
        const inner = properties[name] ?? {};
        const each: Holds = holds.is === "own keys" ? holds.each : holds;
        const below = inner[holds.is === "own keys" ? "additionalProperties" : "items"] ?? inner;
        if (each.is === "group" || each.is === "list") walk(each.keys, below as Record<string, unknown>);
      }
    };
    walk(KEYS, schema as Record<string, unknown>);
    // The file, a pick, a mark, the bout, a rule.
    expect(groups).toHaveLength(5);
    for (const { keys, schema: group } of groups) {
      const properties = group["properties"] as Record<string, Record<string, unknown>>;
      expect(group["additionalProperties"]).toBe(false);
      expect(Object.keys(properties)).toEqual(Object.keys(keys));
      for (const property of Object.values(properties)) {
        expect(property["title"]).toMatch(/^\S.{2,}/);
        expect(property["description"]).toMatch(/^[A-Z].*\.$/);
      }
    }
  });
});

const GOOD = [...readySets(), ...caseFiles(), ...pageFiles()];

describe("every rule set in the house validates", () => {
  test("there are many", () => expect(GOOD.length).toBeGreaterThanOrEqual(80));

  test.each(GOOD)("$name", ({ text }) => {
    // As an editor reads YAML, and as the reader does, for whom all is text.
    expect(said(parse(text))).toBe("");
    expect(said(parse(text, { schema: "failsafe" }))).toBe("");
  });
});

/** A rule set with every key. */
const FULL: Json = {
  name: "Every key",
  weapon: "longsword",
  words: { praise: "a call", "stutter step": "action" },
  phrases: { theme: "I cut to the leg" },
  picks: {
    card: {
      by: "each fencer",
      from: ["head", "arm"],
      when: "after every 2 exchanges",
      "seen by": "the table",
      shown: "at the end",
      turns: 2,
    },
  },
  marks: { streak: { is: "a count for each fencer", starts: "at 1", changes: ["up 1 when I hit"] } },
  bout: {
    ends: ["at 5 points", "after 3 min"],
    starts: "the weaker has 1 point",
    wins: "who has more points",
    clock: "running",
    halt: "on every hit",
    ties: "sudden death",
    doubles: "score nothing",
    afterblows: "both score",
    simultaneous: "score nothing",
    panel: "majority",
    limits: "3 points a fencer",
    "at the end": "bonus stays apart",
    bonus: "stays apart",
  },
  touches: { "I hit the head": 2, "I hit": 1 },
  rules: [
    {
      name: "Answer",
      when: ["I parry, then I hit", "I make the theme"],
      if: "I am behind",
      unless: "they hit",
      pays: "1 bonus to me",
      does: "annul their points",
      "at most": ["4 bonus a bout"],
      "best of": "answers",
      "not below": 0,
      watch: "judge 1",
    },
    { name: "Last", at: "the end of the bout", if: "I win the bout", pays: "1 bonus to me" },
  ],
};

/** What might stand in a place by mistake. */
const INSTEAD: readonly Json[] = [
  "",
  "something",
  "one",
  "12345678",
  'a "quoted" name',
  "\u0007",
  "x".repeat(201),
  7,
  1_000_000,
  null,
  [],
  {},
  ["something"],
  ["head", "head"],
  [["nested"]],
  [{ name: "Twice" }],
  { something: "else" },
  { name: "A map" },
  "a call",
  "spear",
];

const isMap = (value: Json): value is { [key: string]: Json } =>
  typeof value === "object" && value !== null && !Array.isArray(value);

/** The value with another in its place, at every place, and every key taken away, misspelt and added once. */
function* mutants(value: Json): Generator<Json> {
  yield* INSTEAD;
  if (Array.isArray(value)) {
    for (const [at, item] of value.entries())
      for (const mutant of mutants(item)) yield value.map((one, i) => (i === at ? mutant : one));
    yield [...value, ...value];
  }
  if (!isMap(value)) return;
  yield { ...value, speed: "high" };
  yield { ...value, Sheets: [] };
  for (const [key, item] of Object.entries(value)) {
    const { [key]: _gone, ...rest } = value;
    yield rest;
    yield { ...rest, [`${key}s`]: item };
    for (const mutant of mutants(item)) yield { ...value, [key]: mutant };
  }
}

/** Faults of the envelope: its keys, what they hold, what is missing. */
const OF_ENVELOPE: ReadonlySet<string> = new Set([
  "unknown-key",
  "sheets-key",
  "missing-key",
  "wants-text",
  "wants-keys",
  "wants-rules",
  "wants-number",
  "no-name",
  "bad-name",
  "too-many",
  "too-long",
]);

describe("reader and schema agree about the envelope", () => {
  test("the rule set with every key has every key, and no fault of the envelope", () => {
    const outcome = readRuleSet(stringify(FULL));
    const codes = outcome.ok ? [] : outcome.faults.map(({ code }) => code);
    expect(codes.filter((code) => OF_ENVELOPE.has(code))).toEqual([]);
    expect(said(FULL)).toBe("");
    const written = JSON.stringify(FULL);
    for (const [name, { holds }] of Object.entries(KEYS as Keys)) {
      const inner = holds.is === "own keys" ? holds.each : holds;
      const names = inner.is === "group" || inner.is === "list" ? Object.keys(inner.keys) : [];
      for (const key of [name, ...names]) expect(written).toContain(`"${key}":`);
    }
  });

  test("what the reader refuses of it the schema refuses, and what the reader takes the schema takes", () => {
    let refused = 0;
    let taken = 0;
    const apart: string[] = [];
    for (const mutant of mutants(FULL)) {
      const text = stringify(mutant, { nullStr: "", lineWidth: 0 });
      const outcome = readRuleSet(text);
      const fault = outcome.ok ? undefined : outcome.faults.find(({ code }) => OF_ENVELOPE.has(code));
      const schemaTakes = takes(mutant);
      if (fault !== undefined) refused++;
      if (outcome.ok) taken++;
      if (fault !== undefined && schemaTakes) apart.push(`schema takes: ${fault.message} ${fault.source}`);
      if (outcome.ok && !schemaTakes) apart.push(`schema refuses: ${ajv.errorsText(takes.errors)}`);
    }
    expect(apart).toEqual([]);
    expect(refused).toBeGreaterThan(300);
    expect(taken).toBeGreaterThan(30);
  });

  test("a closed value is one of its list", () => {
    const faulty = (change: Record<string, Json>): boolean => takes({ ...(FULL as object), ...change });
    expect(faulty({ weapon: "sabre" })).toBe(true);
    expect(faulty({ weapon: "spear" })).toBe(false);
    expect(faulty({ rules: [{ name: "Last", at: "the end of the match" }] })).toBe(false);
  });
});
