/** Expected refusals are values: a code that programs read and one sentence that people read. */
import type { Ending, Side } from "../../rules/index.ts";
import type { ExchangeId } from "../ids.ts";
import type { Stage } from "./bout.ts";
import type { BoutCommand } from "./commands.ts";

export const REFUSAL_CODES = [
  "no-such-bout",
  "already-called",
  "bout-is-over",
  "bout-not-over",
  "not-now",
  "no-such-exchange",
  "exchange-exists",
  "nothing-to-undo",
  "not-your-seat",
  "no-pen",
  "pick-closed",
  "no-such-pick",
  "not-a-value",
  "not-yet",
  "no-such-call",
  "same-judge",
  "no-such-rule-set",
  "same-fencer",
  "fencer-busy",
  "fencer-out",
  "ring-busy",
  "no-such-person",
  "no-such-ring",
  "no-such-seat",
  "bad-message",
  "stale",
  "key-reused",
  "read-only",
  "too-many",
] as const;
export type RefusalCode = (typeof REFUSAL_CODES)[number];

export interface Refusal {
  readonly refused: RefusalCode;
  readonly sentence: string;
}

export const refusal = (refused: RefusalCode, sentence: string): Refusal => ({ refused, sentence });
export const isRefusal = (x: unknown): x is Refusal => typeof x === "object" && x !== null && "refused" in x;

/** What a command does, as it is told to a person. */
const DOING: { readonly [C in BoutCommand["type"]]: string } = {
  CallBout: "call this bout",
  ConfirmCheck: "confirm the check",
  ComeOnGuard: "call the fencers on guard",
  StartFencing: 'say "Fence!"',
  CallHalt: "call halt",
  SetClock: "set the clock",
  RecordExchange: "record an exchange",
  ChangeExchange: "change an exchange",
  InsertExchange: "insert an exchange",
  RemoveExchange: "remove an exchange",
  SwapFencers: "swap the fencers",
  ChangeRuleSet: "change the rule set",
  GiveFacts: "add what was seen",
  Vote: "vote",
  SetPick: "set a pick",
  DrawPick: "draw",
  Assent: "assent",
  AnswerClaims: "answer what a bout claims of the hall",
  GivePenalty: "give a penalty",
  Undo: "undo",
  Pause: "pause the bout",
  Resume: "resume",
  Stop: "stop the bout",
  Forfeit: "record a forfeit",
  EndBout: "end the bout",
  Reopen: "reopen the bout",
  ConfirmResult: "confirm the result",
  QuestionExchange: "question an exchange",
};

const STANDING: { readonly [S in Stage]: string } = {
  called: "the fencers have only been called",
  checked: "the fencers have been checked and are not on guard yet",
  "on guard": "the fencers are on guard",
  fencing: "they are fencing",
  halted: "fencing is halted",
  paused: "the bout is paused",
  "tie-break": "the tie-break is halted",
  ended: "the bout has ended",
};

export const noSuchBout = refusal("no-such-bout", "There is no such bout; call it first.");
export const alreadyCalled = refusal("already-called", "This bout has been called already.");
export const boutIsOver = (type: BoutCommand["type"]): Refusal =>
  refusal(
    "bout-is-over",
    `The bout has ended, so you cannot ${DOING[type]}. Reopen it if the result is wrong.`,
  );
export const overByScore = (ending: Ending | undefined): Refusal =>
  refusal(
    "bout-is-over",
    ending === undefined
      ? "Time is up: end the bout, or set the clock if it is wrong."
      : `By the score the bout is over (${ending}): end it, or put the score right.`,
  );
export const boutNotOver = refusal(
  "bout-not-over",
  "By the score the bout is not over. The referee can say the ending, or stop the bout.",
);
export const notEndedYet = refusal("bout-not-over", "The bout has not ended, so there is no result yet.");
export const notNow = (type: BoutCommand["type"], stage: Stage): Refusal =>
  refusal("not-now", `You cannot ${DOING[type]} now: ${STANDING[stage]}.`);
export const levelNeedsWord = refusal(
  "bout-not-over",
  "The score is level and this rule set leaves it to the judges: the referee says who wins.",
);
export const noSuchExchange = (id: ExchangeId): Refusal =>
  refusal("no-such-exchange", `This bout has no exchange "${id}"; it may have been removed.`);
export const exchangeExists = (id: ExchangeId): Refusal =>
  refusal("exchange-exists", `Exchange "${id}" has been recorded already; change it instead.`);
export const noSuchAct = (act: string): Refusal =>
  refusal("no-such-exchange", `That exchange has no action "${act}"; it may have been changed meanwhile.`);
export const nothingToUndo = refusal("nothing-to-undo", "There is nothing to undo in this bout.");
export const notYourSeat = (type: BoutCommand["type"], who: string): Refusal =>
  refusal("not-your-seat", `From ${who} you cannot ${DOING[type]}.`);
export const notYourOwn = (type: BoutCommand["type"]): Refusal =>
  refusal(
    "not-your-seat",
    `From a fencer's seat you can ${DOING[type]} only for yourself, in your own bout.`,
  );
export const refereesWord = (type: BoutCommand["type"]): Refusal =>
  refusal("not-your-seat", `Only the referee can ${DOING[type]}, and the referee's seat is held.`);
export const noPen = (type: BoutCommand["type"]): Refusal =>
  refusal(
    "no-pen",
    `This device does not hold the ring's pen, so it cannot ${DOING[type]}. Take the pen first.`,
  );
export const pickClosed = (pick: string, until: string): Refusal =>
  refusal("pick-closed", `"${pick}" is closed: it is chosen ${until}.`);
export const noSuchPick = (pick: string): Refusal =>
  refusal("no-such-pick", `This bout's rule set has no pick named "${pick}".`);
export const pickNeedsFencer = (pick: string): Refusal =>
  refusal("no-such-pick", `"${pick}" is chosen for each fencer: say for whom.`);
export const pickOfTheBout = (pick: string): Refusal =>
  refusal("no-such-pick", `"${pick}" is chosen for the bout, not for one fencer.`);
export const notAValue = (pick: string, value: string, from: readonly string[]): Refusal =>
  refusal("not-a-value", `"${value}" is not one of the values of "${pick}": ${from.join(", ")}.`);
export const drawnByChance = (pick: string): Refusal =>
  refusal(
    "not-now",
    `"${pick}" is drawn by chance: draw it, or say that it was drawn by hand from cards on the table.`,
  );
export const notByChance = (pick: string, by: string): Refusal =>
  refusal("no-such-pick", `"${pick}" is not drawn by chance: it is said by ${by}.`);
export const drawnTooEarly = (sentence: string): Refusal => refusal("not-yet", sentence);
export const onlyTheServerDraws = refusal(
  "not-yet",
  "Only the server draws; while it is out of reach the tablet draws, and it is recorded so.",
);
export const listSaysIt = (pick: string): Refusal =>
  refusal("no-such-pick", `"${pick}" follows its list: nobody has to say it.`);
export const notYourPick = (pick: string, by: string): Refusal =>
  refusal("not-your-seat", `"${pick}" is said by ${by}, not by a fencer.`);
export const allTurnsAreDrawn = (pick: string, turns: number): Refusal =>
  refusal("pick-closed", `"${pick}" is said: ${turns} were drawn together and are taken in turn.`);
export const callNamesNobody = refusal(
  "not-your-seat",
  "Who called it, and who assents, follows from the seats: a call names nobody.",
);
export const seatsAssent = refusal(
  "not-your-seat",
  "The judges hold their seats: a second judge assents there, not through the table.",
);
export const callTooLate = (call: string): Refusal =>
  refusal(
    "not-now",
    `"${call}" is called between the halt and the next "Fence!", so that a second judge can assent.`,
  );
export const assentTooLate = (call: string): Refusal =>
  refusal("not-now", `The next "Fence!" has closed "${call}": without an assent it is not given.`);
export const assentIsThere = (call: string): Refusal =>
  refusal("not-now", `A second judge has assented to "${call}" already.`);
export const noSuchCall = (call: string, side: Side): Refusal =>
  refusal(
    "no-such-call",
    `Nobody has called "${call}" for ${side === "red" ? "Red" : "Blue"} in that exchange.`,
  );
export const sameJudge = refusal(
  "same-judge",
  "You called it yourself: the assent comes from another judge's seat.",
);
export const samePerson = refusal(
  "same-judge",
  "The same person called it from another seat: the assent is another judge's.",
);
export const outOfSpan = (call: string, value: number, low: number, high: number): Refusal =>
  refusal("not-a-value", `"${call}" is given between ${low} and ${high}, not ${value}.`);
export const noSuchRuleSet = refusal("no-such-rule-set", "That rule set is not on the evening's shelf.");
export const sameRuleSet = refusal("not-now", "That rule set is in force already.");
export const sameFencer = refusal("same-fencer", "Red and Blue are the same person: choose two fencers.");
export const badMessage = (sentence: string): Refusal => refusal("bad-message", sentence);
