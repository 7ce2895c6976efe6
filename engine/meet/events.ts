/** The evening: who is there, which rings, which bouts come next, which rule sets are in use, who holds a ring's pen. */
import type { BoutId, Millis, PersonId, RingId, SeatId, Source } from "../ids.ts";
import type { Claimed, HallClaim, HallGrant } from "./claims.ts";

/** "retired": a rule took the fencer off the hill; like "resting", until somebody marks them as here. */
export const FENCER_MARKS = ["here", "resting", "retired", "out for tonight"] as const;
export type FencerMark = (typeof FENCER_MARKS)[number];

/** What is known of a fencer; what is missing is not known. Grade: the higher the further on. Rating: the higher the stronger. */
export interface FencerFacts {
  readonly team?: string;
  readonly leftHanded?: boolean;
  readonly grade?: number;
  readonly rating?: number;
}

export interface FencerHere extends FencerFacts {
  readonly person: PersonId;
  readonly as: FencerMark;
  /** The bout that brought this mark; missing: the coach set it. */
  readonly because?: BoutId;
  /** Bouts whose "retire" or "out" was taken in already. */
  readonly after?: readonly BoutId[];
}

/** One bout of a relay, in its order. */
export interface RelayBout {
  readonly bout: BoutId;
  readonly red: PersonId;
  readonly blue: PersonId;
}

export type MeetCommand =
  | { readonly type: "OpenEvening"; readonly name: string; readonly until?: string }
  | { readonly type: "AddRing"; readonly ring: RingId; readonly name: string }
  | { readonly type: "AddFencer"; readonly person: PersonId }
  /** `because`: a bout in which a rule retired them, or an officer sent them out. */
  | {
      readonly type: "MarkFencer";
      readonly person: PersonId;
      readonly as: FencerMark;
      readonly because?: BoutId;
    }
  /** Says anew all that is known of a fencer. */
  | { readonly type: "SetFencer"; readonly person: PersonId; readonly facts: FencerFacts }
  /** Two teams fence bout after bout on one ring; every bout counts for its team. */
  | {
      readonly type: "PlanRelay";
      readonly ring: RingId;
      readonly ruleSet: string;
      readonly redTeam: string;
      readonly blueTeam: string;
      readonly bouts: readonly RelayBout[];
    }
  /** All that a bout claims of limits that rings share, as it stands now; first come, first served. */
  | { readonly type: "ClaimOfHall"; readonly bout: BoutId; readonly claims: readonly Claimed[] }
  /** Puts a rule set (by hash) on the evening's shelf under its name; the latest of a name is in use. */
  | { readonly type: "AdoptRuleSet"; readonly ruleSet: string; readonly name: string }
  | {
      readonly type: "PlanBout";
      readonly bout: BoutId;
      readonly ring: RingId;
      readonly red: PersonId;
      readonly blue: PersonId;
      readonly ruleSet: string;
    }
  | { readonly type: "DropPlannedBout"; readonly bout: BoutId }
  /** The planned bout is called to its ring; the bout's own stream opens with it. */
  | { readonly type: "CallToRing"; readonly bout: BoutId }
  | { readonly type: "ClearRing"; readonly ring: RingId }
  | { readonly type: "TakePen"; readonly ring: RingId; readonly device: string }
  | {
      readonly type: "SetOfficial";
      readonly ring: RingId;
      readonly office: "referee" | "table";
      readonly person: PersonId;
    };

export type MeetEvent = { readonly at: Millis; readonly by: Source } & (
  | { readonly type: "EveningOpened"; readonly name: string; readonly until?: string }
  | { readonly type: "RingAdded"; readonly ring: RingId; readonly name: string }
  | { readonly type: "FencerAdded"; readonly person: PersonId }
  | {
      readonly type: "FencerMarked";
      readonly person: PersonId;
      readonly as: FencerMark;
      readonly because?: BoutId;
    }
  | { readonly type: "FencerSet"; readonly person: PersonId; readonly facts: FencerFacts }
  | { readonly type: "HallClaimed"; readonly bout: BoutId; readonly claims: readonly Claimed[] }
  | { readonly type: "HallAnswered"; readonly grants: readonly HallGrant[] }
  | { readonly type: "RuleSetAdopted"; readonly ruleSet: string; readonly name: string }
  | {
      readonly type: "BoutPlanned";
      readonly bout: BoutId;
      readonly no: number;
      readonly ring: RingId;
      readonly red: PersonId;
      readonly blue: PersonId;
      readonly ruleSet: string;
      readonly redTeam?: string;
      readonly blueTeam?: string;
    }
  | { readonly type: "PlannedBoutDropped"; readonly bout: BoutId }
  | { readonly type: "BoutCalledToRing"; readonly bout: BoutId; readonly ring: RingId }
  | { readonly type: "RingCleared"; readonly ring: RingId }
  | {
      readonly type: "PenTaken";
      readonly ring: RingId;
      readonly device: string;
      readonly seat: SeatId;
      readonly epoch: number;
    }
  | {
      readonly type: "OfficialSet";
      readonly ring: RingId;
      readonly office: "referee" | "table";
      readonly person: PersonId;
    }
);

export interface PlannedBout {
  readonly bout: BoutId;
  readonly no: number;
  readonly ring: RingId;
  readonly red: PersonId;
  readonly blue: PersonId;
  readonly ruleSet: string;
  /** The teams for which they fence in a relay. */
  readonly redTeam?: string;
  readonly blueTeam?: string;
  readonly calledAt?: Millis;
}

export interface Ring {
  readonly id: RingId;
  readonly name: string;
  /** The bout on it, called and not cleared. */
  readonly bout?: BoutId;
  readonly pen?: { readonly device: string; readonly seat: SeatId; readonly epoch: number };
  readonly referee?: PersonId;
  readonly table?: PersonId;
}

export interface Meet {
  readonly version: number;
  readonly name: string;
  readonly until?: string;
  readonly rings: readonly Ring[];
  readonly fencers: readonly FencerHere[];
  readonly shelf: readonly { readonly name: string; readonly ruleSet: string }[];
  readonly planned: readonly PlannedBout[];
  /** Called bouts, oldest first, those on a ring included. */
  readonly called: readonly PlannedBout[];
  /** The highest number that a bout was given tonight. */
  readonly lastNo?: number;
  /** Claims of limits that rings share, first come first. */
  readonly claims?: readonly HallClaim[];
}
