import { expect, test } from "vitest";
import { readRuleSet } from "../../../rules/index.ts";
import { sealedRules } from "../../../table-ui/wire/sealing.ts";

const read = readRuleSet(`name: Chains
picks:
  secret:
    by: each fencer
    from: [head, leg]
    when: before the bout
    seen by: the fencer
    shown: at the end
touches:
  I hit: 1
rules:
  - name: Plain
    when: I parry, then I hit
    pays: 1 bonus to me
  - name: Own secret
    when: I hit my secret
    pays: 3 bonus to me
  - name: On top
    if: '"Own secret" pays me'
    pays: 1 bonus to me
  - name: Behind
    when: I hit
    if: I am behind
    pays: 1 bonus to me
`);

test("[W5] what hangs on a sealed choice: rules that name it, rules that name those, rules that read the score", () => {
  if (!read.ok) throw new Error(JSON.stringify(read.faults));
  const sealed = sealedRules(read.value, new Set(["secret"]));
  expect([...sealed].sort()).toEqual(["Behind", "On top", "Own secret"]);
});

test("where nothing is hidden nothing is sealed", () => {
  if (!read.ok) throw new Error(JSON.stringify(read.faults));
  expect([...sealedRules(read.value, new Set())]).toEqual([]);
});
