/** What scoring says: awards with their sentences, what is still open, and what to ask. Plain JSON throughout. */
import type { Act, Call, Weaker } from "../record.ts";
import type { Ending, MannerOfExchange, Pair, Side, Unit } from "../vocabulary.ts";
import type { WhenLevel } from "./over.ts";

/** The least and the most that it can still become; equal when nothing is open. */
export interface Span {
  readonly least: number;
  readonly most: number;
}

export interface Award {
  /** The exchange's number; 0 for the end of the bout. */
  readonly exchange: number;
  readonly to: Side;
  /** The rule's name; "touch" for what a hit is worth, "double"/"conversion"/"head start"/"penalty" for the bout's own sentences. */
  readonly rule: string;
  readonly unit: Unit;
  readonly amount: number;
  /** Names the rule, the actions and the arithmetic, e.g. "Cover and answer: Red parried, then hit the torso: 2 bonus." */
  readonly sentence: string;
}

export interface OpenAward {
  readonly exchange: number;
  readonly to: Side;
  readonly rule: string;
  readonly unit: Unit;
  readonly span: Span;
}

/** One thing learnt about an exchange; facts are applied to its line in the order in which they were given. */
export type Fact =
  | {
      readonly fact: "attribute";
      readonly act: string;
      readonly key: AttributeKey;
      readonly value: string;
      readonly not?: boolean;
    }
  | { readonly fact: "end"; readonly act: string; readonly end: "hit" | "miss" | "fall short" | "no hit" }
  /** An action that had not been recorded; `before` an act's id, or at the line's end. */
  | { readonly fact: "happened"; readonly act: Act; readonly before?: string }
  /** Nothing else happened: at all, or of these kinds of action and manners, or of these kinds by one fencer. */
  | { readonly fact: "nothing else"; readonly kinds?: readonly string[]; readonly by?: Side }
  | { readonly fact: "how"; readonly how: MannerOfExchange | "plain" }
  | { readonly fact: "left"; readonly seconds: number }
  | { readonly fact: "call"; readonly call: Call }
  /** Who the weaker of the two is, for the whole bout. */
  | { readonly fact: "weaker"; readonly side: Weaker }
  /** Settles a pick, of one fencer or of the bout. */
  | { readonly fact: "pick"; readonly pick: string; readonly side?: Side; readonly value: string };
export type AttributeKey =
  | "kind"
  | "form"
  | "blow"
  | "direction"
  | "edge"
  | "hand"
  | "footwork"
  | "from"
  | "target"
  | "manner"
  /** Only with `not`: it did not miss, or did not fall short. */
  | "end"
  /** How many seconds it lasted. */
  | "for"
  /** How many seconds it came after the recorded action before it. */
  | "after";

export interface Answer {
  readonly label: string;
  readonly facts: readonly Fact[];
}

export interface Question {
  /** Stable for the same unknown of the same exchange. */
  readonly id: string;
  readonly exchange: number;
  /** "Exchange 5: did Blue parry before this hit?" */
  readonly text: string;
  /** The most that hangs on it, for each unit and fencer that it could change. */
  readonly stake: readonly OpenAward[];
  /** Usually Yes and No; empty where only a seat's pick can settle it. */
  readonly answers: readonly Answer[];
  /** Who should know. */
  readonly ask: "table" | "referee" | "judge" | "red" | "blue" | "coach";
}

export interface ScoredExchange {
  readonly no: number;
  readonly id?: string;
  readonly how?: MannerOfExchange;
  readonly awards: readonly Award[];
  readonly open: readonly OpenAward[];
  readonly warned: Pair<number>;
  /** Settled score after this exchange. */
  readonly points: Pair<number>;
  readonly bonus: Pair<number>;
  /** Fenced after the bout had ended already; counts nothing until the referee decides. */
  readonly afterTheEnd: boolean;
  /** Names of the phrases (cue, attempt, success ...) that each fencer surely made. */
  readonly made: Pair<readonly string[]>;
}

/** What waits for the other rings, in the unit of the limit that they share. */
export interface Claim {
  readonly exchange: number;
  readonly to: Side;
  readonly rule: string;
  readonly of: Unit | "times";
  readonly n: number;
}

/** What a rule at the end of the evening pays, to whom it counts as the evening's own. */
export interface EveningAward {
  readonly fencer: string;
  readonly rule: string;
  readonly unit: Unit;
  readonly amount: number;
  readonly sentence: string;
}
/** What could still become one, where something that the rule asks is not known. */
export interface OpenEveningAward {
  readonly fencer: string;
  readonly rule: string;
  readonly unit: Unit;
  readonly span: Span;
}

/** A team's points in tonight's match of these two teams, this bout included; settled points only. */
export interface TeamTotal {
  readonly team: string;
  readonly points: number;
}

export interface Tally {
  /** Settled awards only (S5). */
  readonly points: Pair<number>;
  readonly bonus: Pair<number>;
  readonly span: { readonly points: Pair<Span>; readonly bonus: Pair<Span> };
  /** How many (award, fencer, exchange) an unknown fact could change. */
  readonly open: number;
  readonly questions: readonly Question[];
  readonly ended: Ending | null;
  /** The number of the exchange in which it ended; absent while it goes on or when it was ended by a word. */
  readonly endedAt?: number;
  readonly doubles: number;
  readonly warned: Pair<number>;
  /** What decides where the score is level, as far as it is settled; absent where nothing does. */
  readonly level?: WhenLevel;
  /** A rule took this fencer off the hill, or out of the evening. */
  readonly retired?: Pair<boolean>;
  readonly marks: Readonly<Record<string, MarkValue | Pair<MarkValue>>>;
  readonly awards: readonly Award[];
  readonly exchanges: readonly ScoredExchange[];
  /** What waits for an answer of the hall; only where the sheet says `hall`. */
  readonly claims: readonly Claim[];
  /** In a relay: both teams' totals over their bouts tonight. */
  readonly teams?: Pair<TeamTotal> & {
    /** Which bout of these two teams it is tonight, from 1. */
    readonly bout: number;
  };
  /** What the rules at the end of the evening pay, once the sheet says `evening`. */
  readonly evening?: readonly EveningAward[];
  readonly eveningOpen?: readonly OpenEveningAward[];
}
export type MarkValue = number | boolean | string | readonly string[];
