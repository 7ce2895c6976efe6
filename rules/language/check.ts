import type { Envelope } from "./envelope.ts";
import type { Names } from "./names.ts";
import type { Rule, RuleSet } from "./tree.ts";
export function check(_ruleSet: RuleSet, _envelope: Envelope, _names: Names, _broken: ReadonlySet<Rule>): void {}
