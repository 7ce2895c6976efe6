/** What happened in a bout, past tense. Nothing here is ever rewritten: a correction is one more event. */
import type { Ending, Fact, Side } from "../../rules/index.ts";
import type { BoutId, ExchangeId, Millis, PersonId, RingId, Source } from "../ids.ts";
import type {
  BroughtIn,
  DrawnElsewhere,
  Granted,
  PauseReason,
  Penalty,
  RecordedExchange,
} from "./commands.ts";

interface Base {
  readonly at: Millis;
  readonly by: Source;
}

export type BoutEvent = Base &
  (
    | {
        readonly type: "BoutCalled";
        readonly bout: BoutId;
        readonly no: number;
        readonly ring: RingId;
        readonly red: PersonId;
        readonly blue: PersonId;
        readonly ruleSet: string;
        /** Version of the scorer that the table saw. */
        readonly scorer: number;
        readonly brings?: BroughtIn;
      }
    | { readonly type: "CheckConfirmed" }
    | { readonly type: "CameOnGuard" }
    /** "Fence!" closes the vote windows: `silence` holds what the silence of named watchers says (S4). */
    | { readonly type: "FencingStarted"; readonly silence?: readonly Silence[] }
    | { readonly type: "HaltCalled" }
    | { readonly type: "ClockSet"; readonly leftMs: number }
    | {
        readonly type: "ExchangeRecorded";
        readonly exchange: ExchangeId;
        readonly record: RecordedExchange;
        /** The tally that was acknowledged, so that a later version can be compared with it. */
        readonly tally: TallyStamp;
      }
    | {
        readonly type: "ExchangeChanged";
        readonly exchange: ExchangeId;
        readonly record: RecordedExchange;
        readonly why?: string;
        readonly moved: readonly Moved[];
        readonly tally: TallyStamp;
      }
    | {
        readonly type: "ExchangeInserted";
        readonly exchange: ExchangeId;
        readonly after: ExchangeId | "start";
        readonly record: RecordedExchange;
        readonly why?: string;
        readonly moved: readonly Moved[];
        readonly tally: TallyStamp;
      }
    | {
        readonly type: "ExchangeRemoved";
        readonly exchange: ExchangeId;
        readonly why?: string;
        readonly moved: readonly Moved[];
        readonly tally: TallyStamp;
      }
    | { readonly type: "FencersSwapped"; readonly tally: TallyStamp }
    | {
        readonly type: "RuleSetChanged";
        readonly ruleSet: string;
        readonly moved: readonly Moved[];
        readonly tally: TallyStamp;
      }
    | {
        readonly type: "FactsGiven";
        readonly exchange: ExchangeId;
        readonly facts: readonly Fact[];
        readonly moved: readonly Moved[];
        readonly tally: TallyStamp;
      }
    | {
        readonly type: "VoteCast";
        readonly exchange: ExchangeId;
        readonly facts: readonly Fact[];
        readonly notSeen?: boolean;
        readonly label: string;
        /** How many judges' seats, the referee's left out, were held when it was cast; missing: not known. */
        readonly of?: number;
        /** Only where the vote changed the tally. */
        readonly moved?: readonly Moved[];
        readonly tally?: TallyStamp;
      }
    | {
        readonly type: "PickSet";
        readonly pick: string;
        readonly side?: Side;
        readonly value: string;
        /** How a pick by chance was drawn. */
        readonly drawn?: Drawn;
        /** The exchange from which it holds, where that is not simply the next one to be recorded. */
        readonly before?: number;
      }
    /** Every answer of the hall that holds for this bout from now on. */
    | {
        readonly type: "ClaimsAnswered";
        readonly granted: readonly Granted[];
        readonly moved: readonly Moved[];
        readonly tally: TallyStamp;
      }
    /** Before anything is drawn: the SHA-256 of seed number `no`. */
    | { readonly type: "SeedCommitted"; readonly no: number; readonly commitment: string }
    /** The bout has ended: everybody may draw again (chance.ts). */
    | { readonly type: "SeedShown"; readonly no: number; readonly seed: string }
    /** `value`: what was assented to; another value that is called later has no assent. */
    | {
        readonly type: "AssentGiven";
        readonly exchange: ExchangeId;
        readonly call: string;
        readonly side: Side;
        readonly value?: number;
        readonly moved: readonly Moved[];
        readonly tally: TallyStamp;
      }
    | {
        readonly type: "PenaltyGiven";
        readonly side: Side;
        readonly penalty: Penalty;
        readonly why: string;
        readonly exchange?: ExchangeId;
        readonly tally?: TallyStamp;
      }
    /** Takes back the event with this version of the stream. */
    | {
        readonly type: "Undone";
        readonly version: number;
        readonly moved: readonly Moved[];
        readonly tally: TallyStamp;
      }
    | { readonly type: "Paused"; readonly reason: PauseReason; readonly side?: Side }
    | { readonly type: "Resumed" }
    | { readonly type: "BoutStopped"; readonly why: string }
    | { readonly type: "BoutForfeited"; readonly side: Side; readonly why: string }
    /** The score is level and the rule set wants it decided: the tie-break begins. */
    | { readonly type: "TieBreakCalled"; readonly how: TieBreak }
    /** `said`: the referee said this ending; missing: it follows from the score. */
    | { readonly type: "BoutEnded"; readonly ending: Ending; readonly said?: true }
    | { readonly type: "BoutReopened"; readonly why: string }
    | { readonly type: "ResultConfirmed"; readonly side?: Side }
    | {
        readonly type: "ExchangeQuestioned";
        readonly exchange: ExchangeId;
        readonly side: Side;
        readonly why: string;
      }
  );

/** Where a drawn value came from: draw `no` of this pick and side from seed number `seed`, or somebody's hand. */
export type Drawn =
  | { readonly how: "from the seed"; readonly seed: number; readonly no: number }
  | { readonly how: DrawnElsewhere };

/** A named watcher who cast no vote while the window was open: nothing of what they watch happened. */
export interface Silence {
  readonly exchange: ExchangeId;
  readonly by: Source;
  readonly facts: readonly Fact[];
}

export const TIE_BREAKS = ["sudden death", "more seconds", "priority minute"] as const;
export type TieBreak = (typeof TIE_BREAKS)[number];

/** Settled figures after an event. */
export interface TallyStamp {
  readonly points: { readonly red: number; readonly blue: number };
  readonly bonus: { readonly red: number; readonly blue: number };
  readonly open: number;
}

/** What a correction moved: one line for each exchange whose awards changed. */
export interface Moved {
  /** Number after the correction; 0 for the end of the bout. */
  readonly exchange: number;
  /** "Exchange 4: Blue's Cover and answer, 2 bonus, is gone: capped at 4 a bout." */
  readonly sentence: string;
}
