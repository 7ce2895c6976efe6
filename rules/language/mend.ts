/**
 * Mends a sentence that the grammar refuses: the usual ways in which coaches say it are rewritten one after the other,
 * until it can be read. What comes out is shown to the writer, never taken without asking.
 */
import type { WordClass } from "../vocabulary.ts";
import { inEnglish } from "./foreign.ts";
import { turnsOf } from "./mend-turns.ts";
import type { Names } from "./names.ts";

type Step = (text: string, names: Names) => string;

const swap =
  (wrong: RegExp, right: string): Step =>
  (text) =>
    text.replace(wrong, right);

const VERBS: readonly WordClass[] = ["action", "form"];
const PLAIN_VERBS: ReadonlySet<string> = new Set(["hit", "miss", "strike", "act", "begin", "never", "make"]);
const isOf = (names: Names, word: string, classes: readonly WordClass[]): boolean =>
  names.words.find(word).some((one) => classes.includes(one.class));
const isVerb = (names: Names, word: string): boolean => PLAIN_VERBS.has(word) || isOf(names, word, VERBS);
const isTarget = (names: Names, word: string): boolean => isOf(names, word, ["target"]);

/** Letters of a word; a hyphen parts two words here. */
const WORD = /[\p{L}\p{M}'’]+/gu;

const foreign: Step = (text, names) =>
  text.replace(WORD, (word) =>
    names.words.find(word).length > 0 && word !== "I" ? word.toLowerCase() : (inEnglish(word) ?? word),
  );

const isValue = (names: Names, word: string): boolean =>
  names
    .list("pick")
    .some((pick) => names.pick(pick)?.values.some(({ text }) => text.toLowerCase().includes(word)));

/** "hits", "parries", "landed", "hitting": the verb as a sentence has it. */
const verbs: Step = (text, names) =>
  text.replace(WORD, (word) => {
    const lower = word.toLowerCase();
    if (names.words.find(lower).length > 0 || names.contains(lower) || isValue(names, lower)) return word;
    const tries = [
      [/s$/, ""],
      [/es$/, ""],
      [/ies$/, "y"],
      [/ied$/, "y"],
      [/ed$/, ""],
      [/d$/, ""],
      [/ing$/, ""],
      [/ting$/, ""],
      [/ing$/, "e"],
    ] as const;
    for (const [end, instead] of tries) {
      const stem = lower.replace(end, instead);
      if (stem !== lower && isVerb(names, stem)) return stem;
    }
    return word;
  });

const AIMED = "cut|thrust|slice|strike|attack|riposte|feint|afterblow";
/** "cut the head", "cut at their arm", "strike on the leg". */
const aims: Step = (text, names) =>
  text.replace(
    new RegExp(`\\b(${AIMED}) (?:(?:at|on|into|in|against|for) )?(?:(the|my|their) )?([a-z]+)`, "giu"),
    (all: string, verb: string, owner: string | undefined, word: string) =>
      isTarget(names, word) ? `${verb} to ${owner ?? "the"} ${word}` : all,
  );

/** "head cut", "arm hit". */
const targetFirst: Step = (text, names) =>
  text.replace(
    /\b([a-z]+)[ -](cut|thrust|slice|strike|hit)s?\b/giu,
    (all: string, word: string, verb: string) => {
      if (!isTarget(names, word)) return all;
      return verb.toLowerCase() === "hit" ? `hit the ${word}` : `${verb} to the ${word}`;
    },
  );

/** "they zwerchhau", "I lunge", "with ox", "from the head": a word after the wrong little word. */
const slots: Step = (text, names) =>
  text.replace(
    /\b(I|they|with|from|to) (?:(?:the|an?) )?([\p{L}-]+)/giu,
    (all: string, before: string, word: string) => {
      const of = (...classes: WordClass[]): boolean => isOf(names, word, classes) && !isVerb(names, word);
      const article = /^[aeiou]/i.test(word) ? "an" : "a";
      const who = /^(?:I|they)$/i.test(before) ? before : undefined;
      if (of("blow", "footwork") && before !== "with")
        return `${who === undefined ? "" : `${who} strike `}with ${article} ${word}`;
      if (of("guard") && who === undefined && before !== "from") return `from ${word}`;
      if (of("target") && who === undefined && before === "from") return `to the ${word}`;
      return all;
    },
  );

/** "cleanly I hit". */
const mannersLast: Step = (text, names) =>
  text.replace(/\b([a-z]+) (I|they) ([a-z]+)\b/gi, (all: string, word: string, who: string, verb: string) =>
    isOf(names, word, ["manner"]) ? `${who} ${verb} ${word}` : all,
  );

/** "parry riposte", "parry-riposte", "parry and riposte", "parry, riposte". */
const inARow: Step = (text, names) => {
  const [first] = /\bthey\b|\bI\b/iu.exec(text) ?? ["I"];
  const who = first.toLowerCase() === "they" ? "they" : "I";
  return text.replace(
    /\b([a-z]+)(?: and then |, then | then |, and | and |, |\/|-| )(?=([a-z]+)\b)/giu,
    (all: string, one: string, two: string) =>
      [one, two].every((word) => isOf(names, word, VERBS)) ? `${one}, then ${who} ` : all,
  );
};

const NUMBERS = "zero|one|two|three|four|five|six|seven|eight|nine|ten".split("|");
const inDigits: Step = (text) =>
  text.replace(/\b[a-z]+\b/giu, (word) => {
    const n = NUMBERS.indexOf(word.toLowerCase());
    return n < 0 ? word : String(n);
  });

/** "Riposte pays me": a rule's name without its quotes. */
const ruleNames: Step = (text, names) => {
  const name = names.ruleNames().find((one) => text.toLowerCase().startsWith(`${one.toLowerCase()} pa`));
  return name === undefined ? text : `"${name}"${text.slice(name.length)}`;
};

/** "card is ripostes": a name without whose it is. */
const owners: Step = (text, names) => {
  const lower = text.toLowerCase();
  const starts = (name: string): boolean => lower.startsWith(`${name.toLowerCase()} `);
  const pick = names.list("pick").find(starts);
  const mark = names.list("mark").find(starts);
  if (pick !== undefined) return `${names.pick(pick)?.each === true ? "my" : "the"} ${text}`;
  if (mark !== undefined)
    return `${(names.mark(mark)?.for ?? "").startsWith("each fencer") ? "my" : "the"} ${text}`;
  return text;
};

/** Marks and frames, foreign words, who acts, what they do; each looks at what the ones before have left. */
const SENTENCES: readonly Step[] = [
  (text) => text.trim(),
  swap(/[“”„«»]/gu, '"'),
  swap(/[‘’]/gu, "'"),
  swap(/^'(.*)'$/, "$1"),
  swap(/^[•·*–—-]\s+/u, ""),
  swap(/\b(\d+):00\b/g, "$1 min"),
  swap(/[()[\]{}*_]/g, ""),
  // What stands in a list of alternatives stays one.
  (text) =>
    / of .+;/u.test(text) ? text : text.replace(/\s*(?:->|=>|→|»|;)\s*(?:and )?(?:then )?/gu, ", then "),
  swap(/[.!;:,]+$/, ""),
  swap(/^(?:if|when|whenever|wenn|si|quand) /i, ""),
  swap(/\s*:\s*/g, " "),
  swap(/\s+[+&]\s+(?=(?:I|they)\b)/g, ", then "),
  swap(/\s+&\s+/g, " and "),
  foreign,
  swap(/\bthe (?=I\b|they\b)/g, ""),
  swap(/\bthen ([a-z]+) (I|they)\b/g, "then $2 $1"),
  inDigits,
  swap(
    /^(.*\S),? (?:and|then) (?:(?:I|they) )?(?:gets?|earns?|scores?|receives?|wins?) \d+ (?:points?|bonus)\b.*$/i,
    "$1",
  ),
  // Who
  swap(
    /\b(?:(?:my|the|an?|your|their) )?(?:opponents?|adversary|partner|enemy|other (?:fencer|one|side))\b/giu,
    "they",
  ),
  swap(/(^|, (?:then )?)A (?=[a-z]+)/g, "$1I "),
  swap(/ to A$/, " to me"),
  swap(/ to B$/, " to them"),
  swap(/\bB\b/g, "they"),
  swap(/\b(?:he|she)\b/gi, "they"),
  swap(/\b(?:(?:the|an?|my) )?(?:fencer|fighter|player|student|you|red)\b/gi, "I"),
  swap(/\bblue\b/gi, "they"),
  swap(/\b(to|for) I\b/g, "to me"),
  swap(/\b(to|for) they\b/g, "to them"),
  // What they do
  swap(/\b(?:do|does|did) not\b|\b(?:don't|doesn't|didn't)\b/gi, "never"),
  swap(/\b(I|they) (?:do|does|perform|execute|use|throw) (?=(?:the|an?) )/gi, "$1 make "),
  verbs,
  swap(/\bland (?:on )?(?=the |their |my )/gi, "hit "),
  swap(/\b(hit|strike|attack) (?:me|them|him|her|they|I)\b/gi, "$1"),
  swap(/\bhit (?:on|at|in) /gi, "hit "),
  targetFirst,
  aims,
  inARow,
  slots,
  mannersLast,
  swap(/,? and (?=(?:I|they)\b)/gi, ", then "),
  swap(/^(I|they) (.+?)(?:,? then| ,then) (?!I\b|they\b|we\b|never\b)/i, "$1 $2, then $1 "),
  swap(/^(I|they|we both) (.+) after ((?:I|they) .+)$/i, "$3, then $1 $2"),
  swap(/ before (?=I\b|they\b)/gi, ", then "),
  swap(/ (?:without (?:being hit|(?:an? )?afterblow)|unhit|clean)$/i, " cleanly"),
  swap(/,? (?:immediately|instantly)/gi, ", at once"),
];

/** What is said of one thing only: each group is tried by itself. */
const KINDS: readonly (readonly Step[])[] = [
  // How it stands
  [
    swap(/\b(?:losing)\b/gi, "behind"),
    swap(/\b(?:winning|leading)\b/gi, "ahead"),
    swap(/\b((?:ahead|behind)(?: by)? \d+) points?\b/gi, "$1"),
    swap(/\bless than (\d+) ?s(?:ec(?:onds?)?)?(?: are)? left\b/gi, "$1 s or less are left"),
    swap(/\bmore than (\d+) ?s(?:ec(?:onds?)?)?(?: are)? left\b/gi, "$1 s or more are left"),
    swap(/\bat least (\d+)\b/gi, "$1 or more"),
    swap(/\bat most (\d+)\b/gi, "$1 or less"),
    swap(/\s*={1,2}\s*/g, " is "),
    swap(/^double(?: hit)?$/i, "it is a double"),
    swap(/^(?:in )?(?:the )?last exchange$/i, "it is the last exchange"),
    swap(/^(?:an? )?afterblow$/i, "they land an afterblow"),
    ruleNames,
    owners,
  ],
  // Pays
  [
    swap(/\b(?:pts?|pkt)\b\.?/gi, "points"),
    swap(/\bbonus points?\b/gi, "bonus"),
    swap(/^(\d+) bonuses\b/i, "$1 bonus"),
    swap(/^(?:I )?(?:gets?|earns?|receives?|scores?|wins?|plus|\+) ?(?=\d)/i, ""),
    swap(/^they (?:gets?|earns?|receives?|scores?) (\d+ \w+)$/i, "$1 to them"),
    swap(/^(?:I )?(?:loses?|minus) (?=\d)/i, "-"),
    swap(/^(?:me|I)\b (\d.*)$/i, "$1 to me"),
    swap(/^(bonus|points?) (\d+)/i, "$2 $1"),
    swap(/\b1\/2\b/g, "0.5"),
    swap(/\bfor (me|them)$/i, "to $1"),
    (text) => (/\b(?:me|them|us|team)\b/.test(text) ? text : `${text} to me`),
  ],
  // Limits
  [
    swap(/\b(?:pts?|pkt)\b\.?/gi, "points"),
    swap(/^(?:max(?:imum|imal)?\.?|up to|at most|no more than|not more than|only) /i, ""),
    swap(/\b(?:per|in an?|every|each) (?=bout|match|exchange|evening|fight)/gi, "a "),
    swap(/\ba (?:match|fight)\b/gi, "a bout"),
    swap(/\ba exchange\b/gi, "an exchange"),
    swap(/\b(?:an|per) evening\b/gi, "tonight"),
    swap(/^(\d+) ?x\b/i, "$1 times"),
    swap(/^(\d+)$/, "$1 bonus"),
    (text) =>
      /^(?:\d|once|twice)/.test(text) && !/\b(?:bout|exchange|tonight)\b/.test(text)
        ? `${text} a bout`
        : text,
  ],
  // The bout
  [
    swap(/^(?:first )?to (\d+)(?: points?)?$/i, "at $1 points"),
    swap(/^at (\d+)$/i, "at $1 points"),
    swap(/^counts?$/i, "counts towards the win"),
    swap(/^(?:0|none|nothing|no points?|no score|void)$/i, "score nothing"),
    (text) => (/^\d+ ?(?:min|minutes?|exchanges?)\b/i.test(text) ? `after ${text}` : text),
    (text) => (/^\d+ (?:points?|doubles?)$/i.test(text) ? `at ${text}` : text),
    (text) => (/^\d+$/.test(text) ? `at ${text} points` : text),
  ],
  // Marks and picks
  [
    swap(/^(?:\+ ?|plus |increases? by |add )(\d+)/i, "up $1"),
    swap(/^(?:- ?|minus |decreases? by )(\d+)/i, "down $1"),
    swap(/^resets? /i, "to 0 "),
    swap(/^increases? /i, "up 1 "),
    swap(/^decreases? /i, "down 1 "),
    swap(/^(\d+)$/, "at $1"),
    swap(/^(?:an? )?(count|flag|set|note)(?:er)?$/i, "a $1 for each fencer"),
    swap(/^(before|after) (?=bout|evening)/i, "$1 the "),
    swap(/^at the (?:start|beginning)$/i, "before the bout"),
    swap(/^(?:an? )?fencer$|^I$/i, "each fencer"),
  ],
  // What it does
  [
    swap(/^(?:x ?2|double|twice the points)$/i, "double my points"),
    swap(/^(?:x ?3|triple)$/i, "triple my points"),
    swap(/^(annul|double|triple|halve) (?:the )?(points|bonus)$/i, "$1 my $2"),
  ],
  // Only who acts is missing, or what was done to the target
  [
    (text, names) => (isTarget(names, text.replace(/^(?:the|an?) /i, "")) ? `I hit the ${text}` : text),
    (text) => (/^(?:I|they|we|first|it|the|my|their)\b|\d/i.test(text) ? text : `I ${text}`),
  ],
];

/** The sentence as the grammar takes it; undefined where no usual slip explains it. `reads`: whether it can be read so. */
export function mended(text: string, reads: (text: string) => boolean, names: Names): string | undefined {
  /** Step by step, until it can be read or the steps are over. */
  const through = (
    from: string,
    steps: readonly Step[],
  ): { readonly now: string; readonly fits: boolean } => {
    let now = from;
    for (const step of steps) {
      const next = step(now, names).replace(/ {2,}/g, " ");
      if (next === now) continue;
      now = next;
      if (reads(now)) return { now, fits: true };
    }
    return { now, fits: false };
  };
  for (const turn of turnsOf(text)) if (reads(turn)) return turn;
  const sentence = through(text, SENTENCES);
  if (sentence.fits) return sentence.now;
  for (const kind of KINDS) {
    const { now, fits } = through(sentence.now, kind);
    if (fits) return now;
  }
  return undefined;
}
