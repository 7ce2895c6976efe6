/** Every sentence that the writer of a bout sheet can meet, and the collector that places them. */
import type { Fault, Outcome } from "./faults.ts";

export interface Span {
  /** 0-based columns of the line. */
  readonly from: number;
  readonly to: number;
}
export interface Complaint {
  readonly code: string;
  readonly message: string;
  /** What to write instead of the span. */
  readonly cure?: string;
}

/** Nobody reads more than these at once; past them, and past a line that long, reading stops. */
const ENOUGH = 200;
const LONGEST = 8_000;

/** Collects faults, all at once, each with its place. */
export class Faults {
  readonly list: Fault[] = [];
  private readonly file: string;

  constructor(file: string) {
    this.file = file;
  }

  /** `line` is 1-based. */
  at(line: number, source: string, span: Span, { code, message, cure }: Complaint): void {
    this.list.push({
      code,
      severity: "fault",
      file: this.file,
      line,
      column: span.from + 1,
      message,
      source,
      ...(cure === undefined ? {} : { cure: { from: span.from, to: span.to, text: cure } }),
    });
  }

  /** Whether a line is worth reading: short enough, and not the hundredth that is all wrong. */
  takes(line: number, source: string): boolean {
    if (this.list.length >= ENOUGH) return false;
    if (source.length <= LONGEST) return true;
    this.at(line, `${source.slice(0, 80)}...`, { from: 0, to: 1 }, lineTooLong());
    return false;
  }

  outcome<T>(value: T): Outcome<T> {
    return this.list.length === 0 ? { ok: true, value, warnings: [] } : { ok: false, faults: this.list };
  }
}

const lineTooLong = (): Complaint => ({
  code: "line-too-long",
  message: `This line is longer than ${LONGEST} characters. Write a line for each exchange.`,
});
export const unknownWord = (word: string, nearest?: string): Complaint => ({
  code: "unknown-word",
  message:
    `"${word}" is not a word I know here.` + (nearest === undefined ? "" : ` Did you mean "${nearest}"?`),
  ...(nearest === undefined ? {} : { cure: nearest }),
});
export const unknownLine = (word: string): Complaint => ({
  code: "unknown-line",
  message: `"${word}" begins no line that I know. Begin with the exchange's number, or with pick, mark, score, penalty, end, bout, evening or again.`,
});
export const nobodyActs = (word: string): Complaint => ({
  code: "nobody-acts",
  message: `Who acts? Write R, B or RB before "${word}".`,
  cure: `R ${word}`,
});
export const emptyAct = (who: string): Complaint => ({
  code: "empty-act",
  message: `What does ${who} do? Write at least one word after ${who}, or leave ${who} out.`,
});
export const twice = (what: string, first: string, second: string): Complaint => ({
  code: "said-twice",
  message: `"${first}" and "${second}" are two ${what} for one action. Keep one, or put a comma between two actions.`,
});
export const cannotHoldTogether = (first: string, second: string): Complaint => ({
  code: "cannot-hold-together",
  message: `"${first}" and "${second}" cannot both hold for one action. Keep one of them.`,
});
export const twoMeanings = (word: string, first: string, second: string): Complaint => ({
  code: "two-meanings",
  message: `"${word}" has two meanings here: ${first}, or ${second}. Name the weapon in the rule set, or use another word.`,
});
export const notWhat = (word: string): Complaint => ({
  code: "not-what",
  message: `"not" needs a word after it that was seen not to hold; "${word}" is none. Write, for example, "not from out of measure".`,
});
export const afterblowHits = (): Complaint => ({
  code: "afterblow-hits",
  message: 'An afterblow is a hit. If it did not land, write what it was ("B cut arm miss").',
});
export const writeHit = (): Complaint => ({
  code: "write-hit",
  message: 'Write "!" for a hit, and "!?" for one that somebody still has to confirm.',
  cure: "!",
});
export const badSeconds = (): Complaint => ({
  code: "bad-seconds",
  message: 'How long? Write seconds: "for 41 s".',
});
export const badTail = (word: string): Complaint => ({
  code: "bad-tail",
  message: `"${word}" does not fit here. After the actions may stand a full stop, [25 s left], call NAME R, and {pick = value}.`,
});
export const badLeft = (): Complaint => ({
  code: "bad-time-left",
  message: 'Write the clock at the halt in seconds: "[25 s left]".',
});
export const badCall = (): Complaint => ({
  code: "bad-call",
  message: 'Say what is called and for whom: "call NAME R", with a number and a "reason" if they are needed.',
});
export const badButList = (): Complaint => ({
  code: "bad-but",
  message:
    'Say which kinds of action: ". but contact, R parry" where only these may be missing, "but no parry" where these are not.',
});
export const unknownPick = (name: string, known: readonly string[]): Complaint => ({
  code: "unknown-pick",
  message: `"${name}" is no pick of this rule set. ${listOf("Its picks are", known, "It has no picks")}.`,
});
export const unknownValue = (value: string, pick: string, known: readonly string[]): Complaint => ({
  code: "unknown-value",
  message: `"${value}" is not one of the values of "${pick}". ${listOf("They are", known, "It has none")}.`,
});
export const unknownMark = (name: string, known: readonly string[]): Complaint => ({
  code: "unknown-mark",
  message: `"${name}" is no mark of this rule set. ${listOf("Its marks are", known, "It has no marks")}.`,
});
export const badMarkValue = (value: string, mark: string, wanted: string): Complaint => ({
  code: "bad-mark-value",
  message: `"${value}" is not what "${mark}" holds: write ${wanted}.`,
});
export const badAssignment = (what: "pick" | "mark"): Complaint => ({
  code: "bad-assignment",
  message: `Write "${what} R NAME = VALUE" for one fencer, or "${what} NAME = VALUE" for the bout.`,
});
export const badScore = (): Complaint => ({
  code: "bad-score",
  message: "Write Red's points, a hyphen, and Blue's: \"score 2-1\".",
});
export const badPenalty = (): Complaint => ({
  code: "bad-penalty",
  message: 'Write against whom the penalty hit is given: "penalty R".',
});
export const badEnd = (): Complaint => ({
  code: "bad-end",
  message:
    'How did it end? Write "end" (by score), "end R", "end B", "end draw", "end both lose", "end stopped" or "end R forfeits".',
});
export const badBout = (): Complaint => ({
  code: "bad-bout",
  message: 'Write "bout" alone, or with both names: "bout R Ana, B Ben".',
});
export const badNumber = (): Complaint => ({
  code: "bad-number",
  message: 'Which exchange? Write its number: "again 3 R cut head !".',
});
export const numberTaken = (no: number): Complaint => ({
  code: "number-taken",
  message: `Exchange ${no} is written already. To rewrite it, begin the line with "again ${no}".`,
  cure: `again ${no}`,
});
export const numberBack = (no: number, last: number): Complaint => ({
  code: "number-back",
  message: `Exchange ${no} cannot come after exchange ${last}. Number the exchanges in the order in which they were fenced.`,
});
export const nothingToRewrite = (no: number): Complaint => ({
  code: "nothing-to-rewrite",
  message: `There is no exchange ${no} to rewrite yet. Write it without "again".`,
  cure: `${no}`,
});
export const notJson = (): Complaint => ({
  code: "not-json",
  message: "This line is not JSON. Write one object on each line, with nothing after it.",
});
export const badShape = (path: string, wanted: string): Complaint => ({
  code: "bad-shape",
  message: `${path === "" ? "This line" : `"${path}"`} is not as it should be: ${wanted}.`,
});

const listOf = (before: string, known: readonly string[], none: string): string =>
  known.length === 0 ? none : `${before}: ${known.join(", ")}`;
