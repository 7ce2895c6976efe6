/**
 * What each seat may see. Views are plain JSON without nulls, so that RFC 7396 merge patches carry their changes:
 * whatever grows is a record by id beside its `order`. Building a view is the one place where secrecy is decided.
 */
import type {
  SelfCalls,
  Ending,
  Fact,
  Pair,
  Question,
  Side,
  Unit,
  BoutEvent,
  Clock,
  Meet,
  Penalty,
  Stage,
  Tally,
} from "../../engine/index.ts";
import type { StandingOnView } from "./standing.ts";
import type { StatusOnView } from "./view-status.ts";

export interface FencerOnView {
  /** As full as the seat may see it. */
  readonly name: string;
  /** Set on the seat's own fencer. */
  readonly you?: true;
  readonly points: number;
  readonly bonus: number;
  /** The most bonus and points that are still open. */
  readonly openBonus: number;
  readonly openPoints: number;
  readonly warned: number;
}

/** One award as the garland draws it and the thread tells it. */
export interface AwardOnView {
  readonly to: Side;
  readonly unit: Unit;
  /** Settled amount; 0 while open. */
  readonly amount: number;
  /** The most it can become; only while open. */
  readonly open?: number;
  readonly rule: string;
  readonly sentence: string;
}

export interface ExchangeOnView {
  readonly id: string;
  readonly no: number;
  readonly how?: "double" | "simultaneous" | "no exchange";
  readonly awards: readonly AwardOnView[];
  /** What happened, in one sentence, from where this seat sits ("Teo hit your arm"). */
  readonly sentence: string;
  readonly penalty?: { readonly side: Side; readonly penalty: Penalty };
  readonly putRight?: string;
  /** It depends on a choice that this seat may not see yet. */
  readonly sealed?: true;
  readonly afterTheEnd?: true;
}

export interface PayLine {
  readonly rule: string;
  /** "Parry the cut, then land your riposte" */
  readonly short: string;
  readonly sentence: string;
  readonly amount: number;
  readonly unit: Unit;
}

export interface BoutOnView {
  readonly id: string;
  readonly no: number;
  readonly ring: string;
  /** As the hall calls it: "Ring 1". */
  readonly ringName: string;
  readonly ruleSet: {
    readonly hash: string;
    readonly name: string;
    readonly weapon?: string;
    readonly lead: string;
  };
  readonly stage: Stage;
  readonly clock: Clock;
  readonly red: FencerOnView;
  readonly blue: FencerOnView;
  readonly exchanges: Readonly<Record<string, ExchangeOnView>>;
  readonly order: readonly string[];
  /** How many exchanges the garland makes room for. */
  readonly planned: number;
  readonly pays: readonly PayLine[];
  /** What the bonus decides tonight, one sentence. */
  readonly bonusMeans: string;
  readonly ending?: Ending;
  readonly endingSentence?: string;
  readonly moved: readonly string[];
  /** What came in from earlier bouts that were put right since: said, never recomputed. */
  readonly earlier: readonly string[];
  /** In a relay, and where a team's limit counts: both teams' points over their bouts tonight. */
  readonly teams?: NonNullable<Tally["teams"]>;
  /** What chance is drawn from: committed to before the first draw, the seed shown when the bout has ended. */
  readonly chance?: readonly { readonly commitment: string; readonly seed?: string }[];
  readonly paused?: string;
  readonly confirmed: readonly Side[];
}

/** What every view says first. */
export interface Seen {
  readonly seat: string;
  readonly evening: string;
  readonly until?: string;
  /** Server time when the view was made. */
  readonly at: number;
  /** [W31] While nothing is recorded: why, since when, and what this seat does meanwhile. */
  readonly standing?: StandingOnView;
}

export interface WallView extends Seen {
  readonly kind: "wall";
  readonly rings: Readonly<
    Record<string, { readonly name: string; readonly bout?: BoutOnView; readonly next?: Pair<string> }>
  >;
  readonly order: readonly string[];
}

export interface FencerView extends Seen {
  readonly kind: "fencer";
  readonly name: string;
  readonly bout?: BoutOnView;
  readonly side?: Side;
  readonly next?: { readonly ring: string; readonly against: string; readonly after: number };
  /** What this fencer may say of an exchange, one press each: that they were hit, or the answer to what is asked of them. */
  readonly calls: readonly SelfCalls[];
  /** Own sealed choices that can be made now. */
  readonly choices: readonly {
    readonly pick: string;
    readonly from: readonly string[];
    readonly chosen?: string;
    readonly closed: boolean;
  }[];
  /** A private line of progress: "You met the cue twice, tried once, landed once." */
  readonly progress: string;
  /** Own health and gear notes, as the coach keeps them. */
  readonly notes?: string;
}

export interface JudgeView extends Seen {
  readonly kind: "judge";
  readonly ring: string;
  readonly judge: number;
  readonly referee: boolean;
  readonly bout?: BoutOnView;
  /** The exchange that can be voted on, with four votes at most; votes show no pay. */
  readonly ballot?: {
    readonly exchange: string;
    readonly no: number;
    readonly side: Side;
    /** "Parry, then hit" */
    readonly watch: string;
    readonly votes: readonly {
      readonly label: string;
      readonly picture: "hit" | "parry-hit" | "none" | "unseen" | "action";
      /** What the vote says, for the "Vote" command; empty for "Not seen". */
      readonly facts?: readonly Fact[];
    }[];
    readonly cast?: string;
  };
  readonly watches: readonly string[];
  /** Values that judges say under this rule set, for the exchange between its halt and the next "Fence!". */
  readonly values?: {
    readonly exchange: string;
    readonly no: number;
    readonly calls: readonly {
      readonly call: string;
      /** Empty for a call that has no value: it is said or not. */
      readonly values: readonly number[];
      /** It counts only with a second judge's assent. */
      readonly assent: boolean;
      /** What this seat has called. */
      readonly called?: Partial<Pair<number>>;
    }[];
    /** What another judge's assent would settle; `may`: this seat's would. */
    readonly awaits: readonly {
      readonly call: string;
      readonly side: Side;
      readonly value?: number;
      readonly by: string;
      readonly may: boolean;
    }[];
  };
}

/** [W6] Counts only: who voted what is sealed. */
export interface VotesUnderWay {
  readonly exchange: string;
  /** Judges who have voted, of those who hold a seat. */
  readonly cast: number;
  readonly seats: number;
}

export interface TableView extends Seen {
  readonly kind: "table";
  readonly ring: string;
  /** As the hall calls it: "Ring 1". */
  readonly ringName?: string;
  readonly pen?: { readonly device: string; readonly epoch: number };
  readonly names: Pair<string>;
  readonly boutId?: string;
  /** As `ruleSetTexts`, of the rule set in force; for pages that were loaded before there were trees. */
  readonly ruleSetText?: string;
  /** The texts of the same rule sets as in `ruleSetTrees`. */
  readonly ruleSetTexts?: Readonly<Record<string, string>>;
  /**
   * Every rule set that the tablet may need, by hash: those on the shelf, and all that the bout ever had. Each is the
   * checked tree (`RuleSet`) as JSON text, for the tablet has nothing that reads a rule set's file.
   */
  readonly ruleSetTrees?: Readonly<Record<string, string>>;
  /** The bout's events, by version ("1", "2" ...): the tablet runs the same engine over them. */
  readonly events: Readonly<Record<string, BoutEvent>>;
  /** Which command caused which version, so that the tablet knows its own commands again. */
  readonly commands: Readonly<Record<string, string>>;
  readonly votes: VotesUnderWay | { readonly exchange?: never };
  readonly next?: Pair<string>;
  /** As in `BoutOnView`: what earlier bouts that were put right would bring otherwise now. */
  readonly earlier?: readonly string[];
  /** Gear notes of the pair; health notes never come here. */
  readonly gear?: { readonly red?: string; readonly blue?: string };
}

export interface CoachView extends Seen {
  readonly kind: "coach";
  /** Without its claims: what a bout claims may hang on a sealed choice. */
  readonly meet: Omit<Meet, "claims">;
  /** By ring: the next pair if the winner stays, under the rule set of the ring's latest bout. */
  readonly hill: Readonly<Record<string, Readonly<{ red: string; blue: string; ruleSet: string }>>>;
  readonly people: Readonly<
    Record<string, { readonly name: string; readonly shortName: string; readonly notes: string }>
  >;
  readonly bouts: Readonly<Record<string, BoutOnView>>;
  /** By bout: how many judges have voted on the exchange whose votes are under way. */
  readonly votes: Readonly<Record<string, VotesUnderWay>>;
  readonly waits: readonly { readonly bout: string; readonly ring: string; readonly question: Question }[];
  readonly fencers: readonly {
    readonly person: string;
    readonly bouts: number;
    /** Server time since when they wait; absent while fencing or out. */
    readonly waitsSince?: number;
    readonly cue: number;
    readonly tried: number;
    readonly landed: number;
    readonly doing: string;
  }[];
  readonly ruleSets: Readonly<
    Record<
      string,
      {
        readonly name: string;
        readonly text: string;
        readonly weapon?: string;
        readonly explained: readonly string[];
        readonly warnings: readonly string[];
      }
    >
  >;
  readonly seats: Readonly<Record<string, SeatOnView>>;
  /** How the evening is being run. */
  readonly status?: StatusOnView;
}

export interface SeatOnView {
  readonly id: string;
  readonly kind: "coach" | "table" | "judge" | "fencer" | "wall";
  readonly title: string;
  /** The link's path; only the coach's page gets it, and only for seats whose secret this process still knows. */
  readonly path?: string;
  readonly connected: number;
  readonly revoked: boolean;
}

export type View = CoachView | TableView | JudgeView | FencerView | WallView;
