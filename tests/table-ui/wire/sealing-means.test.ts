/** [W5] Whatever way a rule hangs on a sealed choice, its open awards stay off the views that may not see the choice. */
import { describe, expect, test } from "vitest";
import { readRuleSet } from "../../../rules/index.ts";
import { sealedRules } from "../../../table-ui/wire/sealing.ts";

const under = (rules: string, more = ""): string => `name: Sealed
picks:
  guess:
    by: each fencer
    from:
      - head
      - leg
    when: before the bout
    seen by: the fencer
    shown: at the end
${more}touches:
  I hit: 1
rules:
  - name: Plain
    when: I hit the arm
    pays: 1 bonus to me
${rules}`;

const sealed = (text: string): readonly string[] => {
  const read = readRuleSet(text);
  if (!read.ok) throw new Error(read.faults.map(({ line, message }) => `${line}: ${message}`).join("\n"));
  return [...sealedRules(read.value, new Set(["guess"]))].sort();
};

const rule = (...lines: readonly string[]): string =>
  `  - name: Guessed\n${lines.map((line) => `    ${line}\n`).join("")}`;

describe("[W5] an award hangs on a sealed choice", () => {
  test.each<[string, string]>([
    [
      "that is compared with the other's",
      rule("when: I hit", "if: my guess is theirs", "pays: 1 bonus to me"),
    ],
    ["that is any of several", rule("when: I hit", "if: my guess is head or leg", "pays: 1 bonus to me")],
    ["that is not so", rule("when: I hit", "if: my guess is not head", "pays: 1 bonus to me")],
    [
      "among other conditions",
      rule("when: I hit", "if: 2 or more of I feint; I parry; my guess is head", "pays: 1 bonus to me"),
    ],
    ["as the target itself", rule("when: I hit my guess", "pays: 1 bonus to me")],
  ])("%s", (_, rules) => expect(sealed(under(rules))).toEqual(["Guessed"]));

  const guessed = rule("when: I hit", "if: my guess is head", "pays: 1 bonus to me");
  const another = (...lines: readonly string[]): string =>
    `${guessed}  - name: Follows\n${lines.map((line) => `    ${line}\n`).join("")}`;

  test.each<[string, string]>([
    ["through a rule that it paid", another("when: I hit", `if: '"Guessed" pays me'`, "pays: 1 bonus to me")],
    [
      "through a rule that paid in the last exchange",
      another("when: I hit", 'if: in the last exchange "Guessed" pays me', "pays: 1 bonus to me"),
    ],
    [
      "through a sum of what was paid",
      another("when: I hit", "if: my bonus plus 1 is 3 or more", "pays: 1 bonus to me"),
    ],
    ["through the score", another("when: I hit", "if: I am behind", "pays: 1 bonus to me")],
    ["through the score, negated", another("when: I hit", "if: I am not behind", "pays: 1 bonus to me")],
    ["through how much it is multiplied by", another("when: I hit", "pays: 1 bonus to me times my bonus")],
  ])("%s", (_, rules) => expect(sealed(under(rules))).toEqual(["Follows", "Guessed"]));

  test("through a mark that it moves", () =>
    expect(
      sealed(
        under(
          `${guessed}  - name: Marked\n    when: I hit\n    if: my hunches is 2 or more\n    pays: 1 bonus to me\n`,
          "marks:\n  hunches:\n    is: a count for each fencer\n    changes:\n      - up 1 when my guess is head\n",
        ),
      ),
    ).toEqual(["Guessed", "Marked", "hunches"]));

  test("an effect on every award of the exchange seals them all; on one rule's, that one", () => {
    expect(sealed(under(rule("when: I hit", "if: my guess is head", "does: annul their bonus")))).toEqual([
      "Guessed",
      "Plain",
      "touch",
    ]);
    expect(
      sealed(under(rule("when: I hit", "if: my guess is head", 'does: annul their bonus from "Plain"'))),
    ).toEqual(["Guessed", "Plain"]);
  });

  test("what has nothing to do with it is not sealed", () =>
    expect(sealed(under(rule("when: I hit", "if: my guess is head", "pays: 1 bonus to me")))).toEqual([
      "Guessed",
    ]));
});
