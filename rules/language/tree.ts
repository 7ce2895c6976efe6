/**
 * The tree of a checked rule set. One meaning has one tree: "thrust and hit" and "hit with a thrust" are equal here,
 * so the printer is canonical by construction. Words stand as their canonical names; what a word means is in
 * `Words` (words.ts). Everything is plain JSON.
 */
import type { MannerOfExchange, Scope, Unit, Weapon, WordClass } from "../vocabulary.ts";
import type { BoutRules } from "./tree-bout.ts";

export type Subject = "I" | "they" | "either" | "both";
export type Owner = "my" | "their" | "the" | "my team's" | "their team's";

/** A value that stands outside the rule: a pick, or a mark that remembers. `oneOf` is written "one of my NAME". */
export interface Ref {
  readonly ref: string;
  readonly owner: Owner;
  readonly oneOf?: boolean;
  /** A note or set with this exchange's earlier actions in it, just before the step's own action. */
  readonly atThatMoment?: boolean;
}

/** What two actions can have in common. */
export const LIKENESSES = ["target", "opening", "blow", "form", "guard", "side", "hand"] as const;
export type Likeness = (typeof LIKENESSES)[number];

/**
 * "another target", "the same guard": compared with that fencer's own latest strike or feint before it in this exchange;
 * "than theirs" with the other fencer's.
 */
export interface Alike {
  readonly alike: "the same" | "another";
  readonly what: Likeness;
  readonly theirs?: boolean;
}

/** "head or torso", "anything but the leg". */
export interface Choice<T> {
  readonly but?: boolean;
  readonly any: readonly (T | Ref | Alike)[];
}

/** "a descending cut", "an absetzen", "one hand", "a lunge". Every key is one word of that class. */
export interface Blow {
  readonly direction?: string;
  readonly edge?: string;
  readonly form?: string;
  readonly blow?: string;
  readonly hand?: string;
  readonly footwork?: string;
  /** Only where a pick may hold a kind of action ("hit with my prediction"). */
  readonly kind?: string;
}

export type Place = { readonly side: string } | { readonly guard: string };
export interface Manner {
  readonly manner: string;
  readonly not?: boolean;
}
export type Result = "hit" | "miss" | "fall short";

/** What one action must be. A missing key asks nothing. */
export interface Doing {
  /** Any of these kinds (word class "action"); empty or missing: see `offence`. */
  readonly kinds?: readonly string[];
  /** "strike": any offensive action. "act": anything at all (neither key). */
  readonly offence?: boolean;
  /** "begin": that fencer's own first action. */
  readonly begin?: boolean;
  readonly with?: readonly Choice<Blow>[];
  readonly to?: readonly Choice<{ readonly target: string }>[];
  readonly from?: readonly Choice<Place>[];
  /** Sorted by name: "cleanly" is a manner too. */
  readonly manners?: readonly Manner[];
  /** "for N s or more". */
  readonly seconds?: number;
  /** "for N s or less". */
  readonly upTo?: number;
  readonly result?: Result;
}

/** How long after the step before: "within 2 s", "after 3 s or more". */
export interface Gap {
  readonly is: "within" | "after";
  readonly seconds: number;
}

export interface Step {
  /** "next": that fencer's own very next action, whatever the other does between. */
  readonly link: "start" | "then" | "at once" | "next";
  /** Measured from the action of the step before that was asked for; with "never" only "within". */
  readonly gap?: Gap;
  readonly subject: Subject;
  readonly never?: boolean;
  readonly doing: Doing | { readonly make: string };
}

export interface Phrase {
  /** "first": the action that opens the exchange. */
  readonly first?: boolean;
  readonly steps: readonly Step[];
}

export interface Amount {
  readonly n: number;
  readonly cmp: "exactly" | "or more" | "or less";
}

/** What is counted without a mark; each fencer has the first ones, the bout the last ones. */
export const COUNTED_EACH = ["points", "bonus", "touch", "warnings", "penalties", "bouts", "wins"] as const;
export const COUNTED_BOUT = ["doubles", "exchanges"] as const;
export type Counted = (typeof COUNTED_EACH)[number] | (typeof COUNTED_BOUT)[number];

/** One number of a sum: a count or the size of a set; something counted without a mark; a plain number. */
export type Term =
  | { readonly owner: Owner; readonly mark: string }
  /** `touch`: what the fencer's touch is worth in this exchange, after doubles and afterblows. */
  | { readonly owner: Owner; readonly counted: Counted; readonly tonight?: boolean }
  | { readonly n: number };

/** "my blots plus my warnings minus 1". Never empty. */
export type Quantity = readonly (Term & { readonly minus?: boolean })[];

export type Condition =
  | { readonly is: "phrase"; readonly phrase: Phrase }
  /** Exactly the opposite. Never holds another "not". */
  | { readonly is: "not"; readonly what: Condition }
  /** "2 or more of I feint; they miss; I am behind". */
  | { readonly is: "these"; readonly amount: Amount; readonly these: readonly Condition[] }
  /** Only what an exchange itself can show. The last one that was not a no-exchange; with `of` so many of the last ones, fewer at the bout's beginning. */
  | {
      readonly is: "last";
      readonly what: Condition;
      readonly of?: { readonly amount: Amount; readonly exchanges: number };
    }
  | { readonly is: "exchange"; readonly how: MannerOfExchange }
  | { readonly is: "exchange number"; readonly no: Amount | "last" }
  | { readonly is: "level" }
  | {
      readonly is: "lead";
      readonly who: "I" | "they";
      readonly how: "ahead" | "behind";
      readonly by?: Amount;
    }
  | { readonly is: "role"; readonly who: "I" | "they"; readonly role: string }
  /** A note or set that remembers fencers: "they are one of my beaten". */
  | {
      readonly is: "fencer";
      readonly who: "I" | "they";
      readonly owner: Owner;
      readonly mark: string;
      readonly oneOf?: boolean;
    }
  | {
      readonly is: "time";
      readonly seconds: number;
      readonly cmp: "or less" | "or more";
      /** Left on the clock at the halt, or gone since the bout began. */
      readonly what: "left" | "gone";
    }
  /** How long the exchange took by the clock, from one halt to the next. */
  | { readonly is: "lasts"; readonly seconds: number; readonly cmp: "or less" | "or more" }
  | {
      readonly is: "outcome";
      readonly who: "I" | "they" | "nobody";
      readonly what: "score" | "win the bout" | "lose the bout";
    }
  | { readonly is: "call"; readonly call: string; readonly for: "me" | "them" }
  | { readonly is: "rule pays"; readonly rule: string; readonly who: "me" | "them"; readonly last?: boolean }
  /** One count or set; sums and what is counted without a mark are a "quantity". */
  | {
      readonly is: "mark";
      readonly owner: Owner;
      readonly mark: string;
      readonly than: Amount | "more than theirs" | "less than theirs" | "level with theirs";
      readonly now?: boolean;
    }
  | {
      readonly is: "quantity";
      readonly quantity: Quantity;
      readonly than:
        | Amount
        | { readonly cmp: "more than" | "less than" | "level with"; readonly than: Quantity | "theirs" };
      readonly now?: boolean;
    }
  | {
      readonly is: "flag";
      readonly owner: Owner;
      readonly mark: string;
      readonly on: boolean;
      readonly now?: boolean;
    }
  | {
      readonly is: "pick";
      readonly owner: Owner;
      readonly pick: string;
      /** Any of these; "theirs": both fencers have the same. */
      readonly values: readonly string[] | "theirs";
    }
  | {
      readonly is: "token";
      readonly mark: string;
      readonly whose: "mine" | "theirs" | "nobody's";
      readonly atThatMoment?: boolean;
    };

/** Any of the lines; within a line all of the conditions. */
export type AnyOf = readonly (readonly Condition[])[];

export type Receiver = "me" | "them" | "us both" | "my team" | "their team";
export type Sum =
  /** "3, 2, then 0 bonus": by how often the rule has paid this fencer in this bout. */
  | { readonly is: "numbers"; readonly numbers: readonly number[]; readonly unit: Unit }
  | { readonly is: "between"; readonly low: number; readonly high: number; readonly unit: Unit }
  | { readonly is: "what pays them"; readonly rule: string };

/** "times my streak now". */
export interface Times {
  readonly quantity: Quantity;
  readonly now?: boolean;
}

export interface Pay {
  readonly sum: Sum;
  readonly to: Receiver;
  readonly asTheJudgeSays?: boolean;
  /** A pick or count whose value chooses the number ("by week"). */
  readonly by?: string;
  readonly times?: Times;
  readonly eachTime?: boolean;
  readonly forEachFullSeconds?: number;
  readonly if?: readonly Condition[];
}

export type What = "points" | "bonus" | "points and bonus";
/** Whose awards an effect concerns, of which unit, and perhaps of one rule alone. */
interface Concerned {
  readonly whose: "my" | "their";
  readonly what: What;
  readonly from?: string;
}
export type Effect =
  | ({ readonly is: "annul"; readonly restingOn?: string } & Concerned)
  | ({ readonly is: "multiply"; readonly by: number } & Concerned)
  /** Mine go over to them. */
  | { readonly is: "turn over"; readonly what: What; readonly from?: string }
  | { readonly is: "hold"; readonly exchanges: number; readonly lostIf?: Phrase }
  | { readonly is: "end the bout"; readonly how?: "both lose" | "I lose" | "they lose" }
  | { readonly is: "warn"; readonly who: "me" | "them" }
  | { readonly is: "retire" };

export interface Limit {
  /** Times or an amount of a unit. */
  readonly n: number;
  readonly of: Unit | "times";
  readonly scope: Scope;
  /** "for us both": one limit that both fencers share. */
  readonly together?: boolean;
}

export type Watcher =
  | { readonly is: "table" | "referee" }
  | { readonly is: "judge"; readonly no: number }
  | { readonly is: "second judge" }
  /** Each calls it upon himself. */
  | { readonly is: "fencers" };

export interface Rule {
  readonly name: string;
  readonly at?: "the end of the bout" | "the end of the evening";
  /** Any of these phrases; missing: every exchange. */
  readonly when?: readonly Phrase[];
  readonly if?: AnyOf;
  readonly unless?: AnyOf;
  readonly pays?: readonly Pay[];
  readonly does?: readonly Effect[];
  readonly atMost?: readonly Limit[];
  readonly bestOf?: string;
  readonly notBelow?: number;
  readonly watch?: Watcher;
}

export interface Touch {
  readonly phrase: Phrase;
  readonly worth: number;
}

export interface Pick {
  readonly name: string;
  readonly by:
    | "each fencer"
    | "the coach"
    | "the coach for each fencer"
    | "chance"
    | "chance for each fencer"
    | "the judge"
    /** The values in the order of the list, one a period, then again from the first. */
    | "the list";
  readonly from: readonly PickValue[];
  readonly when: PickTime;
  /** Who may see it before it is shown; a role's name otherwise. Missing: everybody. */
  readonly seenBy?: "the table" | "the coach" | "the fencer" | { readonly role: string };
  readonly shown?: "at once" | "at the end";
  readonly turns?: number;
}
/** A word, or a blow with its target ("zornhau + head"); `text` is how it is written. */
export interface PickValue {
  readonly text: string;
  readonly blow?: string;
  readonly target?: string;
}
export type PickTime =
  | { readonly at: "before the bout" | "after the bout" | "before the evening" | "after the evening" }
  | { readonly at: "before each exchange" | "after each exchange" }
  | { readonly everyExchanges: number }
  | { readonly everySeconds: number };

export const KEEPERS = [
  "each fencer",
  "the bout",
  "each exchange",
  "each fencer in each exchange",
  "each fencer tonight",
  "each team tonight",
  "each pair tonight",
  "the hall",
] as const;
export type Keeper = (typeof KEEPERS)[number];

export interface Mark {
  readonly name: string;
  readonly is: "count" | "flag" | "set" | "note" | "token" | "roles";
  readonly for: Keeper;
  readonly roles?: readonly [string, string];
  readonly starts?: MarkStart;
  readonly changes: readonly Change[];
}
export type MarkStart =
  | { readonly at: number | "the rank gap" }
  | { readonly on: boolean }
  | {
      readonly with:
        "red" | "blue" | "the last loser" | "the last winner" | "the weaker" | "the stronger" | "nobody";
    };
/** "the fencer" is whoever is "I", "the partner" the other. */
export type Attribute =
  "blow" | "form" | "target" | "opening" | "action" | "side" | "guard" | "hand" | "fencer" | "partner";
export interface Change {
  readonly does:
    | { readonly is: "up" | "down" | "to"; readonly n: number; readonly times?: Times }
    | { readonly is: "on" | "off" }
    | { readonly is: "gains" | "becomes"; readonly what: Attribute }
    | { readonly is: "passes"; readonly to: "me" | "them" | "nobody" }
    | { readonly is: "changes hands" };
  readonly when:
    | { readonly is: "conditions"; readonly all: readonly Condition[] }
    | { readonly is: "every"; readonly exchanges: number }
    | { readonly is: "end of bout"; readonly all: readonly Condition[] };
  readonly eachTime?: boolean;
}

/** A club's own word. `of` and `sameAs` name a word of the same class. */
export interface OwnWord {
  readonly name: string;
  readonly is: WordClass;
  /** An action that is a strike. */
  readonly strikes?: true;
  /** A finer word for this one: "a kind of parry", "a part of the head". */
  readonly of?: string;
  /** Another word for this one. */
  readonly sameAs?: string;
  /** What a blow is, over what it is a kind of. */
  readonly shape?: OwnShape;
}
/** Sides are the striker's own; a stroke turns with the striker's hand. Any of the targets. */
export interface OwnShape {
  readonly stroke?: "forehand" | "backhand";
  readonly direction?: string;
  readonly edge?: string;
  readonly form?: string;
  readonly hand?: string;
  readonly footwork?: string;
  readonly sides?: readonly string[];
  readonly targets?: readonly string[];
}

export interface RuleSet {
  readonly name: string;
  /** Missing: every lexicon applies, and a word with two meanings is a fault. */
  readonly weapon?: Weapon;
  readonly words: readonly OwnWord[];
  readonly phrases: readonly { readonly name: string; readonly phrase: Phrase }[];
  readonly picks: readonly Pick[];
  readonly marks: readonly Mark[];
  readonly bout: BoutRules;
  readonly touches: readonly Touch[];
  readonly rules: readonly Rule[];
}
