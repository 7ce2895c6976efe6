/** Every condition that a rule names. */
import type { Condition, Rule } from "../language/tree.ts";

export function conditionsOf(rule: Rule): readonly Condition[] {
  const found: Condition[] = [];
  for (const line of rule.if ?? []) found.push(...line);
  for (const line of rule.unless ?? []) found.push(...line);
  for (const { if: some } of rule.pays ?? []) if (some) found.push(...some);
  return found;
}
