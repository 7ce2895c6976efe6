/**
 * The tree of a checked rule set. One meaning has one tree: "thrust and hit" and "hit with a thrust" are equal here,
 * so the printer is canonical by construction. Words stand as their canonical names; what a word means is in
 * `Words` (words.ts). Everything is plain JSON.
 */
import type { MannerOfExchange, Scope, Unit, Weapon } from "../vocabulary.ts";

export type Subject = "I" | "they" | "either" | "both";
export type Owner = "my" | "their" | "the" | "my team's";

/** A value that stands outside the rule: a pick, or a mark that remembers. `oneOf` is written "one of my NAME". */
export interface Ref {
  readonly ref: string;
  readonly owner: Owner;
  readonly oneOf?: boolean;
}

/** "head or torso", "anything but the leg". */
export interface Choice<T> {
  readonly but?: boolean;
  readonly any: readonly (T | Ref)[];
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
  readonly result?: Result;
}

export interface Step {
  readonly link: "start" | "then" | "at once";
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

export type Condition =
  | { readonly is: "phrase"; readonly phrase: Phrase }
  | { readonly is: "last"; readonly what: Phrase | MannerOfExchange }
  | { readonly is: "exchange"; readonly how: MannerOfExchange; readonly not?: boolean }
  | { readonly is: "exchange number"; readonly no: number | "last"; readonly not?: boolean }
  | { readonly is: "level" }
  | {
      readonly is: "lead";
      readonly who: "I" | "they";
      readonly how: "ahead" | "behind";
      readonly by?: Amount;
    }
  | { readonly is: "role"; readonly who: "I" | "they"; readonly role: string }
  | { readonly is: "time left"; readonly seconds: number; readonly cmp: "or less" | "or more" }
  | {
      readonly is: "outcome";
      readonly who: "I" | "they";
      readonly what: "score" | "win the bout" | "lose the bout";
    }
  | { readonly is: "call"; readonly call: string; readonly for: "me" | "them" }
  | { readonly is: "rule pays"; readonly rule: string; readonly who: "me" | "them"; readonly last?: boolean }
  | {
      readonly is: "mark";
      readonly owner: Owner;
      readonly mark: string;
      readonly than: Amount | "more than theirs" | "less than theirs" | "level with theirs";
      readonly now?: boolean;
    }
  | {
      readonly is: "flag";
      readonly owner: Owner;
      readonly mark: string;
      readonly on: boolean;
      readonly now?: boolean;
    }
  | { readonly is: "pick"; readonly owner: Owner; readonly pick: string; readonly value: string }
  | {
      readonly is: "token";
      readonly mark: string;
      readonly whose: "mine" | "theirs";
      readonly atThatMoment?: boolean;
    };

/** Any of the lines; within a line all of the conditions. */
export type AnyOf = readonly (readonly Condition[])[];

export type Receiver = "me" | "them" | "my team";
export type Sum =
  /** "3, 2, then 0 bonus": by how often the rule has paid this fencer in this bout. */
  | { readonly is: "numbers"; readonly numbers: readonly number[]; readonly unit: Unit }
  | { readonly is: "between"; readonly low: number; readonly high: number; readonly unit: Unit }
  | { readonly is: "what pays them"; readonly rule: string };

export interface Pay {
  readonly sum: Sum;
  readonly to: Receiver;
  readonly asTheJudgeSays?: boolean;
  /** A pick or count whose value chooses the number ("by week"). */
  readonly by?: string;
  readonly times?: { readonly owner: Owner; readonly mark: string; readonly now?: boolean };
  readonly eachTime?: boolean;
  readonly forEachFullSeconds?: number;
  readonly if?: readonly Condition[];
}

export type What = "points" | "bonus" | "points and bonus";
export type Effect =
  | { readonly is: "annul"; readonly whose: "my" | "their"; readonly what: What; readonly restingOn?: string }
  | { readonly is: "multiply"; readonly by: 2 | 3 | 0.5; readonly whose: "my" | "their"; readonly what: What }
  | { readonly is: "turn over" }
  | { readonly is: "hold"; readonly lostIf?: Phrase }
  | { readonly is: "end the bout"; readonly how?: "both lose" | "I lose" | "they lose" }
  | { readonly is: "warn"; readonly who: "me" | "them" }
  | { readonly is: "retire" };

export interface Limit {
  /** Times or an amount of a unit. */
  readonly n: number;
  readonly of: Unit | "times";
  readonly scope: Scope;
}

export type Watcher =
  { readonly is: "table" } | { readonly is: "judge"; readonly no: number } | { readonly is: "second judge" };

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
    | "the judge";
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
  | { readonly with: "red" | "blue" | "the last loser" | "the last winner" | "nobody" };
export type Attribute =
  "blow" | "form" | "target" | "opening" | "action" | "side" | "guard" | "hand" | "fencer";
export interface Change {
  readonly does:
    | { readonly is: "up" | "down" | "to"; readonly n: number }
    | { readonly is: "on" | "off" }
    | { readonly is: "gains" | "becomes"; readonly what: Attribute }
    | { readonly is: "passes"; readonly to: "me" | "them" }
    | { readonly is: "changes hands" };
  readonly when:
    | { readonly is: "conditions"; readonly all: readonly Condition[] }
    | { readonly is: "every"; readonly exchanges: number }
    | { readonly is: "end of bout"; readonly all: readonly Condition[] };
  readonly eachTime?: boolean;
}

export type End =
  | { readonly is: "points"; readonly n: number }
  | { readonly is: "exchanges"; readonly n: number }
  | { readonly is: "minutes"; readonly n: number }
  | { readonly is: "ahead"; readonly n: number }
  | { readonly is: "doubles"; readonly n: number; readonly bothLose?: boolean }
  | { readonly is: "team points"; readonly n: number };
export type Start =
  | { readonly is: "blades engaged" }
  | {
      readonly is: "head start";
      readonly who: "the weaker" | "the stronger";
      readonly points: number | { readonly mark: string };
    }
  | { readonly is: "back line" }
  | { readonly is: "time left"; readonly seconds: number };
export type Ties =
  | { readonly is: "draw" | "sudden death" | "priority minute" | "judges' choice" }
  | { readonly is: "more seconds"; readonly n: number }
  | { readonly is: "fewer"; readonly mark: string };
export type Doubles = "score nothing" | "both score" | "1 off each";
export type Afterblows =
  | { readonly is: "both score" | "score nothing" | "annul the hit" | "half to the second" }
  | { readonly is: "take off 1"; readonly leave: 0 | 1 };
export const PANELS = [
  "the referee decides",
  "majority",
  "two of three or again",
  "weighted jury",
  "average",
  "the higher value",
  "two judges a fencer",
] as const;
export type Panel = (typeof PANELS)[number];

/** The bout's sentences; every key is filled in, with the default where the file says nothing. */
export interface BoutRules {
  readonly ends: readonly End[];
  readonly starts: readonly Start[];
  readonly clock: "stopped at the halt" | "running";
  readonly halt: { readonly on: "every hit" } | { readonly on: "target"; readonly target: string };
  readonly ties: Ties;
  readonly doubles: Doubles;
  readonly afterblows: Afterblows;
  readonly simultaneous: "score nothing" | "both score";
  readonly panel: Panel;
  /** Points a fencer of a team may score; missing: no limit. */
  readonly limit?: number;
  readonly atTheEnd: "stays apart" | { readonly every: number; readonly make: number };
  readonly bonus: { readonly countsTowardsTheWin: boolean; readonly countsTowardsTheCap: boolean };
}

export interface OwnWord {
  readonly name: string;
  readonly is: "action" | "manner" | "target" | "guard" | "call";
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
