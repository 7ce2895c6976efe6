/** A bout as its events say it is: what `evolve` folds to and every view is drawn from. Plain JSON but for the scorer. */
import type { Ending, Fact, Side, Tally } from "../../rules/index.ts";
import type { BoutId, ExchangeId, Millis, PersonId, RingId, Source } from "../ids.ts";
import type { Penalty, PauseReason, RecordedExchange, BroughtIn } from "./commands.ts";
import type { Moved } from "./events.ts";

/** The lifecycle machine's states. */
export const STAGES = [
  "called",
  "checked",
  "on guard",
  "fencing",
  "halted",
  "paused",
  "tie-break",
  "ended",
] as const;
export type Stage = (typeof STAGES)[number];

/** Every screen counts by itself: left = leftMs - (now - since) while running. */
export interface Clock {
  readonly running: boolean;
  /** Milliseconds left at `since`; for a bout without a time limit, milliseconds fenced (counting up). */
  readonly leftMs: number;
  readonly since: Millis;
  readonly counts: "down" | "up";
}

export interface Vote {
  readonly by: Source;
  readonly at: Millis;
  readonly facts: readonly Fact[];
  readonly notSeen: boolean;
  readonly label: string;
}

export interface BoutExchange {
  readonly id: ExchangeId;
  /** As the table wrote it. */
  readonly record: RecordedExchange;
  readonly by: Source;
  readonly at: Millis;
  readonly votes: readonly Vote[];
  /** Facts given afterwards, each with who gave it. */
  readonly given: readonly { readonly by: Source; readonly at: Millis; readonly facts: readonly Fact[] }[];
  /** The latest correction, for the cross-stitch and its sentence. */
  readonly putRight?: { readonly at: Millis; readonly by: Source; readonly why?: string };
  readonly questionedBy?: readonly Side[];
}

export interface Bout {
  readonly id: BoutId;
  readonly no: number;
  readonly ring: RingId;
  readonly red: PersonId;
  readonly blue: PersonId;
  /** Hash of the rule set in force. */
  readonly ruleSet: string;
  readonly version: number;
  readonly stage: Stage;
  readonly clock: Clock;
  readonly brings: BroughtIn;
  readonly exchanges: readonly BoutExchange[];
  readonly picks: readonly {
    readonly pick: string;
    readonly side?: Side;
    readonly value: string;
    readonly before: number;
  }[];
  readonly penalties: readonly {
    readonly side: Side;
    readonly penalty: Penalty;
    readonly why: string;
    readonly at: Millis;
    readonly afterExchange: number;
  }[];
  readonly paused?: { readonly reason: PauseReason; readonly side?: Side; readonly since: Millis };
  readonly ending?: Ending;
  readonly endingWhy?: string;
  readonly confirmed: readonly Side[];
  /** A correction after the result was confirmed: flagged, never silent. */
  readonly changedAfterConfirming: boolean;
  readonly lastMoved: readonly Moved[];
  readonly tally: Tally;
}
