/**
 * What was recorded of a bout: the lines of a bout sheet, and of its JSON Lines form. A key that is missing was not
 * recorded: that is *unknown*, never "no".
 */
import type { Ending, End, MannerOfExchange, Side } from "./vocabulary.ts";

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
  /** `again 3 ...` rewrites exchange 3. */
  readonly again?: boolean;
}

export type SheetLine =
  | ExchangeLine
  | { readonly type: "pick"; readonly side?: Side; readonly pick: string; readonly value: string }
  | {
      readonly type: "mark";
      readonly side?: Side;
      readonly mark: string;
      readonly value: number | string | boolean;
    }
  | { readonly type: "score"; readonly red: number; readonly blue: number }
  /** A penalty hit against this fencer: one point to the other. */
  | { readonly type: "penalty"; readonly side: Side }
  /** The bout is over: by score, or `ending` said outright. */
  | { readonly type: "end"; readonly ending?: Ending }
  | { readonly type: "bout"; readonly red?: string; readonly blue?: string }
  | { readonly type: "evening" };

export type BoutSheet = readonly SheetLine[];
