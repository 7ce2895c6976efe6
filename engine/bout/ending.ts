/** How a bout ends: by the score, by a word, by a stop, by a forfeit; ties; and penalties, which may end it too. */
import type { Ending, Ties } from "../../rules/index.ts";
import type { Bout } from "./bout.ts";
import { weigh } from "./decision.ts";
import type { Around, Case, Decision } from "./decision.ts";
import type { TieBreak } from "./events.ts";
import { TIE_BREAKS } from "./events.ts";
import { canStep, whereIs } from "./lifecycle.ts";
import { asItStands, isOver, mayGoOn, standingOf, whatDecidesLevel } from "./over.ts";
import { boutNotOver, levelNeedsWord } from "./refusals.ts";
import { tallyOf } from "./scoring.ts";

/** What the score says if the bout ends now. */
function endingByScore({ bout, scorer }: Around): Ending | null {
  const ended: Bout = { ...bout, stage: "ended", endedBy: "score" };
  return tallyOf(ended, scorer).ended;
}

export const isTieBreak = (is: Ties["is"] | undefined): is is TieBreak =>
  TIE_BREAKS.some((each) => each === is);

/** Level at the end: a draw, a tie-break, or the referee's word, as the rule set says. */
function whenLevel(current: Around): Decision {
  const { bout, base, scorer } = current;
  const ties = whatDecidesLevel(scorer?.ruleSet.bout);
  // One tie-break: level after extra time is a draw; priority was tossed for, so the referee says whose it was.
  if (bout.tieBreak === "priority minute" || ties === "judges' choice") return levelNeedsWord;
  if (bout.tieBreak === undefined && isTieBreak(ties))
    return [{ ...base, type: "TieBreakCalled", how: ties }];
  return [{ ...base, type: "BoutEnded", ending: "draw" }];
}

export function endBout(current: Case<"EndBout">): Decision {
  const { bout, command, base, scorer } = current;
  if (command.ending !== undefined)
    return [{ ...base, type: "BoutEnded", ending: command.ending, said: true }];
  const standing = standingOf(bout, scorer?.ruleSet.bout, base.at);
  if (!canStep(whereIs(bout), { type: "BoutEnded", standing })) return boutNotOver;
  // In a tie-break that can still be fenced, level decides nothing.
  if (bout.tieBreak !== undefined && isOver(standing) === "tie" && mayGoOn(standing)) return boutNotOver;
  const ending = isOver(standing) === "tie" ? null : (endingByScore(current) ?? asItStands(standing));
  return ending === null || ending === "draw" || ending === "tie"
    ? whenLevel(current)
    : [{ ...base, type: "BoutEnded", ending }];
}

export function givePenalty(current: Case<"GivePenalty">): Decision {
  const { bout, command, base } = current;
  const { side, penalty, why } = command;
  const last = bout.exchanges.at(-1);
  const on = last === undefined ? {} : { exchange: last.id };
  const given = { ...base, type: "PenaltyGiven", side, penalty, why, ...on } as const;
  if (penalty === "out" && bout.stage !== "ended")
    return [given, { ...base, type: "BoutForfeited", side, why }];
  return penalty === "penalty hit" ? weigh(current, given) : [given];
}
