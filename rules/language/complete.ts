/**
 * What could stand next in a sentence. It is asked of the grammar itself, and every answer is tried against it, so that
 * completion and grammar cannot drift apart.
 */
import type { WordClass } from "../vocabulary.ts";
import { Cursor, END, NoFit, Wrong, type Expected } from "./cursor.ts";
import { LONGEST_SENTENCE } from "./limits.ts";
import type { Names } from "./names.ts";
import { SENTENCES, type SentenceKind } from "./sentences.ts";
import { verbOf } from "./words.ts";

export interface Completion {
  /** What to write, with a space in front where one belongs there. */
  readonly text: string;
  /** A piece of the grammar, a word, a name of the rule set, or any number. */
  readonly is: "piece" | "word" | "name" | "number";
  readonly class?: WordClass;
}

export interface Completions {
  /** The sentence may end here. */
  readonly whole: boolean;
  /** How many characters at the end of the text a completion replaces: the word that was begun. */
  readonly replaces: number;
  readonly next: readonly Completion[];
}

interface Reading {
  readonly whole: boolean;
  /** Nothing of the text is wrong as far as it goes. */
  readonly open: boolean;
  readonly expected: readonly Expected[];
}

function readSoFar(text: string, kind: SentenceKind, names: Names): Reading {
  const c = new Cursor(text, names, true);
  const end = c.tokens.length;
  let whole = false;
  let slip: Wrong | undefined;
  try {
    SENTENCES[kind](c);
    whole = c.atEnd();
  } catch (caught) {
    if (caught instanceof Wrong) slip = caught;
    else if (!(caught instanceof NoFit)) throw caught;
  }
  // What is found wrong at the very end may only be unfinished, where something else could have stood.
  const unfinished = slip === undefined || slip.to >= end;
  const expected = unfinished && c.furthest >= end ? c.expected : [];
  return { whole, open: whole || expected.length > 0, expected };
}

/** Numbers that stand for any other. */
const NUMBERS = ["1", "2", "3"];

function textsOf(one: Expected, names: Names): readonly Completion[] {
  switch (one.kind) {
    case "text":
      return one.text === END ? [] : [{ text: one.text, is: "piece" }];
    case "number":
      return NUMBERS.map((text) => ({ text, is: "number" }));
    case "class":
      return names.words.all(one.class).map((word) => ({
        text: word.class === "action" ? verbOf(word.name) : word.name,
        is: "word",
        class: one.class,
      }));
    case "name":
      return one.names.map((name) => ({ text: one.of === "rule" ? `"${name}"` : name, is: "name" }));
  }
}

const joined = (text: string, next: string): string =>
  text === "" || /\s$/.test(text) || next === "," || next === ";" ? text + next : `${text} ${next}`;

/** Whether the text can be brought to an end: it is whole, or something can follow that is not wrong itself. */
function isAlive(text: string, kind: SentenceKind, names: Names): boolean {
  const { whole, open, expected } = readSoFar(text, kind, names);
  if (whole || !open) return whole;
  return expected.some((one) =>
    textsOf(one, names).some((next) => readSoFar(joined(text, next.text), kind, names).open),
  );
}

/** Everything that may follow whole words. */
function following(text: string, kind: SentenceKind, names: Names): Omit<Completions, "replaces"> {
  const { whole, expected } = readSoFar(text, kind, names);
  const seen = new Set<string>();
  const next = expected
    .flatMap((one) => textsOf(one, names))
    .filter((one) => {
      if (seen.has(one.text)) return false;
      seen.add(one.text);
      return isAlive(joined(text, one.text), kind, names);
    });
  return { whole, next };
}

/** The longest name or word that a coach may have begun, in words. */
const MOST_BEGUN = 4;

/**
 * What could stand after `text` in a sentence of this kind; where its last words begin a longer word or name, what they
 * may become. No text is ever offered that the grammar would refuse.
 */
export function complete(text: string, kind: SentenceKind, names: Names): Completions {
  // A longer sentence is at fault, whatever follows; and every candidate would be tried behind all of it.
  if (text.length > LONGEST_SENTENCE) return { whole: false, replaces: 0, next: [] };
  const after = following(text, kind, names);
  const begun = /\S$/.test(text) ? becoming(text, kind, names) : undefined;
  if (begun === undefined) return { ...after, replaces: 0 };
  if (after.next.length === 0) return { ...begun, whole: after.whole };
  return { ...after, replaces: 0 };
}

/** The completions that the last words have begun; undefined where they begin none. */
function becoming(text: string, kind: SentenceKind, names: Names): Completions | undefined {
  for (let words = MOST_BEGUN; words > 0; words--) {
    const match = new RegExp(String.raw`(?:^|\s)((?:\S+\s+){${String(words - 1)}}\S+)$`, "u").exec(text);
    const begun = match?.[1];
    if (begun === undefined) continue;
    const stem = text.slice(0, text.length - begun.length);
    const low = begun.toLowerCase().replace(/\s+/gu, " ");
    const { next } = following(stem, kind, names);
    const fitting = next.filter(
      (one) => one.text.toLowerCase().startsWith(low) && one.text.length > low.length,
    );
    if (fitting.length > 0) return { whole: false, replaces: begun.length, next: fitting };
  }
  return undefined;
}
