/** What lasts longer than a bout, as plain JSON. */
import type { HadOf, HadScope } from "../record.ts";
import type { MarkValue, Span } from "./tally.ts";

/** Who keeps it. A pair and two teams are in alphabetical order. */
export type Holder =
  | { readonly fencer: string }
  | { readonly pair: readonly [string, string] }
  | { readonly team: string }
  | { readonly teams: readonly [string, string] }
  | { readonly hall: true };

export const ENTRY_KINDS = ["mark", "had", "counted", "pick", "last", "pointsOfMatch"] as const;
export type EntryKind = (typeof ENTRY_KINDS)[number];

/** One thing that stands after a bout and lasts longer than it. */
export interface EveningEntry {
  readonly holder: Holder;
  readonly kind: EntryKind;
  /** The mark's, the pick's or the rule's name; missing where the kind says it all. */
  readonly name?: string;
  /** Whose it is within the pair or the match: a fencer's or a team's name. */
  readonly whose?: string;
  /** For "had" and "counted". */
  readonly of?: HadOf;
  readonly scope?: HadScope;
  /** For marks, picks and "last" ("won", "lost", "neither"): every value that it may have, one where it is settled. */
  readonly values?: readonly MarkValue[];
  /** For what is counted: the least and the most that it may be. */
  readonly span?: Span;
  /** Of a team or the hall: how much of the span this bout added, so that bouts of two rings can be summed. */
  readonly added?: Span;
}

export interface Fencers {
  readonly red: string;
  readonly blue: string;
  readonly redTeam?: string;
  readonly blueTeam?: string;
}
