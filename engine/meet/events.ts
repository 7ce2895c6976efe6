/** The evening: who is there, which rings, which bouts come next, which rule sets are in use, who holds a ring's pen. */
import type { BoutId, Millis, PersonId, RingId, SeatId, Source } from "../ids.ts";

export type MeetCommand =
  | { readonly type: "OpenEvening"; readonly name: string; readonly until?: string }
  | { readonly type: "AddRing"; readonly ring: RingId; readonly name: string }
  | { readonly type: "AddFencer"; readonly person: PersonId }
  | {
      readonly type: "MarkFencer";
      readonly person: PersonId;
      readonly as: "here" | "resting" | "out for tonight";
    }
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
      readonly as: "here" | "resting" | "out for tonight";
    }
  | { readonly type: "RuleSetAdopted"; readonly ruleSet: string; readonly name: string }
  | {
      readonly type: "BoutPlanned";
      readonly bout: BoutId;
      readonly no: number;
      readonly ring: RingId;
      readonly red: PersonId;
      readonly blue: PersonId;
      readonly ruleSet: string;
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
  readonly fencers: readonly {
    readonly person: PersonId;
    readonly as: "here" | "resting" | "out for tonight";
  }[];
  readonly shelf: readonly { readonly name: string; readonly ruleSet: string }[];
  readonly planned: readonly PlannedBout[];
  /** Called bouts, oldest first, those on a ring included. */
  readonly called: readonly PlannedBout[];
  /** The highest number that a bout was given tonight. */
  readonly lastNo?: number;
}
