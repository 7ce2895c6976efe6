/** Conditions: that each can hold where it stands, and that its numbers can be met. */
import type { Checking } from "./checking.ts";
import { extraTimeOf, lengthOf } from "./clock.ts";
import type { Message } from "./faults.ts";
import * as say from "./faults-condition.ts";
import { printCondition, printQuantity } from "./print-condition.ts";
import type { Amount, AnyOf, Condition, Quantity } from "./tree.ts";

/** How many exchanges a rule can look back to. */
export const MOST_LOOKED_BACK = 10;

/** Where conditions stand. */
interface Stand {
  readonly checking: Checking;
  /** A rule's or a change's own place, where a condition has none. */
  readonly holder: object;
  readonly atTheEnd: boolean;
  readonly of: "rule" | "change";
  /** There is an action whose moment can be meant. */
  readonly hasWhen: boolean;
}

export function checkConditions(checking: Checking): void {
  for (const rule of checking.ruleSet.rules) {
    if (rule.at === "the end of the evening") continue;
    const stand: Stand = {
      checking,
      holder: rule,
      atTheEnd: rule.at !== undefined,
      of: "rule",
      hasWhen: rule.when !== undefined,
    };
    for (const lines of [rule.if, rule.unless]) checkLines(stand, lines);
    for (const pay of rule.pays ?? []) if (pay.if) checkLines({ ...stand, holder: pay }, [pay.if]);
  }
  for (const mark of checking.ruleSet.marks)
    for (const change of mark.changes)
      if (change.when.is !== "every")
        checkLines(
          {
            checking,
            holder: change,
            atTheEnd: change.when.is === "end of bout",
            of: "change",
            hasWhen: change.when.all.some(({ is }) => is === "phrase"),
          },
          [change.when.all],
        );
}

function checkLines(stand: Stand, lines: AnyOf | undefined): void {
  for (const one of (lines ?? []).flat()) checkOne(stand, one);
}

type Of<K extends Condition["is"]> = Extract<Condition, { is: K }>;

function checkOne(stand: Stand, c: Condition): void {
  const fault = (message: Message): void => {
    const { envelope } = stand.checking;
    envelope.fault(message, envelope.placeOf(c, stand.holder));
  };
  switch (c.is) {
    case "not":
      return checkOne({ ...stand, holder: placed(stand, c) }, c.what);
    case "these":
      checkAmount(c.amount, c.these.length, "conditions", fault);
      for (const one of c.these) checkOne({ ...stand, holder: placed(stand, c) }, one);
      return;
    case "last":
      return checkLast(c, fault);
    case "phrase":
    case "exchange":
    case "lasts":
      if (stand.atTheEnd) fault(say.noExchangeAtTheEnd(printCondition(c)));
      if (c.is === "lasts" && boutLength(stand) === undefined) fault(say.lengthNotKnown("it lasts"));
      return;
    case "outcome":
      return checkOutcome(stand, c, fault);
    case "rule pays":
      return checkPays(stand, c, fault);
    case "exchange number":
      return checkNumber(stand, c, fault);
    case "lead":
      if (c.by && c.by.n <= 0) fault(say.noLead(c.by.n));
      return;
    case "time":
      return checkTime(stand, c, fault);
    case "token":
      if (c.atThatMoment === true && !stand.hasWhen) fault(say.whichMoment());
      return;
    case "quantity": {
      const { than } = c;
      const all = [...c.quantity, ...("than" in than && than.than !== "theirs" ? than.than : [])];
      checkSum(all, c.now === true, stand.atTheEnd, printCondition(c), fault);
      return;
    }
    case "level":
    case "role":
    case "fencer":
    case "call":
    case "mark":
    case "flag":
    case "pick":
      return;
  }
}

/** The nearest node around that has a place of its own. */
const placed = ({ checking, holder }: Stand, c: Condition): object =>
  checking.envelope.places.has(c) ? c : holder;

const boutLength = ({ checking }: Stand): number | undefined => lengthOf(checking.ruleSet.bout);

/** How many of so many: not more than there are, and not whatever happens. */
function checkAmount(
  { n, cmp }: Amount,
  most: number,
  what: string,
  fault: (message: Message) => void,
): void {
  const asked = cmp === "exactly" ? String(n) : `${String(n)} ${cmp}`;
  if (!Number.isInteger(n) || n < 0) fault(say.notACount(n));
  else if (n > most && cmp !== "or less") fault(say.neverThatMany(asked, most, what));
  else if ((cmp === "or more" && n === 0) || (cmp === "or less" && n >= most))
    fault(say.always(`"${asked}"`));
}

/** [P7] Only what an exchange itself can show, and no exchange further back than is kept. */
function checkLast({ what, of }: Of<"last">, fault: (message: Message) => void): void {
  const shown = what.is === "not" ? what.what : what;
  if (shown.is === "rule pays" && shown.last === true) fault(say.alreadyLast(shown.rule));
  if (!of) return;
  const { exchanges, amount } = of;
  if (!Number.isInteger(exchanges) || exchanges < 1 || exchanges > MOST_LOOKED_BACK)
    fault(say.lookBack(MOST_LOOKED_BACK));
  else checkAmount(amount, exchanges, "exchanges", fault);
}

function checkOutcome(stand: Stand, c: Of<"outcome">, fault: (message: Message) => void): void {
  const { atTheEnd, of } = stand;
  const text = printCondition(c);
  if (c.what === "score") {
    if (atTheEnd) fault(say.noExchangeAtTheEnd(text));
  } else if (!atTheEnd) fault(of === "rule" ? say.onlyAtTheEnd(text) : say.changeOnlyAtTheEnd(text));
}

/** Rules at the end and rules of an exchange never pay at the same time. */
function checkPays(stand: Stand, c: Of<"rule pays">, fault: (message: Message) => void): void {
  const other = stand.checking.ruleSet.rules.find(({ name }) => name === c.rule);
  if (other === undefined || other.at === "the end of the evening") return;
  const paysAtTheEnd = other.at !== undefined;
  if (c.last === true ? paysAtTheEnd : paysAtTheEnd !== stand.atTheEnd)
    fault(say.paysAtAnotherTime(c.rule, !paysAtTheEnd));
}

function checkNumber(stand: Stand, { no }: Of<"exchange number">, fault: (message: Message) => void): void {
  const last = stand.checking.ruleSet.bout.ends.flatMap((end) => (end.is === "exchanges" ? [end.n] : []))[0];
  if (no === "last") {
    if (last === undefined && !stand.atTheEnd) fault(say.lastNotKnown());
    return;
  }
  if (!Number.isInteger(no.n) || no.n < 1) fault(say.notACount(no.n));
  else if (no.cmp === "or more" && no.n === 1) fault(say.always(`"exchange 1 or more"`));
  else if (last !== undefined && no.n > last && no.cmp !== "or less") fault(say.afterTheLast(no.n, last));
}

function checkTime(stand: Stand, c: Of<"time">, fault: (message: Message) => void): void {
  const length = boutLength(stand);
  if (length === undefined) {
    if (c.what === "gone") fault(say.lengthNotKnown("are gone"));
    return;
  }
  const most = c.what === "gone" ? length : Math.max(length, extraTimeOf(stand.checking.ruleSet.bout) ?? 0);
  if (c.cmp === "or more" && c.seconds > most) fault(say.longerThanTheBout(c.seconds, most));
}

const CHANGED_BY_RULES = ["points", "bonus", "warnings", "penalties"] as const;

/** A sum reads nothing that this exchange's payments change, and nothing that is not there. */
export function checkSum(
  quantity: Quantity,
  now: boolean,
  atTheEnd: boolean,
  text: string,
  fault: (message: Message) => void,
): void {
  for (const term of quantity) {
    if (!("counted" in term)) continue;
    const { counted } = term;
    if (counted === "touch" && atTheEnd) fault(say.nothingToCountAtTheEnd(text));
    if (!now) continue;
    if (CHANGED_BY_RULES.some((one) => one === counted)) fault(say.nowOf(printQuantity([term])));
    else if ((counted === "bouts" || counted === "wins") && !atTheEnd)
      fault(say.nowOnlyAtTheEnd(printQuantity([term])));
  }
}
