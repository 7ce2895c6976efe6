/** Every condition that a rule names. */
import type { Condition, Rule } from "../language/tree.ts";

export const conditionsOf = (rule: Rule): readonly Condition[] => [
  ...(rule.if ?? []).flat(),
  ...(rule.unless ?? []).flat(),
  ...(rule.pays ?? []).flatMap((pay) => pay.if ?? []),
];
