/** A bout as its events say it is: what `evolve` folds to and every view is drawn from. Plain JSON but for the scorer. */
import type { Ending, Fact, Panel, Side, Tally } from "../../rules/index.ts";
import type { BoutId, ExchangeId, Millis, PersonId, RingId, Source } from "../ids.ts";
import type { Granted, Penalty, PauseReason, RecordedExchange, BroughtIn } from "./commands.ts";
import type { Moved, TieBreak } from "./events.ts";

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
  readonly given: readonly {
    readonly by: Source;
    readonly at: Millis;
    readonly facts: readonly Fact[];
    /** The event that brought them. */
    readonly version?: number;
  }[];
  /** The latest correction, for the cross-stitch and its sentence. */
  readonly putRight?: { readonly at: Millis; readonly by: Source; readonly why?: string };
  readonly questionedBy?: readonly Side[];
  /** The vote window (halt to the next "Fence!") has closed: a vote from now on is a correction. */
  readonly windowClosed?: true;
  /** How many judges' seats, the referee's left out, were held when the latest vote was cast. */
  readonly judges?: number;
  /** When "Fence!" closed the window; an exchange that was inserted never had one. */
  readonly closedAt?: Millis;
  /** Second judges' assents to values that were called. */
  readonly assents?: readonly {
    readonly by: Source;
    readonly at: Millis;
    readonly call: string;
    readonly side: Side;
    readonly value?: number;
  }[];
  /** What corrections changed (claim keys, see claims.ts): earlier votes no longer decide it. */
  readonly ruled?: readonly string[];
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
    /** The number of the exchange that would have come next. */
    readonly before: number;
    /** It was said while an exchange was under way, and holds from the next "Fence!". */
    readonly ahead?: true;
    /** A pick drawn after an exchange belongs to it. */
    readonly on?: ExchangeId;
  }[];
  readonly penalties: readonly {
    readonly side: Side;
    readonly penalty: Penalty;
    readonly why: string;
    readonly at: Millis;
    readonly afterExchange: number;
    /** The event that brought it. */
    readonly version?: number;
  }[];
  readonly paused?: { readonly reason: PauseReason; readonly side?: Side; readonly since: Millis };
  readonly ending?: Ending;
  readonly endingWhy?: string;
  readonly confirmed: readonly Side[];
  /** A correction after the result was confirmed: flagged, never silent. */
  readonly changedAfterConfirming: boolean;
  readonly lastMoved: readonly Moved[];
  readonly tally: Tally;
  /** The rule set's panel, so that facts can be resolved without the scorer; missing: the referee decides. */
  readonly panel?: Panel;
  /** A bout of an earlier version, whose officials' warnings are no part of the score (earlier-events.ts). */
  readonly warningsApart?: true;
  /** The hall's answers to what this bout claimed. */
  readonly granted?: readonly Granted[];
  /** "Fence!" was said, and the exchange that it began has not been recorded yet. */
  readonly underWay?: true;
  /** Seeds that were committed to, in order, each shown once the bout has ended; draws so far by "side/pick". */
  readonly chance?: {
    readonly seeds: readonly { readonly commitment: string; readonly seed?: string }[];
    readonly drawn: Readonly<Record<string, number>>;
  };
  /** The first "Fence!" or the first recording is past: the choices made before the bout are closed. */
  readonly begun?: true;
  /** The tie-break has been called. */
  readonly tieBreak?: TieBreak;
  /** How it ended: by the score, or by a word (the referee's, a stop, a forfeit). */
  readonly endedBy?: "score" | "word";
  /** What "Undo" would take back, latest last. */
  readonly undoable?: readonly Undoable[];
}

/** What a recording, a correction or a penalty leaves behind so that "Undo" can take it back. */
export type Undoable = { readonly version: number } & (
  | { readonly undo: "add"; readonly exchange: ExchangeId }
  | {
      readonly undo: "change";
      readonly exchange: ExchangeId;
      readonly before: Pick<BoutExchange, "record" | "putRight" | "ruled">;
    }
  | {
      readonly undo: "remove";
      /** Its place in the order, from 0. */
      readonly at: number;
      readonly before: BoutExchange;
      /** `before` of the picks and `afterExchange` of the penalties as they stood. */
      readonly picks: readonly number[];
      readonly penalties: readonly number[];
    }
  | { readonly undo: "swap" }
  | { readonly undo: "rule set"; readonly before: string }
  | { readonly undo: "facts"; readonly exchange: ExchangeId }
  | { readonly undo: "penalty" }
);
