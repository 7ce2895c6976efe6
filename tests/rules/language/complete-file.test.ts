import { describe, expect, test } from "vitest";
import { completeAt } from "../../../rules/language/complete-file.ts";

const FILE = `name: Evening
weapon: longsword
phrases:
  theme: they cut to the head, then I parry
marks:
  streak:
    is: a count for each fencer
    changes: up 1 when I hit
bout:
  ends: |
touches:
  I hit the |: 2
rules:
  - name: Answer
    when: I make the |
    if:
      - my |
    pays: 2 |
    watch: |
`;

/** What is offered at the n-th bar of the file; the other bars are left out. */
function at(n: number, file = FILE): readonly string[] | undefined {
  const parts = file.split("|");
  const before = parts.slice(0, n).join("");
  const text = parts.join("");
  return completeAt(text, before.length)?.next.map((one) => one.text);
}

describe("completion where the caret stands in a file", () => {
  test("a sentence of the bout", () => {
    expect(at(1)).toContain("after");
    expect(at(1)).not.toContain("I");
  });

  test("a touch is a phrase in the key's place", () => {
    expect(at(2)).toContain("head");
  });

  test("a rule's sentences know the names that the file gives, though other lines are unfinished", () => {
    expect(at(3)).toEqual(["theme"]);
    expect(at(4)).toContain("streak");
    expect(at(5)).toEqual(expect.arrayContaining(["bonus", "points"]));
    expect(at(6)).toContain("the table");
  });

  test("keys where a line begins", () => {
    expect(at(1, "name: A\nto|")).toEqual(["touches:"]);
    expect(at(1, "rules:\n  - name: A\n    un|")).toEqual(["unless:"]);
  });

  test("a name and a number are their writer's own", () => {
    expect(at(1, "name: My |")).toBeUndefined();
    expect(at(1, "rules:\n  - name: My |")).toBeUndefined();
  });
});
