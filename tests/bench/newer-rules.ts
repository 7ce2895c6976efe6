/** Twenty rules that use the newer means of the language: "not", sums, so many of several, the last exchanges, shared limits. */
import { formatFaults } from "../../rules/language/faults.ts";
import { readRuleSet } from "../../rules/language/read.ts";
import type { RuleSet } from "../../rules/language/tree.ts";

const RULES: readonly string[] = [
  `{name: Sum, when: "they strike, then I parry, then I hit", if: my blots plus their blots is 2 or more, pays: 1 bonus to me}`,
  `{name: More, when: "I feint, next I hit the arm", if: my blots plus 1 is not more than their blots, pays: 1 bonus to me}`,
  `{name: Two of three, when: "they parry, then I hit with a cut", if: 2 or more of I feint; they bind; I am behind, pays: 2 bonus to me}`,
  `{name: None of, when: I riposte and hit, if: none of they parry; they void, pays: 1 bonus to me}`,
  `{name: Often, when: "I attack, then I hit", if: in 2 or more of the last 3 exchanges I hit, pays: 1 bonus to me}`,
  `{name: Never so, when: "I bind, then I hit", if: "it never happens that they feint, then I parry", pays: 0.5 bonus to me}`,
  `{name: Not ahead, when: "they cut, then I hit the leg with a cut", if: I am not ahead, pays: 1 point to me}`,
  `{name: Unpaid, when: "I press, then I hit", if: '"Often" does not pay me', pays: 0.5 bonus to me}`,
  `{name: After none, when: "I hit, then I withdraw", if: in the last exchange it is not a double, pays: 0.5 bonus to me}`,
  `{name: Together, when: I disarm, unless: they hit, pays: 1 bonus to me, at most: 4 bonus a bout for us both}`,
  `{name: Half more, when: "I feint, then I hit with a cut", does: multiply my bonus from "Two of three" by 1.5}`,
  `{name: By touch, when: "they attack, at once I counter-attack and hit", pays: 1 bonus to me times my touch}`,
  `{name: By blots, when: "they withdraw, then I hit the head", pays: 0.5 bonus to me times my blots plus their blots}`,
  `{name: Both, when: "I grapple, then they grapple", pays: 0.5 bonus to us both}`,
  `{name: Late, when: "they strike to the leg, then I slip the leg", if: it is exchange 3 or more, pays: 1 bonus to me}`,
  `{name: Next, when: "I parry, next I hit", pays: 1 bonus to me}`,
  `{name: Unanswered, when: "they feint, then I stop-hit and hit", if: they never hit, pays: 2 bonus to me}`,
  `{name: Far ahead, when: they cross the feet, if: my points is more than their points plus 1, pays: 1 bonus to me}`,
  `{name: Voided, when: "I strike, then they void", does: annul my bonus from "By blots"}`,
  `{name: Not both, when: "they feint, then I bind", unless: 2 or more of I hit; they hit; they parry, pays: 0.5 bonus to me}`,
];

const NEWER = [
  "name: Newer means",
  "bout: {ends: at 99 points, doubles: 1 off each}",
  "marks: {blots: {is: a count for each fencer, changes: [up 1 when I cross the feet]}}",
  "touches: {I hit: 1, I hit the head: 2}",
  "rules:",
  ...RULES.map((rule) => `  - ${rule}`),
  "",
].join("\n");

export function newerRuleSet(): RuleSet {
  const read = readRuleSet(NEWER);
  if (!read.ok) throw new Error(formatFaults(read.faults));
  return read.value;
}
