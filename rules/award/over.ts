/** Whether a bout is over: one pure function for the scorer, the engine's guards and the forecast. */
import type { BoutRules, End, Ties } from "../language/tree-bout.ts";
import { type Ending, other, type Pair, type Side } from "../vocabulary.ts";

/** What decides where the score is level, as far as it is known. */
export interface WhenLevel {
  /** What "fewer" and "more" compare: marks of each fencer, bonus, warnings, penalties; by the name in the sentence. */
  readonly counts?: Readonly<Record<string, Pair<number>>>;
  /** Whoever landed the bout's first and its last hit that was not one of a double; missing: nobody, or nobody knows. */
  readonly firstHit?: Side;
  readonly lastHit?: Side;
}

export interface BoutStanding extends WhenLevel {
  readonly points: Pair<number>;
  readonly bonus: Pair<number>;
  /** Exchanges fenced; "no exchange" does not count. */
  readonly exchanges: number;
  readonly doubles: number;
  /** Seconds on the clock at the halt; missing: nobody said. */
  readonly left?: number;
  /** In a relay: what the teams had before this bout, and which bout of theirs it is tonight, from 1. */
  readonly teams?: { readonly before: Pair<number>; readonly bout: number };
  /** A rule ended it. */
  readonly byRule?: "both lose" | "red wins" | "blue wins" | "by score";
  /** The referee or the table ended it by score. */
  readonly called?: boolean;
}

/** "tie": its end is reached, but the rule set wants more fencing, or a choice, before anybody has won. */
export type Verdict = Ending | "tie" | null;

export function whetherOver(bout: BoutRules, standing: BoutStanding): Verdict {
  const { byRule } = standing;
  if (byRule !== undefined && byRule !== "by score") return byRule;
  for (const end of bout.ends)
    if (end.is === "doubles" && standing.doubles >= end.n)
      return end.bothLose === true ? "both lose" : byScore(bout, standing);
  return byRule === "by score" || standing.called === true || isReached(bout, standing)
    ? byScore(bout, standing)
    : null;
}

function isReached(bout: BoutRules, standing: BoutStanding): boolean {
  const { points, bonus } = standing;
  const cap = bout.bonus.countsTowardsTheCap;
  const red = points.red + (cap ? bonus.red : 0);
  const blue = points.blue + (cap ? bonus.blue : 0);
  const most = Math.max(red, blue);
  const apart = Math.abs(red - blue);
  const reached = (end: End): boolean => {
    switch (end.is) {
      case "points":
        return most >= end.n && apart >= (end.ahead ?? 0);
      case "bonus":
        return Math.max(bonus.red, bonus.blue) >= end.n;
      case "ahead":
        return apart >= end.n;
      case "exchanges":
        return standing.exchanges >= end.n;
      case "minutes":
        return standing.left !== undefined && standing.left <= 0;
      case "doubles":
        return false;
      case "team points": {
        const { before, bout: nth } = standing.teams ?? { before: { red: 0, blue: 0 }, bout: 1 };
        return Math.max(before.red + points.red, before.blue + points.blue) >= teamPointsOf(end, nth);
      }
    }
  };
  return bout.ends.some(reached);
}

/** What ends the bout of two teams that is their first, second ... tonight; the last number stays. */
export const teamPointsOf = ({ numbers }: Extract<End, { is: "team points" }>, bout: number): number =>
  numbers[Math.min(bout, numbers.length) - 1] ?? Number.POSITIVE_INFINITY;

/** A bout of a relay that is not its last is over where the teams' number is reached, however the two stand. */
function isLeg(bout: BoutRules, standing: BoutStanding): boolean {
  const { points, teams } = standing;
  const end = bout.ends.find((one) => one.is === "team points");
  if (!end || !teams) return false;
  if (teams.bout < end.numbers.length) return true;
  return teams.before.red + points.red !== teams.before.blue + points.blue;
}

/** What a fencer has towards the win: the more, the better. Points against count the other way. */
export function towardsTheWin(bout: BoutRules, points: number, bonus: number): number {
  const also = bout.bonus.countsTowardsTheWin ? bonus : 0;
  switch (bout.wins) {
    case "who has more points":
      return points + also;
    case "who has fewer points against":
      return also - points;
    case "who has more bonus":
      return bonus;
    case "nobody":
      return 0;
  }
}

const WINS: Pair<Ending> = { red: "red wins", blue: "blue wins" };

function byScore(bout: BoutRules, standing: BoutStanding): Verdict {
  if (bout.wins === "nobody") return "no winner";
  const { points, bonus } = standing;
  const red = towardsTheWin(bout, points.red, bonus.red);
  const blue = towardsTheWin(bout, points.blue, bonus.blue);
  if (red === blue && isLeg(bout, standing)) return "draw";
  return red === blue ? whenLevel(bout.ties, standing) : WINS[red > blue ? "red" : "blue"];
}

function whenLevel(ties: Ties, standing: BoutStanding): Verdict {
  switch (ties.is) {
    case "draw":
      return "draw";
    case "who hit first":
      return standing.firstHit === undefined ? "draw" : WINS[standing.firstHit];
    case "who hit last":
      return standing.lastHit === undefined ? "draw" : WINS[standing.lastHit];
    case "fewer":
    case "more": {
      const counts = standing.counts?.[ties.mark];
      if (!counts || counts.red === counts.blue)
        return ties.otherwise ? whenLevel(ties.otherwise, standing) : "draw";
      const more: Side = counts.red > counts.blue ? "red" : "blue";
      return WINS[ties.is === "more" ? more : other(more)];
    }
    case "sudden death":
    case "priority minute":
    case "judges' choice":
    case "more seconds":
      // Called off while level, nobody has won.
      return standing.called === true ? "draw" : "tie";
  }
}

/** What decides where everything that is counted before it is level too: the last of "fewer slips, then ...". */
export function atLast(ties: Ties): Ties {
  return (ties.is === "fewer" || ties.is === "more") && ties.otherwise ? atLast(ties.otherwise) : ties;
}

/** The names of the counts that level bouts compare, in their order. */
export function comparedWhenLevel(ties: Ties): readonly string[] {
  if (ties.is !== "fewer" && ties.is !== "more") return [];
  return [ties.mark, ...(ties.otherwise ? comparedWhenLevel(ties.otherwise) : [])];
}
