/** What may happen to a bout: a command, put to it as it stands, gives events or one refusal. */
import type { Scorer } from "../../rules/index.ts";
import type { Bout } from "./bout.ts";
import type { BoutCommand, Given } from "./commands.ts";
import type { Case, CommandOf, Decision } from "./decision.ts";
import type { BoutEvent } from "./events.ts";
import { assent } from "./assenting.ts";
import { chanceAfter, drawPick, withChance } from "./drawing.ts";
import { answerClaims } from "./answering.ts";
import { endBout, givePenalty, isTieBreak } from "./ending.ts";
import { evolveBout } from "./evolve.ts";
import { confirmResult, giveFacts, questionExchange, setPick, vote } from "./judging.ts";
import { canStep, LEADS_TO, whereIs } from "./lifecycle.ts";
import { isOver, standingOf, whatDecidesLevel } from "./over.ts";
import {
  changeExchange,
  changeRuleSet,
  insertExchange,
  recordExchange,
  removeExchange,
} from "./recording.ts";
import { swapFencers, undo } from "./recording.ts";
import {
  alreadyCalled,
  badMessage,
  boutIsOver,
  isRefusal,
  levelNeedsWord,
  noSuchBout,
  noSuchRuleSet,
  notEndedYet,
  notNow,
  overByScore,
  sameFencer,
} from "./refusals.ts";
import type { Refusal } from "./refusals.ts";
import { whyNot } from "./rights.ts";
import type { Scorers } from "./scoring.ts";
import { silences } from "./watching.ts";

/** Version of the scorer; it rises whenever an old bout would be scored otherwise. */
export const SCORER_VERSION = 2;

/** Opens a bout's stream. Refuses two fencers who are one person, and a seat that may not call. */
export function openBout(given: Given<CommandOf<"CallBout">>, scorer: Scorer | undefined): Decision {
  const { command, at, by } = given;
  const barred = whyNot(undefined, given);
  if (barred !== undefined) return barred;
  if (scorer === undefined) return noSuchRuleSet;
  if (command.red === command.blue) return sameFencer;
  const { bout, no, ring, red, blue, ruleSet, brings } = command;
  const call = { bout, no, ring, red, blue, ruleSet, ...(brings === undefined ? {} : { brings }) };
  return [{ at, by, type: "BoutCalled", ...call, scorer: SCORER_VERSION }];
}

/** Whether the lifecycle has a place for this command as the bout stands; seats and contents are not asked. */
export function canBout(bout: Bout, type: BoutCommand["type"]): boolean {
  if (type === "CallBout") return false;
  const standing = standingOf(bout, undefined, bout.clock.since);
  const guarded = type === "StartFencing" || type === "ComeOnGuard";
  return canStep(whereIs(bout), { type: LEADS_TO[type], ...(guarded ? { standing } : {}) });
}

/** Why the lifecycle has no place for this command now; undefined if it has. */
function whyNotNow(current: Case): Refusal | undefined {
  const { bout, command, base, scorer } = current;
  const { type } = command;
  const here = whereIs(bout);
  const step = { type: LEADS_TO[type] };
  if (!canStep(here, step)) {
    if (bout.stage === "ended") return boutIsOver(type);
    return type === "ConfirmResult" || type === "Reopen" ? notEndedYet : notNow(type, bout.stage);
  }
  if (type === "EndBout") return undefined;
  const standing = standingOf(bout, scorer?.ruleSet.bout, base.at);
  if (canStep(here, { ...step, standing })) return undefined;
  const over = isOver(standing);
  return over === "tie" ? levelNeedsWord : overByScore(bout.tally.ended ?? undefined);
}

/** "Fence!" closes the vote windows, and a watcher's silence is heard; level at the end, it begins the tie-break. */
function startFencing({ bout, given, base, scorer }: Case<"StartFencing">): Decision {
  const silence = scorer === undefined ? [] : silences(bout, scorer.ruleSet, given.seats?.judges ?? []);
  const fence: BoutEvent = { ...base, type: "FencingStarted", ...(silence.length === 0 ? {} : { silence }) };
  const rules = scorer?.ruleSet.bout;
  const level = bout.tieBreak === undefined && isOver(standingOf(bout, rules, base.at)) === "tie";
  const how = whatDecidesLevel(rules);
  return level && isTieBreak(how) ? [{ ...base, type: "TieBreakCalled", how }, fence] : [fence];
}

function setClock({ command, base }: Case<"SetClock">): Decision {
  const { leftMs } = command;
  if (!Number.isSafeInteger(leftMs) || leftMs < 0)
    return badMessage("The clock is set in whole milliseconds, not below zero.");
  return [{ ...base, type: "ClockSet", leftMs }];
}

function pause({ command, base }: Case<"Pause">): Decision {
  const side = command.side === undefined ? {} : { side: command.side };
  return [{ ...base, type: "Paused", reason: command.reason, ...side }];
}

function choose(current: Case): Decision {
  const { command, base } = current;
  const as = <T extends BoutCommand["type"]>(narrowed: CommandOf<T>): Case<T> => ({
    ...current,
    command: narrowed,
  });
  switch (command.type) {
    case "CallBout":
      return alreadyCalled;
    case "ConfirmCheck":
      return [{ ...base, type: "CheckConfirmed" }];
    case "ComeOnGuard":
      return [{ ...base, type: "CameOnGuard" }];
    case "StartFencing":
      return startFencing(as(command));
    case "CallHalt":
      return [{ ...base, type: "HaltCalled" }];
    case "SetClock":
      return setClock(as(command));
    case "RecordExchange":
      return recordExchange(as(command));
    case "ChangeExchange":
      return changeExchange(as(command));
    case "InsertExchange":
      return insertExchange(as(command));
    case "RemoveExchange":
      return removeExchange(as(command));
    case "SwapFencers":
      return swapFencers(as(command));
    case "ChangeRuleSet":
      return changeRuleSet(as(command));
    case "GiveFacts":
      return giveFacts(as(command));
    case "Vote":
      return vote(as(command));
    case "SetPick":
      return setPick(as(command));
    case "DrawPick":
      return drawPick(as(command));
    case "Assent":
      return assent(as(command));
    case "AnswerClaims":
      return answerClaims(as(command));
    case "GivePenalty":
      return givePenalty(as(command));
    case "Undo":
      return undo(as(command));
    case "Pause":
      return pause(as(command));
    case "Resume":
      return [{ ...base, type: "Resumed" }];
    case "Stop":
      return [{ ...base, type: "BoutStopped", why: command.why }];
    case "Forfeit":
      return [{ ...base, type: "BoutForfeited", side: command.side, why: command.why }];
    case "EndBout":
      return endBout(as(command));
    case "Reopen":
      return [{ ...base, type: "BoutReopened", why: command.why }];
    case "ConfirmResult":
      return confirmResult(as(command));
    case "QuestionExchange":
      return questionExchange(as(command));
  }
}

/**
 * Decides one command. In this order it refuses: a bout that is not there, a seat without the right, a stage that has no
 * place for it, and what the command itself gets wrong. Nothing is changed; the events say what happened.
 */
export function decideBout(bout: Bout | undefined, given: Given<BoutCommand>, scorers: Scorers): Decision {
  const { command, at, by } = given;
  if (bout === undefined) {
    if (command.type !== "CallBout") return noSuchBout;
    return opened(given, openBout({ ...given, command }, scorers(command.ruleSet)), scorers);
  }
  const current: Case = { bout, given, command, base: { at, by }, scorer: scorers(bout.ruleSet), scorers };
  if (command.type === "CallBout") return alreadyCalled;
  const decision = whyNot(bout, given) ?? whyNotNow(current) ?? choose(current);
  return isRefusal(decision) ? decision : withChance(current, decision);
}

/** A bout that is called commits to its seed in the same breath, before anybody can have chosen anything. */
function opened(given: Given<BoutCommand>, decision: Decision, scorers: Scorers): Decision {
  const { at, by, command, seeds } = given;
  const [call] = isRefusal(decision) ? [] : decision;
  if (call === undefined || seeds === undefined) return decision;
  const bout = evolveBout(undefined, call, 1, scorers);
  const scorer = scorers(bout.ruleSet);
  return [
    call,
    ...chanceAfter({ bout, given: { ...given, command }, base: { at, by }, scorer, scorers }, seeds),
  ];
}
