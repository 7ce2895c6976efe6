/**
 * What was recorded of a bout: the lines of a bout sheet, and of its JSON Lines form. A key that is missing was not
 * recorded: that is *unknown*, never "no".
 */
import type { Ending, End, MannerOfExchange, Side } from "./vocabulary.ts";
import { SIDES } from "./vocabulary.ts";

export interface Act {
  /** Stable within the bout; sheets leave it out and the reader numbers ("2a", "2b"). */
  readonly id?: string;
  readonly by: Side | "both";
  /** The kind of action, a word of class "action": attack, riposte, parry ... */
  readonly kind?: string;
  readonly form?: string;
  readonly blow?: string;
  readonly direction?: string;
  readonly edge?: string;
  readonly hand?: string;
  readonly footwork?: string;
  /** Sides and guards it started from. */
  readonly from?: readonly string[];
  readonly target?: string;
  readonly manners?: readonly string[];
  /** Words that were seen not to hold. */
  readonly not?: readonly string[];
  /** Missing: it did not hit; whether it missed or fell short is not known (S1). */
  readonly end?: End;
  /** Seconds that it lasted. */
  readonly for?: number;
  /** Seconds since the recorded action before it; never of a line's first action. */
  readonly after?: number;
  /** Who says so: "table", "j1", "referee", "red", "coach". */
  readonly source?: string;
}

export interface Call {
  readonly call: string;
  readonly for: Side;
  readonly value?: number;
  readonly reason?: string;
  readonly source?: string;
  /** The second judge who assents. */
  readonly assent?: string;
  /** A second judge may still assent: whether one does is not known yet. Of a bout under way, never written. */
  readonly awaits?: true;
}

export interface ExchangeLine {
  readonly type: "exchange";
  /** As written; derived again from the order when a line is inserted or removed. */
  readonly no: number;
  /** Stable id where the ledger knows one. */
  readonly id?: string;
  readonly how?: MannerOfExchange;
  readonly acts: readonly Act[];
  /**
   * false: the acts are all there were (a full stop). true: something unrecorded may stand before the first or after
   * the last. A list: only acts of these kinds ("parry", or of one fencer "red parry") and these manners may be missing.
   */
  readonly open: boolean | readonly string[];
  /** In a line that is open: kinds of action ("parry", or of one fencer "red parry") and manners of which surely nothing is missing. */
  readonly closed?: readonly string[];
  /** Seconds on the clock at the halt. */
  readonly left?: number;
  readonly calls?: readonly Call[];
  /** Picks drawn for this exchange after it: {luck = pays}. */
  readonly picks?: Readonly<Record<string, string>>;
  /** Filled in by scoring from the bout's `left-handed` lines, never written. */
  readonly leftHanded?: readonly Side[];
  /** Who the weaker is, where an answer said so; a sheet has a line for it. */
  readonly weaker?: Weaker;
  /** `again 3 ...` rewrites exchange 3. */
  readonly again?: boolean;
}

/**
 * Where something brought in was had: in this bout (handed over from another table), against this partner, by the team,
 * by the fencer tonight, by the whole hall, or in tonight's match of these two teams, by the fencer or by the team.
 */
export const HAD_SCOPES = ["bout", "pair", "team", "evening", "hall", "match", "team match"] as const;
export type HadScope = (typeof HAD_SCOPES)[number];
/** What a fencer has of a rule, or at all, tonight. */
export const HAD_OF = [
  "points",
  "bonus",
  "times",
  "warnings",
  "penalties",
  "bouts",
  "wins",
  "exchanges",
  "doubles",
] as const;
export type HadOf = (typeof HAD_OF)[number];

/** What was had before this bout began, or before it was handed over. From `least` to `most` where it is not settled. */
export interface HadLine {
  readonly type: "had";
  /** Missing for what belongs to the hall or to the match. */
  readonly side?: Side;
  /** Missing: whatever gave it (points, bonus, warnings, penalties, bouts, wins). */
  readonly rule?: string;
  readonly least: number;
  readonly most: number;
  readonly of: HadOf;
  readonly scope: HadScope;
}

/** What the hall grants of an award that waited for it, in the limit's unit; 0: nothing is left. */
export interface GrantedLine {
  readonly type: "granted";
  readonly exchange: number;
  readonly side: Side;
  readonly rule: string;
  readonly n: number;
}

/** "nobody": the two are equal, and nobody has a head start. */
export const WEAKER = [...SIDES, "nobody"] as const;
export type Weaker = (typeof WEAKER)[number];

type MarkLineValue = number | string | boolean;

export type SheetLine =
  | ExchangeLine
  | {
      readonly type: "pick";
      readonly side?: Side;
      readonly pick: string;
      readonly value: string;
      /** Or one of these: which is not known. */
      readonly or?: readonly string[];
    }
  | {
      readonly type: "mark";
      readonly side?: Side;
      readonly mark: string;
      readonly value: MarkLineValue;
      /** Or one of these: which is not known. */
      readonly or?: readonly MarkLineValue[];
    }
  | HadLine
  | GrantedLine
  /** Other rings are fencing at the same time: what a limit of the hall or of a team may cut waits for their answer. */
  | { readonly type: "hall" }
  | { readonly type: "score"; readonly red: number; readonly blue: number }
  /** This fencer strikes with the left: for the whole bout in which the line stands; after a `bout` line it is said anew. */
  | { readonly type: "left-handed"; readonly side: Side }
  /** Who the weaker of the two is, wherever in the bout it stands: for head starts, and what starts with the weaker. */
  | { readonly type: "weaker"; readonly side: Weaker }
  /** This fencer was warned, or shown a yellow card. */
  | { readonly type: "warning"; readonly side: Side }
  /** A penalty hit against this fencer: one point to the other. */
  | { readonly type: "penalty"; readonly side: Side }
  /** The bout is over: by score, or `ending` said outright. */
  | { readonly type: "end"; readonly ending?: Ending }
  /** Another bout of the same evening. Teams only with names. */
  | {
      readonly type: "bout";
      readonly red?: string;
      readonly blue?: string;
      readonly redTeam?: string;
      readonly blueTeam?: string;
    }
  | { readonly type: "evening" };

export type BoutSheet = readonly SheetLine[];
