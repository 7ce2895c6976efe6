/** What every driver checks before it writes, so that all of them refuse the same things. */
import { LedgerFault } from "./ledger.ts";
import type { CommandKey, NewEvent, Person, StoredRuleSet, StoredSeat } from "./ledger.ts";

/**
 * Columns hold Unicode text without U+0000: one driver cuts a text there, and a half surrogate pair
 * comes back as U+FFFD. Refusing loses less than storing something else.
 */
function checkText(value: string, what: string): void {
  if (/\0|\p{Surrogate}/u.test(value)) {
    refuse(`${what} holds U+0000 or half a character, which cannot be stored.`);
  }
}

export function checkAppend(
  stream: string,
  expected: number,
  events: readonly NewEvent[],
  command: CommandKey,
): void {
  checkKey(stream, "a stream's name");
  checkKey(command.id, "a command's id");
  checkText(command.digest, "a command's digest");
  checkInteger(expected, "the expected version");
  if (expected < 0) refuse("the expected version is below 0.");
  for (const event of events) {
    checkKey(event.type, "an event's type");
    checkInteger(event.at, "an event's time");
  }
}

export function checkRuleSet({ hash, text }: StoredRuleSet): void {
  checkKey(hash, "a rule set's hash");
  checkText(text, "a rule set's text");
}

/** The person as it may be stored: an erased one is empty. */
export function checkPerson(person: Person): Person {
  checkKey(person.id, "a person's id");
  if (person.erased) return emptied(person.id);
  checkText(person.name, "a person's name");
  checkText(person.shortName, "a person's short name");
  checkText(person.notes, "a person's notes");
  return { ...person, consents: [...person.consents] };
}

export function emptied(id: string): Person {
  return { id, name: "", shortName: "", notes: "", consents: [], erased: true };
}

export function personErased(id: string): LedgerFault {
  return new LedgerFault("erased", `The person ${id} was erased; enter them anew under another id.`);
}

export function ruleSetDiffers(hash: string): LedgerFault {
  return new LedgerFault(
    "rule-set-differs",
    `Another rule set is stored under ${hash}; nothing was changed.`,
  );
}

export function ledgerClosed(): LedgerFault {
  return new LedgerFault("closed", "The ledger is closed.");
}

export function checkSeat(seat: StoredSeat): void {
  checkKey(seat.id, "a seat's id");
  checkKey(seat.secretHash, "a seat's secret hash");
  if (seat.ring !== undefined) checkText(seat.ring, "a seat's ring");
  if (seat.person !== undefined) checkText(seat.person, "a seat's person");
  if (seat.judge !== undefined) checkInteger(seat.judge, "a judge's number");
}

function checkKey(value: string, what: string): void {
  if (value === "") refuse(`${what} is empty.`);
  checkText(value, what);
}

function checkInteger(value: number, what: string): void {
  if (!Number.isSafeInteger(value)) refuse(`${what} is ${value}, not a whole number.`);
}

function refuse(sentence: string): never {
  throw new LedgerFault("not-storable", `${sentence} Nothing was written.`);
}
