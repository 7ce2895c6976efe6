/** Counts and their sums: "my streak is 2 or more now", "my blots plus my warnings is 3 or more". */
import { mirrored } from "../language/parse-quantity.ts";
import type { Condition, Mark, Owner, Quantity } from "../language/tree.ts";
import { type Context, within } from "./context.ts";
import type { Environment, Test } from "./environment.ts";
import { isOfExchange, markPlace, owned } from "./fields.ts";
import { owner } from "./joined.ts";
import { HOW, POINTS, type SideIndex } from "./machine.ts";
import { Unsupported } from "./refusal.ts";

type Of<K extends Condition["is"]> = Extract<Condition, { is: K }>;
type Count = (side: SideIndex) => number;
type CountedTerm = Extract<Quantity[number], { readonly counted: unknown }>;

/** A sum, for one fencer as "I". */
export function compileQuantity(env: Environment, quantity: Quantity, now: boolean, context: Context): Count {
  const terms = quantity.map((term): Count => {
    const count = compileTerm(env, term, now, context);
    return term.minus === true ? (side) => -count(side) : count;
  });
  const [only] = terms;
  if (terms.length === 1 && only) return only;
  return (side) => terms.reduce((sum, term) => sum + term(side), 0);
}

function compileTerm(env: Environment, term: Quantity[number], now: boolean, context: Context): Count {
  if ("n" in term) return () => term.n;
  return "mark" in term
    ? markCount(env, env.mark(term.mark), term.owner, now, context)
    : countedWithoutMark(env, term, now, context);
}

function markCount(env: Environment, mark: Mark, whose: Owner, now: boolean, context: Context): Count {
  const m = env.machine;
  const at = owned(markPlace(env, mark), whose, mark.name);
  const size = mark.is === "set" ? sizeOfSet : (value: number): number => value;
  return readsNow(env, mark, now, context)
    ? (side) => size(m.readNow(at(side)))
    : (side) => size(m.read(at(side)));
}

/** Changes read only the state before them, whatever they say (P10). */
export function readsNow(
  env: Environment,
  mark: Mark,
  now: boolean | undefined,
  { inChange }: Context,
): boolean {
  if (inChange || (now !== true && !isOfExchange(mark))) return false;
  env.needs(owner.mark(mark.name));
  return true;
}

/** A set is kept as one bit a value. */
export function sizeOfSet(bits: number): number {
  let size = 0;
  for (let rest = bits; rest > 0; rest = Math.floor(rest / 2)) size += rest % 2;
  return size;
}

const isTheirs = (whose: Owner): boolean => whose === "their" || whose === "their team's";

function countedWithoutMark(env: Environment, term: CountedTerm, now: boolean, context: Context): Count {
  const m = env.machine;
  const other = isTheirs(term.owner);
  const of = (side: SideIndex): SideIndex => (other ? ((1 - side) as SideIndex) : side);
  switch (term.counted) {
    case "points":
    case "bonus":
    case "warnings":
    case "penalties": {
      const bout = env.fields.pair(term.counted, "bout");
      if (term.tonight !== true) return (side) => m.read(bout + of(side));
      // What is over tonight, and this bout so far.
      const before = tonightField(env, term.counted);
      return (side) => m.read(before + of(side)) + m.read(bout + of(side));
    }
    case "touch": {
      env.needs(owner.touch);
      const touch = env.rules.length;
      if (context.inChange && context.afterPayment) return (side) => m.touch[of(side)] as number;
      return (side) => m.sum(touch, of(side), POINTS);
    }
    case "bouts": {
      const field = tonightField(env, "bouts");
      const counts = now && context.atTheEnd ? 1 : 0;
      return (side) => m.read(field + of(side)) + counts;
    }
    case "wins": {
      const field = tonightField(env, "wins");
      const counts = now && context.atTheEnd;
      return (side) => m.read(field + of(side)) + (counts && m.winner === of(side) ? 1 : 0);
    }
    case "doubles":
      return () => m.doubles + (now && m.how === HOW.double ? 1 : 0);
    case "exchanges":
      return () => m.number - (now || context.atTheEnd || m.how === HOW["no exchange"] ? 0 : 1);
  }
}

export const TONIGHT = ["points", "bonus", "warnings", "penalties", "bouts", "wins"] as const;
export type Tonight = (typeof TONIGHT)[number];

/** What each fencer had in tonight's bouts that are over; it follows the fencer. */
const tonightField = (env: Environment, what: Tonight): number =>
  env.fields.pair(`tonight ${what}`, "fencer");

/** Whether a sum names what the touches of this exchange are worth. */
export const namesTouch = (quantity: Quantity): boolean =>
  quantity.some((term) => "counted" in term && term.counted === "touch");

/** Whether a condition does, in either of its sums. */
export const asksTouch = (c: Condition): boolean =>
  c.is === "quantity" &&
  (namesTouch(c.quantity) || ("than" in c.than && c.than.than !== "theirs" && namesTouch(c.than.than)));

/** One count or set against an amount or the other's; a sum against another. */
export function quantityIs(env: Environment, c: Of<"quantity">, context: Context): Test {
  const mine = compileQuantity(env, c.quantity, c.now === true, context);
  const { than } = c;
  if (!("than" in than)) return (side) => within(mine(side), than);
  const other = than.than === "theirs" ? mirrored(c.quantity) : than.than;
  return compared(than.cmp, mine, compileQuantity(env, other, c.now === true, context));
}

export function markAmount(env: Environment, c: Of<"mark">, context: Context): Test {
  const mark = env.mark(c.mark);
  const mine = markCount(env, mark, c.owner, c.now === true, context);
  const { than } = c;
  if (typeof than !== "string") return (side) => within(mine(side), than);
  const theirs = markCount(env, mark, isTheirs(c.owner) ? "my" : "their", c.now === true, context);
  switch (than) {
    case "more than theirs":
      return compared("more than", mine, theirs);
    case "less than theirs":
      return compared("less than", mine, theirs);
    case "level with theirs":
      return compared("level with", mine, theirs);
  }
}

function compared(cmp: "more than" | "less than" | "level with", mine: Count, theirs: Count): Test {
  if (cmp === "more than") return (side) => mine(side) > theirs(side);
  if (cmp === "less than") return (side) => mine(side) < theirs(side);
  return (side) => mine(side) === theirs(side);
}

export function flagIs(env: Environment, c: Of<"flag">, context: Context): Test {
  const m = env.machine;
  const mark = env.mark(c.mark);
  if (mark.is !== "flag") throw new Unsupported(`"${c.mark}" is no flag.`);
  const mine = owned(markPlace(env, mark), c.owner, c.mark);
  const on = c.on ? 1 : 0;
  if (readsNow(env, mark, c.now, context)) return (side) => m.readNow(mine(side)) === on;
  return (side) => m.read(mine(side)) === on;
}
