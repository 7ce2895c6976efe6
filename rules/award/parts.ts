/**
 * Parts of a rule set that do not touch each other: rules that share no effect, group, mark or payment. Where an
 * exchange may have gone in too many ways to try them together, each part is tried for itself.
 */
import type { Rule, RuleSet } from "../language/tree.ts";
import type { Unit } from "../vocabulary.ts";
import type { Environment } from "./environment.ts";
import type { View } from "./tables.ts";

/** Who asks: a rule, a mark, the touches, what the next exchange remembers, or the named phrases. */
export const owner = {
  rule: (name: string): string => `rule ${name}`,
  mark: (name: string): string => `mark ${name}`,
  last: (phrase: number): string => `last ${String(phrase)}`,
  made: (index: number): string => `made ${String(index)}`,
  touch: "touch",
} as const;

export interface Part {
  readonly rules: Uint8Array;
  readonly marks: Uint8Array;
  readonly touch: boolean;
  /** By phrase id: what this part remembers for the next exchange. */
  readonly lasts: ReadonlySet<number>;
  readonly made: Uint8Array;
  readonly view: View;
}

/** Which owners belong together. */
export class Joined {
  private readonly parents = new Map<string, string>();

  root(name: string): string {
    const parent = this.parents.get(name);
    if (parent === undefined || parent === name) {
      if (parent === undefined) this.parents.set(name, name);
      return name;
    }
    const root = this.root(parent);
    this.parents.set(name, root);
    return root;
  }

  join(a: string, b: string): void {
    this.parents.set(this.root(a), this.root(b));
  }

  groups(): readonly ReadonlySet<string>[] {
    const groups = new Map<string, Set<string>>();
    for (const name of this.parents.keys()) {
      const root = this.root(name);
      groups.set(root, (groups.get(root) ?? new Set()).add(name));
    }
    return [...groups.values()];
  }
}

const paysIn = (rule: Rule, unit: Unit): boolean =>
  (rule.pays ?? []).some((pay) => !("unit" in pay.sum) || pay.sum.unit === unit);

/** Joins what shares an effect or a group; what a condition names was joined when it was compiled. */
export function joinEffects({ rules, touches }: RuleSet, joined: Joined): void {
  joined.root(owner.touch);
  const withUnit = (rule: Rule, unit: Unit): void => {
    if (unit === "points" && touches.length > 0) joined.join(owner.rule(rule.name), owner.touch);
    for (const other of rules) if (paysIn(other, unit)) joined.join(owner.rule(rule.name), owner.rule(other.name));
  };
  for (const rule of rules) {
    joined.root(owner.rule(rule.name));
    if (rule.bestOf !== undefined) joined.join(owner.rule(rule.name), `best of ${rule.bestOf}`);
    for (const effect of rule.does ?? []) {
      if (effect.is === "annul" || effect.is === "multiply")
        for (const unit of ["points", "bonus"] as const) if (effect.what.includes(unit)) withUnit(rule, unit);
      if (effect.is === "turn over" || effect.is === "hold") withUnit(rule, "bonus");
      if (effect.is === "end the bout") joined.join(owner.rule(rule.name), "ending");
    }
    if (rule.notBelow !== undefined)
      for (const unit of ["points", "bonus"] as const) if (paysIn(rule, unit)) withUnit(rule, unit);
  }
}

/** "I score" asks what everybody's points come to. */
export function joinScore(env: Environment, asker: string): void {
  env.joined.join(asker, owner.touch);
  for (const rule of env.rules) if (paysIn(rule, "points")) env.joined.join(asker, owner.rule(rule.name));
}

export function buildParts(env: Environment, view: (owners: ReadonlySet<string>) => View): readonly Part[] {
  const { ruleSet, rules, joined } = env;
  return joined.groups().map((owners) => ({
    rules: Uint8Array.from(rules, (rule) => Number(owners.has(owner.rule(rule.name)))),
    marks: Uint8Array.from(ruleSet.marks, (mark) => Number(owners.has(owner.mark(mark.name)))),
    touch: owners.has(owner.touch),
    lasts: new Set(env.layout.phrases.map(({ id }) => id).filter((id) => owners.has(owner.last(id)))),
    made: Uint8Array.from(ruleSet.phrases, (_, i) => Number(owners.has(owner.made(i)))),
    view: view(owners),
  }));
}
