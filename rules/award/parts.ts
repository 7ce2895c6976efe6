/**
 * Parts of a rule set that do not touch each other: rules that share no effect, group, mark or payment. Where an
 * exchange may have gone in too many ways to try them together, each part is tried for itself.
 */
import type { Rule, RuleSet } from "../language/tree.ts";
import type { Unit } from "../vocabulary.ts";
import type { Environment } from "./environment.ts";
import { type Joined, owner } from "./joined.ts";
import type { Part } from "./part.ts";
import type { View } from "./tables.ts";

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
    fields: env.fields.all.filter(({ name }) => belongsTo(name, owners)).map(({ index }) => index),
    made: Uint8Array.from(ruleSet.phrases, (_, i) => Number(owners.has(owner.made(i)))),
    view: view(owners),
  }));
}

/** Fields are named after what changes them. */
function belongsTo(field: string, owners: ReadonlySet<string>): boolean {
  const name = field.replace(/ (red|blue)$/, "");
  for (const owner of owners) {
    const [kind = "", ...rest] = owner.split(" ");
    const own = rest.join(" ");
    if (kind === "mark" && name === owner) return true;
    if (kind === "last" && name === `last phrase ${own}`) return true;
    if (kind !== "rule") continue;
    if (name === `fired ${own}` || name === `last paid ${own}` || name === `held ${own}`) return true;
    if (name.startsWith(`had ${own} `) && HAD.test(name.slice(`had ${own} `.length))) return true;
  }
  return owners.has("touch") && name === "last how";
}

/** The unit and the scope of a limit. */
const HAD = /^(points|bonus|times) (bout|pair|team|evening|hall)$/;
