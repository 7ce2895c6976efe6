/** One action of a bout sheet: words in any order, read into the slots that they belong to. */
import type { Act } from "../record.ts";
import type { End, Side, WordClass } from "../vocabulary.ts";
import type { Word } from "./lexicon.ts";
import * as faults from "./sheet-faults.ts";
import type { Complaint, Span } from "./sheet-faults.ts";
import { isArticle, type Token } from "./sheet-tokens.ts";
import type { Match, SheetWords } from "./sheet-words.ts";

/** Where an action's words go; a word of two classes takes the first that is free. */
const SLOTS = {
  action: "kind",
  blow: "blow",
  form: "form",
  direction: "direction",
  edge: "edge",
  hand: "hand",
  footwork: "footwork",
  target: "target",
  side: "from",
  guard: "from",
  manner: "manners",
} as const satisfies Partial<Record<WordClass, keyof Act>>;
export type ActClass = keyof typeof SLOTS;
export const ACT_CLASSES = Object.keys(SLOTS) as readonly ActClass[];
const slotOf = (word: Word): (typeof SLOTS)[ActClass] => SLOTS[word.class as ActClass];

/** A little word narrows what may follow it. */
const PREPOSITIONS: ReadonlyMap<string, readonly ActClass[]> = new Map([
  ["from", ["side", "guard"]],
  ["to", ["target"]],
  ["with", ["blow", "form", "direction", "edge", "hand", "footwork"]],
]);

const SLOT_NAMES: Readonly<Record<string, string>> = {
  kind: "kinds of action",
  blow: "blows",
  form: "forms",
  direction: "directions",
  edge: "edges",
  hand: "hands",
  footwork: "kinds of footwork",
  target: "targets",
};

const WHO: ReadonlyMap<string, Side | "both"> = new Map([
  ["r", "red"],
  ["red", "red"],
  ["b", "blue"],
  ["blue", "blue"],
  ["rb", "both"],
  ["br", "both"],
  ["both", "both"],
]);
export const whoActs = (text: string): Side | "both" | undefined => WHO.get(text);

/** What an act is while it is read. */
type Draft = { -readonly [K in keyof Act]: Act[K] } & { words: Word[]; denied: Word[] };
type Complain = (complaint: Complaint, span: Span) => void;

export interface ReadAct {
  readonly act: Act;
  /** The first token after it. */
  readonly next: number;
}

/** Reads from the subject on, to a comma, a full stop, a bracket, "call" or the line's end. */
export function readAct(
  tokens: readonly Token[],
  from: number,
  words: SheetWords,
  complain: Complain,
): ReadAct {
  const later = readLater(tokens, from, complain);
  const start = later?.next ?? from;
  const subject = tokens[start] ?? (tokens[from] as Token);
  const by = whoActs(subject.text);
  if (by === undefined) complain(faults.nobodyActs(subject.text), subject);
  const draft: Draft = { by: by ?? "red", words: [], denied: [] };
  if (later?.seconds !== undefined) draft.after = later.seconds;
  let at = by === undefined ? start : start + 1;
  const first = at;
  while (at < tokens.length && !endsAct(tokens, at, words)) at = readWord(draft, tokens, at, words, complain);
  if (at === first && by !== undefined) complain(faults.emptyAct(subject.text.toUpperCase()), subject);
  settle(draft, tokens[at - 1] ?? subject, complain);
  return { act: finished(draft), next: at };
}

const isUnit = (token: Token | undefined): boolean => token?.text === "s" || token?.text === "seconds";
/** Longer than a day is no length of anything in a bout. */
const LONGEST = 86_400;

/** "3 s later" before whoever acts; undefined where an action begins as usual. */
function readLater(
  tokens: readonly Token[],
  at: number,
  complain: Complain,
): { readonly seconds?: number; readonly next: number } | undefined {
  const number = tokens[at] as Token;
  if (number.is !== "number") return undefined;
  const [unit, later] = [tokens[at + 1], tokens[at + 2]];
  const seconds = Number(number.text);
  if (isUnit(unit) && later?.text === "later" && seconds >= 0 && seconds <= LONGEST)
    return { seconds, next: at + 3 };
  complain(faults.badLater(), number);
  const said = later?.text === "later" ? 3 : isUnit(unit) ? 2 : unit?.text === "later" ? 2 : 1;
  return { next: at + said };
}

function endsAct(tokens: readonly Token[], at: number, words: SheetWords): boolean {
  const { is, text } = tokens[at] as Token;
  if (is === "mark") return text !== "!" && text !== "!?" && text !== "+" && text !== "=";
  if (isButNo(tokens, at)) return true;
  return is === "word" && text === "call" && words.match(tokens, at, ACT_CLASSES) === undefined;
}

/** "but no" ends the actions: what follows is what surely did not happen. */
export const isButNo = (tokens: readonly Token[], at: number): boolean =>
  tokens[at]?.text === "but" && tokens[at + 1]?.text === "no";

function readWord(
  draft: Draft,
  tokens: readonly Token[],
  at: number,
  words: SheetWords,
  complain: Complain,
): number {
  const token = tokens[at] as Token;
  const next = tokens[at + 1];
  if (token.text === "!" || token.text === "!?")
    return end(draft, token.text === "!" ? "hit" : "perhaps", token, at + 1, complain);
  if (token.is === "source") {
    if (draft.source !== undefined) complain(faults.twice("sources", draft.source, token.text), token);
    draft.source = token.text;
    return at + 1;
  }
  if (token.text === "not") return readNot(draft, tokens, at, words, complain);
  // Before the words: to fall is an action, to fall short a result.
  if (token.text === "fall" && next?.text === "short")
    return end(draft, "fall short", token, at + 2, complain);
  const match = words.match(tokens, at, ACT_CLASSES);
  if (match) return place(draft, match, tokens, at, complain);
  if (token.text === "miss") return end(draft, "miss", token, at + 1, complain);
  if (token.text === "for") return readSeconds(draft, tokens, at, words, complain);
  const after = PREPOSITIONS.get(token.text);
  const narrowed = after && words.match(tokens, at + 1, after);
  if (narrowed) return place(draft, narrowed, tokens, at + 1, complain);
  if (isArticle(token.text)) return at + 1;
  if (token.text === "hit" || token.text === "hits") complain(faults.writeHit(), token);
  else complain(faults.unknownWord(token.text, words.nearest(token.text, ACT_CLASSES)), token);
  return at + 1;
}

function end(draft: Draft, value: End, token: Token, next: number, complain: Complain): number {
  if (draft.end !== undefined && draft.end !== value)
    complain(faults.cannotHoldTogether(endText(draft.end), endText(value)), token);
  draft.end = value;
  return next;
}
export const endText = (value: End): string =>
  ({ hit: "!", perhaps: "!?", miss: "miss", "fall short": "fall short" })[value];

function readSeconds(
  draft: Draft,
  tokens: readonly Token[],
  at: number,
  words: SheetWords,
  complain: Complain,
): number {
  const number = tokens[at + 1];
  const unit = tokens[at + 2];
  if (number?.is !== "number" || !isUnit(unit) || Number(number.text) < 0) {
    complain(faults.badSeconds(), tokens[at] as Token);
    const isLength =
      number?.is === "number" || (number?.is === "word" && !words.match(tokens, at + 1, ACT_CLASSES));
    return isLength ? at + (isUnit(unit) ? 3 : 2) : at + 1;
  }
  if (draft.for !== undefined)
    complain(faults.twice("lengths", `${draft.for} s`, `${number.text} s`), number);
  draft.for = Number(number.text);
  return at + 3;
}

function readNot(
  draft: Draft,
  tokens: readonly Token[],
  at: number,
  words: SheetWords,
  complain: Complain,
): number {
  const classes = PREPOSITIONS.get(tokens[at + 1]?.text ?? "");
  const direct = words.match(tokens, at + 1, ACT_CLASSES);
  const match = direct ?? (classes && words.match(tokens, at + 2, classes));
  if (!match) {
    const token = tokens[at + 1] ?? (tokens[at] as Token);
    const near = token.is === "word" ? words.nearest(token.text, ACT_CLASSES) : undefined;
    complain(near === undefined ? faults.notWhat(token.text) : faults.unknownWord(token.text, near), token);
    return at + (tokens[at + 1]?.is === "word" ? 2 : 1);
  }
  const word = match.words[0] as Word;
  if (!draft.denied.some((one) => one.name === word.name)) draft.denied.push(word);
  return at + (direct ? 1 : 2) + match.length;
}

/** Puts a word into its slot; of several readings the first whose slot is free. */
function place(draft: Draft, match: Match, tokens: readonly Token[], at: number, complain: Complain): number {
  const next = at + match.length;
  const span = { from: (tokens[at] as Token).from, to: (tokens[next - 1] as Token).to };
  const free = match.words.filter((word) => isFree(draft, word));
  const word = free[0] ?? (match.words[0] as Word);
  const rival = free.find((one) => one !== word && one.class === word.class);
  if (rival)
    complain(faults.twoMeanings(word.name, word.gloss ?? word.name, rival.gloss ?? rival.name), span);
  put(draft, word, (complaint) => complain(complaint, span));
  return next;
}

function isFree(draft: Draft, word: Word): boolean {
  const slot = slotOf(word);
  return slot === "from" || slot === "manners" || draft[slot] === undefined;
}

function put(draft: Draft, word: Word, complain: (complaint: Complaint) => void): void {
  const slot = slotOf(word);
  if (slot === "from" || slot === "manners") {
    if (draft[slot]?.includes(word.name)) return;
    draft[slot] = [...(draft[slot] ?? []), word.name];
  } else {
    const before = draft[slot];
    if (before === word.name) return;
    if (before !== undefined) return complain(faults.twice(SLOT_NAMES[slot] ?? slot, before, word.name));
    draft[slot] = word.name;
  }
  const clash = draft.words.find((one) => excludes(one, word) || excludes(word, one) || refutes(one, word));
  if (clash) complain(faults.cannotHoldTogether(clash.name, word.name));
  draft.words.push(word);
}

const excludes = (one: Word, two: Word): boolean => one.excludes?.includes(two.name) === true;

/** A blow's geometry against a direction, an edge or a form written beside it. */
function refutes(one: Word, two: Word): boolean {
  const [blow, plain] = one.class === "blow" ? [one, two] : [two, one];
  if (blow.class !== "blow") return false;
  const key =
    plain.class === "direction" || plain.class === "edge" || plain.class === "form" ? plain.class : undefined;
  const meant = key && blow.means?.[key];
  return meant !== undefined && !meant.includes(plain.name);
}

/** Checks what only the whole action shows. */
function settle(draft: Draft, last: Token, complain: Complain): void {
  const both = draft.denied.find((word) => draft.words.some((one) => one.name === word.name));
  if (both) complain(faults.cannotHoldTogether(both.name, `not ${both.name}`), last);
  if (draft.kind !== "afterblow") return;
  if (draft.end === "miss" || draft.end === "fall short") complain(faults.afterblowHits(), last);
  draft.end ??= "hit";
}

/** Manners, places and denials are sets: sorted, so that one action has one form. */
function finished({ words: _words, denied, ...act }: Draft): Act {
  return {
    ...act,
    ...(act.from ? { from: [...act.from].sort() } : {}),
    ...(act.manners ? { manners: [...act.manners].sort() } : {}),
    ...(denied.length > 0 ? { not: denied.map((word) => word.name).sort() } : {}),
  };
}
