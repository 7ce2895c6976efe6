/**
 * Secrecy by construction: a seat's bout is folded again from the events that it may know, so that nothing drawn from it
 * can depend on a choice or a vote that is still sealed.
 */
import {
  evolveBout,
  type Bout,
  type BoutEvent,
  type Fact,
  type RecordedExchange,
  type Side,
} from "../../engine/index.ts";
import type { Pick, RuleSet } from "../../rules/index.ts";
import { sealedRules } from "./sealing.ts";
import type { BoutOnFile, EventOnFile, Hall, HeldJudge, Sitting } from "./hall.ts";

/** One value that is sealed: of one fencer, or of the bout. */
type Key = `${Side | "bout"}/${string}`;
const keyOf = (pick: string, side: Side | undefined): Key => `${side ?? "bout"}/${pick}`;

/** The bout as a seat may know it. */
export interface SeenBout {
  readonly bout: Bout;
  readonly events: BoutOnFile["events"];
  /** Names of the picks that this seat does not know yet. */
  readonly hidden: ReadonlySet<string>;
  /** The exchange whose votes are still sealed. */
  readonly underVote?: string;
}

/** The side on which a person fences in this bout. */
export function sideOf(bout: Bout, person: string): Side | undefined {
  return bout.red === person ? "red" : bout.blue === person ? "blue" : undefined;
}

function holdsRole(bout: Bout, side: Side, role: string): boolean {
  return Object.values(bout.tally.marks).some((value) => {
    if (typeof value !== "object" || !("red" in value)) return false;
    return value[side] === role;
  });
}

/** Everybody may see it: never sealed, or opened by now. */
function shown(pick: Pick, bout: Bout): boolean {
  if (bout.stage === "ended") return true;
  if (pick.shown === "at the end") return false;
  if (pick.seenBy === undefined) return true;
  if (pick.shown !== "at once") return false;
  const chosen = bout.picks.filter((set) => set.pick === pick.name);
  return (["red", "blue"] as const).every((side) => chosen.some((set) => set.side === side));
}

/** [W5] Whether a seat may see one pick's value before it is shown: only those whom the rule set names. */
export function maySee(pick: Pick, whose: Side | undefined, sitting: Sitting, bout: Bout): boolean {
  if (shown(pick, bout)) return true;
  switch (sitting.kind) {
    case "coach":
      return pick.seenBy === "the coach" || pick.by.startsWith("the coach");
    case "table":
      return pick.seenBy === "the table";
    case "judge":
    case "wall":
      return false;
    case "fencer": {
      const own = sideOf(bout, sitting.person);
      if (own === undefined) return false;
      const mine = whose === own;
      if (mine && (pick.by === "each fencer" || pick.seenBy === "the fencer")) return true;
      if (whose === undefined && pick.seenBy === "the fencer") return true;
      return typeof pick.seenBy === "object" && holdsRole(bout, own, pick.seenBy.role);
    }
  }
}

function hiddenKeys(ruleSet: RuleSet, bout: Bout, sitting: Sitting): ReadonlySet<Key> {
  const keys = new Set<Key>();
  for (const pick of ruleSet.picks) {
    for (const whose of ["red", "blue", undefined] as const) {
      if (!maySee(pick, whose, sitting, bout)) keys.add(keyOf(pick.name, whose));
    }
  }
  return keys;
}

/**
 * [W6] The exchange whose votes are sealed: the last one, until every held judge has voted or the next "Fence!".
 */
export function exchangeUnderVote(bout: Bout, judges: readonly HeldJudge[]): string | undefined {
  const last = bout.exchanges.at(-1);
  if (last === undefined || bout.stage === "fencing" || bout.stage === "ended") return undefined;
  if (last.windowClosed === true) return undefined;
  const voted = new Set(last.votes.map((vote) => vote.by.seat));
  const waiting = judges.filter((judge) => !judge.referee && !voted.has(judge.seat));
  return waiting.length > 0 ? last.id : undefined;
}

/** The list without what fails the test; the same list if nothing does. */
function without<T>(list: readonly T[], keep: (item: T) => boolean): readonly T[] {
  return list.every(keep) ? list : list.filter(keep);
}

function openRecord(record: RecordedExchange, hidden: ReadonlySet<Key>): RecordedExchange {
  const all = Object.entries(record.picks ?? {});
  const open = without(all, ([pick]) => !hidden.has(keyOf(pick, undefined)));
  return open === all ? record : { ...record, picks: Object.fromEntries(open) };
}

/** What is sealed from a seat: choices, votes under way, and the rules that hang on a choice. */
interface Seals {
  readonly hidden: ReadonlySet<Key>;
  readonly underVote: string | undefined;
  readonly rules: ReadonlySet<string>;
}

/** The event without what is sealed; undefined if nothing of it may be known. */
function opened(event: BoutEvent, { hidden, underVote, rules }: Seals): BoutEvent | undefined {
  switch (event.type) {
    case "ClaimsAnswered": {
      const granted = without(event.granted, ({ rule }) => !rules.has(rule));
      return granted === event.granted ? event : { ...event, granted };
    }
    case "PickSet":
      return hidden.has(keyOf(event.pick, event.side)) ? undefined : event;
    case "VoteCast":
      return event.exchange === underVote ? undefined : event;
    case "BoutCalled": {
      const all = event.brings?.picks ?? [];
      const picks = without(all, ({ pick, side }) => !hidden.has(keyOf(pick, side)));
      const carried = event.brings?.lines ?? [];
      const lines = without(
        carried,
        (line) => line.type !== "pick" || !hidden.has(keyOf(line.pick, line.side)),
      );
      if (picks === all && lines === carried) return event;
      return { ...event, brings: { ...event.brings, picks, lines } };
    }
    case "ExchangeRecorded":
    case "ExchangeChanged":
    case "ExchangeInserted": {
      const record = openRecord(event.record, hidden);
      return record === event.record ? event : { ...event, record };
    }
    case "FactsGiven": {
      const open = (fact: Fact): boolean => fact.fact !== "pick" || !hidden.has(keyOf(fact.pick, fact.side));
      const facts = without(event.facts, open);
      return facts === event.facts ? event : { ...event, facts };
    }
    default:
      return event;
  }
}

/** Stamps and the sentences of what moved were made with everything known: they are made anew, or left out. */
function restamped(event: BoutEvent, bout: Bout): BoutEvent {
  if (!("tally" in event) || event.tally === undefined) return event;
  const { points, bonus, open } = bout.tally;
  const tally = { points, bonus, open };
  return "moved" in event && event.moved !== undefined ? { ...event, tally, moved: [] } : { ...event, tally };
}

function refold(file: BoutOnFile, hall: Hall, seals: Seals): BoutOnFile | undefined {
  const events: EventOnFile[] = [];
  let bout: Bout | undefined;
  for (const { version, data, command } of file.events) {
    const event = opened(data, seals);
    if (event === undefined) continue;
    bout = evolveBout(bout, event, version, hall.scorers);
    const clean = restamped(event, bout);
    // What moved also stands in the bout itself.
    if (clean !== event && "moved" in clean) bout = { ...bout, lastMoved: [] };
    events.push({ version, data: clean, command });
  }
  return bout === undefined ? undefined : { bout, events };
}

const folds = new WeakMap<BoutOnFile, Map<string, SeenBout>>();

/** The bout as a seat may know it; equal for all seats from which the same is sealed, and computed once for them. */
export function boutAsSeen(file: BoutOnFile, ruleSet: RuleSet, hall: Hall, sitting: Sitting): SeenBout {
  const keys = hiddenKeys(ruleSet, file.bout, sitting);
  const underVote = exchangeUnderVote(file.bout, hall.judges(file.bout.ring));
  const name = JSON.stringify([[...keys].sort(), underVote ?? ""]);
  const made = folds.get(file) ?? new Map<string, SeenBout>();
  folds.set(file, made);
  const before = made.get(name);
  if (before !== undefined) return before;

  const hidden = new Set([...keys].map((key) => key.slice(key.indexOf("/") + 1)));
  const seals = { hidden: keys, underVote, rules: sealedRules(ruleSet, hidden) };
  const sealed = file.events.some(({ data }) => opened(data, seals) !== data);
  const fold = sealed ? refold(file, hall, seals) : undefined;
  const seen: SeenBout = {
    bout: fold?.bout ?? file.bout,
    events: fold?.events ?? file.events,
    hidden,
    ...(underVote === undefined ? {} : { underVote }),
  };
  made.set(name, seen);
  return seen;
}
