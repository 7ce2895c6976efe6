/** Coaches' usual slips: what stands here, and what to write. Tried before any general message. */
import { END, type Cursor } from "./cursor.ts";
import type { Message } from "./faults.ts";
import { beginWithWho, writeInstead, writeThis } from "./faults-sentence.ts";

/** Over which tokens the message stands. */
export interface Slip {
  readonly said: Message;
  readonly from: number;
  readonly to: number;
}

/** One word for another: what is written, what to write, and why. */
const WORDS: readonly (readonly [wrong: string, right: string, why?: string])[] = [
  ["immediately", "at once"],
  ["instantly", "at once"],
  ["afterwards", "then"],
  ["next", "at once"],
  ["clean", "cleanly"],
  ["you", "I", `A rule is told by the fencer who earns.`],
  ["he", "they"],
  ["she", "they"],
  ["opponent", "they"],
  ["opponents", "they"],
  ["fencer", "I", `A rule is tried for both fencers.`],
  ["red", "I", `A rule never names a side: it is tried for both.`],
  ["blue", "they", `A rule never names a side: it is tried for both.`],
  ["lands", "hit"],
  ["land", "hit"],
  ["landed", "hit"],
  ["hits", "hit"],
  ["strikes", "strike"],
  ["misses", "miss"],
  ["dodge", "void"],
  ["block", "parry"],
  ["stab", "thrust"],
  ["don't", "never"],
  ["doesn't", "never"],
  ["gets", "to me"],
];

const isAny = (c: Cursor, at: number, texts: readonly string[]): boolean =>
  texts.includes(c.tokens[at]?.text ?? "");
const raw = (c: Cursor, from: number, to: number): string => {
  const [start, end] = c.span(from, to);
  return c.text.slice(start, end);
};
const SUBJECTS = ["i", "they"];

/** "my riposte lands", "their cut hits". */
function possessed(c: Cursor, at: number): Slip | undefined {
  if (!isAny(c, at, ["my", "their"])) return undefined;
  const found = c.names.words.longest(c.tokens, at + 1, ["action", "form", "blow"]);
  const word = found?.values[0];
  if (found === undefined || word === undefined) return undefined;
  const who = c.tokens[at]?.text === "my" ? "I" : "they";
  const lands = isAny(c, found.next, ["lands", "land", "hits", "hit", "scores"]);
  const to = lands ? found.next + 1 : found.next;
  const blow = word.class === "blow";
  const article = /^[aeiou]/.test(word.name) ? "an" : "a";
  const right = blow
    ? `${who} ${lands ? "hit" : "strike"} with ${article} ${word.name}`
    : `${who} ${word.verb ?? word.name}${lands ? " and hit" : ""}`;
  return { said: beginWithWho(raw(c, at, to), right), from: at, to };
}

/** "I do not parry", "I did not parry". */
function negated(c: Cursor, at: number): Slip | undefined {
  const start = isAny(c, at, ["do", "did", "does"]) && isAny(c, at + 1, ["not"]);
  if (start) return { said: writeInstead(raw(c, at, at + 2), "never"), from: at, to: at + 2 };
  if (isAny(c, at, ["not"]) && isAny(c, at - 1, SUBJECTS))
    return { said: writeInstead("not", "never"), from: at, to: at + 1 };
  return undefined;
}

/** "I hit after I parry", "I parry before I hit", "I parry and I hit". */
function joined(c: Cursor, at: number): Slip | undefined {
  const subjectAfter = isAny(c, at + 1, SUBJECTS) || (isAny(c, at + 1, ["we"]) && isAny(c, at + 2, ["both"]));
  if (!subjectAfter) return undefined;
  const one = (text: string): Slip => ({ said: writeThis(text), from: at, to: at + 1 });
  if (isAny(c, at, ["after"]))
    return one(`Write what comes first in front: "I parry, then I hit" for "I hit after I parry".`);
  if (isAny(c, at, ["before"]))
    return one(`Put ", then" between two actions: "I parry, then I hit" for "I parry before I hit".`);
  if (isAny(c, at, ["but", "while", "so"])) return one(`Join two actions by ", then" or ", at once".`);
  if (isAny(c, at, ["and"]))
    return one(
      `Join two actions by ", then" (later) or ", at once" (the very next action). Put a second condition under "if".`,
    );
  if (isAny(c, at, ["or"]))
    return one(
      `Write "I parry or void" for two actions of one fencer, or a list of two lines where either will do.`,
    );
  if (isAny(c, at, ["when", "if", "unless"]))
    return one(`A phrase holds actions only. Put conditions under "if" or "unless" of the rule.`);
  return undefined;
}

/** Numbers are written in digits. */
const DIGITS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"];

const here = (at: number, text: string, to = at + 1): Slip => ({
  said: writeThis(text),
  from: at,
  to: Math.max(at + 1, to),
});

function inDigits(c: Cursor, at: number): Slip | undefined {
  const n = DIGITS.indexOf(c.tokens[at]?.text ?? "");
  if (n < 0 || !c.expected.some((one) => one.kind === "number")) return undefined;
  return { said: writeInstead(raw(c, at, at + 1), String(n)), from: at, to: at + 1 };
}

/** "they cut at the head", "they attack my arm". */
function aimed(c: Cursor, at: number): Slip | undefined {
  const target = (from: number): string | undefined =>
    c.names.words.longest(c.tokens, from, ["target"])?.values[0]?.name;
  const preposition = isAny(c, at, ["at", "on"]);
  let skip = preposition ? 1 : 0;
  if (isAny(c, at + skip, ["my", "their"])) skip++;
  if (isAny(c, at + skip, ["left", "right"])) skip++;
  const name = target(at + skip);
  const fits = preposition || c.expected.some((one) => one.kind === "text" && one.text === "to");
  if (name === undefined || !fits) return undefined;
  return here(at, `Write where a strike goes with "to": "to the ${name}".`, at + skip + 1);
}

/** Whole turns of speech, by their first words. */
const TURNS: readonly (readonly [start: readonly string[], text: string])[] = [
  [["without", "being", "hit"], `Write "cleanly" after "hit", or put "they hit" under "unless".`],
  [["unhit"], `Write "cleanly" after "hit", or put "they hit" under "unless".`],
  [["less", "than"], `Write the number first: "30 s or less are left", "is 2 or less".`],
  [["more", "than"], `Write the number first: "30 s or more are left", "is 2 or more".`],
  [["at", "least"], `Write "2 or more" for "at least 2".`],
  [["at", "most"], `Write "2 or less" for "at most 2".`],
  [["we", "double"], `Put "it is a double" under "if".`],
  [["score", "is"], `Write "I am level", "I am ahead by 2 or more" or "they are behind".`],
  [["i'm"], `Write "I am".`],
  [["they're"], `Write "they are".`],
  [
    ["referee"],
    `What an official says is written "the judge calls WORD for me". Who watches is "the referee".`,
  ],
  [["last"], `Put how it stands under "if", as in "30 s or less are left" or "it is the last exchange".`],
  [
    ["winner"],
    `Write "to me" here. A rule for the winner has "at: the end of the bout" and "if: I win the bout", and no "when".`,
  ],
];

function turn(c: Cursor, at: number): Slip | undefined {
  const found = TURNS.find(([start]) => start.every((text, i) => c.tokens[at + i]?.text === text));
  return found && here(at, found[1], at + found[0].length);
}

/** "they do an afterblow", "I make a parry". */
function doubled(c: Cursor, at: number): Slip | undefined {
  if (!isAny(c, at, ["do", "does", "make", "perform", "use", "throw"]) || !isAny(c, at - 1, SUBJECTS))
    return undefined;
  const action = c.names.words.longest(c.tokens, at + 1, ["action", "form", "blow"]);
  const word = action?.values[0];
  if (action === undefined || word === undefined) return undefined;
  const right =
    word.class === "blow"
      ? `strike with ${/^[aeiou]/.test(word.name) ? "an" : "a"} ${word.name}`
      : (word.verb ?? word.name);
  return { said: writeInstead(raw(c, at, action.next), right), from: at, to: action.next };
}

/** "1 bonus to me, 1 bonus to them", "1 bonus each", "annul all points". */
function sums(c: Cursor, at: number): Slip | undefined {
  if (isAny(c, at, [","]) && c.tokens[at + 1]?.kind === "number" && isAny(c, at - 1, ["me", "them"]))
    return here(at, `Write one payment a line, as a list: "- 1 bonus to me" and "- 1 bonus to them".`);
  if (isAny(c, at, ["each", "both"]) && isAny(c, at - 1, ["bonus", "point", "points", "to"]))
    return here(
      at,
      `Write "to us both" where each gets it. A rule is tried for both fencers, so "to me" is enough where each earns it alone.`,
    );
  if (
    isAny(c, at, ["all", "both", "points", "bonus"]) &&
    isAny(c, at - 1, ["annul", "double", "triple", "halve"])
  )
    return here(at, `Whose? Write "my points" or "their points"; both are a list of two lines.`);
  return undefined;
}

/** "they hit me", "I hit them": hitting names its object already. */
function object(c: Cursor, at: number): Slip | undefined {
  if (!isAny(c, at, ["me", "them", "him", "her"]) || !isAny(c, at - 1, ["hit", "strike", "attack"]))
    return undefined;
  const verb = c.tokens[at - 1]?.text ?? "hit";
  return {
    said: writeThis(`Leave "${c.tokens[at]?.text ?? ""}" out: "${verb}" already means the other fencer.`),
    from: at,
    to: at + 1,
  };
}

/** "pays: bonus to me", "pays: me 2 bonus". */
function amount(c: Cursor, at: number): Slip | undefined {
  if (at === 0 && isAny(c, 0, ["bonus", "point", "points"]))
    return { said: writeThis(`How many? Write "2 ${c.tokens[0]?.text ?? ""} to me".`), from: 0, to: 1 };
  return undefined;
}

/** "I hit twice", "I hit three times in a row". */
function repeated(c: Cursor, at: number): Slip | undefined {
  const word = c.tokens[at]?.text ?? "";
  const times = isAny(c, at + 1, ["times", "time"]) && (DIGITS.includes(word) || /^\d+$/.test(word));
  if (!SUBJECTS.includes(c.tokens[0]?.text ?? "") || !(times || word === "twice")) return undefined;
  const row = isAny(c, at + (times ? 2 : 1), ["in"]);
  const n = String(word === "twice" ? 2 : Math.max(2, DIGITS.indexOf(word), Number(word) || 0));
  if (!row && n === "2") {
    const one = raw(c, 0, at).trim();
    return here(at, `For twice in one exchange write "${one}, then ${one}".`);
  }
  return here(
    at,
    `What lasts over several exchanges is a count under "marks": "streak: { is: a count for each fencer, changes: [up 1 when I hit, to 0 when they hit] }". ` +
      `Then write "my streak is ${n} or more" under "if".`,
  );
}

const GETS: readonly string[] = ["get", "gets", "earn", "earns", "receive", "receives", "score", "scores"];

/** "then I get 2 points" in a phrase. */
function getting(c: Cursor): Slip | undefined {
  if (c.expected.some((one) => one.kind === "number")) return undefined;
  const at = c.tokens.findIndex(({ text }, i) => GETS.includes(text) && c.tokens[i + 1]?.kind === "number");
  if (at < 1) return undefined;
  let from = at;
  while (from > 0 && isAny(c, from - 1, ["then", "and", ",", ...SUBJECTS])) from--;
  if (from === 0) return undefined;
  const n = c.tokens[at + 1]?.text ?? "2";
  const out = raw(c, isAny(c, from, [","]) ? from + 1 : from, c.tokens.length);
  return here(
    from,
    `Leave "${out}" out: here stands only what is done. What it pays stands under "pays", as in "pays: ${n} ${n === "1" ? "point" : "points"} to me".`,
    c.tokens.length,
  );
}

/** "at 5 points or after 3 min", "2 bonus to me and 1 point to them". */
function several(c: Cursor, at: number): Slip | undefined {
  const ends = c.expected.some((one) => one.kind === "text" && one.text === END);
  if (!ends || !isAny(c, at, ["or", "and"]) || isAny(c, at + 1, SUBJECTS)) return undefined;
  return here(
    at,
    `Write one thing a line: a list, with "- " in front of each, for what "${c.tokens[at]?.text ?? ""}" joins.`,
  );
}

/** "Riposte pays me" without quotes around the name. */
function unquoted(c: Cursor): Slip | undefined {
  const at = c.tokens.findIndex(({ text }) => text === "pays" || text === "paid");
  if (at < 1 || c.tokens[0]?.kind === "quoted" || !isAny(c, at + 1, ["me", "them"])) return undefined;
  const [, end] = c.span(0, at);
  const name = c.text.slice(0, end).trim();
  if (!/^[\p{L}\d]/u.test(name)) return undefined;
  return here(
    0,
    `A rule's name stands in quotes, and the whole in single quotes: '"${name}" ${raw(c, at, at + 2)}'.`,
  );
}

/** "double" under "pays". */
function doubling(c: Cursor): Slip | undefined {
  if (!isAny(c, 0, ["double", "triple", "halve", "half"]) || !c.expected.some((one) => one.kind === "number"))
    return undefined;
  return here(0, `What multiplies stands under "does", as in "does: double my points".`);
}

/** A piece of a sentence in brackets, which YAML parts at the comma: "[I parry, then I hit]". */
function parted(c: Cursor, at: number): Slip | undefined {
  if (at !== 0 || !isAny(c, 0, ["then"]) || !isAny(c, 1, SUBJECTS)) return undefined;
  return here(0, `A sentence with a comma stands without brackets, as in "I parry, then I hit".`);
}

/** "1 bonus to me per bout", "1 bonus to me once a bout". */
function often(c: Cursor, at: number): Slip | undefined {
  if (!isAny(c, at, ["per", "once", "twice", "max", "maximum"])) return undefined;
  const said = writeThis(`How often or how much is said under "at most", as in "at most: 2 bonus a bout".`);
  return { said, from: at, to: at + 1 };
}

/** True where the grammar or a class of words would take this text at the furthest failure. */
const couldStand = (c: Cursor, text: string): boolean =>
  c.expected.some(
    (one) =>
      (one.kind === "text" && one.text === text) ||
      (one.kind === "class" && c.names.words.named(text, one.class) !== undefined),
  );

function otherWord(c: Cursor, at: number): Slip | undefined {
  const text = c.tokens[at]?.text;
  const found = WORDS.find(([wrong]) => wrong === text);
  if (found === undefined || !couldStand(c, found[1])) return undefined;
  const [wrong, right, why] = found;
  return { said: writeInstead(raw(c, at, at + 1) || wrong, right, why), from: at, to: at + 1 };
}

const SLIPS = [
  parted,
  doubling,
  unquoted,
  getting,
  repeated,
  several,
  possessed,
  turn,
  negated,
  joined,
  object,
  doubled,
  sums,
  amount,
  often,
  inDigits,
  aimed,
  otherWord,
];

/** The slip that explains a failure at token `at`; undefined where none does. */
export function slipAt(c: Cursor, at: number): Slip | undefined {
  for (const place of new Set([at, Math.max(0, at - 1), 0])) {
    for (const slip of SLIPS) {
      const found = slip(c, place);
      // What the grammar took without trouble is no slip, unless the sentence begins with it.
      if (found !== undefined && found.to > at - 1) return found;
    }
  }
  return undefined;
}
