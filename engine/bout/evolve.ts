/** Folds events into a bout. It cannot refuse: whatever stands in the ledger has happened. */
import type { Scorer } from "../../rules/index.ts";
import type { Bout, BoutExchange, Vote } from "./bout.ts";
import { drawKey } from "./chance.ts";
import { changedClaims } from "./claims.ts";
import { clockFor, clockForTieBreak, setTo, started, stopped } from "./clock.ts";
import { warningsStandApart } from "./earlier-events.ts";
import type { BoutEvent, Moved } from "./events.ts";
import { indexOf, insertAt, removeAt, undoable, withExchange } from "./exchanges.ts";
import { nextWhere, whereIs } from "./lifecycle.ts";
import { EMPTY_TALLY, tallyOf } from "./scoring.ts";
import type { Scorers } from "./scoring.ts";
import { swapped, takeBack } from "./undo.ts";

type Of<T extends BoutEvent["type"]> = Extract<BoutEvent, { readonly type: T }>;
interface Fold {
  readonly version: number;
  readonly scorers: Scorers;
}

function called(event: Of<"BoutCalled">, { version, scorers }: Fold): Bout {
  const rules = scorers(event.ruleSet)?.ruleSet.bout;
  return {
    id: event.bout,
    no: event.no,
    ring: event.ring,
    red: event.red,
    blue: event.blue,
    ruleSet: event.ruleSet,
    version,
    stage: "called",
    clock: clockFor(rules, event.at),
    brings: event.brings ?? {},
    exchanges: [],
    picks: [],
    penalties: [],
    confirmed: [],
    changedAfterConfirming: false,
    lastMoved: NOTHING,
    tally: EMPTY_TALLY,
    ...(rules === undefined ? {} : { panel: rules.panel }),
    ...(warningsStandApart(event) ? { warningsApart: true } : {}),
  };
}

const newExchange = (event: Of<"ExchangeRecorded" | "ExchangeInserted">): BoutExchange => ({
  id: event.exchange,
  record: event.record,
  by: event.by,
  at: event.at,
  votes: [],
  given: [],
});

const putRight = (event: Of<"ExchangeChanged" | "ExchangeInserted">): Pick<BoutExchange, "putRight"> => ({
  putRight: { at: event.at, by: event.by, ...(event.why === undefined ? {} : { why: event.why }) },
});

function changed(bout: Bout, event: Of<"ExchangeChanged">, version: number): Bout {
  const was = bout.exchanges[indexOf(bout, event.exchange)];
  if (was === undefined) return bout;
  const { record, putRight: right, ruled } = was;
  const before = {
    record,
    ...(right === undefined ? {} : { putRight: right }),
    ...(ruled === undefined ? {} : { ruled }),
  };
  const claims = [...new Set([...(ruled ?? []), ...changedClaims(record, event.record)])];
  const next = withExchange(bout, event.exchange, (exchange) => ({
    ...exchange,
    ...putRight(event),
    record: event.record,
    ...(claims.length === 0 ? {} : { ruled: claims }),
  }));
  return undoable(next, version, { undo: "change", exchange: event.exchange, before });
}

function inserted(bout: Bout, event: Of<"ExchangeInserted">, version: number): Bout {
  const at = event.after === "start" ? 0 : indexOf(bout, event.after) + 1;
  const exchange: BoutExchange = { ...newExchange(event), ...putRight(event), windowClosed: true };
  return undoable(insertAt(bout, at, exchange), version, { undo: "add", exchange: event.exchange });
}

function removed(bout: Bout, event: Of<"ExchangeRemoved">, version: number): Bout {
  const at = indexOf(bout, event.exchange);
  const before = bout.exchanges[at];
  if (before === undefined) return bout;
  const picks = bout.picks.map((pick) => pick.before);
  const penalties = bout.penalties.map((each) => each.afterExchange);
  return undoable(removeAt(bout, at), version, { undo: "remove", at, before, picks, penalties });
}

function voted(bout: Bout, event: Of<"VoteCast">): Bout {
  const vote: Vote = {
    by: event.by,
    at: event.at,
    facts: event.facts,
    notSeen: event.notSeen === true,
    label: event.label,
  };
  return withExchange(bout, event.exchange, (exchange) => ({
    ...exchange,
    votes: [...exchange.votes, vote],
    ...(event.of === undefined ? {} : { judges: event.of }),
  }));
}

function picked(bout: Bout, event: Of<"PickSet">, scorer: Scorer | undefined): Bout {
  const { pick, value } = event;
  const side = event.side === undefined ? {} : { side: event.side };
  const before = event.before ?? bout.exchanges.length + 1;
  const rule = scorer?.ruleSet.picks.find((each) => each.name === pick);
  const last = bout.exchanges.at(-1);
  const drawn = rule !== undefined && "at" in rule.when && rule.when.at === "after each exchange";
  const on = drawn && last !== undefined ? { on: last.id } : {};
  const isAnother = (each: Bout["picks"][number]): boolean =>
    each.pick !== pick || each.side !== event.side || each.before !== before || each.on !== on.on;
  // What is drawn together stands side by side; anything else is chosen anew.
  const others = rule?.turns === undefined ? bout.picks.filter(isAnother) : bout.picks;
  const ahead = before > bout.exchanges.length + 1 ? { ahead: true as const } : {};
  return withDraw({ ...bout, picks: [...others, { pick, value, before, ...side, ...on, ...ahead }] }, event);
}

function withDraw(bout: Bout, event: Of<"PickSet">): Bout {
  if (event.drawn?.how !== "from the seed") return bout;
  const key = drawKey(event.pick, event.side);
  const { seeds = [], drawn = {} } = bout.chance ?? {};
  return { ...bout, chance: { seeds, drawn: { ...drawn, [key]: event.drawn.no } } };
}

function committed(bout: Bout, { commitment }: Of<"SeedCommitted">): Bout {
  const { seeds = [], drawn = {} } = bout.chance ?? {};
  return { ...bout, chance: { seeds: [...seeds, { commitment }], drawn } };
}

function shownSeed(bout: Bout, { no, seed }: Of<"SeedShown">): Bout {
  if (bout.chance === undefined) return bout;
  const seeds = bout.chance.seeds.map((each, at) => (at === no - 1 ? { ...each, seed } : each));
  return { ...bout, chance: { ...bout.chance, seeds } };
}

function assented(bout: Bout, event: Of<"AssentGiven">): Bout {
  const { by, at, call, side } = event;
  const assent = { by, at, call, side, ...(event.value === undefined ? {} : { value: event.value }) };
  return withExchange(bout, event.exchange, (exchange) => ({
    ...exchange,
    assents: [...(exchange.assents ?? []), assent],
  }));
}

/** An exchange goes to the end: what was said for the next but one stays where it is. */
function recordedAtEnd(bout: Bout, event: Of<"ExchangeRecorded">, version: number): Bout {
  const { underWay: _, ...rest } = bout;
  // Entered late, while the next is being fenced: that one is still to be recorded.
  const before = bout.stage === "fencing" ? bout : rest;
  return undoable({ ...before, exchanges: [...bout.exchanges, newExchange(event)] }, version, {
    undo: "add",
    exchange: event.exchange,
  });
}

/** "Fence!": the clock runs, and what was not voted on until now is closed. */
function fencing(bout: Bout, event: Of<"FencingStarted">, version: number): Bout {
  const silent = event.silence ?? [];
  return {
    ...bout,
    underWay: true,
    clock: started(bout.clock, event.at),
    exchanges: bout.exchanges.map((exchange) => {
      if (exchange.windowClosed === true) return exchange;
      const said = silent
        .filter((each) => each.exchange === exchange.id)
        .map(({ by, facts }) => ({ by, facts, at: event.at, version }));
      return { ...exchange, windowClosed: true, given: [...exchange.given, ...said] };
    }),
  };
}

function halted(bout: Bout, event: Of<"HaltCalled">, scorer: Scorer | undefined): Bout {
  // With a running clock a halt takes time from both fencers alike.
  return scorer?.ruleSet.bout.clock === "running" ? bout : { ...bout, clock: stopped(bout.clock, event.at) };
}

function ended(
  bout: Bout,
  event: BoutEvent,
  ending: NonNullable<Bout["ending"]>,
  by: "score" | "word",
  why?: string,
): Bout {
  const { endingWhy: _, paused: _paused, ...rest } = bout;
  return {
    ...rest,
    clock: stopped(bout.clock, event.at),
    ending,
    endedBy: by,
    ...(why === undefined ? {} : { endingWhy: why }),
  };
}

function reopened(bout: Bout): Bout {
  const { ending: _ending, endedBy: _by, endingWhy: _why, ...rest } = bout;
  return { ...rest, confirmed: [], changedAfterConfirming: false };
}

function resumed(bout: Bout): Bout {
  const { paused: _, ...rest } = bout;
  return rest;
}

function confirmed(bout: Bout, event: Of<"ResultConfirmed">): Bout {
  const sides = event.side === undefined ? (["red", "blue"] as const) : [event.side];
  return { ...bout, confirmed: [...new Set([...bout.confirmed, ...sides])], changedAfterConfirming: false };
}

function penalised(bout: Bout, event: Of<"PenaltyGiven">, version: number): Bout {
  const { side, penalty, why, at } = event;
  const penalties = [
    ...bout.penalties,
    { side, penalty, why, at, afterExchange: bout.exchanges.length, version },
  ];
  return undoable({ ...bout, penalties }, version, { undo: "penalty" });
}

function questioned(bout: Bout, event: Of<"ExchangeQuestioned">): Bout {
  return withExchange(bout, event.exchange, (exchange) => ({
    ...exchange,
    questionedBy: [...new Set([...(exchange.questionedBy ?? []), event.side])],
  }));
}

/** The event's own effect, without the stage, the version and the tally. */
function apply(bout: Bout, event: BoutEvent, { version, scorers }: Fold): Bout {
  const scorer = scorers(bout.ruleSet);
  switch (event.type) {
    case "BoutCalled":
    case "CheckConfirmed":
    case "CameOnGuard":
      return bout;
    case "FencingStarted":
      return fencing(bout, event, version);
    case "HaltCalled":
      return halted(bout, event, scorer);
    case "ClockSet":
      return { ...bout, clock: setTo(bout.clock, event.leftMs, event.at) };
    case "ExchangeRecorded":
      return recordedAtEnd(bout, event, version);
    case "ExchangeChanged":
      return changed(bout, event, version);
    case "ExchangeInserted":
      return inserted(bout, event, version);
    case "ExchangeRemoved":
      return removed(bout, event, version);
    case "FencersSwapped":
      return undoable(swapped(bout), version, { undo: "swap" });
    case "RuleSetChanged":
      return undoable(underRules(bout, event.ruleSet, scorers), version, {
        undo: "rule set",
        before: bout.ruleSet,
      });
    case "FactsGiven": {
      const { by, at, facts } = event;
      const next = withExchange(bout, event.exchange, (exchange) => ({
        ...exchange,
        given: [...exchange.given, { by, at, facts, version }],
      }));
      return undoable(next, version, { undo: "facts", exchange: event.exchange });
    }
    case "VoteCast":
      return voted(bout, event);
    case "PickSet":
      return picked(bout, event, scorer);
    case "SeedCommitted":
      return committed(bout, event);
    case "SeedShown":
      return shownSeed(bout, event);
    case "AssentGiven":
      return assented(bout, event);
    case "ClaimsAnswered":
      return { ...bout, granted: event.granted };
    case "PenaltyGiven":
      return penalised(bout, event, version);
    case "Undone": {
      const back = takeBack(bout, event.version);
      return back.ruleSet === bout.ruleSet ? back : underRules(back, back.ruleSet, scorers);
    }
    case "Paused": {
      const paused = {
        reason: event.reason,
        since: event.at,
        ...(event.side === undefined ? {} : { side: event.side }),
      };
      return { ...bout, paused, clock: stopped(bout.clock, event.at) };
    }
    case "Resumed":
      return resumed(bout);
    case "TieBreakCalled":
      return {
        ...bout,
        tieBreak: event.how,
        clock: clockForTieBreak(event.how, scorer?.ruleSet.bout, event.at),
      };
    case "BoutStopped":
      return ended(bout, event, "stopped", "word", event.why);
    case "BoutForfeited":
      return ended(bout, event, event.side === "red" ? "red forfeits" : "blue forfeits", "word", event.why);
    case "BoutEnded":
      return ended(bout, event, event.ending, event.said === true ? "word" : "score");
    case "BoutReopened":
      return reopened(bout);
    case "ResultConfirmed":
      return confirmed(bout, event);
    case "ExchangeQuestioned":
      return questioned(bout, event);
  }
}

function underRules(bout: Bout, ruleSet: string, scorers: Scorers): Bout {
  const { panel: _, ...rest } = bout;
  const panel = scorers(ruleSet)?.ruleSet.bout.panel;
  return { ...rest, ruleSet, ...(panel === undefined ? {} : { panel }) };
}

/** Events that change what has been awarded; after a confirmed result they flag it. */
const CORRECTS: ReadonlySet<BoutEvent["type"]> = new Set<BoutEvent["type"]>([
  "ExchangeChanged",
  "ExchangeInserted",
  "ExchangeRemoved",
  "RuleSetChanged",
  "FencersSwapped",
  "FactsGiven",
  "PenaltyGiven",
  "PickSet",
  "Undone",
  "ClaimsAnswered",
]);

const NOTHING: readonly Moved[] = [];

function flagged(bout: Bout, event: BoutEvent): Bout {
  const lastMoved = ("moved" in event ? event.moved : undefined) ?? NOTHING;
  const corrects = CORRECTS.has(event.type) || (event.type === "VoteCast" && event.moved !== undefined);
  if (bout.confirmed.length === 0 || !corrects)
    return lastMoved === bout.lastMoved ? bout : { ...bout, lastMoved };
  return { ...bout, lastMoved, changedAfterConfirming: true };
}

/** Everything but the tally. */
function shaped(bout: Bout | undefined, event: BoutEvent, fold: Fold): Bout | undefined {
  if (bout === undefined) return event.type === "BoutCalled" ? called(event, fold) : undefined;
  const next = flagged(apply(bout, event, fold), event);
  const { stage, begun } = nextWhere(whereIs(bout), event.type);
  return { ...next, version: fold.version, stage, ...(begun ? { begun: true } : {}) };
}

const scored = (bout: Bout, scorers: Scorers): Bout => ({
  ...bout,
  tally: tallyOf(bout, scorers(bout.ruleSet)),
});

/** What the tally rests on is the same object in both. */
const scoresTheSame = (a: Bout, b: Bout): boolean =>
  a.exchanges === b.exchanges &&
  a.picks === b.picks &&
  a.penalties === b.penalties &&
  a.brings === b.brings &&
  a.granted === b.granted &&
  a.ruleSet === b.ruleSet &&
  a.ending === b.ending &&
  a.stage === b.stage;

/** The bout after one more event; `version` is the event's in its stream. The first event must be BoutCalled. */
export function evolveBout(
  bout: Bout | undefined,
  event: BoutEvent,
  version: number,
  scorers: Scorers,
): Bout {
  const next = shaped(bout, event, { version, scorers });
  if (next === undefined) throw new Error(`A bout's stream begins with BoutCalled, not with ${event.type}.`);
  return bout !== undefined && scoresTheSame(bout, next) ? next : scored(next, scorers);
}

/** The bout that a stream's events make, scored once at the end; undefined for an empty stream. */
export function foldBout(
  events: readonly { readonly version: number; readonly data: BoutEvent }[],
  scorers: Scorers,
): Bout | undefined {
  let bout: Bout | undefined;
  for (const { version, data } of events) bout = shaped(bout, data, { version, scorers });
  return bout === undefined ? undefined : scored(bout, scorers);
}
