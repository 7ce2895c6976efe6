/** The rule sets that the scoring bench times, with 20 rules and with the first five of them. */
import { formatFaults } from "../../rules/language/faults.ts";
import { readRuleSet } from "../../rules/language/read.ts";
import type { RuleSet } from "../../rules/language/tree.ts";

export const RULES: readonly string[] = [
  `{name: Cover and answer, when: "they strike to the head, then I parry, then I riposte and hit", pays: 2 bonus to me, at most: 6 bonus a bout}`,
  `{name: Stop-cut, when: "they feint, then I stop-hit with a cut to the arm and hit", unless: they hit, pays: 2 bonus to me}`,
  `{name: Thrust after cut, when: "I cut, then I hit with a thrust", pays: 1 bonus to me}`,
  `{name: Head parry, when: "they strike to the head, at once I parry", pays: 0.5 bonus to me, at most: 2 bonus a bout}`,
  `{name: Crossed feet, when: they cross the feet, pays: 1 bonus to me}`,
  `{name: Away clean, when: "I hit, then I withdraw, then they never hit", pays: 1 bonus to me}`,
  `{name: Slip and cut, when: "they strike to the leg, then I slip the leg, then I hit the head with a cut", pays: 2 bonus to me}`,
  `{name: Cut cut thrust, when: "I cut, then I cut, then I hit with a thrust", pays: 2 bonus to me}`,
  `{name: Disarm, when: I disarm, unless: they hit, pays: 2 bonus to me}`,
  `{name: Bind and hit, when: "I bind, at once I hit", pays: 1 bonus to me}`,
  `{name: Press, when: "I press, then I hit", pays: 1 point to me}`,
  `{name: Feint and hit, when: "I feint, then they never parry, then I hit", pays: 1 bonus to me}`,
  `{name: Second intention, when: "I attack, then they parry, then I hit with a thrust", pays: 1 bonus to me}`,
  `{name: Counter, when: "they attack, at once I counter-attack and hit", pays: 1 bonus to me}`,
  `{name: Drawn out, when: "they withdraw, then I hit the leg", pays: 1 bonus to me}`,
  `{name: Head, when: I hit the head with a thrust, pays: "2, 1, then 0 bonus to me"}`,
  `{name: Arm, when: I hit the arm, pays: 0.5 bonus to me, at most: 2 bonus a bout}`,
  `{name: Void and hit, when: "they strike, then I void, then I hit", pays: 1 bonus to me}`,
  `{name: Grapple, when: they grapple, unless: I hit, pays: 1 bonus to me}`,
  `{name: Behind, when: I riposte and hit, if: I am behind, pays: 1 bonus to me}`,
];

export function benchRules(count: number): string {
  return [
    "name: Bench",
    "bout: {ends: at 99 points, doubles: 1 off each}",
    "touches: {I hit: 1, I hit the head: 2}",
    "rules:",
    ...RULES.slice(0, count).map((rule) => `  - ${rule}`),
    "",
  ].join("\n");
}

export function benchRuleSet(count: number): RuleSet {
  const read = readRuleSet(benchRules(count));
  if (!read.ok) throw new Error(formatFaults(read.faults));
  return read.value;
}
