/** What every check looks at. */
import type { Envelope } from "./envelope.ts";
import type { Names } from "./names.ts";
import type { Rule, RuleSet } from "./tree.ts";

export interface Checking {
  readonly ruleSet: RuleSet;
  readonly envelope: Envelope;
  readonly names: Names;
  /** Rules with a sentence at fault already. */
  readonly broken: ReadonlySet<Rule>;
}
