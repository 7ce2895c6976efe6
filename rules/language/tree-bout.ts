/** The tree of a bout's own sentences: how it starts and ends, who wins, what doubles and afterblows do. */

export type End =
  /** `ahead`: and that many more than the other. */
  | { readonly is: "points"; readonly n: number; readonly ahead?: number }
  | { readonly is: "bonus"; readonly n: number }
  | { readonly is: "exchanges"; readonly n: number }
  | { readonly is: "minutes"; readonly n: number }
  | { readonly is: "ahead"; readonly n: number }
  | { readonly is: "doubles"; readonly n: number; readonly bothLose?: boolean }
  /** In a relay the first number for the first bout of two teams, and so on; the last number stays. */
  | { readonly is: "team points"; readonly numbers: readonly number[] };
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
  | {
      readonly is:
        "draw" | "sudden death" | "priority minute" | "judges' choice" | "who hit first" | "who hit last";
    }
  | { readonly is: "more seconds"; readonly n: number }
  /** A count of each fencer, or one of COUNTED_EACH; `otherwise`: what decides where these are level too. */
  | { readonly is: "fewer" | "more"; readonly mark: string; readonly otherwise?: Ties };
export interface Doubles {
  readonly is: "score nothing" | "both score" | "the difference scores" | "1 off each";
  /** Only every so-many-th double of the bout takes 1 off each; the others score nothing. */
  readonly every?: number;
}
export type Afterblows = (
  | { readonly is: "both score" | "score nothing" | "annul the hit" | "half to the second" }
  | { readonly is: "take off 1" | "the difference scores"; readonly leave: 0 | 1 }
) & {
  /** Only this role's afterblows count; another's score nothing and cost nothing. */
  readonly onlyOf?: string;
};
export const WINS = [
  "who has more points",
  "who has fewer points against",
  "who has more bonus",
  "nobody",
] as const;
export type Wins = (typeof WINS)[number];
export const PANELS = [
  "the referee decides",
  "majority",
  "two of three or again",
  "weighted jury",
  "average",
  "the higher value",
  "two judges a fencer",
  "the one who is hit decides",
] as const;
export type Panel = (typeof PANELS)[number];

/** The bout's sentences; every key is filled in, with the default where the file says nothing. */
export interface BoutRules {
  readonly ends: readonly End[];
  readonly wins: Wins;
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
  readonly atTheEnd:
    "stays apart" | { readonly every: number; readonly make: number; readonly rest: "is lost" | "stays" };
  readonly bonus: { readonly countsTowardsTheWin: boolean; readonly countsTowardsTheCap: boolean };
}
