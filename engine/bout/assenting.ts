/** Calling a value and assenting to it: who may, and until when. */
import type { Call, Fact } from "../../rules/index.ts";
import { callsIn, callsToAssentTo, freeValues, isWindowOpen, whyNotAssent, withAssents } from "./assents.ts";
import type { BoutExchange } from "./bout.ts";
import { after, endAnew, movedBy } from "./decision.ts";
import type { Around, Case, Decision } from "./decision.ts";
import { indexOf } from "./exchanges.ts";
import { resolveExchange } from "./panel.ts";
import {
  assentTooLate,
  callNamesNobody,
  callTooLate,
  noSuchCall,
  noSuchExchange,
  notYourSeat,
  outOfSpan,
  seatsAssent,
} from "./refusals.ts";
import type { Refusal } from "./refusals.ts";
import { stampOf } from "./scoring.ts";

/** Why these calls may not be given so; undefined if they may. Who said it follows from the seat, never from the words. */
export function whyNotCalls(
  { bout, given, scorer }: Around,
  exchange: BoutExchange,
  facts: readonly Fact[],
): Refusal | undefined {
  const { by, seats } = given;
  const asserted = callsIn(facts);
  const ownWord = by.kind === "judge" || by.kind === "fencer";
  const names = asserted.some(({ source, assent }) => source !== undefined || assent !== undefined);
  if (ownWord && names) return callNamesNobody;
  if (asserted.some(({ assent }) => assent !== undefined) && (seats?.judges.length ?? 0) > 1)
    return seatsAssent;
  if (by.kind !== "judge" || scorer === undefined) return undefined;
  const needAssent = callsToAssentTo(scorer.ruleSet);
  const late = asserted.find(({ call }) => needAssent.has(call));
  if (late !== undefined && !isWindowOpen(bout, exchange)) return callTooLate(late.call);
  for (const { call, value } of asserted) {
    const span = freeValues(scorer.ruleSet).find((each) => each.call === call);
    if (span !== undefined && value !== undefined && (value < span.low || value > span.high))
      return outOfSpan(call, value, span.low, span.high);
  }
  return undefined;
}

/** The table writes down what it hears; where two judges' seats are held, they say it themselves. */
export const whyNotRecordedCalls = (
  { given }: Around,
  calls: readonly Call[] | undefined,
): Refusal | undefined =>
  calls?.some(({ assent }) => assent !== undefined) === true && (given.seats?.judges.length ?? 0) > 1
    ? seatsAssent
    : undefined;

export function assent(current: Case<"Assent">): Decision {
  const { bout, command, base } = current;
  const { call: name, side } = command;
  const exchange = bout.exchanges[indexOf(bout, command.exchange)];
  if (exchange === undefined) return noSuchExchange(command.exchange);
  // A referee who keeps the table alone has no second seat to assent from.
  if (base.by.kind !== "judge") return notYourSeat("Assent", "the table");
  if (!isWindowOpen(bout, exchange)) return assentTooLate(name);
  const line = withAssents(bout, exchange, resolveExchange(exchange, bout.panel ?? "the referee decides"));
  const call = line.calls?.find((each) => each.call === name && each.for === side);
  if (call === undefined) return noSuchCall(name, side);
  const bad = whyNotAssent(exchange, call, base.by);
  if (bad !== undefined) return bad;
  const given = {
    ...base,
    type: "AssentGiven",
    exchange: exchange.id,
    call: name,
    side,
    ...(call.value === undefined ? {} : { value: call.value }),
    moved: [],
    tally: stampOf(bout.tally),
  } as const;
  const next = after(current, given);
  return [{ ...given, moved: movedBy(current, next), tally: stampOf(next.tally) }, ...endAnew(current, next)];
}
