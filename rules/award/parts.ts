/**
 * Parts of a rule set that do not touch each other: rules that share no effect, group, mark or payment. Where an
 * exchange may have gone in too many ways to try them together, each part is tried for itself.
 */
import type { Condition, Owner, Quantity, Receiver, Rule, RuleSet } from "../language/tree.ts";
import { type Unit, UNITS } from "../vocabulary.ts";
import type { BoutRules } from "../language/tree-bout.ts";
import type { Environment } from "./environment.ts";
import { type Joined, owner } from "./joined.ts";
import { keyOf } from "./keys.ts";
import { HIT_FIELDS } from "./level.ts";
import type { SideIndex } from "./machine.ts";
import type { Part } from "./part.ts";
import { isShared } from "./shared.ts";
import { ofThisExchange } from "../language/walk.ts";
import { conditionsOf } from "./walk-rules.ts";
import type { View } from "./tables.ts";

const paysIn = (rule: Rule, unit: Unit): boolean =>
  (rule.pays ?? []).some((pay) => !("unit" in pay.sum) || pay.sum.unit === unit);

/** Joins what shares an effect or a group; what a condition names was joined when it was compiled. */
export function joinEffects({ rules, touches, bout }: RuleSet, joined: Joined): void {
  joined.root(owner.touch);
  const withUnit = (rule: Rule, unit: Unit): void => {
    if (unit === "points" && touches.length > 0) joined.join(owner.rule(rule.name), owner.touch);
    for (const other of rules)
      if (paysIn(other, unit)) joined.join(owner.rule(rule.name), owner.rule(other.name));
  };
  for (const rule of rules) {
    joined.root(owner.rule(rule.name));
    if (rule.bestOf !== undefined) joined.join(owner.rule(rule.name), `best of ${rule.bestOf}`);
    for (const effect of rule.does ?? []) {
      if (effect.is === "annul" || effect.is === "multiply" || effect.is === "turn over") {
        if (effect.from !== undefined) joined.join(owner.rule(rule.name), owner.rule(effect.from));
        else for (const unit of UNITS) if (effect.what.includes(unit)) withUnit(rule, unit);
      }
      if (effect.is === "hold") withUnit(rule, "bonus");
      if (effect.is === "end the bout") joined.join(owner.rule(rule.name), "ending");
    }
    if (rule.notBelow !== undefined) for (const unit of UNITS) if (paysIn(rule, unit)) withUnit(rule, unit);
    // One limit for all of a fencer's points.
    if (bout.limit !== undefined && paysIn(rule, "points")) withUnit(rule, "points");
  }
}

/** "I score" asks what everybody's points come to. */
export function joinScore(env: Environment, asker: string): void {
  env.joined.join(asker, owner.touch);
  for (const rule of env.rules) if (paysIn(rule, "points")) env.joined.join(asker, owner.rule(rule.name));
}

export function buildParts(
  env: Environment,
  view: (owners: ReadonlySet<string>, side: SideIndex | undefined) => View,
): readonly Part[] {
  return env.joined
    .groups()
    .flatMap((owners) =>
      isOneFencers(env, owners)
        ? SIDES.map((side) => buildPart(env, owners, view(owners, side), side))
        : [buildPart(env, owners, view(owners, undefined), undefined)],
    );
}

const SIDES: readonly SideIndex[] = [0, 1];

function buildPart(
  env: Environment,
  owners: ReadonlySet<string>,
  view: View,
  side: SideIndex | undefined,
): Part {
  const { ruleSet, rules } = env;
  const { phrases } = env.layout;
  return {
    rules: Uint8Array.from(rules, (rule) => Number(owners.has(owner.rule(rule.name)))),
    marks: Uint8Array.from(ruleSet.marks, (mark) => Number(owners.has(owner.mark(mark.name)))),
    touch: owners.has(owner.touch),
    hits: owners.has(owner.hits),
    ends: owners.has("ending"),
    sides: side === undefined ? SIDES : [side],
    kept: new Set([...env.kept.values()].map(({ id }) => id).filter((id) => owners.has(owner.kept(id)))),
    fields: env.fields.all
      .filter((field) => belongsTo(field.name, owners) && (side === undefined || field.side === side))
      .map(({ index }) => index),
    keys: keysOf(env, owners, side),
    phrases: phrases
      .filter(({ id }) => [...(env.askers.get(id) ?? [])].some((asker) => owners.has(asker)))
      .map(({ phrase }) => phrase),
    made: Uint8Array.from(ruleSet.phrases, (_, i) => Number(owners.has(owner.made(i)))),
    view,
  };
}

/** Whether one fencer's touch may change what the other's is worth, or is written to the other. */
const touchesMeet = ({ afterblows, doubles, wins }: BoutRules): boolean =>
  afterblows.is !== "both score" ||
  afterblows.onlyOf !== undefined ||
  doubles.is === "the difference scores" ||
  wins === "who has fewer points against";

/** Whether what one fencer earns here never depends on what the other fires in the same exchange. */
function isOneFencers(env: Environment, owners: ReadonlySet<string>): boolean {
  const { bout, marks } = env.ruleSet;
  if (owners.has("ending") || owners.has(owner.hits) || owners.size === 0) return false;
  if (owners.has(owner.touch) && touchesMeet(bout)) return false;
  // A mark that is read inside the exchange may follow what the other does.
  if (env.layout.phrases.some((one) => one.marksAtThatMoment.some((mark) => owners.has(owner.mark(mark)))))
    return false;
  const own = marks.filter((mark) => owners.has(owner.mark(mark.name)));
  if (own.some((mark) => mark.is === "token" || mark.is === "roles" || !EACH.includes(mark.for)))
    return false;
  const changes = own.flatMap((mark) => mark.changes);
  const conditions = changes.flatMap(({ when }) => (when.is === "every" ? [] : when.all));
  const kept = [...env.kept.values()].filter(({ id }) => owners.has(owner.kept(id)));
  const rules = env.rules.filter((rule) => owners.has(owner.rule(rule.name)));
  const asked = [...conditions, ...kept.map(({ condition }) => condition)].flatMap(ofThisExchange);
  if ([...asked, ...rules.flatMap(conditionsOf)].some(looksAcross)) return false;
  const pays = rules.flatMap((rule) => rule.pays ?? []);
  const times = [...pays, ...changes.map(({ does }) => does)].flatMap((one) =>
    "times" in one && one.times !== undefined ? [one.times] : [],
  );
  if (times.some(({ quantity, now }) => quantity.some((term) => readsAcross(term, now === true))))
    return false;
  const effects = rules.flatMap((rule) => rule.does ?? []);
  if (rules.length === 1 && effects.length === 0 && pays.every(({ to }) => isTheirs(to)))
    return !owners.has(owner.touch) && !hasShared(rules);
  return (
    pays.every(({ to }) => !isTheirs(to) && to !== "us both") &&
    !hasShared(rules) &&
    effects.every((effect) =>
      effect.is === "annul" || effect.is === "multiply"
        ? effect.whose === "my"
        : effect.is === "warn" || effect.is === "retire",
    )
  );
}

const EACH: readonly string[] = [
  "each fencer",
  "each fencer in each exchange",
  "each fencer tonight",
  "each team tonight",
];
const hasShared = (rules: readonly Rule[]): boolean =>
  rules.some((rule) => (rule.atMost ?? []).some(isShared));
const isTheirs = (to: Receiver): boolean => to === "them" || to === "their team";

/** A number of a sum that the other fencer has or changes in this exchange. */
const readsAcross = (term: Quantity[number], now: boolean): boolean =>
  "owner" in term && !isMine(term.owner) && (now || ("counted" in term && term.counted === "touch"));
const isMine = (whose: Owner): boolean => whose === "my" || whose === "my team's";

/** A condition on what the other fencer has got or changed in this exchange. */
function looksAcross(c: Condition): boolean {
  if (c.is === "rule pays") return c.last !== true && c.who === "them";
  if (c.is === "outcome") return true;
  if (c.is === "quantity") return true;
  if (c.is === "mark") return c.now === true && (c.owner === "their" || typeof c.than === "string");
  return c.is === "flag" && c.now === true && c.owner === "their";
}

/** Award keys of the part's rules; the touches' part has the doubles and the conversion too. */
function keysOf(
  { rules }: Environment,
  owners: ReadonlySet<string>,
  side: SideIndex | undefined,
): ReadonlySet<number> {
  const numbers = rules.flatMap((rule, number) => (owners.has(owner.rule(rule.name)) ? [number] : []));
  if (owners.has(owner.touch)) numbers.push(rules.length, rules.length + 1, rules.length + 2);
  const keys = numbers.flatMap((number) => {
    const toThem = (rules[number]?.pays ?? []).some(({ to }) => isTheirs(to));
    const receivers = side === undefined ? SIDES : [toThem ? 1 - side : side];
    return receivers.flatMap((to) => [keyOf(number, to, 0), keyOf(number, to, 1)]);
  });
  return new Set(keys);
}

/** Fields are named after what changes them. */
function belongsTo(field: string, owners: ReadonlySet<string>): boolean {
  const name = field.replace(/ (red|blue)$/, "");
  for (const owner of owners) {
    const [kind = "", ...rest] = owner.split(" ");
    const own = rest.join(" ");
    if (kind === "mark" && name === owner) return true;
    if (kind === "hits" && (HIT_FIELDS as readonly string[]).includes(name)) return true;
    if (kind === "kept" && name.startsWith(`kept ${own} `)) return true;
    if (kind !== "rule") continue;
    if (name === `fired ${own}`) return true;
    if (name.startsWith(`held ${own} `) && HELD.test(name.slice(`held ${own} `.length))) return true;
    if (name.startsWith(`had ${own} `) && HAD.test(name.slice(`had ${own} `.length))) return true;
    if (name.startsWith(`here ${own} `) && HAD.test(name.slice(`here ${own} `.length))) return true;
  }
  return false;
}

/** The unit and the scope of a limit. */
const HAD = /^(points|bonus|times) (bout|pair|team|evening|hall)( together)?$/;
/** Which effect holds it, and how many exchanges it waits. */
const HELD = /^\d+\.\d+$/;
