/** What may be asked of a bout, imperative. `decide` answers with events or one refusal. */
import type { ExchangeLine, Ending, Fact, SheetLine, Side } from "../../rules/index.ts";
import type { BoutId, CommandId, ExchangeId, Millis, PersonId, RingId, Source } from "../ids.ts";

export const PAUSES = ["injury", "gear"] as const;
export type PauseReason = (typeof PAUSES)[number];

/** Trade: a warning, a penalty hit to the other, out of the bout. */
export const PENALTIES = ["warning", "penalty hit", "out"] as const;
export type Penalty = (typeof PENALTIES)[number];

/** By hand: from cards on the table. On the tablet: by the table's device, while the server was out of reach. */
export const DRAWN_ELSEWHERE = ["by hand", "on the tablet"] as const;
export type DrawnElsewhere = (typeof DRAWN_ELSEWHERE)[number];

/** What has been recorded, without what follows from it: numbers are derived, ids are the table's. */
export type RecordedExchange = Omit<ExchangeLine, "type" | "no" | "id" | "again">;

export type BoutCommand =
  /** Opens the stream. `planned` is the number of exchanges the garland draws at first. */
  | {
      readonly type: "CallBout";
      readonly bout: BoutId;
      readonly no: number;
      readonly ring: RingId;
      readonly red: PersonId;
      readonly blue: PersonId;
      readonly ruleSet: string;
      /** Score, marks and picks that the evening brings in. */
      readonly brings?: BroughtIn;
    }
  | { readonly type: "ConfirmCheck" }
  | { readonly type: "ComeOnGuard" }
  /** "Fence!" */
  | { readonly type: "StartFencing" }
  | { readonly type: "CallHalt" }
  | { readonly type: "SetClock"; readonly leftMs: number }
  | { readonly type: "RecordExchange"; readonly exchange: ExchangeId; readonly record: RecordedExchange }
  | {
      readonly type: "ChangeExchange";
      readonly exchange: ExchangeId;
      readonly record: RecordedExchange;
      readonly why?: string;
    }
  | {
      readonly type: "InsertExchange";
      readonly exchange: ExchangeId;
      readonly after: ExchangeId | "start";
      readonly record: RecordedExchange;
      readonly why?: string;
    }
  | { readonly type: "RemoveExchange"; readonly exchange: ExchangeId; readonly why?: string }
  /** Who was Red is Blue, from the first exchange on (the names were mixed up). */
  | { readonly type: "SwapFencers" }
  | { readonly type: "ChangeRuleSet"; readonly ruleSet: string }
  /** Answers a question or adds what a judge saw; every source is kept. */
  | { readonly type: "GiveFacts"; readonly exchange: ExchangeId; readonly facts: readonly Fact[] }
  /** A judge's sealed vote on one exchange; an empty list with notSeen is a vote too. */
  | {
      readonly type: "Vote";
      readonly exchange: ExchangeId;
      readonly facts: readonly Fact[];
      readonly notSeen?: boolean;
      readonly label: string;
    }
  | {
      readonly type: "SetPick";
      readonly pick: string;
      readonly side?: Side;
      readonly value: string;
      /** Of a pick by chance: who drew it, if not the server. */
      readonly drawn?: DrawnElsewhere;
    }
  /** A pick by chance, drawn by the server from the seed that it has committed to. */
  | { readonly type: "DrawPick"; readonly pick: string; readonly side?: Side }
  /** The hall's answers to what this bout claimed of limits that rings share: all of them, as they stand now. */
  | { readonly type: "AnswerClaims"; readonly granted: readonly Granted[] }
  /** A second judge assents to a value that another judge called for this fencer. */
  | { readonly type: "Assent"; readonly exchange: ExchangeId; readonly call: string; readonly side: Side }
  | { readonly type: "GivePenalty"; readonly side: Side; readonly penalty: Penalty; readonly why: string }
  /** Takes the latest recording, correction or penalty back, as a new event. */
  | { readonly type: "Undo" }
  | { readonly type: "Pause"; readonly reason: PauseReason; readonly side?: Side }
  | { readonly type: "Resume" }
  /** No one may score after it: the tool records, the referee and the coach stop. */
  | { readonly type: "Stop"; readonly why: string }
  | { readonly type: "Forfeit"; readonly side: Side; readonly why: string }
  /** Ends it by score, or by the ending that the referee says (judges' choice, priority). */
  | { readonly type: "EndBout"; readonly ending?: Ending }
  /** The result is wrong: fencing or scoring goes on. */
  | { readonly type: "Reopen"; readonly why: string }
  /** The table, for both fencers, or a fencer's own seat. */
  | { readonly type: "ConfirmResult"; readonly side?: Side }
  | {
      readonly type: "QuestionExchange";
      readonly exchange: ExchangeId;
      readonly side: Side;
      readonly why: string;
    };

/**
 * What the evening brings into a bout. `score`, `picks` and `marks` are said outright. `roster`: who fences (ids as names)
 * for which team, who is left-handed or the weaker, and whether rings share limits. `lines`: what the earlier bouts named
 * in `after` left.
 */
export interface BroughtIn {
  readonly roster?: readonly SheetLine[];
  readonly lines?: readonly SheetLine[];
  /** The bouts, ended when this one was called, from which the lines follow. */
  readonly after?: readonly BoutId[];
  readonly score?: { readonly red: number; readonly blue: number };
  readonly picks?: readonly { readonly pick: string; readonly side?: Side; readonly value: string }[];
  readonly marks?: readonly {
    readonly mark: string;
    readonly side?: Side;
    readonly value: number | string | boolean;
  }[];
}

/** What the hall grants one fencer of a rule's award in one exchange, in the unit of the shared limit. */
export interface Granted {
  /** An exchange's id, or the end of the bout. */
  readonly exchange: ExchangeId | "end";
  readonly person: PersonId;
  readonly rule: string;
  readonly n: number;
}

/** A command as it reaches `decide`: time and ids arrive as values. */
export interface Given<C> {
  readonly id: CommandId;
  readonly at: Millis;
  readonly by: Source;
  /** The pen it was written with; absent for seats that need none. */
  readonly pen?: { readonly epoch: number; readonly seq: number };
  /** Who sits at the ring's other seats just now, where the giver knows it (a tablet that is offline does not). */
  readonly seats?: SeatsHeld;
  /** The bout's seeds by number, from 1: only a server has them. */
  readonly seeds?: (no: number) => string;
  readonly command: C;
}

/** Held seats of a ring: a seat that nobody sits in can neither decide nor be silent. */
export interface SeatsHeld {
  /** A judge's seat marked *referee* is held. */
  readonly referee: boolean;
  /** The judges present, the referee's seat left out. */
  readonly judges: readonly Source[];
}
