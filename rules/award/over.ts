/** Whether a bout is over: one pure function for the scorer, the engine's guards and the forecast. */
import type { BoutRules } from "../language/tree.ts";
import type { Ending, Pair } from "../vocabulary.ts";

export interface BoutStanding {
  readonly points: Pair<number>;
  readonly bonus: Pair<number>;
  /** Exchanges fenced; "no exchange" does not count. */
  readonly exchanges: number;
  readonly doubles: number;
  /** Seconds on the clock at the halt; missing: nobody said. */
  readonly left?: number;
  /** The marks of "ties: fewer MARK". */
  readonly fewer?: Pair<number>;
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
  return bout.ends.some((end) => {
    switch (end.is) {
      case "points":
        return red >= end.n || blue >= end.n;
      case "ahead":
        return Math.abs(red - blue) >= end.n;
      case "exchanges":
        return standing.exchanges >= end.n;
      case "minutes":
        return standing.left !== undefined && standing.left <= 0;
      case "doubles":
      // A team's points are the meet's to count.
      case "team points":
        return false;
    }
  });
}

/** What each fencer's score counts for the win. */
function byScore(bout: BoutRules, standing: BoutStanding): Verdict {
  const { points, bonus, fewer } = standing;
  const win = bout.bonus.countsTowardsTheWin;
  const lead = points.red - points.blue + (win ? bonus.red - bonus.blue : 0);
  if (lead !== 0) return lead > 0 ? "red wins" : "blue wins";
  switch (bout.ties.is) {
    case "draw":
      return "draw";
    case "fewer":
      if (!fewer || fewer.red === fewer.blue) return "draw";
      return fewer.red < fewer.blue ? "red wins" : "blue wins";
    case "sudden death":
    case "priority minute":
    case "judges' choice":
    case "more seconds":
      // Called off while level, nobody has won.
      return standing.called === true ? "draw" : "tie";
  }
}
