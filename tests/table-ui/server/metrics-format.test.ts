import { expect, test } from "vitest";
import { readExposition, total } from "../../support/exposition.ts";

const GOOD = `# HELP a_total Things.
# TYPE a_total counter
a_total{kind="one"} 2
a_total{kind="t\\"w\\\\o\\n"} 3
`;

test("the reader of the tests reads a text as it is", () => {
  const read = readExposition(GOOD);
  expect(total(read, "a_total")).toBe(5);
  expect(total(read, "a_total", { kind: 't"w\\o\n' })).toBe(3);
  expect(read.get("a_total")).toMatchObject({ type: "counter", help: "Things." });
});

test.each([
  ["no end", GOOD.trimEnd()],
  ["a series twice", `${GOOD}a_total{kind="one"} 2\n`],
  ["no number", `${GOOD}a_total{kind="x"} two\n`],
  ["an open label", `${GOOD}a_total{kind="x} 2\n`],
  ["a label twice", `${GOOD}a_total{kind="x",kind="y"} 2\n`],
  ["out of place", `${GOOD}b_total 2\n`],
  ["a metric twice", `${GOOD}# TYPE a_total counter\n`],
  ["no such type", `${GOOD}# TYPE b counters\n`],
])("the reader of the tests refuses what is not as it must be: %s", (_, text) => {
  expect(() => readExposition(text)).toThrow();
});
