/** "at most": what a rule may still pay. A cap that has less left than is due pays what is left (S9). */
import { isShared } from "./shared.ts";
import type { Limit, Rule } from "../language/tree.ts";
import type { Scope } from "../vocabulary.ts";
import type { Environment } from "./environment.ts";
import { BONUS, type Machine, POINTS } from "./machine.ts";
import type { Life } from "./memory.ts";
import type { CompiledRule } from "./rules.ts";

const LIFE: Readonly<Record<Exclude<Scope, "exchange">, Life>> = {
  bout: "bout",
  pair: "pair",
  team: "team",
  evening: "fencer",
  hall: "hall",
};

const unitOf = (limit: Limit): number => (limit.of === "points" ? POINTS : limit.of === "bonus" ? BONUS : -1);
const fieldName = (rule: Rule, limit: Limit): string =>
  `had ${rule.name} ${limit.of} ${limit.scope}${limit.together === true ? " together" : ""}`;

/** One limit that both fencers share. */

/** Where the limit counts what has been had; -1 for an exchange. One field where both share it, else one for each fencer. */
function hadField(env: Environment, rule: Rule, limit: Limit): number {
  if (limit.scope === "exchange") return -1;
  const name = fieldName(rule, limit);
  return isShared(limit)
    ? env.fields.field(name, LIFE[limit.scope]).index
    : env.fields.pair(name, LIFE[limit.scope]);
}

/** How much of it this bout has added, where rings share it; -1 elsewhere. */
export function hereField(env: Environment, rule: Rule, limit: Limit): number {
  if (limit.scope !== "hall" && limit.scope !== "team") return -1;
  const name = `here ${rule.name} ${limit.of} ${limit.scope}`;
  return limit.scope === "hall" ? env.fields.field(name, "bout").index : env.fields.pair(name, "bout");
}

/** The field of each limit of a rule that counts beyond an exchange; Red's, where each fencer has one. */
export function hadFields(
  env: Environment,
  name: string,
): readonly { readonly limit: Limit; readonly first: number; readonly shared: boolean }[] {
  const rule = env.ruleSet.rules.find((one) => one.name === name);
  return (rule?.atMost ?? [])
    .filter(({ scope }) => scope !== "exchange")
    .map((limit) => ({ limit, first: hadField(env, rule as Rule, limit), shared: isShared(limit) }));
}

type Limiter = (m: Machine) => void;

/** Smaller scopes first. */
const ORDER: readonly Scope[] = ["exchange", "bout", "pair", "team", "evening", "hall"];

export function compileLimits(env: Environment, { rule, number }: CompiledRule): readonly Limiter[] {
  const limits = [...(rule.atMost ?? [])].sort(
    (a, b) => ORDER.indexOf(a.scope) - ORDER.indexOf(b.scope) || a.n - b.n,
  );
  const limiters = limits.map((limit): Limiter => {
    const field = hadField(env, rule, limit);
    const unit = unitOf(limit);
    if (isShared(limit))
      return (m) => {
        if (hasFired(m, number)) share(m, number, unit, limit.n - (field < 0 ? 0 : m.read(field)));
      };
    return (m) => {
      for (const side of [0, 1]) {
        if (due(m, number, side, unit) === 0) continue;
        const left = limit.n - (field < 0 ? 0 : m.read(field + side));
        cut(m, number, side, unit, Math.max(0, left));
      }
    };
  });
  const waits = sharedByRings(rule);
  return waits ? [...limiters, (m) => awaitRings(m, number, unitOf(waits))] : limiters;
}

/** The limit that bouts in other rings fill too: what it may cut waits for the hall's answer. */
export const sharedByRings = (rule: Rule): Limit | undefined =>
  rule.atMost?.find(({ scope }) => scope === "team") ?? rule.atMost?.find(({ scope }) => scope === "hall");

/** More parts of an amount than these are not told apart. */
const MOST_PARTS = 8;

/** What other rings may have taken is not known here: all of it may be granted, a part, or nothing. */
function awaitRings(m: Machine, rule: number, unit: number): void {
  if (m.hall === "alone") return;
  for (const side of [0, 1] as const) {
    const most = due(m, rule, side, unit);
    if (most === 0) continue;
    const granted = m.granted.get(grantKey(m.exchange, rule, side));
    if (granted !== undefined) cut(m, rule, side, unit, granted);
    else if (m.hall === "waits") {
      const parts = Math.min(MOST_PARTS, Math.ceil(Number.isInteger(most) ? most : 2 * most));
      cut(m, rule, side, unit, (most * (parts - m.chooser.choose(parts + 1))) / parts);
    }
  }
}

export const grantKey = (exchange: number, rule: number, side: 0 | 1): string =>
  `${String(exchange)} ${String(rule)} ${String(side)}`;

const hasFired = (m: Machine, rule: number): boolean =>
  m.fired[rule * 2] === 1 || m.fired[rule * 2 + 1] === 1;

/** How much, or how many times, is due to a fencer (-1: to both together). */
function due(m: Machine, rule: number, to: number, unit: number): number {
  let sum = 0;
  let times = 0;
  for (let slot = 0; slot < m.count; slot++) {
    if (m.rule[slot] !== rule || (to >= 0 && m.to[slot] !== to)) continue;
    const amount = m.amount[slot] as number;
    if (amount === 0) continue;
    times = Math.max(times, m.times[slot] as number);
    if (m.unit[slot] === unit) sum += Math.abs(amount);
  }
  return unit < 0 ? times : sum;
}

/** Takes away what is over: an amount from the latest sums first, times in proportion. */
function cut(m: Machine, rule: number, to: number, unit: number, left: number): void {
  let over = due(m, rule, to, unit) - left;
  if (over <= 0) return;
  for (let slot = m.count - 1; slot >= 0 && over > 0; slot--) {
    if (m.rule[slot] !== rule || m.to[slot] !== to) continue;
    const amount = m.amount[slot] as number;
    if (unit < 0) {
      const times = m.times[slot] as number;
      const kept = Math.min(times, left);
      m.amount[slot] = (amount * kept) / times;
      m.times[slot] = kept;
    } else if (m.unit[slot] === unit) {
      const less = Math.min(Math.abs(amount), over);
      m.amount[slot] = amount - Math.sign(amount) * less;
      over -= less;
    }
  }
}

/** One cap for both: two fencers who are due in the same exchange share what is left of an amount. */
function share(m: Machine, rule: number, unit: number, left: number): void {
  const red = due(m, rule, 0, unit);
  const blue = due(m, rule, 1, unit);
  const room = Math.max(0, left);
  if (red + blue <= room) return;
  if (red > 0 && blue > 0 && unit >= 0) {
    const half = room / 2;
    cut(m, rule, 0, unit, Math.max(half, room - blue));
    cut(m, rule, 1, unit, Math.max(half, room - red));
    return;
  }
  // Times cannot be halved: when both are first at once, both have it.
  cut(m, rule, 0, unit, room);
  cut(m, rule, 1, unit, room);
}

/** Adds what was had in this exchange; before anything is held back, so that a held award counts when it was earned. */
export function compileHad(env: Environment, rules: readonly CompiledRule[]): () => void {
  const counted = rules.flatMap(({ rule, number }) =>
    (rule.atMost ?? [])
      .filter((limit) => limit.scope !== "exchange")
      .map((limit) => ({
        number,
        field: hadField(env, rule, limit),
        unit: unitOf(limit),
        shared: isShared(limit),
        here: hereField(env, rule, limit),
      })),
  );
  const m = env.machine;
  return () => {
    for (const { number, field, unit, shared, here } of counted) {
      if (!hasFired(m, number)) continue;
      for (const side of [0, 1]) {
        const had = due(m, number, side, unit);
        if (had === 0) continue;
        const at = shared ? field : field + side;
        m.now[at] = m.readNow(at) + had;
        if (here >= 0) m.now[here + at - field]! += had;
      }
    }
  };
}
