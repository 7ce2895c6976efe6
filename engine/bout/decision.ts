/** What every decision needs, and how an event gets its figures: the tally after it, and what it moved. */
import type { Scorer } from "../../rules/index.ts";
import type { Millis, Source } from "../ids.ts";
import type { Bout } from "./bout.ts";
import type { BoutCommand, Given } from "./commands.ts";
import type { BoutEvent, Moved, TallyStamp } from "./events.ts";
import { evolveBout } from "./evolve.ts";
import { movedBetween } from "./moved.ts";
import { mayEnd, standingOf } from "./over.ts";
import type { Refusal } from "./refusals.ts";
import { stampOf, tallyOf } from "./scoring.ts";
import type { Scorers } from "./scoring.ts";

/** Events, or one refusal. */
export type Decision = readonly BoutEvent[] | Refusal;

export type CommandOf<T extends BoutCommand["type"]> = Extract<BoutCommand, { readonly type: T }>;

/** What a command is put to. */
export interface Around {
  readonly bout: Bout;
  readonly given: Given<BoutCommand>;
  /** When and by whom, as every event carries it. */
  readonly base: { readonly at: Millis; readonly by: Source };
  readonly scorer: Scorer | undefined;
  readonly scorers: Scorers;
}

/** One command put to one bout. */
export interface Case<T extends BoutCommand["type"] = BoutCommand["type"]> extends Around {
  readonly command: CommandOf<T>;
}

const NO_FIGURES: TallyStamp = { points: { red: 0, blue: 0 }, bonus: { red: 0, blue: 0 }, open: 0 };

/** The bout as it would be after an event. */
export const after = ({ bout, scorers }: Around, event: BoutEvent): Bout =>
  evolveBout(bout, event, bout.version + 1, scorers);

type Weighed = Extract<BoutEvent, { readonly tally: TallyStamp } | { readonly type: "PenaltyGiven" }>;
type Draft = Weighed extends infer E ? (E extends Weighed ? Omit<E, "tally" | "moved"> : never) : never;

/** Events whose sentences say what they moved. */
const MOVES: ReadonlySet<BoutEvent["type"]> = new Set<BoutEvent["type"]>([
  "ExchangeChanged",
  "ExchangeInserted",
  "ExchangeRemoved",
  "RuleSetChanged",
  "FactsGiven",
  "Undone",
]);

export function movedBy(current: Around, next: Bout): readonly Moved[] {
  return movedBetween(current.bout.tally, next.tally, current.scorers(next.ruleSet)?.ruleSet);
}

/** The event with the tally after it and what it moved, and what follows from it for a bout that has ended. */
export function weigh(current: Around, draft: Draft): readonly BoutEvent[] {
  const moves = MOVES.has(draft.type);
  const unweighed = { ...draft, ...(moves ? { moved: [] } : {}), tally: NO_FIGURES } as Weighed;
  const next = after(current, unweighed);
  const figures = { tally: stampOf(next.tally), ...(moves ? { moved: movedBy(current, next) } : {}) };
  return [{ ...unweighed, ...figures } as Weighed, ...endAnew(current, next)];
}

/** The bout without its end, to ask whether the score alone ends it. */
function asIfHalted(bout: Bout, scorer: Scorer | undefined): Bout {
  const open: Bout = { ...bout, stage: "halted" };
  return { ...open, tally: tallyOf(open, scorer) };
}

/**
 * A correction after the end: where the result followed from the score and nobody has confirmed it, the bout is
 * reopened if the score no longer ends it, and ends anew if somebody else wins. A confirmed result is only flagged.
 */
export function endAnew(current: Around, next: Bout): readonly BoutEvent[] {
  if (next.stage !== "ended" || next.endedBy !== "score" || next.confirmed.length > 0) return [];
  const scorer = current.scorers(next.ruleSet);
  const standing = standingOf(asIfHalted(next, scorer), scorer?.ruleSet.bout, current.base.at);
  if (!mayEnd(standing) || next.tally.ended === null)
    return [{ ...current.base, type: "BoutReopened", why: "By the corrected score the bout is not over." }];
  if (next.tally.ended === next.ending) return [];
  return [{ ...current.base, type: "BoutEnded", ending: next.tally.ended }];
}
