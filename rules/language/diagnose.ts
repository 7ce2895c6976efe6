/** Turns the furthest failure of a sentence into a message with its cure. */
import type { WordClass } from "../vocabulary.ts";
import { END, type Cursor, type Expected } from "./cursor.ts";
import type { Message } from "./faults.ts";
import {
  anotherClass,
  couldStand,
  doesNotFit,
  emptySentence,
  otherSchool,
  perhapsOwn,
  stopsTooSoon,
  unknownWord,
  wrongClass,
} from "./faults-sentence.ts";
import type { Word } from "./lexicon.ts";
import { CLASS_NAMES } from "./names.ts";
import { slipAt } from "./slips.ts";
import { nearest } from "./spelling.ts";
import { wordsFor } from "./words.ts";

export interface Diagnosis {
  readonly said: Message;
  readonly start: number;
  readonly end: number;
}

const articled = (name: string): string => `${/^[aeiou]/.test(name) ? "an" : "a"} ${name}`;

/** How a word of each class is said where its class may stand. */
const WRITE: Readonly<Record<WordClass, (name: string) => string>> = {
  action: (name) => `I ${name}`,
  form: (name) => `with ${articled(name)}`,
  blow: (name) => `with ${articled(name)}`,
  direction: (name) => `with ${articled(name)} cut`,
  edge: (name) => `with the ${name}`,
  hand: (name) => `with ${name}`,
  footwork: (name) => `with ${articled(name)}`,
  target: (name) => `to the ${name}`,
  side: (name) => (name === "above" ? "from above" : `from the ${name}`),
  guard: (name) => `from ${name}`,
  manner: (name) => `I hit ${name}`,
  call: (name) => `the judge calls ${name} for me`,
};

const isClass = (expected: readonly Expected[], wordClass: WordClass): boolean =>
  expected.some((one) => one.kind === "class" && one.class === wordClass);

/** How many characters of what could stand there are read to the end. */
const WIDEST = 140;

/** What could stand here, in a coach's words, without repeats. */
function wanted(expected: readonly Expected[]): readonly string[] {
  const texts: string[] = [];
  for (const one of expected) {
    if (one.kind === "number") texts.push("a number");
    else if (one.kind === "class") texts.push(CLASS_NAMES[one.class]);
    else if (one.kind === "text") texts.push(one.text === END ? "the end of the sentence" : `"${one.text}"`);
    else if (one.of === "value") texts.push(...one.names.map((name) => `"${name}"`));
    else if (one.names.length > 0)
      texts.push(one.of === "rule" ? `a rule's name in quotes` : `the name of a ${one.of}`);
  }
  const distinct = [...new Set(texts)];
  const fits = (count: number): boolean => distinct.slice(0, count).join(", ").length <= WIDEST;
  let count = distinct.length;
  while (count > 8 && !fits(count)) count--;
  return count < distinct.length ? [...distinct.slice(0, count), "..."] : distinct;
}

/** Everything that a misspelt word could have meant: first what fits here, then any word. */
function* candidates(c: Cursor, expected: readonly Expected[]): Generator<string> {
  for (const one of expected) {
    if (one.kind === "text") yield* one.text.split(" ");
    else if (one.kind === "name") yield* one.names;
    else if (one.kind === "class")
      for (const word of c.names.words.all(one.class)) yield* [word.name, ...(word.also ?? [])];
  }
}

function* everyWord(c: Cursor): Generator<string> {
  for (const wordClass of Object.keys(CLASS_NAMES) as WordClass[])
    for (const word of c.names.words.all(wordClass)) yield* [word.name, ...(word.also ?? [])];
}

export function diagnose(c: Cursor): Diagnosis {
  if (c.tokens.length === 0) return { said: emptySentence(), start: 0, end: c.text.trimEnd().length };
  const at = c.furthest;
  const slip = slipAt(c, at);
  if (slip) {
    const [start, end] = c.span(slip.from, slip.to);
    return { said: slip.said, start, end };
  }
  const could = couldStand(wanted(c.expected));
  const token = c.tokens[at];
  const value = token && misspeltValue(c, at);
  if (value) return value;
  if (token === undefined) {
    const end = c.text.trimEnd().length;
    return { said: stopsTooSoon(could), start: end, end };
  }
  const known = knownWord(c, at);
  if (known) {
    const [start, end] = c.span(at, known.next);
    return { said: misplaced(c, known.word, could), start, end };
  }
  const [start, end] = c.span(at, at + 1);
  const text = c.text.slice(start, end);
  if (token.kind !== "word" || isGrammar(c, token.text)) return { said: doesNotFit(text, could), start, end };
  const near = nearest(token.text, candidates(c, c.expected)) ?? nearest(token.text, everyWord(c));
  const said = near === undefined ? (ofAnotherSchool(c, at) ?? ownWord(c, at)) : undefined;
  return { said: said ?? unknownWord(text, near, could), start, end };
}

/** Where a value of a pick stands, the nearest value is meant, whatever other word it may be. */
function misspeltValue(c: Cursor, at: number): Diagnosis | undefined {
  const values = c.expected.flatMap((one) => (one.kind === "name" && one.of === "value" ? one.names : []));
  if (values.length === 0) return undefined;
  const [start] = c.span(at, at + 1);
  const text = c.text.slice(start).trim();
  const known = couldStand(values.map((one) => `"${one}"`));
  const near = nearest(text.toLowerCase(), values, 3);
  return { said: unknownWord(text, near, known), start, end: start + text.length };
}

/** "fendente" under the longsword. */
function ofAnotherSchool(c: Cursor, at: number): Message | undefined {
  const all = wordsFor(undefined, []);
  const found = all.longest(c.tokens, at, Object.keys(CLASS_NAMES) as WordClass[]);
  const word = found?.values[0];
  const weapon = word && all.lexiconOf(word).weapon;
  return word && weapon && otherSchool(word.name, weapon);
}

/** Words that no club would make its own. */
const NO_WORDS: ReadonlySet<string> = new Set(
  "without do does did in on at for by of while as is be no when if and but so because".split(" "),
);

/** "I hit the knee": no word of any school, so it may be one of the club's own. */
function ownWord(c: Cursor, at: number): Message | undefined {
  const token = c.tokens[at];
  const before = c.tokens[at - 1]?.text ?? "";
  if (token?.kind !== "word" || NO_WORDS.has(token.text)) return undefined;
  const [start, end] = c.span(at, at + 1);
  const word = c.text.slice(start, end);
  if (isClass(c.expected, "target") && ["hit", "to", "their", "my", "or"].includes(before))
    return perhapsOwn(word, "a target");
  if (isClass(c.expected, "action") && ["i", "they", "never", "or"].includes(before))
    return perhapsOwn(word, "an action");
  return undefined;
}

function knownWord(c: Cursor, at: number): { readonly word: Word; readonly next: number } | undefined {
  const found = c.names.words.longest(c.tokens, at, Object.keys(CLASS_NAMES) as WordClass[]);
  const word = found?.values[0];
  return found && word ? { word, next: found.next } : undefined;
}

function misplaced(c: Cursor, word: Word, could: string): Message {
  if (isClass(c.expected, word.class)) return doesNotFit(word.name, could);
  const [only, ...others] = c.expected.flatMap((one) => (one.kind === "class" ? [one.class] : []));
  if (
    only !== undefined &&
    others.every((one) => one === only) &&
    c.expected.every((one) => one.kind !== "text")
  )
    return anotherClass(word.name, CLASS_NAMES[word.class], CLASS_NAMES[only]);
  const write = word.class === "action" && word.verb !== undefined ? word.verb : word.name;
  return wrongClass(word.name, CLASS_NAMES[word.class], WRITE[word.class](write));
}

/** Words of the grammar itself: they are spelt right, but stand in the wrong place. */
const GRAMMAR: ReadonlySet<string> = new Set(
  (
    "i they we both or and then at once first never make hit miss fall short strike act begin with to from not for s more " +
    "less anything but one of my their in last exchange it is double simultaneous level ahead behind by am are left " +
    "score win lose bout judge calls me them pays paid theirs mine now moment each time full if what between bonus point " +
    "points as says times annul triple halve turn over hold lost end warn retire twice tonight pair team hall count flag " +
    "set note token roles up down on off gains becomes passes changes hands when after every before min doubles"
  ).split(" "),
);
const isGrammar = (c: Cursor, text: string): boolean => GRAMMAR.has(text) || c.names.contains(text);
