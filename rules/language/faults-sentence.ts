/** Every message that a single sentence of a rule set can meet, each with its cure. */
import type { Message } from "./faults.ts";
import type { Word } from "./lexicon.ts";
import { nearest } from "./spelling.ts";
import type { Origin } from "./words.ts";
import type { Keeper, Mark, Owner, Subject } from "./tree.ts";

const say = (code: string, text: string, cure?: string): Message =>
  cure === undefined ? { code, text } : { code, text, cure };

/** "a", "a" or "b", at most `most` of them. */
export function listed(texts: readonly string[], most = 8): string {
  const some = texts.slice(0, most).map((text) => `"${text}"`);
  if (texts.length > most) return `${some.join(", ")} and ${String(texts.length - most)} more`;
  return some.length < 2
    ? some.join("")
    : `${some.slice(0, -1).join(", ")} or ${some[some.length - 1] ?? ""}`;
}

const didYouMean = (near: string | undefined): string =>
  near === undefined ? "" : ` Did you mean "${near}"?`;

export const unknownWord = (word: string, near: string | undefined, could: string): Message =>
  say(
    "unknown-word",
    `"${word}" is not a word I know here.${near === undefined ? ` ${could}` : didYouMean(near)}`.trimEnd(),
    near,
  );

export const otherSchool = (word: string, weapon: string): Message =>
  say(
    "unknown-word",
    `"${word}" is a word of the ${weapon}. Write "weapon: ${weapon}" at the top, or no weapon at all: then the words of every school are there.`,
  );

export const perhapsOwn = (word: string, what: string): Message =>
  say(
    "unknown-word",
    `"${word}" is not a word I know here. If it is a word of your own, say at the top what it is: "words: { ${word.toLowerCase()}: ${what} }".`,
  );

/** The class of the word says what to write instead. */
export const wrongClass = (word: string, what: string, write: string): Message =>
  say("does-not-fit", `"${word}" does not fit here: it is ${what}: write "${write}".`);

export const anotherClass = (word: string, what: string, wanted: string): Message =>
  say("does-not-fit", `"${word}" is ${what}, but ${wanted} belongs here.`);

export const doesNotFit = (word: string, could: string): Message =>
  say("does-not-fit", `${word.startsWith('"') ? word : `"${word}"`} does not fit here. ${could}`.trimEnd());

export const stopsTooSoon = (could: string): Message =>
  say("stops-too-soon", `The sentence stops too soon. ${could}`.trimEnd());

export const couldStand = (texts: readonly string[]): string =>
  texts.length === 0 ? "" : `Here could stand ${texts.join(", ")}.`.replace("....", "...");

export const ambiguous = (first: Word, from: Origin, second: Word, otherFrom: Origin): Message =>
  say(
    "two-meanings",
    `"${first.name}" has two meanings: ${meaning(first)} (${from.name}), and ${meaning(second)} (${otherFrom.name}). ` +
      `Say the weapon at the top of the file, as in "weapon: ${from.weapon ?? otherFrom.weapon ?? "longsword"}".`,
  );
const meaning = (word: Word): string => word.gloss ?? word.name;

const points = (number: string): string => (/^-?1$/.test(number) ? "point" : "points");

export const noUnit = (number: string): Message =>
  say(
    "no-unit",
    `${number} of what? Write "${number} bonus to me" (the bonus tally) or "${number} ${points(number)} to me" (the score).`,
  );

export const noLimitUnit = (number: string): Message =>
  say(
    "no-unit",
    `${number} of what? Write "${number} bonus a bout", "${number} ${points(number)} a bout" or "${number} times a bout".`,
  );

export const toWhom = (sum: string): Message =>
  say("to-whom", `Paid to whom? Write "${sum} to me" or "${sum} to them".`, `${sum} to me`);

export const ownBody = (owner: Owner, subject: Subject): Message => {
  const other = subject === "they" ? "my" : "their";
  if (subject === "either" || subject === "both")
    return say("own-body", `"${owner}" is not clear here, since both may strike. Write "the".`, "the");
  return say(
    "own-body",
    `"${owner}" here would be the striker's own body. Write "the" or "${other}".`,
    "the",
  );
};

export const whoseName = (name: string): Message =>
  say("whose", `Whose "${name}"? Each fencer has one: write "my ${name}" or "their ${name}".`);

export const notKept = (name: string, keeper: Keeper | "a team", write: Owner): Message =>
  say(
    "whose",
    keeper === "a team"
      ? `"${name}" belongs to a team: write "${write} ${name}".`
      : `"${name}" is one for ${keeper}: write "${write} ${name}".`,
  );

const KINDS: Readonly<Record<Mark["is"], string>> = {
  count: `a count: write "is 3", "is 3 or more" or "is more than theirs"`,
  flag: `a flag: write "is on" or "is off"`,
  set: `a set: write "is 2 or more" for how much is in it`,
  note: `a note: use it where it is remembered, as in "I hit my NOTE"`,
  token: `a token: write "is mine" or "is theirs"`,
  roles: `a pair of roles: write "I am the ROLE"`,
};
export const notThatKind = (name: string, is: Mark["is"]): Message =>
  say("wrong-kind", `"${name}" is ${KINDS[is]}.`);

export const unknownName = (name: string, names: readonly string[]): Message => {
  const near = nearest(name, names);
  const known =
    names.length === 0
      ? ` Give it first: under "marks:", as in "${name}: { is: a count for each fencer, changes: up 1 when I hit }".`
      : ` Known here: ${listed(names)}.`;
  return say(
    "unknown-name",
    `"${name}" is no pick or mark of this rule set.${near === undefined ? known : didYouMean(near)}`,
    near,
  );
};

export const unknownPhrase = (name: string, names: readonly string[]): Message => {
  const near = nearest(name, names);
  const known =
    names.length === 0
      ? ` Give it above, as in "phrases: { ${name}: I cut to the leg }".`
      : ` Known here: ${listed(names)}.`;
  return say(
    "unknown-name",
    `There is no phrase "${name}".${near === undefined ? known : didYouMean(near)}`,
    near,
  );
};

export const attributeOfWhat = (attribute: string): Message =>
  say(
    "of-which-action",
    `"the ${attribute}" of which action? Say it of the action itself, as in "I hit with a cut" or "I hit the head".`,
  );

export const missingComma = (): Message =>
  say("missing-comma", `Put a comma between two conditions: ", and".`, ", and");

export const underIf = (sentence: string): Message =>
  say(
    "under-if",
    `Here stands only what is done. How it stands belongs under "if" of a rule, as in ${sentence.includes('"') ? `if: '${sentence}'` : `"if: ${sentence}"`}.`,
  );

export const needsSubject = (link: string, verb: string): Message =>
  say("who-acts", `Who does it? Write "${link} I ${verb}" or "${link} they ${verb}".`);

export const mixedVerbs = (first: string, second: string): Message =>
  say(
    "mixed-verbs",
    `"${first}" and "${second}" are not of one sort, so "or" cannot join them here. Write two lines, one for each.`,
  );

export const emptySentence = (): Message =>
  say("empty", "There is no sentence here. Write one, or leave the key out.");

/** Begins with a thing and not with who acts: "my riposte lands". */
export const beginWithWho = (wrong: string, right: string): Message =>
  say("who-acts", `Begin with who acts: write "${right}" for "${wrong}".`);

export const writeInstead = (wrong: string, right: string, why = ""): Message =>
  say("usual-slip", `${why === "" ? "" : `${why} `}Write "${right}" for "${wrong}".`, right);

export const writeThis = (why: string): Message => say("usual-slip", why);

/** A sentence with double quotes in it stands in single quotes in the file. */
const quoted = (sentence: string): string => (sentence.includes('"') ? `'${sentence}'` : `"${sentence}"`);

/** Messages that only say what could stand at one place: the whole sentence says it better. */
const PLACES: ReadonlySet<string> = new Set(["unknown-word", "does-not-fit", "stops-too-soon"]);

export function asAWhole(said: Message, whole: string): Message {
  if (said.text.includes(quoted(whole)) && !PLACES.has(said.code)) return said;
  if (!PLACES.has(said.code)) return { ...said, text: `${said.text} As a whole: ${quoted(whole)}.` };
  const [place = ""] = said.text.split(/ Here could stand|: write "| Did you mean| If it is a word of/u);
  return say(said.code, `${place.replace(/\.?$/u, ".")} Write ${quoted(whole)}.`);
}

export const numberSize = (number: string): Message =>
  say(
    "odd-number",
    `"${number.slice(0, 30)}" is too large or too fine: six digits at most, and three behind the point.`,
  );
export const decimalComma = (): Message =>
  say("odd-number", `Write a half with a point, as in 0.5, and a space after a comma between two numbers.`);
