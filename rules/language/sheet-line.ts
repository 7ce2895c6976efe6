/** The line of one exchange: `2 B cut head, R parry, R riposte torso ! . [25 s left]`. */
import type { Act, Call, ExchangeLine } from "../record.ts";
import type { MannerOfExchange } from "../vocabulary.ts";
import { ACT_CLASSES, isButNo, readAct, whoActs } from "./sheet-act.ts";
import * as faults from "./sheet-faults.ts";
import type { Complaint, Span } from "./sheet-faults.ts";
import { type Kinds, readKinds } from "./sheet-kinds.ts";
import { readPickPair } from "./sheet-plain.ts";
import type { Token } from "./sheet-tokens.ts";
import type { SheetWords } from "./sheet-words.ts";
import type { RuleSet } from "./tree.ts";

export interface Place {
  readonly words: SheetWords;
  readonly ruleSet: RuleSet;
  readonly complain: (complaint: Complaint, span: Span) => void;
}

/** What a line is while it is read. */
type Draft = { -readonly [K in keyof ExchangeLine]: ExchangeLine[K] };
interface Reading {
  readonly tokens: readonly Token[];
  readonly draft: Draft;
  readonly place: Place;
}

/** `from` is the token after the number. The ids of the acts follow from the number: "2a", "2b" ... */
export function readExchange(
  tokens: readonly Token[],
  from: number,
  no: number,
  again: boolean,
  place: Place,
): ExchangeLine {
  const draft: Draft = { type: "exchange", no, acts: [], open: true, ...(again ? { again } : {}) };
  const reading = { tokens, draft, place };
  let at = readHow(reading, from);
  at = readActs(reading, at);
  while (at < tokens.length) at = readTail(reading, at);
  // S8: a "no exchange" line is always closed.
  if (draft.how === "no exchange") draft.open = false;
  if (draft.open !== true) delete draft.closed;
  return withIds(draft);
}

function readHow({ tokens, draft }: Reading, at: number): number {
  const first = tokens[at]?.text;
  const two = `${first ?? ""} ${tokens[at + 1]?.text ?? ""}`;
  const how: MannerOfExchange | undefined =
    first === "double" || first === "simultaneous" ? first : two === "no exchange" ? two : undefined;
  if (how === undefined) return at;
  draft.how = how;
  return at + (how === "no exchange" ? 2 : 1);
}

/** Everything up to the full stop or the first bracket. */
function readActs({ tokens, draft, place }: Reading, from: number): number {
  const acts: Act[] = [];
  let at = from;
  while (at < tokens.length) {
    const token = tokens[at] as Token;
    if (token.is === "mark" && token.text === ",") at++;
    else if (isTail(tokens, at, place.words)) break;
    else {
      const read = readAct(tokens, at, place.words, place.complain);
      if (acts.length === 0 && read.act.after !== undefined) place.complain(faults.laterThanNothing(), token);
      acts.push(read.act);
      at = Math.max(read.next, at + 1);
    }
  }
  draft.acts = acts;
  return at;
}

function isTail(tokens: readonly Token[], at: number, words: SheetWords): boolean {
  const { is, text } = tokens[at] as Token;
  if (is === "mark") return text === "." || text === "[" || text === "{";
  if (isButNo(tokens, at)) return true;
  return is === "word" && text === "call" && words.match(tokens, at, ACT_CLASSES) === undefined;
}

function readTail(reading: Reading, at: number): number {
  const { tokens, draft, place } = reading;
  const token = tokens[at] as Token;
  if (token.text === "." && draft.open === true) return readStop(reading, at + 1);
  if (isButNo(tokens, at) && draft.open === true && draft.closed === undefined)
    return readClosed(reading, at);
  if (token.text === "[") return readLeft(reading, at);
  if (token.text === "{") return readPicks(reading, at);
  if (token.text === "call") return readCall(reading, at);
  place.complain(faults.badTail(token.text), token);
  let next = at + 1;
  while (next < tokens.length && !isTail(tokens, next, place.words)) next++;
  return next;
}

/** A full stop closes the line: `. but R parry, tempo` all but for these kinds. */
function readStop(reading: Reading, at: number): number {
  const { tokens, draft } = reading;
  if (tokens[at]?.text !== "but") {
    draft.open = false;
    return at;
  }
  const { kinds, next } = kindsFrom(reading, at + 1);
  draft.open = kinds;
  return next;
}

/** `but no parry, B feint`: in a line that is open, surely none of these is missing. */
function readClosed(reading: Reading, at: number): number {
  const { kinds, next } = kindsFrom(reading, at + 2);
  reading.draft.closed = kinds;
  return next;
}

function kindsFrom({ tokens, place }: Reading, from: number): Kinds {
  const found = readKinds(tokens, from, place.words);
  for (const wrong of found.wrong) place.complain(faults.badButList(), wrong ?? (tokens[from - 1] as Token));
  return found;
}

function readLeft({ tokens, draft, place }: Reading, at: number): number {
  const close = tokens.findIndex((token, i) => i > at && token.text === "]");
  const inside = tokens.slice(at + 1, close < 0 ? undefined : close);
  const [number, unit, left] = inside;
  const fine =
    close > 0 &&
    number?.is === "number" &&
    (unit?.text === "s" || unit?.text === "seconds") &&
    (left === undefined || left.text === "left") &&
    Number(number.text) >= 0 &&
    inside.length <= 3;
  if (fine && draft.left === undefined) draft.left = Number(number.text);
  else place.complain(faults.badLeft(), tokens[at] as Token);
  return close < 0 ? tokens.length : close + 1;
}

function readPicks({ tokens, draft, place }: Reading, at: number): number {
  const close = tokens.findIndex((token, i) => i > at && token.text === "}");
  const inside = tokens.slice(at + 1, close < 0 ? undefined : close);
  const picks: Record<string, string> = { ...draft.picks };
  for (const part of partsOf(inside)) {
    const pair = readPickPair(part, tokens[at] as Token, place);
    if (pair) picks[pair.pick] = pair.value;
  }
  if (close < 0 || inside.length === 0) place.complain(faults.badAssignment("pick"), tokens[at] as Token);
  draft.picks = picks;
  return close < 0 ? tokens.length : close + 1;
}

function partsOf(tokens: readonly Token[]): readonly (readonly Token[])[] {
  const parts: Token[][] = [[]];
  for (const token of tokens)
    if (token.is === "mark" && token.text === ",") parts.push([]);
    else parts.at(-1)?.push(token);
  return parts.filter((part) => part.length > 0);
}

function readCall({ tokens, draft, place }: Reading, from: number): number {
  const match = place.words.match(tokens, from + 1, ["call"]);
  let at = from + 1 + (match?.length ?? 0);
  if (tokens[at]?.text === "for") at++;
  const side = whoActs(tokens[at]?.text ?? "");
  if (!match || side === undefined || side === "both") {
    const near = tokens[from + 1];
    const cure = near?.is === "word" && !match ? place.words.nearest(near.text, ["call"]) : undefined;
    place.complain(
      cure === undefined ? faults.badCall() : faults.unknownWord(near?.text ?? "", cure),
      near ?? (tokens[from] as Token),
    );
    while (at < tokens.length && (at === from || !isTail(tokens, at, place.words))) at++;
    return at;
  }
  const call: { -readonly [K in keyof Call]: Call[K] } = { call: match.words[0]?.name ?? "", for: side };
  at++;
  if (tokens[at]?.is === "number") call.value = Number(tokens[at++]?.text);
  if (tokens[at]?.is === "text") call.reason = tokens[at++]?.text ?? "";
  if (tokens[at]?.is === "source") call.source = tokens[at++]?.text ?? "";
  if (tokens[at]?.text === "assent" && tokens[at + 1]?.is === "source") {
    call.assent = tokens[at + 1]?.text ?? "";
    at += 2;
  }
  draft.calls = [...(draft.calls ?? []), call];
  return at;
}

/** "2a", "2b" ... "2z", "2aa": stable while the line stands, and what facts are hung on. */
export const actId = (no: number, index: number): string => `${no}${letters(index)}`;
const letters = (index: number): string =>
  (index >= 26 ? letters(Math.floor(index / 26) - 1) : "") + String.fromCharCode(97 + (index % 26));

export const withIds = (line: ExchangeLine): ExchangeLine => ({
  ...line,
  acts: line.acts.map((act, index) => ({ id: actId(line.no, index), ...act })),
});
