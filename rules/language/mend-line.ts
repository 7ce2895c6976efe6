/**
 * Mends a line of a bout sheet that cannot be read: the usual ways in which people write it down are rewritten one
 * after the other, until it can. What comes out is shown to the writer, never taken without asking.
 */
import type { WordClass } from "../vocabulary.ts";
import { inEnglish } from "./foreign.ts";
import type { SheetWords } from "./sheet-words.ts";

interface About {
  readonly words: SheetWords;
  /** The number that the next exchange has. */
  readonly next: number;
}
type Step = (line: string, about: About) => string;

const swap =
  (wrong: RegExp, right: string): Step =>
  (line) =>
    line.replace(wrong, right);

/** In a sheet a hit is a mark, and who acts is a letter. */
const IN_A_SHEET: Readonly<Record<string, string>> = {
  they: "",
  me: "",
  them: "",
  my: "",
  their: "",
  bonus: "",
};
const foreign: Step = (line, { words }) =>
  line.replace(/[\p{L}\p{M}]{2,}/gu, (word) => {
    const english = inEnglish(word);
    const isWord = words.named(word, [...CLASSES]) !== undefined;
    return english === undefined || isWord ? word : (IN_A_SHEET[english] ?? english);
  });
const CLASSES: readonly WordClass[] = ["action", "form", "blow", "target", "guard", "side", "manner", "call"];

const targetFirst: Step = (line, { words }) =>
  line.replace(/\b([a-z]+)[ -]?(cut|thrust|slice)\b/giu, (all: string, target: string, form: string) =>
    words.named(target, ["target"]) ? `${form} ${target}` : all,
  );

/** A comma before each who that stands after another action. */
const commas: Step = (line) =>
  line.replace(
    /(\S+)(\s+)(RB|R|B)(?=\s+[a-z])/gu,
    (all: string, before: string, space: string, who: string) =>
      /^(?:\d+|double|simultaneous|exchange|again|call|for|pick|mark|penalty|end|bout|.*,)$/iu.test(before)
        ? all
        : `${before},${space}${who}`,
  );

/** "praise R" for "call praise R". */
const calls: Step = (line, { words }) =>
  line.replace(/(?<!call )\b([a-z]+) (R|B)(?=\s|$)/gu, (all: string, word: string, who: string) =>
    words.named(word, ["call"]) ? `call ${word} ${who}` : all,
  );

/** In a double both hit. */
const bothHit: Step = (line) => {
  const double = line.replace(/^(\s*\d+) double hits?\b/i, "$1 double");
  if (!/^\s*\d+ double\b/.test(double) || line.includes("!")) return double;
  return double.replace(/\b([RB] [^,.!]*[^,.!\s])/g, "$1 !");
};

const seconds: Step = (line) =>
  line.replace(
    /\[(\d+):(\d\d)\]/g,
    (_, min: string, s: string) => `[${Number(min) * 60 + Number(s)} s left]`,
  );

const NUMBERS = "zero|one|two|three|four|five|six|seven|eight|nine|ten".split("|");
const inDigits: Step = (line) =>
  line.replace(/= ([a-z]+)$/iu, (all: string, word: string) => {
    const n = NUMBERS.indexOf(word.toLowerCase());
    return n < 0 ? all : `= ${n}`;
  });

const STEPS: readonly Step[] = [
  swap(/^\s*(?:\/\/|--|;)\s*/, "# "),
  swap(/！/gu, "!"),
  swap(/。/gu, "."),
  swap(/[“”„]/gu, '"'),
  swap(/^(\s*(?:again\s+)?\d+)\s*[.):]\s*/, "$1 "),
  (line, { next }) => line.replace(/^\s*(?=(?:RB|R|B|Red|Blue)\b)/, `${next} `),
  swap(/^\s*yellow(?: card)?:?(?: (?:for|to|against))? (R|B|Red|Blue)\s*$/i, "warning $1"),
  swap(/^\s*red card:?(?: (?:for|to|against))? (R|B|Red|Blue)\s*$/i, "penalty $1"),
  swap(/\bred\b:?/gi, "R"),
  swap(/\bblue\b:?/gi, "B"),
  swap(/\b(R|B|RB):/g, "$1"),
  swap(/(^\s*\d+ |, )A (?=[a-z])/g, "$1R "),
  // The lines that are no exchange
  swap(/^(\s*score\s+)(?:R\s*)?(\d+)\s*(?:[:/,]|\bto\b|\s|-)\s*(?:B\s*)?(\d+)\s*$/i, "$1$2-$3"),
  swap(/^(\s*(?:pick|mark)\s+[^:=]*[^:=\s])\s*:\s*/i, "$1 = "),
  swap(/^(\s*mark\s+.*=\s*)(?:yes|true)$/i, "$1on"),
  swap(/^(\s*mark\s+.*=\s*)(?:no|false)$/i, "$1off"),
  inDigits,
  swap(/^\s*end(?:ed)?[ :]+(?:(?:the )?winner(?: is)? )?(R|B)\b.*$/i, "end $1"),
  swap(/^\s*bout (?:R )?([^,]+?),? (?:vs\.?|against|-|B) (?:B )?(.+)$/i, "bout R $1, B $2"),
  // Between the actions
  foreign,
  swap(/,? (?:and )?then(?= (?:RB|R|B)\b)/g, ","),
  swap(/ and(?= (?:RB|R|B)\b)/g, ","),
  swap(/\s*(?:;|->|=>|→|>)\s*(?:then )?/gu, ", "),
  swap(/\s*\.\s*(?=(?:RB|R|B) [a-z])/g, ", "),
  // Hits
  swap(/\b(?:R|B) (?:is |was )?hit by (R|B)(?: (?:on|to|at|in))?(?: the)?((?: [a-z]+)*)/g, "$1$2 !"),
  swap(/^(\s*\d+) (?:nothing|none|no hits?)\b.*$/i, "$1 ."),
  swap(/^(\s*\d+) (.*?),?\s+(double|simultaneous)\b/i, "$1 $3 $2"),
  bothHit,
  swap(/\b(R|B) hits?(?: (?:to|on|at|in))?(?: the)? ([a-z][a-z ]*?)(?=\s*(?:[,.]|$))/g, "$1 $2 !"),
  swap(/ (?:hit|hits|landed|lands|scores|touch|touched|ok|yes)(?=\s*(?:[,.]|$))/gi, " !"),
  swap(/ (?:missed|misses|no hit|x)(?=\s*(?:[,.]|$))/gi, " miss"),
  swap(/\(!\)/g, "!"),
  swap(/(?<!!)\?/g, "!?"),
  targetFirst,
  swap(/\bafterblow (R|B)\b/g, "$1 afterblow"),
  swap(/\b(R|B) parry(?:,? and |, |\/|-| )riposte\b/g, "$1 parry, $1 riposte"),
  commas,
  // What stands behind
  seconds,
  swap(/\[(\d+)(?: ?(?:s|sec|seconds))?\]/g, "[$1 s left]"),
  swap(/(?<!for|\[|\[\d+)\s+(\d+) ?s(?:ec\w*)?(?: left)?\s*$/i, " [$1 s left]"),
  swap(/\bwait (?:for )?(\d+)(?: ?(?:s|sec|seconds))?\b/gi, "wait for $1 s"),
  swap(/\bfor (\d+)(?=\s*(?:[,.]|$))/gi, "for $1 s"),
  swap(/ (j\d+|table)\b/g, " @$1"),
  swap(/\bnot (?=out of|in measure)/gi, "not from "),
  calls,
];

/** The line as it can be read; undefined where no usual slip explains it. `reads`: whether it can be read so. */
export function mendedLine(line: string, reads: (line: string) => boolean, about: About): string | undefined {
  let now = line.trimEnd();
  for (const step of STEPS) {
    const next = step(now, about).replace(/ {2,}/g, " ").replace(/ ,/g, ",");
    if (next === now) continue;
    now = next;
    if (reads(now)) return now.trim();
  }
  return undefined;
}
