/** Visits every phrase and condition of a rule set, with what holds it. */
import type { AnyOf, Condition, Doing, Phrase, Ref, RuleSet, Step } from "./tree.ts";

/** What a phrase or condition belongs to: a touch, a rule, a mark, a named phrase; for the place of a fault. */
export type Holder = object;

export interface Visitor {
  phrase?(phrase: Phrase, holder: Holder): void;
  condition?(condition: Condition, holder: Holder): void;
}

function visitConditions(lines: AnyOf | undefined, holder: Holder, visitor: Visitor): void {
  for (const line of lines ?? [])
    for (const condition of line) {
      visitor.condition?.(condition, holder);
      if (condition.is === "phrase") visitor.phrase?.(condition.phrase, condition);
      if (condition.is === "last" && typeof condition.what !== "string")
        visitor.phrase?.(condition.what, condition);
    }
}

export function visit(ruleSet: RuleSet, visitor: Visitor): void {
  for (const named of ruleSet.phrases) visitor.phrase?.(named.phrase, named);
  for (const touch of ruleSet.touches) visitor.phrase?.(touch.phrase, touch);
  for (const mark of ruleSet.marks)
    for (const change of mark.changes)
      if (change.when.is !== "every") visitConditions([change.when.all], change, visitor);
  for (const rule of ruleSet.rules) {
    for (const phrase of rule.when ?? []) visitor.phrase?.(phrase, rule);
    visitConditions(rule.if, rule, visitor);
    visitConditions(rule.unless, rule, visitor);
    for (const pay of rule.pays ?? []) if (pay.if) visitConditions([pay.if], pay, visitor);
    for (const effect of rule.does ?? [])
      if (effect.is === "hold" && effect.lostIf) visitor.phrase?.(effect.lostIf, effect);
  }
}

export const isAction = (step: Step): step is Step & { readonly doing: Doing } => !("make" in step.doing);

/** Every value from outside that an action is compared with, and the slot that it stands in. */
export function refsOf(
  doing: Doing,
): readonly { readonly ref: Ref; readonly slot: "with" | "to" | "from" }[] {
  return (["with", "to", "from"] as const).flatMap((slot) =>
    (doing[slot] ?? []).flatMap((choice) =>
      choice.any.flatMap((one) => ("ref" in one ? [{ ref: one, slot }] : [])),
    ),
  );
}
