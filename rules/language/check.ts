/**
 * What a rule set must hold together beyond each sentence's grammar. Faults block it, warnings never do. Everything is
 * said at once.
 */
import { checkConditions } from "./check-conditions.ts";
import { checkDeeds } from "./check-deeds.ts";
import { checkEvening } from "./check-evening.ts";
import { checkMarks } from "./check-marks.ts";
import { checkNames } from "./check-names.ts";
import { checkPhrases } from "./check-phrases.ts";
import { checkPicks } from "./check-picks.ts";
import { checkRules } from "./check-rules.ts";
import { warn } from "./check-warnings.ts";
import type { Checking } from "./checking.ts";
import type { Envelope } from "./envelope.ts";
import type { Names } from "./names.ts";
import type { Rule, RuleSet } from "./tree.ts";

export function check(ruleSet: RuleSet, envelope: Envelope, names: Names, broken: ReadonlySet<Rule>): void {
  const checking: Checking = { ruleSet, envelope, names, broken };
  checkNames(checking);
  checkPhrases(checking);
  checkPicks(checking);
  checkRules(checking);
  checkMarks(checking);
  checkEvening(checking);
  checkConditions(checking);
  checkDeeds(checking);
  warn(checking);
}
