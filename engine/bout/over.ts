/** Whether a bout is over, asked of one standing: by the machine's guards while something is being decided. */
import { atLast, whetherOver } from "../../rules/index.ts";
import type { BoutRules, BoutStanding, Tally, Ties, Verdict } from "../../rules/index.ts";
import type { Millis } from "../ids.ts";
import type { Bout } from "./bout.ts";
import { isTimeUp } from "./clock.ts";
import type { TieBreak } from "./events.ts";

/** All that the question needs to know. */
export interface Standing {
  readonly rules: BoutRules | undefined;
  readonly tally: Tally;
  /** The clock has counted down to nothing. */
  readonly timeUp: boolean;
  /** The tie-break that has been called: level is no end any more. */
  readonly tieBreak?: TieBreak;
}

/** What the settled tally says of the bout, as rules/ asks for it. */
const boutStanding = ({ tally, timeUp, tieBreak }: Standing): BoutStanding => ({
  points: tally.points,
  bonus: tally.bonus,
  exchanges: tally.exchanges.filter((each) => each.how !== "no exchange").length,
  doubles: tally.doubles,
  // In a tie-break the bout's own time is over; only "more seconds" has a new time to run out.
  ...(timeUp || (tieBreak !== undefined && tieBreak !== "more seconds") ? { left: 0 } : {}),
  ...tally.level,
});

/** The ending that is reached, "tie" where the rule set wants more before anybody has won, null while it goes on. */
export function isOver(standing: Standing): Verdict {
  const { rules, tally } = standing;
  return tally.ended !== null || rules === undefined
    ? tally.ended
    : whetherOver(rules, boutStanding(standing));
}

/** Who has won by the settled score if it ends now, whatever is still open; answers may say otherwise later. */
export const asItStands = (standing: Standing): Verdict =>
  standing.rules === undefined
    ? null
    : whetherOver(standing.rules, { ...boutStanding(standing), called: true });

/** What decides where all that is counted is level too. */
export const whatDecidesLevel = (rules: BoutRules | undefined): Ties["is"] =>
  rules === undefined ? "draw" : atLast(rules.ties).is;

/** Whether fencing may go on: it is not over, or it is level and a tie-break decides. */
export function mayGoOn(standing: Standing): boolean {
  const verdict = isOver(standing);
  if (verdict !== "tie") return verdict === null;
  // Extra time that has run out is over too.
  const last = whatDecidesLevel(standing.rules);
  return last !== "judges' choice" && !(standing.tieBreak !== undefined && standing.timeUp);
}

/** Whether the bout may end by its score: it is over, or its rule set names no end. */
export const mayEnd = (standing: Standing): boolean =>
  standing.rules === undefined || standing.rules.ends.length === 0 || isOver(standing) !== null;

/** A bout's standing at a moment. */
export const standingOf = (bout: Bout, rules: BoutRules | undefined, now: Millis): Standing => ({
  rules,
  tally: bout.tally,
  timeUp: isTimeUp(bout.clock, now),
  ...(bout.tieBreak === undefined ? {} : { tieBreak: bout.tieBreak }),
});
