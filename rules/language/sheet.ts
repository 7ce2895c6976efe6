/**
 * The bout sheet: a bout written down, a line an exchange, in the rule set's own words (LANGUAGE.md, S1-S17).
 *
 *   2 B cut head, R parry, R riposte torso ! .
 */
import type { BoutSheet, SheetLine } from "../record.ts";
import type { Outcome } from "./faults.ts";
import * as faults from "./sheet-faults.ts";
import { type Complaint, Faults, type Span } from "./sheet-faults.ts";
import { readExchange } from "./sheet-line.ts";
import { Numbers } from "./sheet-numbers.ts";
import { isPlainLine, PLAIN_LINES, readPlain } from "./sheet-plain.ts";
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
  const words = sheetWords(ruleSet);
  text.split(/\r?\n/u).forEach((source, index) => {
    if (!found.takes(index + 1, source)) return;
    const tokens = tokensOf(source);
    const [first] = tokens;
    if (!first) return;
    const complain = (complaint: Complaint, span: Span): void => found.at(index + 1, source, span, complaint);
    const line = readLine({ source, tokens, words, ruleSet, complain });
    if (!line) return;
    const refusal = numbers.next(line);
    if (refusal) complain(refusal, first);
    sheet.push(line);
  });
  return found.outcome<BoutSheet>(sheet);
}

function readLine(line: Line): SheetLine | undefined {
  const { tokens, complain } = line;
  const first = tokens[0] as Token;
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
  return { ...faults.unknownLine(text), ...(cure === undefined ? {} : { cure }) };
}

export { printSheet } from "./sheet-print.ts";
export { printJsonLines, readJsonLines } from "./sheet-json.ts";
