/** Conditions as small closures, run only for rules whose phrase matched. */
import { printCondition } from "../language/print-condition.ts";
import type { AnyOf, Condition } from "../language/tree.ts";
import { type Context, PLAIN, within } from "./context.ts";
import { compileLast } from "./earlier.ts";
import type { Environment, Test } from "./environment.ts";
import { holder, isOfExchange, markPlace, NOBODY, owned, pickPlace } from "./fields.ts";
import { HOW, POINTS, type SideIndex } from "./machine.ts";
import { owner } from "./joined.ts";
import { joinScore } from "./parts.ts";
import { flagIs, markAmount, quantityIs } from "./quantity.ts";
import { Unsupported } from "./refusal.ts";
import { lastsFor, timeIs } from "./timing.ts";
import { tokenMoment } from "./tokens.ts";

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
    case "not": {
      const test = condition(env, c.what, context);
      return (side) => !test(side);
    }
    case "these":
      return theseHold(env, c, context);
    case "last":
      return compileLast(env, c, context, condition);
    case "exchange": {
      const how = HOW[c.how];
      return () => m.how === how;
    }
    case "exchange number":
      return exchangeNumber(env, c, context);
    case "level":
      return lead(env, (difference) => difference === 0);
    case "lead":
      return leadBy(env, c);
    case "role":
      return role(env, c, context);
    case "time":
      return timeIs(env, c);
    case "lasts":
      return lastsFor(env, c);
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
    case "fencer":
      return isFencer(env, c);
    case "quantity":
      return quantityIs(env, c, context);
    case "mark":
      return markAmount(env, c, context);
    case "flag":
      return flagIs(env, c, context);
    case "pick":
      return pickIs(env, c);
    case "token":
      return token(env, c, context);
  }
}

type Of<K extends Condition["is"]> = Extract<Condition, { is: K }>;

/** "I am the champion", "they are one of my beaten": by the numbers under which the evening has met its fencers. */
function isFencer(env: Environment, c: Of<"fencer">): Test {
  const m = env.machine;
  const mark = env.mark(c.mark);
  const at = owned(markPlace(env, mark), c.owner, c.mark);
  const number = (side: SideIndex): number => m.here[c.who === "I" ? side : 1 - side] as number;
  return mark.is === "set"
    ? (side) => Math.floor(m.read(at(side)) / 2 ** number(side)) % 2 === 1
    : (side) => m.read(at(side)) === number(side) + 1;
}

function exchangeNumber(env: Environment, c: Of<"exchange number">, context: Context): Test {
  const m = env.machine;
  if (c.no !== "last") {
    const { no } = c;
    return () => within(m.number, no);
  }
  if (context.atTheEnd) return always;
  if (!env.ruleSet.bout.ends.some((end) => end.is === "exchanges"))
    throw new Unsupported(
      '"the last exchange" is known beforehand only where the bout "ends: after N exchanges".',
    );
  return () => m.number === m.lastNumber;
}

function lead(env: Environment, holds: (difference: number) => boolean): Test {
  const m = env.machine;
  const index = env.fields.pair("points", "bout");
  // Where points count against, whoever has fewer is ahead.
  const against = env.ruleSet.bout.wins === "who has fewer points against" ? 1 : 0;
  return (side) => holds(m.read(index + (side ^ against)) - m.read(index + (1 - (side ^ against))));
}

function leadBy(env: Environment, { who, how, by }: Of<"lead">): Test {
  const sign = (who === "I") === (how === "ahead") ? 1 : -1;
  return lead(
    env,
    (difference) => sign * difference > 0 && (by === undefined || within(sign * difference, by)),
  );
}

function role(env: Environment, { who, role: name }: Of<"role">, context: Context): Test {
  const m = env.machine;
  const mark = env.ruleSet.marks.find((one) => one.roles?.includes(name) === true);
  if (!mark?.roles) throw new Unsupported(`No mark gives the role "${name}".`);
  const { index } = markPlace(env, mark);
  const mine = (mark.roles[0] === name) === (who === "I");
  // Roles for each exchange are found in it, never set before it (P6).
  const found = isOfExchange(mark) && !context.inChange;
  if (found) env.needs(owner.mark(mark.name));
  return (side) => {
    const holds = found ? m.readNow(index) : m.read(index);
    return holds === holder(mine ? side : ((1 - side) as SideIndex));
  };
}

/** At the end: Red, Blue, nobody because it is a draw, nobody because both lose. */
const NOBODY_WINS: readonly number[] = [2, 3];
const BOTH_LOSE = 3;

function outcome(env: Environment, c: Of<"outcome">, context: Context): Test {
  const m = env.machine;
  const mine = c.who === "I";
  if (c.what === "score") {
    joinScore(env, env.askerName);
    // Where points count against, a touch is written to the other once the effects have done with it.
    const against = context.afterPayment && env.ruleSet.bout.wins === "who has fewer points against" ? 1 : 0;
    return (side) => m.sum(-1, (mine ? side : 1 - side) ^ against, POINTS) > 0;
  }
  if (!context.atTheEnd)
    throw new Unsupported(`"${printCondition(c)}" is known only at the end of the bout.`);
  if (c.who === "nobody") return () => NOBODY_WINS.includes(m.winner);
  if (c.what === "win the bout") return (side) => m.winner === (mine ? side : 1 - side);
  return (side) => m.winner === (mine ? 1 - side : side) || m.winner === BOTH_LOSE;
}

function rulePays(env: Environment, c: Of<"rule pays">, context: Context): Test {
  const m = env.machine;
  if (c.last === true) {
    const { last: _, ...what } = c;
    return compileLast(env, { is: "last", what }, context, condition);
  }
  const rule = env.ruleNumber(c.rule);
  const to = (side: SideIndex): SideIndex => (c.who === "me" ? side : ((1 - side) as SideIndex));
  env.needs(owner.rule(c.rule));
  if (context.afterPayment) return (side) => m.sum(rule, to(side), 0) !== 0 || m.sum(rule, to(side), 1) !== 0;
  return (side) => m.paid[rule * 2 + to(side)] === 1;
}

function theseHold(env: Environment, { amount, these }: Of<"these">, context: Context): Test {
  const tests = these.map((one) => condition(env, one, context));
  return (side) => within(tests.filter((test) => test(side)).length, amount);
}

function pickIs(env: Environment, c: Of<"pick">): Test {
  const m = env.machine;
  const pick = env.pick(c.pick);
  const mine = owned(pickPlace(env, pick), c.owner, c.pick);
  const { values } = c;
  if (typeof values === "string") {
    const theirs = owned(pickPlace(env, pick), "their", c.pick);
    return (side) => m.read(mine(side)) === m.read(theirs(side));
  }
  const wanted = new Set(values.map((value) => pick.from.findIndex((one) => one.text === value)));
  if (wanted.has(-1)) throw new Unsupported(`"${printCondition(c)}": that is no value of "${c.pick}".`);
  return (side) => wanted.has(m.read(mine(side)));
}

function token(env: Environment, c: Of<"token">, context: Context): Test {
  const m = env.machine;
  const mark = env.mark(c.mark);
  const { whose } = c;
  const held = (side: SideIndex): number =>
    whose === "nobody's" ? NOBODY : holder(whose === "mine" ? side : ((1 - side) as SideIndex));
  if (c.atThatMoment === true) {
    env.needs(owner.mark(mark.name));
    return tokenMoment(env, mark, held, context.when, (all) => allOf(env, all, PLAIN));
  }
  const { index } = markPlace(env, mark);
  if (isOfExchange(mark) && !context.inChange) {
    env.needs(owner.mark(mark.name));
    return (side) => m.readNow(index) === held(side);
  }
  return (side) => m.read(index) === held(side);
}
