/** Votes, facts, picks, and what fencers say of a result. */
import type { Fact, Pick, Side } from "../../rules/index.ts";
import type { Source } from "../ids.ts";
import { whyNotCalls } from "./assenting.ts";
import type { Bout } from "./bout.ts";
import { isByChance } from "./chance.ts";
import type { DrawnElsewhere } from "./commands.ts";
import { after, endAnew, movedBy, weigh } from "./decision.ts";
import type { Around, Case, Decision } from "./decision.ts";
import { holdsFrom } from "./drawing.ts";
import type { BoutEvent } from "./events.ts";
import { indexOf } from "./exchanges.ts";
import {
  allTurnsAreDrawn,
  badMessage,
  drawnByChance,
  isRefusal,
  listSaysIt,
  noSuchAct,
  noSuchExchange,
  noSuchPick,
  notAValue,
  notByChance,
  notYourPick,
  pickClosed,
  pickNeedsFencer,
  pickOfTheBout,
} from "./refusals.ts";
import type { Refusal } from "./refusals.ts";
import { isForEachFencer } from "./schedule.ts";
import { stampOf } from "./scoring.ts";

/** A vote is one more event at any time; after the window it is a correction and says what it moved. */
export function vote(current: Case<"Vote">): Decision {
  const { bout, command, base, given } = current;
  const { exchange, facts, label } = command;
  const target = bout.exchanges[indexOf(bout, exchange)];
  if (target === undefined) return noSuchExchange(exchange);
  const barred = whyNotCalls(current, target, facts);
  if (barred !== undefined) return barred;
  if (command.notSeen === true && facts.length > 0)
    return badMessage('A vote is either "not seen" or says what was seen, not both.');
  const seats = given.seats;
  const cast: BoutEvent = {
    ...base,
    type: "VoteCast",
    exchange,
    facts,
    label,
    ...(command.notSeen === true ? { notSeen: true } : {}),
    ...(seats === undefined ? {} : { of: seats.judges.length }),
  };
  const next = after(current, cast);
  const moved = movedBy(current, next);
  const changes = moved.length > 0 || next.tally.open !== bout.tally.open;
  const event: BoutEvent = changes ? { ...cast, moved, tally: stampOf(next.tally) } : cast;
  return [event, ...endAnew(current, next)];
}

/** The first action that a fact names and the exchange does not have. */
function unknownAct(bout: Bout, exchange: string, facts: readonly Fact[]): string | undefined {
  const target = bout.exchanges[indexOf(bout, exchange)];
  const happened = [...facts, ...(target?.given.flatMap((each) => each.facts) ?? [])];
  const known = new Set([
    ...(target?.record.acts.map((act) => act.id) ?? []),
    ...(target?.votes ?? []).flatMap((each) => each.facts.map(addedAct)),
    ...happened.map(addedAct),
  ]);
  return facts.map(namedAct).find((act) => act !== undefined && !known.has(act));
}

const addedAct = (fact: Fact): string | undefined => (fact.fact === "happened" ? fact.act.id : undefined);

function namedAct(fact: Fact): string | undefined {
  if (fact.fact === "attribute" || fact.fact === "end") return fact.act;
  return fact.fact === "happened" ? fact.before : undefined;
}

/** Actions that are added get an id like recorded ones. */
function withIds(facts: readonly Fact[], exchange: string, version: number): readonly Fact[] {
  return facts.map((fact, index) =>
    fact.fact === "happened" && fact.act.id === undefined
      ? { ...fact, act: { id: `${exchange}+${version}.${index + 1}`, ...fact.act } }
      : fact,
  );
}

/** Facts about the exchange; a choice of the whole bout among them is set as a pick, if nobody has set it. */
export function giveFacts(current: Case<"GiveFacts">): Decision {
  const { bout, command, base } = current;
  const { exchange } = command;
  const target = bout.exchanges[indexOf(bout, exchange)];
  if (target === undefined) return noSuchExchange(exchange);
  if (command.facts.length === 0) return badMessage("No fact was given.");
  const barred = whyNotCalls(current, target, command.facts);
  if (barred !== undefined) return barred;
  const missing = unknownAct(bout, exchange, command.facts);
  if (missing !== undefined) return noSuchAct(missing);
  const events: BoutEvent[] = [];
  for (const fact of command.facts) {
    if (fact.fact !== "pick") continue;
    const theirs = whyNotTheirs(pickNamed(current, fact.pick), base.by);
    if (theirs !== undefined) return theirs;
    if (!isOfTheBout(current, fact)) continue;
    const set = lateChoice(current, fact);
    if (isRefusal(set)) return set;
    events.push(set);
  }
  const facts = withIds(
    command.facts.filter((fact) => fact.fact !== "pick" || !isOfTheBout(current, fact)),
    exchange,
    bout.version + 1,
  );
  if (facts.length === 0) return withPicks(current, events);
  const settled = events.length === 0 ? current : { ...current, bout: afterAll(current, events) };
  return [...events, ...weigh(settled, { ...base, type: "FactsGiven", exchange, facts })];
}

const afterAll = (current: Around, events: readonly BoutEvent[]): Bout =>
  events.reduce((bout, event) => after({ ...current, bout }, event), current.bout);

function withPicks(current: Around, events: readonly BoutEvent[]): Decision {
  return [...events, ...endAnew(current, afterAll(current, events))];
}

type PickFact = Extract<Fact, { readonly fact: "pick" }>;

const pickNamed = ({ scorer }: Around, name: string): Pick | undefined =>
  scorer?.ruleSet.picks.find((each) => each.name === name);

/** Whether a pick is made for the bout or the evening, not for one exchange; one that is not known is refused there. */
function isOfTheBout({ scorer }: Around, { pick }: PickFact): boolean {
  const when = scorer?.ruleSet.picks.find((each) => each.name === pick)?.when;
  return when === undefined || ("at" in when && !when.at.endsWith("each exchange"));
}

function lateChoice(current: Around, { pick, side, value }: PickFact): BoutEvent | Refusal {
  const { bout, base, scorer } = current;
  const rule = scorer?.ruleSet.picks.find((each) => each.name === pick);
  const bad = whyNotValue(rule, pick, side, value) ?? whyNotTheirs(rule, base.by);
  if (bad !== undefined) return bad;
  const set = bout.picks.some((each) => each.pick === pick && each.side === side);
  if (set || base.by.kind === "fencer") {
    const closed = rule === undefined ? undefined : whyClosed(bout, rule);
    if (closed !== undefined) return closed;
  }
  const whose = side === undefined ? {} : { side };
  // Whoever answers for chance says what the card on the table showed.
  const drawn = rule !== undefined && isByChance(rule) ? { drawn: { how: "by hand" } as const } : {};
  return { ...base, type: "PickSet", pick, value, ...whose, ...holdsFrom(bout, rule), ...drawn };
}

const sameText = (a: string, b: string): boolean =>
  a.trim().toLowerCase().replaceAll(/\s+/g, " ") === b.trim().toLowerCase().replaceAll(/\s+/g, " ");

function whyNotValue(
  rule: Pick | undefined,
  pick: string,
  side: "red" | "blue" | undefined,
  value: string,
): Refusal | undefined {
  if (rule === undefined) return noSuchPick(pick);
  if (isForEachFencer(rule) && side === undefined) return pickNeedsFencer(pick);
  if (!isForEachFencer(rule) && side !== undefined) return pickOfTheBout(pick);
  const values = rule.from.map((each) => each.text);
  if (values.length > 0 && !values.some((each) => sameText(each, value)))
    return notAValue(pick, value, values);
  return undefined;
}

/** A fencer chooses only what is each fencer's own choice; nobody says what a list says. */
function whyNotTheirs(rule: Pick | undefined, by: Source): Refusal | undefined {
  if (rule === undefined) return undefined;
  if (rule.by === "the list") return listSaysIt(rule.name);
  return by.kind === "fencer" && rule.by !== "each fencer"
    ? notYourPick(rule.name, rule.by.replace(/ for each fencer$/, ""))
    : undefined;
}

/** Chance is drawn; only coach and table can say that a card on the table was drawn by hand, a tablet that it drew. */
function whyNotDrawn(rule: Pick, drawn: DrawnElsewhere | undefined, by: Source): Refusal | undefined {
  if (!isByChance(rule)) return drawn === undefined ? undefined : notByChance(rule.name, rule.by);
  return drawn === undefined || (by.kind !== "coach" && by.kind !== "table")
    ? drawnByChance(rule.name)
    : undefined;
}

/** A choice made before something is closed once that has begun. */
function whyClosed(bout: Bout, rule: Pick, side?: Side): Refusal | undefined {
  if (rule.turns !== undefined) {
    const had = bout.picks.filter((each) => each.pick === rule.name && each.side === side).length;
    if (had >= rule.turns) return allTurnsAreDrawn(rule.name, rule.turns);
  }
  if (!("at" in rule.when)) return undefined;
  const { at } = rule.when;
  if ((at === "before the bout" || at === "before the evening") && bout.begun === true)
    return pickClosed(rule.name, at);
  if (at === "before each exchange" && bout.stage === "fencing") return pickClosed(rule.name, at);
  return undefined;
}

export function setPick(current: Case<"SetPick">): Decision {
  const { bout, command, base, scorer } = current;
  const { pick, side, drawn: how } = command;
  const rule = scorer?.ruleSet.picks.find((each) => each.name === pick);
  const bad =
    whyNotValue(rule, pick, side, command.value) ??
    whyNotTheirs(rule, base.by) ??
    (rule && (whyNotDrawn(rule, how, base.by) ?? whyClosed(bout, rule, side)));
  if (bad !== undefined) return bad;
  const value = rule?.from.find((each) => sameText(each.text, command.value))?.text ?? command.value;
  const whose = side === undefined ? {} : { side };
  const drawn = how === undefined ? {} : { drawn: { how } };
  const set: BoutEvent = {
    ...base,
    type: "PickSet",
    pick,
    value,
    ...whose,
    ...holdsFrom(bout, rule),
    ...drawn,
  };
  return withPicks(current, [set]);
}

export function confirmResult({ command, base }: Case<"ConfirmResult">): Decision {
  const side = command.side === undefined ? {} : { side: command.side };
  return [{ ...base, type: "ResultConfirmed", ...side }];
}

export function questionExchange({ bout, command, base }: Case<"QuestionExchange">): Decision {
  const { exchange, side, why } = command;
  if (indexOf(bout, exchange) < 0) return noSuchExchange(exchange);
  return [{ ...base, type: "ExchangeQuestioned", exchange, side, why }];
}
