/** The front door of bouts and evenings: pure, for server, screens and command line alike. */
export { openBout, decideBout, canBout, SCORER_VERSION } from "./bout/decide.ts";
export { evolveBout, foldBout } from "./bout/evolve.ts";
export { sheetOf, tallyOf, type Scorers } from "./bout/scoring.ts";
export { resolveExchange, type Worth } from "./bout/panel.ts";
export { picksDue, type PickDue } from "./bout/schedule.ts";
export { checkDraws, isByChance, type DrawChecked } from "./bout/chance.ts";
export {
  awaitsAssent,
  callsToAssentTo,
  freeValues,
  type AwaitsAssent,
  type FreeValue,
} from "./bout/assents.ts";
export { clockAt, clockFor, isTimeUp, secondsShown } from "./bout/clock.ts";
export { plannedExchanges } from "./bout/planned.ts";
export { lifecycle } from "./bout/lifecycle.ts";
export { isOver, standingOf } from "./bout/over.ts";
export { sideOf } from "./bout/rights.ts";
export { selfCalls, type SelfCall, type SelfCalls } from "./bout/self-calls.ts";
export { kindsWatchedBy } from "./bout/watching.ts";
export {
  STAGES,
  type Bout,
  type BoutExchange,
  type Clock,
  type Stage,
  type Undoable,
  type Vote,
} from "./bout/bout.ts";
export {
  DRAWN_ELSEWHERE,
  PAUSES,
  PENALTIES,
  type BoutCommand,
  type BroughtIn,
  type DrawnElsewhere,
  type Given,
  type PauseReason,
  type Penalty,
  type RecordedExchange,
  type SeatsHeld,
} from "./bout/commands.ts";
export {
  TIE_BREAKS,
  type BoutEvent,
  type Moved,
  type Silence,
  type TallyStamp,
  type TieBreak,
} from "./bout/events.ts";
export { isRefusal, refusal, REFUSAL_CODES, type Refusal, type RefusalCode } from "./bout/refusals.ts";
export { decideMeet, emptyMeet, evolveMeet, penRefusal, type Bouts } from "./meet/meet.ts";
export {
  FENCER_MARKS,
  type FencerFacts,
  type FencerHere,
  type FencerMark,
  type Meet,
  type MeetCommand,
  type MeetEvent,
  type PlannedBout,
  type Ring,
} from "./meet/events.ts";
export { nextOnTheHill, nextPair, relayOrder, type NextPair, type Waiting } from "./meet/order.ts";
export { answersKey, answersTo, claimsOf } from "./meet/claiming.ts";
export { claimsTheSame, limitsOn } from "./meet/claims.ts";
export { bringsOf, movedByEarlier } from "./meet/evening.ts";
export { standings, type PoolResult, type Standing } from "./meet/standings.ts";
export { funnel, FUNNEL, type Funnel } from "./coaching/funnel.ts";
export type { BoutId, CommandId, ExchangeId, Millis, PersonId, RingId, SeatId, Source } from "./ids.ts";
// What a bout is made of, so that wire and screens need one door for it.
export type { Ending, Fact, Pair, Panel, Question, Side, Tally, Unit } from "../rules/index.ts";
