/**
 * The lifecycle of a bout and nothing else: called, checked, on guard, fencing, halted, paused, tie-break, ended.
 * It moves by what happened (the events of events.ts), so that a replay and a live bout take the same path.
 */
import { assign, createActor, setup } from "xstate";
import type { SnapshotFrom } from "xstate";
import type { Bout, Stage } from "./bout.ts";
import type { BoutCommand } from "./commands.ts";
import type { BoutEvent } from "./events.ts";
import { mayEnd, mayGoOn } from "./over.ts";
import type { Standing } from "./over.ts";

/** An event as the machine sees it; `standing` is there while it is being decided and absent in a replay. */
export interface Step {
  readonly type: BoutEvent["type"];
  readonly standing?: Standing;
}

interface Memory {
  /** The first "Fence!" or the first recording is past. */
  readonly begun: boolean;
  readonly tieBreak: boolean;
}

/** Where a bout stands: the machine's state, and the little that it remembers. */
export interface Where extends Memory {
  readonly stage: Stage;
}

const CORRECTIONS = [
  "ExchangeChanged",
  "ExchangeInserted",
  "ExchangeRemoved",
  "FencersSwapped",
  "RuleSetChanged",
  "FactsGiven",
  "VoteCast",
  "PickSet",
  "PenaltyGiven",
  "Undone",
  "ExchangeQuestioned",
  "SeedCommitted",
  "SeedShown",
  "AssentGiven",
  "ClaimsAnswered",
] as const;

/** What may happen in a stage without leaving it. */
const staysIn = (stage: Stage, ...more: readonly BoutEvent["type"][]) =>
  Object.fromEntries([...CORRECTIONS, ...more].map((type) => [type, { target: stage }]));

/** Where fencing stops for a while. */
const toRest = [{ guard: "inTieBreak" as const, target: "tie-break" }, { target: "halted" }];
const toFencing = { guard: "mayGoOn" as const, target: "fencing", actions: "begin" as const };
const toEnd = { guard: "mayEnd" as const, target: "ended" };
const brokenOff = {
  Paused: { target: "paused" },
  BoutStopped: { target: "ended" },
  BoutForfeited: { target: "ended" },
};
/** A bout may be written down afterwards: recording begins it. */
const recorded = { target: "halted", actions: "begin" as const };

/** The statechart. Guards ask over.ts, which asks `whetherOver` of rules/. */
export const lifecycle = setup({
  types: { context: {} as Memory, events: {} as Step },
  guards: {
    mayGoOn: ({ event: { standing } }) => standing === undefined || mayGoOn(standing),
    mayEnd: ({ event: { standing } }) => standing === undefined || mayEnd(standing),
    inTieBreak: ({ context }) => context.tieBreak,
    hasNotBegun: ({ context }) => !context.begun,
  },
  actions: {
    begin: assign({ begun: true }),
    callTieBreak: assign({ tieBreak: true }),
  },
}).createMachine({
  id: "bout",
  context: { begun: false, tieBreak: false },
  initial: "called",
  states: {
    called: {
      on: {
        ...staysIn("called", "ClockSet"),
        ...brokenOff,
        CheckConfirmed: { target: "checked" },
        CameOnGuard: { target: "on guard" },
        FencingStarted: toFencing,
        ExchangeRecorded: recorded,
      },
    },
    checked: {
      on: {
        ...staysIn("checked", "ClockSet"),
        ...brokenOff,
        CameOnGuard: { target: "on guard" },
        FencingStarted: toFencing,
        ExchangeRecorded: recorded,
      },
    },
    "on guard": {
      on: {
        ...staysIn("on guard", "ClockSet"),
        ...brokenOff,
        FencingStarted: toFencing,
        ExchangeRecorded: [
          { guard: "inTieBreak", target: "tie-break", actions: "begin" },
          { target: "halted", actions: "begin" },
        ],
        BoutEnded: toEnd,
      },
    },
    fencing: {
      // An exchange may be entered late, while the next is being fenced: that does not stop play.
      on: { ...staysIn("fencing", "ClockSet", "ExchangeRecorded"), ...brokenOff, HaltCalled: toRest },
    },
    halted: {
      on: {
        ...staysIn("halted", "ClockSet", "ExchangeRecorded"),
        ...brokenOff,
        CameOnGuard: { guard: "mayGoOn", target: "on guard" },
        FencingStarted: toFencing,
        TieBreakCalled: { target: "tie-break", actions: "callTieBreak" },
        BoutEnded: toEnd,
      },
    },
    paused: {
      on: {
        ...staysIn("paused", "ClockSet"),
        ...brokenOff,
        Paused: { target: "paused" },
        ExchangeRecorded: { target: "paused", actions: "begin" },
        Resumed: [{ guard: "hasNotBegun", target: "called" }, ...toRest],
        BoutEnded: toEnd,
      },
    },
    "tie-break": {
      on: {
        ...staysIn("tie-break", "ClockSet", "ExchangeRecorded"),
        ...brokenOff,
        CameOnGuard: { guard: "mayGoOn", target: "on guard" },
        FencingStarted: toFencing,
        BoutEnded: toEnd,
      },
    },
    ended: {
      // A correction after the end may change who won: the ending is then said anew.
      on: {
        ...staysIn("ended", "ResultConfirmed", "BoutEnded"),
        BoutReopened: [
          { guard: "inTieBreak", target: "tie-break", actions: "begin" },
          { target: "halted", actions: "begin" },
        ],
      },
    },
  },
});

type Snapshot = SnapshotFrom<typeof lifecycle>;

const snapshots = new Map<string, Snapshot>();
const key = (where: Where): string => `${where.stage}|${where.begun}|${where.tieBreak}`;

/** The machine's snapshot for a place; the places are few, so each is made once. */
function snapshotOf(where: Where): Snapshot {
  const known = snapshots.get(key(where));
  if (known !== undefined) return known;
  const context: Memory = { begun: where.begun, tieBreak: where.tieBreak };
  const made = lifecycle.resolveState({ value: where.stage, context });
  snapshots.set(key(where), made);
  return made;
}

const steps = new Map<string, Where>();

/**
 * Where an event leads. What the machine does not know in a stage leaves it there: a replay cannot be refused.
 * Every (place, event) is run through an actor once and remembered, so that folding a bout costs a look-up an event.
 */
export function nextWhere(where: Where, type: Step["type"]): Where {
  const step = `${key(where)}|${type}`;
  const known = steps.get(step);
  if (known !== undefined) return known;
  const actor = createActor(lifecycle, { snapshot: snapshotOf(where) }).start();
  actor.send({ type });
  const { value, context } = actor.getSnapshot();
  actor.stop();
  const next: Where = { stage: value as Stage, begun: context.begun, tieBreak: context.tieBreak };
  steps.set(step, next);
  return next;
}

/** What each command leads to if it is accepted; "EndBout" may lead to a tie-break first. */
export const LEADS_TO: { readonly [C in BoutCommand["type"]]: BoutEvent["type"] } = {
  CallBout: "BoutCalled",
  ConfirmCheck: "CheckConfirmed",
  ComeOnGuard: "CameOnGuard",
  StartFencing: "FencingStarted",
  CallHalt: "HaltCalled",
  SetClock: "ClockSet",
  RecordExchange: "ExchangeRecorded",
  ChangeExchange: "ExchangeChanged",
  InsertExchange: "ExchangeInserted",
  RemoveExchange: "ExchangeRemoved",
  SwapFencers: "FencersSwapped",
  ChangeRuleSet: "RuleSetChanged",
  GiveFacts: "FactsGiven",
  Vote: "VoteCast",
  SetPick: "PickSet",
  DrawPick: "PickSet",
  Assent: "AssentGiven",
  AnswerClaims: "ClaimsAnswered",
  GivePenalty: "PenaltyGiven",
  Undo: "Undone",
  Pause: "Paused",
  Resume: "Resumed",
  Stop: "BoutStopped",
  Forfeit: "BoutForfeited",
  EndBout: "BoutEnded",
  Reopen: "BoutReopened",
  ConfirmResult: "ResultConfirmed",
  QuestionExchange: "ExchangeQuestioned",
};

/** Where the machine stands for a bout. */
export const whereIs = (bout: Bout): Where => ({
  stage: bout.stage,
  begun: bout.begun === true,
  tieBreak: bout.tieBreak !== undefined,
});

/** Whether the machine takes a step from here, its guards asked with the standing that is given. */
export const canStep = (where: Where, step: Step): boolean => snapshotOf(where).can(step);
