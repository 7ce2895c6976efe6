/** The conditions that rules name. */
import { ofThisExchange } from "../language/walk.ts";
import type { Condition, Rule } from "../language/tree.ts";

/** Those that others are made of included; what earlier exchanges have shown stays out. */
export function conditionsOf(rule: Rule): readonly Condition[] {
  const found: Condition[] = [];
  for (const line of rule.if ?? []) found.push(...line);
  for (const line of rule.unless ?? []) found.push(...line);
  for (const { if: some } of rule.pays ?? []) if (some) found.push(...some);
  return found.flatMap(ofThisExchange);
}
