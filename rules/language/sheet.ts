/**
 * The bout sheet: a bout written down, a line an exchange, in the rule set's own words (LANGUAGE.md, S1-S17).
 *
 *   2 B cut head, R parry, R riposte torso ! .
 */
import type { BoutSheet, SheetLine } from "../record.ts";
import type { Outcome } from "./faults.ts";
import * as faults from "./sheet-faults.ts";
import { type Complaint, Faults, type Span } from "./sheet-faults.ts";
import { mendedLine } from "./mend-line.ts";
import { readExchange } from "./sheet-line.ts";
import { Numbers } from "./sheet-numbers.ts";
import { beginsLeftHanded, isPlainLine, PLAIN_LINES, readPlain } from "./sheet-plain.ts";
import { type Token, tokensOf } from "./sheet-tokens.ts";
import { nearest, sheetWords, type SheetWords } from "./sheet-words.ts";
import type { RuleSet } from "./tree.ts";

interface Line {
  readonly source: string;
  readonly tokens: readonly Token[];
  readonly words: SheetWords;
  readonly ruleSet: RuleSet;
  readonly complain: (complaint: Complaint, span: Span) => void;
}

/**
 * Reads a bout sheet with the words of its rule set. Comments (#) and blank lines are dropped; words come in any order
 * within an action and leave as their canonical names. Acts get ids from the number and their place ("2a", "2b").
 * Refuses with every fault at once, each with its line, column and cure.
 */
export function readSheet(text: string, ruleSet: RuleSet, file = "bout.sheet"): Outcome<BoutSheet> {
  const found = new Faults(file);
  const numbers = new Numbers();
  const sheet: SheetLine[] = [];
  if (!found.takesAll(text)) return found.outcome<BoutSheet>(sheet);
  const words = sheetWords(ruleSet);
  /** Lines so far whose number was forgotten. */
  let unnumbered = 0;
  text.split(/\r\n?|\n/u).forEach((source, index) => {
    if (!found.takes(index + 1, source)) return;
    const tokens = tokensOf(source);
    const [first] = tokens;
    if (!first) return;
    const complaints: [Complaint, Span][] = [];
    const complain = (complaint: Complaint, span: Span): void => void complaints.push([complaint, span]);
    const line = readLine({ source, tokens, words, ruleSet, complain });
    const about = { words, ruleSet, next: numbers.following() + unnumbered };
    if (complaints.length > 0 && /^\s*(?:RB|R|B|Red|Blue)\b/iu.test(source)) unnumbered++;
    for (const [complaint, span] of withMend(source, complaints, about))
      found.at(index + 1, source, span, complaint);
    if (!line) return;
    const refusal = numbers.next(line);
    const last = first.text === "again" ? (tokens[1] ?? first) : first;
    if (refusal) found.at(index + 1, source, { from: first.from, to: last.to }, refusal);
    sheet.push(line);
  });
  return found.outcome<BoutSheet>(sheet);
}

/** "1 R +2", "3 B 2 points". */
const WORTH = /^\s*\d+\s+(?:R|B|Red|Blue)\s*:?\s*\+?\d+(?:\s*(?:points?|pts?|bonus))?\s*\.?\s*$/iu;
/** Longer lines are told word by word. */
const LONGEST_MEND = 300;

/** One complaint with the whole line as it can be read, where a usual slip explains all of them. */
function withMend(
  source: string,
  complaints: readonly [Complaint, Span][],
  about: Pick<Line, "words" | "ruleSet"> & { readonly next: number },
): readonly [Complaint, Span][] {
  const [first] = complaints;
  if (first === undefined || source.length > LONGEST_MEND) return complaints;
  const reads = (text: string): boolean => {
    let fine = true;
    const tokens = tokensOf(text);
    const complain = (): void => void (fine = false);
    if (tokens.length > 0) readLine({ ...about, source: text, tokens, complain });
    return fine;
  };
  const [complaint, span] = first;
  if (WORTH.test(source)) return [[faults.noWorth(), span]];
  const { cure } = complaint;
  if (cure !== undefined && reads(source.slice(0, span.from) + cure + source.slice(span.to)))
    return complaints;
  const whole = mendedLine(source, reads, about);
  if (whole !== undefined) return [[faults.writeLine(complaint, whole), span]];
  const isName = complaint.code === "nobody-acts" && complaints[1]?.[0].code === "unknown-word";
  return isName
    ? [[faults.whoIs(source.slice(span.from, span.to)), span], ...complaints.slice(2)]
    : complaints;
}

/** As numbers are written and read again without loss. */
const NUMBER = /^-?\d{1,6}(?:\.\d{1,3})?$/;

function readLine(line: Line): SheetLine | undefined {
  const { tokens, complain } = line;
  const first = tokens[0] as Token;
  const large = tokens.find(({ is, text }) => is === "number" && !NUMBER.test(text));
  if (large && first.text !== "bout") {
    complain(faults.badSize(), large);
    return undefined;
  }
  if (beginsLeftHanded(tokens)) return readPlain("left-handed", line);
  if (first.is === "word" && isPlainLine(first.text)) return readPlain(first.text, line);
  const again = first.text === "again";
  const number = again ? tokens[1] : first;
  if (number?.is === "number" && /^[1-9]\d*$/u.test(number.text))
    return readExchange(tokens, again ? 2 : 1, Number(number.text), again, line);
  if (again || number?.is === "number") complain(faults.badNumber(), number ?? first);
  else complain(withCure(first.text), first);
  return undefined;
}

function withCure(text: string): Complaint {
  const cure = nearest(text, [...PLAIN_LINES, "again"]);
  return faults.unknownLine(text, cure);
}

export { printSheet } from "./sheet-print.ts";
export { printJsonLines, readJsonLines } from "./sheet-json.ts";
