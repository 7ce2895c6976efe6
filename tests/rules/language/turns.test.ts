/** What coaches say first, and the sentence that the message gives back (common practice, no source). */
import { expect, test } from "vitest";
import { readRuleSet } from "../../../rules/index.ts";

const fileWith = (key: string, sentence: string): string =>
  [
    "name: Turns",
    "marks:",
    "  blots: { is: a count for each fencer, changes: up 1 when I miss }",
    "  initiative: { is: a token, changes: passes to me when I parry }",
    "touches:",
    "  I hit: 1",
    "rules:",
    "  - name: Turn",
    ...(key === "when" ? [] : ["    when: I hit"]),
    `    ${key}: ${JSON.stringify(sentence)}`,
    ...(key === "pays" || key === "does" ? [] : ["    pays: 1 bonus to me"]),
    "",
  ].join("\n");

const saidOf = (key: string, sentence: string): string => {
  const outcome = readRuleSet(fileWith(key, sentence), "turns.yaml");
  return outcome.ok ? "" : outcome.faults.map(({ message }) => message).join("\n");
};

test.each([
  ["when", "I hit first", "first I hit"],
  ["when", "I parry twice, then I hit", "I parry, then I parry, then I hit"],
  ["if", "I have the initiative", "the initiative is mine"],
  ["if", "they have 3 blots", "their blots is 3 or more"],
  ["if", "I have no warnings", "my warnings is 0"],
  ["if", "it is the third exchange", "it is exchange 3"],
  ["if", "I lost the last exchange", "in the last exchange they score"],
  ["if", "the last exchange was a double", "in the last exchange it is a double"],
  ["if", "at least 2 of I feint; I beat; I bind", "2 or more of I feint; I beat; I bind"],
  ["if", "my blots equals theirs", "my blots is level with theirs"],
  ["pays", "1 bonus to both", "1 bonus to us both"],
  ["pays", "up to 2 bonus to me", "between 0 and 2 bonus to me as the judge says"],
  ["pays", "the touch again to me", "1 point to me times my touch"],
  ["does", "cancel my points", "annul my points"],
  ["does", "end the bout, they win", "end the bout, I lose"],
  ["at most", "once per opponent", "once a pair tonight"],
])("%s: %s => %s", (key, sentence, whole) => {
  expect(saidOf(key, sentence)).toContain(`"${whole}"`);
  if (!whole.startsWith("between")) expect(saidOf(key, whole)).toBe("");
});

test.each(["I am ahead", "it is a double", "my blots is 3 or more"])(
  "how it stands belongs under if: %s",
  (sentence) => {
    expect(saidOf("when", sentence)).toContain(`under "if" of a rule, as in "if: ${sentence}"`);
    expect(saidOf("if", sentence)).toBe("");
  },
);
