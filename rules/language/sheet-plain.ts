/** The lines of a bout sheet that are no exchange: pick, mark, score, left-handed, penalty, end, evening ... */
import type { SheetLine } from "../record.ts";
import type { Ending, Side } from "../vocabulary.ts";
import { whoActs } from "./sheet-act.ts";
import { readBout, readGranted, readHad, readHall } from "./sheet-brought.ts";
import * as faults from "./sheet-faults.ts";
import type { Complaint, Span } from "./sheet-faults.ts";
import { keyOf, type Token } from "./sheet-tokens.ts";
import { nearest } from "./sheet-words.ts";
import type { Mark, Pick, RuleSet } from "./tree.ts";

type Complain = (complaint: Complaint, span: Span) => void;
interface Context {
  readonly ruleSet: RuleSet;
  readonly complain: Complain;
}
interface Line extends Context {
  readonly source: string;
  readonly tokens: readonly Token[];
}

const spanOf = (tokens: readonly Token[], otherwise: Span): Span =>
  tokens.length === 0 ? otherwise : { from: tokens[0]?.from ?? 0, to: tokens.at(-1)?.to ?? 0 };
const textOf = (tokens: readonly Token[]): string => tokens.map((token) => token.text).join(" ");

export const PLAIN_LINES = [
  "pick",
  "mark",
  "score",
  "left-handed",
  "weaker",
  "warning",
  "penalty",
  "end",
  "bout",
  "hall",
  "had",
  "granted",
  "evening",
] as const;
export type PlainLine = (typeof PLAIN_LINES)[number];
export const isPlainLine = (text: string): text is PlainLine =>
  (PLAIN_LINES as readonly string[]).includes(text);

/** Undefined where the line is at fault and nothing of it can be kept. */
export function readPlain(kind: PlainLine, line: Line): SheetLine | undefined {
  if (kind === "pick") return readPick(line);
  if (kind === "mark") return readMark(line);
  if (kind === "score") return readScore(line);
  if (kind === "left-handed") return readLeftHanded(line);
  if (kind === "weaker") return readWeaker(line);
  if (kind === "warning") return readWarning(line);
  if (kind === "penalty") return readPenalty(line);
  if (kind === "end") return readEnd(line);
  if (kind === "bout") return readBout(line);
  if (kind === "hall") return readHall(line);
  if (kind === "had") return readHad(line);
  if (kind === "granted") return readGranted(line);
  if (line.tokens.length > 1)
    line.complain(faults.badTail(line.tokens[1]?.text ?? ""), line.tokens[1] ?? { from: 0, to: 0 });
  return { type: "evening" };
}

/** `R NAME = VALUE`: the side is taken only where a name follows it. */
function sideOf(tokens: readonly Token[]): Side | undefined {
  const side = whoActs(tokens[1]?.text ?? "");
  return side === undefined || side === "both" || tokens[2]?.text === "=" ? undefined : side;
}

function readPick({ tokens, ruleSet, complain }: Line): SheetLine | undefined {
  const side = sideOf(tokens);
  const pair = readPickPair(tokens.slice(side === undefined ? 1 : 2), tokens[0] as Token, {
    ruleSet,
    complain,
  });
  return pair && { type: "pick", ...(side === undefined ? {} : { side }), ...pair };
}

/** `NAME = VALUE`, with both words as the rule set writes them. */
export function readPickPair(
  tokens: readonly Token[],
  at: Span,
  { ruleSet, complain }: Context,
): { pick: string; value: string; or?: readonly string[] } | undefined {
  const equals = tokens.findIndex((token) => token.is === "mark" && token.text === "=");
  if (equals < 1 || equals === tokens.length - 1) {
    complain(faults.badAssignment("pick"), at);
    return undefined;
  }
  const name = tokens.slice(0, equals);
  const value = tokens.slice(equals + 1);
  const pick = knownPick(textOf(name), spanOf(name, at), { ruleSet, complain });
  if (!pick) return undefined;
  const found = oneOfValues(textOf(value), (text) => knownValue(pick, text));
  if (found !== undefined) return { pick: pick.name, ...found };
  const values = pick.from.map((one) => one.text);
  complain(faults.unknownValue(textOf(value), pick.name, values), spanOf(value, at));
  return undefined;
}

/** "4", or "4 or 5" where it is not known which. */
function oneOfValues<T>(
  text: string,
  valueOf: (text: string) => T | undefined,
): { value: T; or?: readonly T[] } | undefined {
  const whole = valueOf(text);
  if (whole !== undefined && !OR.test(text)) return { value: whole };
  const values = text.split(OR).map(valueOf);
  const [value, ...or] = values.filter((one) => one !== undefined);
  if (value === undefined || values.includes(undefined))
    return whole === undefined ? undefined : { value: whole };
  return or.length === 0 ? { value } : { value, or };
}
const OR = /\s+or\s+/u;

export function knownPick(name: string, span: Span, { ruleSet, complain }: Context): Pick | undefined {
  const pick = ruleSet.picks.find((one) => keyOf(one.name) === keyOf(name));
  if (!pick)
    complain(withCure(faults.unknownPick(name, namesOf(ruleSet.picks)), name, namesOf(ruleSet.picks)), span);
  return pick;
}

export const knownValue = (pick: Pick, value: string): string | undefined =>
  pick.from.find((one) => keyOf(one.text) === keyOf(value))?.text;

const namesOf = (named: readonly { readonly name: string }[]): readonly string[] =>
  named.map(({ name }) => name);

function withCure(complaint: Complaint, name: string, known: readonly string[]): Complaint {
  const cure = nearest(name, known);
  return cure === undefined ? complaint : { ...complaint, cure };
}

function readMark({ tokens, source, ruleSet, complain }: Line): SheetLine | undefined {
  const side = sideOf(tokens);
  const equals = tokens.findIndex((token) => token.is === "mark" && token.text === "=");
  const name = tokens.slice(side === undefined ? 1 : 2, Math.max(equals, 0));
  const first = tokens[0] as Token;
  if (equals < 0 || name.length === 0 || equals === tokens.length - 1) {
    complain(faults.badAssignment("mark"), first);
    return undefined;
  }
  const mark = knownMark(textOf(name), spanOf(name, first), { ruleSet, complain });
  if (!mark) return undefined;
  const raw = source.slice((tokens[equals] as Token).to, (tokens.at(-1) as Token).to).trim();
  const found = oneOfValues(raw, (text) => markValue(mark, text));
  if (found === undefined) {
    complain(
      faults.badMarkValue(raw, mark.name, MARK_VALUES[mark.is]),
      spanOf(tokens.slice(equals + 1), first),
    );
    return undefined;
  }
  return { type: "mark", ...(side === undefined ? {} : { side }), mark: mark.name, ...found };
}

export function knownMark(name: string, span: Span, { ruleSet, complain }: Context): Mark | undefined {
  const mark = ruleSet.marks.find((one) => keyOf(one.name) === keyOf(name));
  if (!mark)
    complain(withCure(faults.unknownMark(name, namesOf(ruleSet.marks)), name, namesOf(ruleSet.marks)), span);
  return mark;
}

export const MARK_VALUES: Readonly<Record<Mark["is"], string>> = {
  count: "a number",
  flag: "on or off",
  set: "words with commas between them",
  note: "a word",
  token: "R, B or nobody",
  roles: "R, B or nobody",
};

/** What a mark of that kind can hold, or undefined. */
export function markValue(mark: Mark, raw: string): number | string | boolean | undefined {
  if (mark.is === "count") return /^-?\d{1,6}(\.\d{1,3})?$/.test(raw) ? Number(raw) : undefined;
  if (mark.is === "flag") return raw === "on" ? true : raw === "off" ? false : undefined;
  if (mark.is === "set" || mark.is === "note") return /^[^#"]+$/u.test(raw) ? raw : undefined;
  const side = whoActs(raw.toLowerCase());
  if (raw.toLowerCase() === "nobody") return "nobody";
  if (side !== undefined) return side === "both" ? undefined : side;
  // Whoever has it may not fence in this bout.
  const lasts = mark.for === "the hall" || mark.for.endsWith("tonight");
  return lasts && /^[^#"]+$/u.test(raw) ? raw : undefined;
}

function readScore({ tokens, source, complain }: Line): SheetLine | undefined {
  const match = /^\s*score\s+(-?\d+(?:\.\d+)?)\s*-\s*(-?\d+(?:\.\d+)?)\s*(?:#.*)?$/iu.exec(source);
  if (match) return { type: "score", red: Number(match[1]), blue: Number(match[2]) };
  complain(faults.badScore(), tokens[1] ?? (tokens[0] as Token));
  return undefined;
}

/** Two tokens: a hyphen parts words. */
export const beginsLeftHanded = (tokens: readonly Token[]): boolean =>
  tokens[0]?.text === "left" && tokens[1]?.text === "handed";

function readLeftHanded({ tokens, complain }: Line): SheetLine | undefined {
  const side = whoActs(tokens[2]?.text ?? "");
  if (side !== undefined && side !== "both" && tokens.length === 3) return { type: "left-handed", side };
  complain(faults.badLeftHanded(), tokens[2] ?? (tokens[0] as Token));
  return undefined;
}

function readPenalty({ tokens, complain }: Line): SheetLine | undefined {
  const side = whoActs(tokens[1]?.text ?? "");
  if (side !== undefined && side !== "both" && tokens.length === 2) return { type: "penalty", side };
  complain(faults.badPenalty(), tokens[1] ?? (tokens[0] as Token));
  return undefined;
}

function readWarning({ tokens, complain }: Line): SheetLine | undefined {
  const side = whoActs(tokens[1]?.text ?? "");
  if (side !== undefined && side !== "both" && tokens.length === 2) return { type: "warning", side };
  complain(faults.badWarning(), tokens[1] ?? (tokens[0] as Token));
  return undefined;
}

function readWeaker({ tokens, complain }: Line): SheetLine | undefined {
  const text = tokens[1]?.text ?? "";
  const side = text === "nobody" ? text : whoActs(text);
  if (side !== undefined && side !== "both" && tokens.length === 2) return { type: "weaker", side };
  complain(faults.badWeaker(), tokens[1] ?? (tokens[0] as Token));
  return undefined;
}

const ENDING_WORDS: Readonly<Record<string, Ending>> = {
  r: "red wins",
  "red wins": "red wins",
  b: "blue wins",
  "blue wins": "blue wins",
  draw: "draw",
  "both lose": "both lose",
  "no winner": "no winner",
  stopped: "stopped",
  "r forfeits": "red forfeits",
  "red forfeits": "red forfeits",
  "b forfeits": "blue forfeits",
  "blue forfeits": "blue forfeits",
};

function readEnd({ tokens, complain }: Line): SheetLine | undefined {
  if (tokens.length === 1) return { type: "end" };
  const said = textOf(tokens.slice(1));
  const ending = Object.hasOwn(ENDING_WORDS, said) ? ENDING_WORDS[said] : undefined;
  if (ending !== undefined) return { type: "end", ending };
  complain(faults.badEnd(), spanOf(tokens.slice(1), { from: 0, to: 0 }));
  return undefined;
}
