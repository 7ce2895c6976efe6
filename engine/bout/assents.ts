/** Values that judges call, and what awaits a second judge's assent: from another seat, before the next "Fence!". */
import type { Call, ExchangeLine, Fact, RuleSet, Side } from "../../rules/index.ts";
import type { Source } from "../ids.ts";
import type { Bout, BoutExchange } from "./bout.ts";
import { resolveExchange } from "./panel.ts";
import { assentIsThere, sameJudge, samePerson } from "./refusals.ts";
import type { Refusal } from "./refusals.ts";
import { nameOf } from "./signing.ts";

/** A judge's own value under a rule set: what is called, and between what. */
export interface FreeValue {
  readonly call: string;
  readonly rule: string;
  readonly low: number;
  readonly high: number;
  /** A second judge must assent. */
  readonly assent: boolean;
}

/** Every call of the rule set whose value a judge says. */
export const freeValues = (ruleSet: RuleSet): readonly FreeValue[] =>
  ruleSet.rules.flatMap((rule) => {
    const calls = (rule.if ?? []).flat().flatMap((each) => (each.is === "call" ? [each.call] : []));
    const spans = (rule.pays ?? []).flatMap(({ sum }) => (sum.is === "between" ? [sum] : []));
    const assent = rule.watch?.is === "second judge";
    return spans.flatMap(({ low, high }) =>
      [...new Set(calls)].map((call) => ({ call, rule: rule.name, low, high, assent })),
    );
  });

/** Calls that count only with a second judge's assent, of a free value or not. */
export const callsToAssentTo = (ruleSet: RuleSet): ReadonlySet<string> =>
  new Set(
    ruleSet.rules
      .filter((rule) => rule.watch?.is === "second judge")
      .flatMap((rule) => (rule.if ?? []).flat().flatMap((each) => (each.is === "call" ? [each.call] : []))),
  );

/** Between the halt and the next "Fence!", while the bout goes on. */
export const isWindowOpen = (bout: Bout, exchange: BoutExchange): boolean =>
  exchange.windowClosed !== true && bout.stage !== "ended";

export const callsIn = (facts: readonly Fact[]): readonly Call[] =>
  facts.flatMap((fact) => (fact.fact === "call" ? [fact.call] : []));

/** Everybody whose own word this call is. */
function callers(exchange: BoutExchange, { call, for: side, value }: Call): readonly Source[] {
  const said = [...exchange.votes, ...exchange.given].filter(({ facts }) =>
    callsIn(facts).some((each) => each.call === call && each.for === side && each.value === value),
  );
  return said.map(({ by }) => by);
}

/** Why this seat may not assent to this call; undefined if it may. */
export function whyNotAssent(exchange: BoutExchange, call: Call, by: Source): Refusal | undefined {
  if (call.assent !== undefined) return assentIsThere(call.call);
  const all = callers(exchange, call);
  if (call.source === nameOf(by) || all.some(({ seat }) => seat === by.seat)) return sameJudge;
  const persons = all.map(({ person }) => person);
  return by.person !== undefined && persons.includes(by.person) ? samePerson : undefined;
}

/** A call's assent from another seat; while the window is open one may still come. */
function withAssent(bout: Bout, exchange: BoutExchange, call: Call): Call {
  if (call.assent !== undefined) return call;
  const given = exchange.assents?.find(
    (each) =>
      each.call === call.call &&
      each.side === call.for &&
      each.value === call.value &&
      nameOf(each.by) !== call.source,
  );
  const name = given && nameOf(given.by);
  if (name !== undefined) return { ...call, assent: name };
  return isWindowOpen(bout, exchange) ? { ...call, awaits: true } : call;
}

/** The line with the assents that were given; a call that one may still come to says so. */
export function withAssents(bout: Bout, exchange: BoutExchange, line: ExchangeLine): ExchangeLine {
  if (line.calls === undefined || line.calls.length === 0) return line;
  return { ...line, calls: line.calls.map((call) => withAssent(bout, exchange, call)) };
}

/** A value that was called and that a second judge may still assent to. */
export interface AwaitsAssent {
  readonly exchange: string;
  readonly call: string;
  readonly side: Side;
  readonly value?: number;
  /** Whether this seat may: it did not call it. */
  readonly may: boolean;
  /** "j1" */
  readonly source?: string;
}

/** What awaits an assent in a bout now, as one judge's seat sees it. */
export function awaitsAssent(bout: Bout, ruleSet: RuleSet, by: Source): readonly AwaitsAssent[] {
  const wanted = callsToAssentTo(ruleSet);
  return bout.exchanges.flatMap((exchange) => {
    if (wanted.size === 0 || !isWindowOpen(bout, exchange)) return [];
    const line = withAssents(bout, exchange, resolveExchange(exchange, bout.panel ?? "the referee decides"));
    return (line.calls ?? [])
      .filter(({ call, assent: given }) => wanted.has(call) && given === undefined)
      .map((call) => ({
        exchange: exchange.id,
        call: call.call,
        side: call.for,
        ...(call.value === undefined ? {} : { value: call.value }),
        may: whyNotAssent(exchange, call, by) === undefined,
        ...(call.source === undefined ? {} : { source: call.source }),
      }));
  });
}
