/** Coaches' usual slips: what stands here, and what to write. Tried before any general message. */
import type { Cursor } from "./cursor.ts";
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
  if (isAny(c, at, ["after"])) return one(`Write what comes first in front: "I parry, then I hit" for "I hit after I parry".`);
  if (isAny(c, at, ["before"])) return one(`Put ", then" between two actions: "I parry, then I hit" for "I parry before I hit".`);
  if (isAny(c, at, ["but", "while", "so"])) return one(`Join two actions by ", then" or ", at once".`);
  if (isAny(c, at, ["and"]))
    return one(`Join two actions by ", then" (later) or ", at once" (the very next action). Put a second condition under "if".`);
  if (isAny(c, at, ["or"]))
    return one(`Write "I parry or void" for two actions of one fencer, or a list of two lines where either will do.`);
  if (isAny(c, at, ["when", "if", "unless"]))
    return one(`A phrase holds actions only. Put conditions under "if" or "unless" of the rule.`);
  return undefined;
}

/** "they hit me", "I hit them": hitting names its object already. */
function object(c: Cursor, at: number): Slip | undefined {
  if (!isAny(c, at, ["me", "them", "him", "her"]) || !isAny(c, at - 1, ["hit", "strike", "attack"])) return undefined;
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

/** "1 bonus to me per bout", "1 bonus to me once a bout". */
function often(c: Cursor, at: number): Slip | undefined {
  if (!isAny(c, at, ["per", "once", "twice", "max", "maximum"])) return undefined;
  const said = writeThis(`How often or how much is said under "at most", as in "at most: 2 bonus a bout".`);
  return { said, from: at, to: at + 1 };
}

function word(c: Cursor, at: number): Slip | undefined {
  const text = c.tokens[at]?.text;
  const found = WORDS.find(([wrong]) => wrong === text);
  if (found === undefined) return undefined;
  const [wrong, right, why] = found;
  return { said: writeInstead(raw(c, at, at + 1) || wrong, right, why), from: at, to: at + 1 };
}

const SLIPS = [possessed, negated, joined, object, amount, often, word];

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
