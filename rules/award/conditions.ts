/** Conditions as small closures, run only for rules whose phrase matched. */
import type { Amount, AnyOf, Condition, Mark, Phrase } from "../language/tree.ts";
import type { Environment, Test } from "./environment.ts";
import { holder, markPlace, owned, pickPlace } from "./fields.ts";
import { HOW, POINTS, type SideIndex } from "./machine.ts";
import { owner } from "./joined.ts";
import { joinScore } from "./parts.ts";
import { Unsupported } from "./refusal.ts";
import { tokenMoment } from "./tokens.ts";

/** Where a condition stands, which decides what it may ask. */
export interface Context {
  /** The rule's or change's own phrases, for "at that moment". */
  readonly when: readonly Phrase[];
  /** At the end of the bout there is a winner. */
  readonly atTheEnd: boolean;
  /** In a change that names a payment: what was paid in the end. */
  readonly afterPayment: boolean;
  /** In a change of a mark. */
  readonly inChange: boolean;
}

export const PLAIN: Context = { when: [], atTheEnd: false, afterPayment: false, inChange: true };
export const always: Test = () => true;

export function anyOf(env: Environment, lines: AnyOf, context: Context): Test {
  const tests = lines.map((line) => allOf(env, line, context));
  const [only] = tests;
  if (only === undefined) return always;
  return tests.length === 1 ? only : (side) => tests.some((test) => test(side));
}

export function allOf(env: Environment, line: readonly Condition[], context: Context): Test {
  const tests = line.map((one) => condition(env, one, context));
  const [only] = tests;
  if (only === undefined) return always;
  return tests.length === 1 ? only : (side) => tests.every((test) => test(side));
}

export function condition(env: Environment, c: Condition, context: Context): Test {
  const m = env.machine;
  switch (c.is) {
    case "phrase":
      return env.accepted(c.phrase);
    case "last":
      return lastExchange(env, c.what);
    case "exchange": {
      const how = HOW[c.how];
      return c.not === true ? () => m.how !== how : () => m.how === how;
    }
    case "exchange number":
      return exchangeNumber(env, c, context);
    case "level":
      return lead(env, (difference) => difference === 0);
    case "lead":
      return leadBy(env, c);
    case "role":
      return role(env, c, context);
    case "time left": {
      const { seconds } = c;
      env.seconds.add(seconds);
      return c.cmp === "or less" ? () => m.readLeft() <= seconds : () => m.readLeft() >= seconds;
    }
    case "outcome":
      return outcome(env, c, context);
    case "call": {
      const { call } = c;
      return (side) =>
        m.calls.some(
          (one) => one.call === call && (one.for === "red") === ((side === 0) === (c.for === "me")),
        );
    }
    case "rule pays":
      return rulePays(env, c, context);
    case "mark":
      return markAmount(env, c, context);
    case "flag":
      return flag(env, c, context);
    case "pick":
      return pickIs(env, c);
    case "token":
      return token(env, c, context);
  }
}

type Of<K extends Condition["is"]> = Extract<Condition, { is: K }>;

/** Kept from the last exchange that was not a no-exchange (P7). */
export function lastExchange(env: Environment, what: Of<"last">["what"]): Test {
  const m = env.machine;
  if (typeof what === "string") {
    const { index } = env.fields.field("last how", "bout", { initial: -1 });
    const how = HOW[what];
    return () => m.read(index) === how;
  }
  const id = env.as(owner.last(env.layout.add(what).id), () => env.add(what).id);
  const index = env.fields.pair(`last phrase ${String(id)}`, "bout");
  return (side) => m.read(index + side) === 1;
}

function exchangeNumber(env: Environment, c: Of<"exchange number">, context: Context): Test {
  const m = env.machine;
  const wanted = c.not !== true;
  if (c.no !== "last") {
    const { no } = c;
    return () => (m.number === no) === wanted;
  }
  if (context.atTheEnd) return () => wanted;
  if (!env.ruleSet.bout.ends.some((end) => end.is === "exchanges"))
    throw new Unsupported(
      '"the last exchange" is known beforehand only where the bout "ends: after N exchanges".',
    );
  return () => (m.number === m.lastNumber) === wanted;
}

const within = (n: number, by: Amount | undefined): boolean =>
  by === undefined || (by.cmp === "exactly" ? n === by.n : by.cmp === "or more" ? n >= by.n : n <= by.n);

function lead(env: Environment, holds: (difference: number) => boolean): Test {
  const m = env.machine;
  const index = env.fields.pair("points", "bout");
  return (side) => holds(m.read(index + side) - m.read(index + 1 - side));
}

function leadBy(env: Environment, { who, how, by }: Of<"lead">): Test {
  const sign = (who === "I") === (how === "ahead") ? 1 : -1;
  return lead(env, (difference) => sign * difference > 0 && within(sign * difference, by));
}

function role(env: Environment, { who, role: name }: Of<"role">, context: Context): Test {
  const m = env.machine;
  const mark = env.ruleSet.marks.find((one) => one.roles?.includes(name) === true);
  if (!mark?.roles) throw new Unsupported(`No mark gives the role "${name}".`);
  const { index } = markPlace(env, mark);
  const mine = (mark.roles[0] === name) === (who === "I");
  // Roles for each exchange are found in it, never set before it (P6).
  const found = mark.for === "each exchange" && !context.inChange;
  if (found) env.needs(owner.mark(mark.name));
  return (side) => {
    const holds = found ? m.readNow(index) : m.read(index);
    return holds === holder(mine ? side : ((1 - side) as SideIndex));
  };
}

function outcome(env: Environment, c: Of<"outcome">, context: Context): Test {
  const m = env.machine;
  const mine = c.who === "I";
  if (c.what === "score") joinScore(env, env.askerName);
  if (c.what === "score") return (side) => m.sum(-1, mine ? side : 1 - side, POINTS) > 0;
  if (!context.atTheEnd) throw new Unsupported(`"${c.who} ${c.what}" is known only at the end of the bout.`);
  const wins = (c.what === "win the bout") === mine;
  return (side) => m.winner === (wins ? side : 1 - side);
}

function rulePays(env: Environment, c: Of<"rule pays">, context: Context): Test {
  const m = env.machine;
  const rule = env.ruleNumber(c.rule);
  const to = (side: SideIndex): SideIndex => (c.who === "me" ? side : ((1 - side) as SideIndex));
  if (c.last === true) {
    const index = env.fields.pair(`last paid ${c.rule}`, "bout");
    return (side) => m.read(index + to(side)) === 1;
  }
  env.needs(owner.rule(c.rule));
  if (context.afterPayment) return (side) => m.sum(rule, to(side), 0) !== 0 || m.sum(rule, to(side), 1) !== 0;
  return (side) => m.paid[rule * 2 + to(side)] === 1;
}

/** Changes read only the state before them, whatever they say (P10). */
function readsNow(env: Environment, mark: Mark, now: boolean | undefined, { inChange }: Context): boolean {
  if (inChange || (now !== true && mark.for !== "each exchange")) return false;
  env.needs(owner.mark(mark.name));
  return true;
}

function markAmount(env: Environment, c: Of<"mark">, context: Context): Test {
  const m = env.machine;
  const mark = env.mark(c.mark);
  const place = markPlace(env, mark);
  const now = readsNow(env, mark, c.now, context);
  const read = (index: number): number => {
    const value = now ? m.readNow(index) : m.read(index);
    return mark.is === "set" ? sizeOfSet(value) : value;
  };
  const mine = owned(place, c.owner, c.mark);
  const { than } = c;
  if (typeof than !== "string") return (side) => within(read(mine(side)), than);
  const theirs = owned(place, "their", c.mark);
  if (than === "more than theirs") return (side) => read(mine(side)) > read(theirs(side));
  if (than === "less than theirs") return (side) => read(mine(side)) < read(theirs(side));
  return (side) => read(mine(side)) === read(theirs(side));
}

/** A set is kept as one bit a value. */
export function sizeOfSet(bits: number): number {
  let size = 0;
  for (let rest = bits; rest > 0; rest = Math.floor(rest / 2)) size += rest % 2;
  return size;
}

function flag(env: Environment, c: Of<"flag">, context: Context): Test {
  const m = env.machine;
  const mark = env.mark(c.mark);
  const mine = owned(markPlace(env, mark), c.owner, c.mark);
  const on = c.on ? 1 : 0;
  if (readsNow(env, mark, c.now, context)) return (side) => m.readNow(mine(side)) === on;
  return (side) => m.read(mine(side)) === on;
}

function pickIs(env: Environment, c: Of<"pick">): Test {
  const m = env.machine;
  const pick = env.pick(c.pick);
  const mine = owned(pickPlace(env, pick), c.owner, c.pick);
  const value = pick.from.findIndex((one) => one.text === c.value);
  if (value < 0) throw new Unsupported(`"${c.value}" is no value of "${c.pick}".`);
  return (side) => m.read(mine(side)) === value;
}

function token(env: Environment, c: Of<"token">, context: Context): Test {
  const m = env.machine;
  const mark = env.mark(c.mark);
  const mine = c.whose === "mine";
  if (c.atThatMoment === true) env.needs(owner.mark(mark.name));
  if (c.atThatMoment === true)
    return tokenMoment(env, mark, mine, context.when, (all) => allOf(env, all, PLAIN));
  const { index } = markPlace(env, mark);
  return (side) => m.read(index) === holder(mine ? side : ((1 - side) as SideIndex));
}
