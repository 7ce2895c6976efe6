/** The conditions that rules name. */
import { within } from "../language/walk.ts";
import type { Condition, Rule } from "../language/tree.ts";

/** Those that others are made of included; what earlier exchanges have shown stays out. */
export function conditionsOf(rule: Rule): readonly Condition[] {
  const found: Condition[] = [];
  for (const line of rule.if ?? []) gather(line, found);
  for (const line of rule.unless ?? []) gather(line, found);
  for (const { if: some } of rule.pays ?? []) if (some) gather(some, found);
  return found;
}

function gather(all: readonly Condition[], found: Condition[]): void {
  for (const one of all) {
    found.push(one);
    if (one.is === "not" || one.is === "these") gather(within(one), found);
  }
}
