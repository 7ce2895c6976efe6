/** Who may do what (the table of design.md, section 6): one row a command, one column a seat. */
import type { Fact, Side } from "../../rules/index.ts";
import type { Source } from "../ids.ts";
import type { Bout } from "./bout.ts";
import type { BoutCommand, Given } from "./commands.ts";
import { noPen, notYourOwn, notYourSeat, refereesWord } from "./refusals.ts";
import type { Refusal } from "./refusals.ts";
import { mayCall } from "./self-calls.ts";

/**
 * yes: always. pen: with the ring's pen. word: a referee's decision, from the pen only while no referee's seat is held.
 * own: a fencer, in their own bout and for themselves. calls: only a judge's values and assents. -: no.
 */
type Right = "yes" | "pen" | "word" | "own" | "calls" | "-";
type Chair = "coach" | "table" | "referee" | "judge" | "fencer";
type Row = readonly [coach: Right, table: Right, referee: Right, judge: Right, fencer: Right];

const CHAIRS: readonly Chair[] = ["coach", "table", "referee", "judge", "fencer"];
const RIGHTS: { readonly [C in BoutCommand["type"]]: Row } = {
  //                 coach  table   referee judge    fencer
  CallBout: /*      */ ["yes", "-", "-", "-", "-"],
  ConfirmCheck: /*  */ ["yes", "pen", "-", "-", "-"],
  ComeOnGuard: /*   */ ["yes", "pen", "-", "-", "-"],
  StartFencing: /*  */ ["yes", "pen", "-", "-", "-"],
  CallHalt: /*      */ ["yes", "pen", "-", "-", "-"],
  SetClock: /*      */ ["yes", "pen", "-", "-", "-"],
  RecordExchange: /**/ ["yes", "pen", "-", "-", "-"],
  ChangeExchange: /**/ ["yes", "pen", "-", "-", "-"],
  InsertExchange: /**/ ["yes", "pen", "-", "-", "-"],
  RemoveExchange: /**/ ["yes", "pen", "-", "-", "-"],
  SwapFencers: /*   */ ["yes", "pen", "-", "-", "-"],
  ChangeRuleSet: /* */ ["yes", "word", "yes", "-", "-"],
  GiveFacts: /*     */ ["yes", "pen", "yes", "calls", "own"],
  Vote: /*          */ ["-", "-", "yes", "yes", "-"],
  SetPick: /*       */ ["yes", "pen", "yes", "-", "own"],
  DrawPick: /*      */ ["yes", "pen", "yes", "-", "-"],
  Assent: /*        */ ["-", "-", "yes", "yes", "-"],
  // Only the hall answers, for every ring.
  AnswerClaims: /*  */ ["-", "-", "-", "-", "-"],
  GivePenalty: /*   */ ["yes", "word", "yes", "-", "-"],
  Undo: /*          */ ["yes", "pen", "-", "-", "-"],
  Pause: /*         */ ["yes", "pen", "yes", "-", "-"],
  Resume: /*        */ ["yes", "pen", "yes", "-", "-"],
  Stop: /*          */ ["yes", "pen", "yes", "yes", "-"],
  Forfeit: /*       */ ["yes", "word", "yes", "-", "-"],
  EndBout: /*       */ ["yes", "pen", "yes", "-", "-"],
  Reopen: /*        */ ["yes", "word", "yes", "-", "-"],
  ConfirmResult: /* */ ["yes", "pen", "-", "-", "own"],
  QuestionExchange: /**/ ["-", "-", "-", "-", "own"],
};

const chairOf = (by: Source): Chair | undefined =>
  by.kind === "hall"
    ? undefined
    : by.referee === true && (by.kind === "judge" || by.kind === "table")
      ? "referee"
      : by.kind;

const NAMES: { readonly [C in Chair]: string } = {
  coach: "the coach's seat",
  table: "the table",
  referee: "the referee's seat",
  judge: "a judge's seat",
  fencer: "a fencer's seat",
};

/** The side on which the seat's person fences in this bout. */
export function sideOf(bout: Bout, by: Source): Side | undefined {
  if (by.person === undefined) return undefined;
  if (by.person === bout.red) return "red";
  return by.person === bout.blue ? "blue" : undefined;
}

/** Which of the two a command is for, where it is for one. */
const sideNamed = (command: BoutCommand): Side | undefined => ("side" in command ? command.side : undefined);

/** Of facts a fencer may always give calls on their own exchange and their own choices; see also self-calls.ts. */
const isOwnFact = (fact: Fact, own: Side): boolean =>
  fact.fact === "call" || (fact.fact === "pick" && fact.side === own);

function ofOwnBout(bout: Bout, given: Given<BoutCommand>): Refusal | undefined {
  const { by, command } = given;
  const own = sideOf(bout, by);
  if (own === undefined || (sideNamed(command) ?? own) !== own) return notYourOwn(command.type);
  // Without a side it would be a pick of the bout, or both fencers' assent.
  if ((command.type === "SetPick" || command.type === "ConfirmResult") && command.side === undefined)
    return notYourOwn(command.type);
  if (
    command.type === "GiveFacts" &&
    !command.facts.every((fact) => isOwnFact(fact, own)) &&
    !mayCall(bout, command.exchange, command.facts, own)
  )
    return notYourOwn(command.type);
  return undefined;
}

/** Whether this very command is the referee's to decide: an ending said outright is, one by score is not. */
const isRefereesWord = (right: Right, command: BoutCommand): boolean =>
  right === "word" || (right === "pen" && command.type === "EndBout" && command.ending !== undefined);

/** Why a seat may not give this command; undefined if it may. */
export function whyNot(bout: Bout | undefined, given: Given<BoutCommand>): Refusal | undefined {
  const { by, command } = given;
  const chair = chairOf(by);
  if (chair === undefined)
    return command.type === "AnswerClaims" ? undefined : notYourSeat(command.type, "the hall");
  const right = RIGHTS[command.type][CHAIRS.indexOf(chair)] ?? "-";
  if (right === "-") {
    // A referee who keeps the table as well writes with the pen like any table.
    if (by.kind === "table" && chair === "referee") return whyNot(bout, asTable(given));
    return notYourSeat(command.type, NAMES[chair]);
  }
  if (right === "own") return bout === undefined ? notYourOwn(command.type) : ofOwnBout(bout, given);
  if (right === "calls" && command.type === "GiveFacts" && !command.facts.every((f) => f.fact === "call"))
    return notYourSeat(command.type, NAMES[chair]);
  if ((right === "pen" || right === "word") && given.pen === undefined) return noPen(command.type);
  if (isRefereesWord(right, command) && given.seats?.referee === true) return refereesWord(command.type);
  return undefined;
}

function asTable(given: Given<BoutCommand>): Given<BoutCommand> {
  const { referee: _, ...by } = given.by;
  return { ...given, by };
}
