/** The kinds of events that this version knows; the compiler keeps both lists whole. */
import type { BoutEvent } from "../bout/events.ts";
import type { MeetEvent } from "../meet/events.ts";

const BOUT_EVENTS = {
  BoutCalled: true,
  CheckConfirmed: true,
  CameOnGuard: true,
  FencingStarted: true,
  HaltCalled: true,
  ClockSet: true,
  ExchangeRecorded: true,
  ExchangeChanged: true,
  ExchangeInserted: true,
  ExchangeRemoved: true,
  FencersSwapped: true,
  RuleSetChanged: true,
  FactsGiven: true,
  VoteCast: true,
  PickSet: true,
  ClaimsAnswered: true,
  SeedCommitted: true,
  SeedShown: true,
  AssentGiven: true,
  PenaltyGiven: true,
  Undone: true,
  Paused: true,
  Resumed: true,
  BoutStopped: true,
  BoutForfeited: true,
  TieBreakCalled: true,
  BoutEnded: true,
  BoutReopened: true,
  ResultConfirmed: true,
  ExchangeQuestioned: true,
} as const satisfies Readonly<Record<BoutEvent["type"], true>>;

const MEET_EVENTS = {
  EveningOpened: true,
  RingAdded: true,
  FencerAdded: true,
  FencerMarked: true,
  FencerSet: true,
  HallClaimed: true,
  HallAnswered: true,
  RuleSetAdopted: true,
  BoutPlanned: true,
  PlannedBoutDropped: true,
  BoutCalledToRing: true,
  RingCleared: true,
  PenTaken: true,
  OfficialSet: true,
} as const satisfies Readonly<Record<MeetEvent["type"], true>>;

const isSigned = (data: unknown, kinds: object): boolean =>
  typeof data === "object" &&
  data !== null &&
  "type" in data &&
  typeof data.type === "string" &&
  Object.hasOwn(kinds, data.type) &&
  "by" in data &&
  typeof data.by === "object" &&
  data.by !== null;

/** Whether stored data is an event of a bout. Its contents went through `decide`; its chain shows whether it changed since. */
export const isBoutEvent = (data: unknown): data is BoutEvent => isSigned(data, BOUT_EVENTS);

/** Whether stored data is an event of the evening. */
export const isMeetEvent = (data: unknown): data is MeetEvent => isSigned(data, MEET_EVENTS);
