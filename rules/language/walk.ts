/** Visits every phrase and condition of a rule set, with what holds it. */
import type { AnyOf, Condition, Doing, Phrase, Quantity, Ref, RuleSet, Step } from "./tree.ts";

/** What a phrase or condition belongs to: a touch, a rule, a mark, a named phrase; for the place of a fault. */
export type Holder = object;

export interface Visitor {
  phrase?(phrase: Phrase, holder: Holder): void;
  condition?(condition: Condition, holder: Holder): void;
}

/** The conditions that a condition is made of; none where it is a plain one. */
export function within(condition: Condition): readonly Condition[] {
  if (condition.is === "these") return condition.these;
  return condition.is === "not" || condition.is === "last" ? [condition.what] : [];
}

/** A condition and all that it is made of. */
export const allWithin = (condition: Condition): readonly Condition[] => [
  condition,
  ...within(condition).flatMap(allWithin),
];

/** The same, but for what earlier exchanges have shown. */
export const ofThisExchange = (condition: Condition): readonly Condition[] =>
  condition.is === "last" ? [condition] : [condition, ...within(condition).flatMap(ofThisExchange)];

function visitCondition(condition: Condition, holder: Holder, visitor: Visitor): void {
  visitor.condition?.(condition, holder);
  if (condition.is === "phrase") visitor.phrase?.(condition.phrase, condition);
  for (const inner of within(condition)) visitCondition(inner, condition, visitor);
}

function visitConditions(lines: AnyOf | undefined, holder: Holder, visitor: Visitor): void {
  for (const line of lines ?? []) for (const condition of line) visitCondition(condition, holder, visitor);
}

/** The marks that a sum reads. */
export const marksOf = (quantity: Quantity): readonly string[] =>
  quantity.flatMap((term) => ("mark" in term ? [term.mark] : []));

/** The marks that a condition itself compares; not those of the conditions that it is made of. */
export function marksRead(condition: Condition): readonly string[] {
  if (condition.is === "mark" || condition.is === "flag") return [condition.mark];
  if (condition.is !== "quantity") return [];
  const { than } = condition;
  const other = "than" in than && than.than !== "theirs" ? marksOf(than.than) : [];
  return [...marksOf(condition.quantity), ...other];
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
