/**
 * What a word asks of one action, as a formula over attributes with few values, and what is known of an action, as
 * the set of values that each attribute may still have. A formula on such a store is true, false or undecided; an
 * undecided one names the attribute on which the store has to be split.
 */
export type Formula =
  | { readonly op: "in"; readonly attribute: number; readonly set: bigint }
  | { readonly op: "and" | "or"; readonly of: readonly Formula[] }
  | { readonly op: "not"; readonly of: Formula };

export const FALSE: Formula = { op: "or", of: [] };
export const and = (of: readonly Formula[]): Formula =>
  of.length === 1 ? (of[0] as Formula) : { op: "and", of };
export const or = (of: readonly Formula[]): Formula =>
  of.length === 1 ? (of[0] as Formula) : { op: "or", of };
export const not = (of: Formula): Formula => ({ op: "not", of });

/** For each attribute the values that are still possible, one bit a value. */
export type Store = readonly bigint[];
export type Truth = boolean | undefined;

/** True or false where the store decides it, undefined where it does not. */
export function truth(formula: Formula, store: Store): Truth {
  switch (formula.op) {
    case "in": {
      const possible = store[formula.attribute] as bigint;
      const inside = possible & formula.set;
      return inside === 0n ? false : inside === possible ? true : undefined;
    }
    case "not": {
      const inner = truth(formula.of, store);
      return inner === undefined ? undefined : !inner;
    }
    case "and":
    case "or":
      return truthOfMany(formula.of, store, formula.op === "or");
  }
}

function truthOfMany(of: readonly Formula[], store: Store, decisive: boolean): Truth {
  let open = false;
  for (const part of of) {
    const here = truth(part, store);
    if (here === decisive) return decisive;
    if (here === undefined) open = true;
  }
  return open ? undefined : !decisive;
}

/** The first undecided literal of an undecided formula. */
export function undecided(formula: Formula, store: Store): { attribute: number; set: bigint } | undefined {
  if (formula.op === "in") return truth(formula, store) === undefined ? formula : undefined;
  if (formula.op === "not") return undecided(formula.of, store);
  for (const part of formula.of) {
    if (truth(part, store) !== undefined) continue;
    const found = undecided(part, store);
    if (found) return found;
  }
  return undefined;
}

/** Every literal of a formula, for questions and for the attributes that a rule set mentions. */
export function literals(formula: Formula): readonly { attribute: number; set: bigint }[] {
  if (formula.op === "in") return [formula];
  if (formula.op === "not") return literals(formula.of);
  return formula.of.flatMap(literals);
}
