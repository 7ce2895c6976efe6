/** Every sentence that the writer of a bout sheet can meet, and the collector that places them. */
import type { Fault, Outcome } from "./faults.ts";
import { MOST_SHEET_KILOBYTES } from "./limits.ts";
import { nearest } from "./spelling.ts";

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

  /** Whether the whole is small enough to be somebody's bouts. */
  takesAll(text: string): boolean {
    if (text.length <= MOST_SHEET_KILOBYTES * 1024) return true;
    this.at(1, text.slice(0, 80).split(/[\r\n]/u)[0] ?? "", { from: 0, to: 0 }, tooBig());
    return false;
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

const tooBig = (): Complaint => ({
  code: "too-big",
  message: `A bout sheet may have ${String(MOST_SHEET_KILOBYTES)} kB. This file is larger: write a file for each bout.`,
});
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
/** Complaints that only say what does not fit at one place: the whole line says it better. */
export function writeLine(complaint: Complaint, whole: string): Complaint {
  const place =
    complaint.message.split(/ (?:After the actions may|Begin with|Did you mean|Keep one)/u)[0] ?? "";
  return { code: complaint.code, message: `${place} Write the line so: ${whole}` };
}
export const unknownLine = (word: string, near?: string): Complaint => ({
  code: "unknown-line",
  message:
    near !== undefined
      ? `"${word}" begins no line that I know. Did you mean "${near}"?`
      : `"${word}" begins no line that I know. Begin with the exchange's number, or with pick, mark, score, left-handed, weaker, warning, penalty, end, bout, hall, had, granted, evening or again.`,
  ...(near === undefined ? {} : { cure: near }),
});
export const nobodyActs = (word: string): Complaint => ({
  code: "nobody-acts",
  message: `Who acts? Write R, B or RB before "${word}".`,
  cure: `R ${word}`,
});
export const whoIs = (word: string): Complaint => ({
  code: "nobody-acts",
  message: `Who acts? Write R, B or RB for "${word}". Names stand only in a line of their own: bout R Ana, B Ben`,
});
export const noWorth = (): Complaint => ({
  code: "no-worth",
  message:
    'A sheet says what was done, and the rules what it is worth. Write the action, as in "R cut head !".',
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
export const badLater = (): Complaint => ({
  code: "bad-later",
  message: 'How long after the action before? Write seconds, 0 or more: "0.8 s later R parry".',
});
export const laterThanNothing = (): Complaint => ({
  code: "later-than-nothing",
  message: "This is the first action of its exchange: there is none before it that it could be later than.",
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
  message: `"${name}" is no pick of this rule set. ${didYouMean(name, known) ?? `${listOf("Its picks are", known, "It has no picks")}.`}`,
});
export const unknownValue = (value: string, pick: string, known: readonly string[]): Complaint => ({
  code: "unknown-value",
  message: `"${value}" is not one of the values of "${pick}". ${didYouMean(value, known) ?? `${listOf("They are", known, "It has none")}.`}`,
});
export const unknownMark = (name: string, known: readonly string[]): Complaint => ({
  code: "unknown-mark",
  message: `"${name}" is no mark of this rule set. ${didYouMean(name, known) ?? `${listOf("Its marks are", known, "It has no marks")}.`}`,
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
export const badLeftHanded = (): Complaint => ({
  code: "bad-left-handed",
  message: 'Write who strikes with the left: "left-handed R".',
});
export const badPenalty = (): Complaint => ({
  code: "bad-penalty",
  message: 'Write against whom the penalty hit is given: "penalty R".',
});
export const badWarning = (): Complaint => ({
  code: "bad-warning",
  message: 'Write who is warned: "warning R".',
});
export const badWeaker = (): Complaint => ({
  code: "bad-weaker",
  message: 'Write who the weaker is: "weaker R", or "weaker nobody" where the two are equal.',
});
export const badEnd = (): Complaint => ({
  code: "bad-end",
  message:
    'How did it end? Write "end" (by score), "end R", "end B", "end draw", "end both lose", "end no winner", "end stopped" or "end R forfeits".',
});
export const badBout = (): Complaint => ({
  code: "bad-bout",
  message:
    'Write "bout" alone, or with both names: "bout R Ana, B Ben", and their teams: "bout R Ana of Larks, B Ben of Crows".',
});
export const oneFencerTwice = (name: string): Complaint => ({
  code: "one-fencer-twice",
  message: `"${name}" cannot fence against himself. Write two names, with what tells them apart.`,
});
export const badHad = (): Complaint => ({
  code: "bad-had",
  message:
    'Write who had what, and where: \'had R "RULE" 2 bonus tonight\', "had R 2 to 3 wins tonight", \'had "RULE" 1 time in the hall\'. It was tonight, against this partner, by the team, in the hall, in this bout, in the match, or by the team in the match.',
});
export const hadByWhom = (): Complaint => ({
  code: "had-by-whom",
  message: 'Who had it? Write R or B after "had".',
});
export const hadOfNobody = (): Complaint => ({
  code: "had-of-nobody",
  message: "That belongs to no fencer. Leave R or B out.",
});
export const hadOfBout = (): Complaint => ({
  code: "had-of-bout",
  message: 'Exchanges and doubles are counted in a bout: "had 3 exchanges in this bout".',
});
export const hadOfRule = (): Complaint => ({
  code: "had-of-rule",
  message:
    "Of a rule a fencer had points, bonus or times. Leave the rule out for anything else, and for a match.",
});
export const hadTimes = (): Complaint => ({
  code: "had-times",
  message: "Times of what? Write the rule: 'had R \"RULE\" 2 times tonight'.",
});
export const badGranted = (): Complaint => ({
  code: "bad-granted",
  message: "Write the exchange, the fencer, the rule, and what the hall grants: 'granted 3 R \"RULE\" = 1'.",
});
export const unknownRule = (name: string, known: readonly string[]): Complaint => ({
  code: "unknown-rule",
  message: `"${name}" is no rule of this rule set. ${listOf("Its rules are", known, "It has none")}.`,
});
export const badSize = (): Complaint => ({
  code: "bad-size",
  message: "Nobody counts so far: write a number of six digits at most, and three behind the point.",
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
  message:
    'This line is not JSON. Write one whole object on each line, with double quotes and nothing after it: {"type":"end"}',
});
export const otherKey = (word: string, key: string): Complaint => ({
  code: "unknown-word",
  message: `"${word}" does not stand under this key. Write "${key}":"${word}".`,
});
export const badShape = (path: string, wanted: string): Complaint => ({
  code: "bad-shape",
  message: `${path === "" ? "This line" : `"${path}"`} is not as it should be: ${wanted}.`,
});

/** What others would write for a key. */
const KEYS_TOO: ReadonlyMap<string, string> = new Map([
  ["hit", '"end":"hit"'],
  ["who", '"by"'],
  ["side", '"by"'],
  ["fencer", '"by"'],
  ["action", '"kind"'],
  ["what", '"kind"'],
  ["where", '"target"'],
  ["to", '"target"'],
  ["number", '"no"'],
  ["exchange", '"no"'],
  ["actions", '"acts"'],
]);
/** What is wrong with keys that a line does not have. */
export function noPlaceFor(keys: readonly string[]): string {
  const instead = keys.flatMap((key) => KEYS_TOO.get(key) ?? []);
  return `it has no place for ${keys.join(", ")}${instead.length > 0 ? `: write ${instead.join(", ")}` : ""}`;
}

function didYouMean(word: string, known: readonly string[]): string | undefined {
  const near = nearest(word.toLowerCase(), known);
  return near && `Did you mean "${near}"?`;
}

const listOf = (before: string, known: readonly string[], none: string): string =>
  known.length === 0 ? none : `${before}: ${known.join(", ")}`;
