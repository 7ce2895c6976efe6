/** What views are drawn from: everything that the server knows of an evening, before secrecy. Never sent as it is. */
import type { Bout, BoutEvent, BoutId, Meet, Millis, PersonId, RingId, SeatId } from "../../engine/index.ts";
import type { explain, RuleSet, Scorer } from "../../rules/index.ts";
import type { Standing } from "./standing.ts";
import type { StatusOnView } from "./view-status.ts";
import type { SeatOnView } from "./views.ts";

/** A person as the ledger keeps them, outside the chain. */
export interface PersonOnFile {
  readonly id: PersonId;
  readonly name: string;
  readonly shortName: string;
  readonly notes: string;
  readonly consents: readonly string[];
  readonly erased: boolean;
}

export interface EventOnFile {
  readonly version: number;
  readonly data: BoutEvent;
  /** The id of the command that caused it. */
  readonly command: string;
}

/** A bout with the events it was folded from; a new object whenever the stream has grown. */
export interface BoutOnFile {
  readonly bout: Bout;
  readonly events: readonly EventOnFile[];
}

export interface RuleSetOnFile {
  readonly hash: string;
  readonly text: string;
  readonly ruleSet: RuleSet;
  readonly scorer: Scorer;
  readonly explained: ReturnType<typeof explain>;
}

/** A judge seat that somebody holds: connected at least once, and not revoked. */
export interface HeldJudge {
  readonly seat: SeatId;
  readonly judge: number;
  readonly referee: boolean;
}

export interface Hall {
  /** Server time. */
  readonly now: Millis;
  /** Server time when the evening was opened. */
  readonly since: Millis;
  readonly meet: Meet;
  readonly bout: (id: BoutId) => BoutOnFile | undefined;
  readonly ruleSet: (hash: string) => RuleSetOnFile | undefined;
  readonly scorers: (hash: string) => Scorer | undefined;
  /** What corrections of earlier bouts have moved of what this one brought in, in sentences. */
  readonly earlier: (id: BoutId) => readonly string[];
  readonly person: (id: PersonId) => PersonOnFile | undefined;
  readonly judges: (ring: RingId) => readonly HeldJudge[];
  readonly seats: () => readonly SeatOnView[];
  /** How the ledger stands. */
  readonly standing: Standing;
  /** How the evening is being run, as it was looked over last; only the coach is shown it. */
  readonly status?: StatusOnView | undefined;
}

/** A seat as the views need it; one for each kind. */
export type Sitting =
  | { readonly kind: "coach"; readonly seat: SeatId }
  | { readonly kind: "table"; readonly seat: SeatId; readonly ring: RingId }
  | {
      readonly kind: "judge";
      readonly seat: SeatId;
      readonly ring: RingId;
      readonly judge: number;
      readonly referee: boolean;
    }
  | { readonly kind: "fencer"; readonly seat: SeatId; readonly person: PersonId }
  | { readonly kind: "wall"; readonly seat: SeatId };
