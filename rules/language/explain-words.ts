/**
 * Plain English for a single action. Everything is said to the fencer who would earn: "I" of the rule is "you", the
 * opponent is "they". That spares the reader every third-person ending, and it is how a coach speaks to a fencer.
 */
import { wordsFor } from "./words.ts";
import type { Word } from "./lexicon.ts";
import type { Alike, Blow, Choice, Doing, Manner, Owner, Place, Ref } from "./tree.ts";

/**
 * How much is said. 0: everything. 1: without manners, places and where the opponent's action was aimed. 2: the
 * opponent's action by its bare noun. 3: bare verbs. The higher levels are for one line on a phone.
 */
export type Detail = 0 | 1 | 2 | 3;

export interface Tone {
  readonly detail: Detail;
  /** "the cut", "your riposte" instead of "a cut", "a riposte". */
  readonly familiar: boolean;
}
export const FULL: Tone = { detail: 0, familiar: false };

/** "a", "a or b", "a, b or c". */
export function listed(items: readonly string[], word: "or" | "and" = "or"): string {
  if (items.length < 2) return items[0] ?? "";
  return `${items.slice(0, -1).join(", ")} ${word} ${items[items.length - 1] ?? ""}`;
}

export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** Joins the words that are there. */
export const words = (...parts: readonly (string | undefined)[]): string =>
  parts.filter((part) => part !== undefined && part !== "").join(" ");

const article = (noun: string): string => `${/^[aeiou]/i.test(noun) ? "an" : "a"} ${noun}`;

const OWNERS: Readonly<Record<Owner, string>> = {
  my: "your",
  their: "their",
  the: "the",
  "my team's": "your team's",
  "their team's": "their team's",
};
export const ownerWord = (owner: Owner): string => OWNERS[owner];

/** A name that begins with its own possessive ("tonight's guard") takes no article. */
export function named(owner: Owner, name: string): string {
  return owner === "the" && /^\S+'s /.test(name) ? name : `${ownerWord(owner)} ${name}`;
}

export const refText = (ref: Ref): string =>
  words(ref.oneOf ? "one of" : "", named(ref.owner, ref.ref), ref.atThatMoment ? "at that moment" : "");

const alikeText = ({ alike, what, theirs }: Alike): string => {
  const like = alike === "another" ? "than" : "as";
  return words(alike, what, theirs ? `${like} theirs` : `${like} before`);
};

function choiceText<T extends object>(choice: Choice<T>, each: (one: T) => string): string {
  const items = choice.any.map((one) =>
    "ref" in one ? refText(one) : "alike" in one ? alikeText(one) : each(one),
  );
  return words(choice.but ? "anything but" : "", listed(items));
}

/** The noun of a blow without its article: "descending cut", "zwerchhau", "lunge". */
function blowNoun(blow: Blow): string {
  const head = blow.blow ?? blow.form ?? blow.kind ?? blow.footwork ?? blow.hand ?? "blow";
  return words(blow.direction, blow.edge?.replace(" edge", "-edge"), head);
}

/** "a descending cut"; a hand has no article: "one hand". */
const blowText = (blow: Blow): string => (blow.hand !== undefined ? blow.hand : article(blowNoun(blow)));

const placeText = (place: Place): string => {
  if ("guard" in place) return place.guard;
  return place.side === "above" ? "above" : `the ${place.side}`;
};

const mannerText = (manner: Manner): string => words(manner.not ? "not" : "", manner.manner);

export const targetText = (choice: Choice<{ readonly target: string }>): string =>
  choiceText(choice, (one) => `the ${one.target}`);

/** Every school's actions: the read-back needs to know only which ones land and what their verb is. */
const action = (kind: string): Word | undefined => wordsFor(undefined, []).named(kind, "action");
export const isOffence = (kind: string): boolean => action(kind)?.offence === true;
const verbOf = (kind: string): string => action(kind)?.verb ?? kind;

/** The one blow that stands alone behind "with" and has a form or a name of its own, or several of them. */
function struckBlows(doing: Doing): readonly Blow[] | undefined {
  const choice = doing.with?.[0];
  if (choice === undefined || choice.but) return undefined;
  const blows: Blow[] = [];
  for (const one of choice.any) {
    if ("ref" in one || "alike" in one || (one.form === undefined && one.blow === undefined))
      return undefined;
    blows.push(one);
  }
  return blows.length > 0 ? blows : undefined;
}

interface Said {
  readonly withs: boolean;
  readonly targets: boolean;
}
/** What follows the verb or noun: with, to, from, manners, for. */
function modifiers(doing: Doing, tone: Tone, said: Said): string {
  const { detail } = tone;
  const withs = said.withs && detail < 2 ? (doing.with ?? []) : [];
  const rest = said.withs || detail > 1 ? withs : (doing.with ?? []).slice(1);
  return words(
    ...rest.map((choice) => `with ${choiceText(choice, blowText)}`),
    ...(said.targets && detail < 3 ? (doing.to ?? []).map((choice) => `to ${targetText(choice)}`) : []),
    ...(detail === 0 ? (doing.from ?? []).map((choice) => `from ${choiceText(choice, placeText)}`) : []),
    ...(doing.manners ?? [])
      .filter((manner) => detail === 0 || (detail < 3 && manner.manner === "cleanly"))
      .map(mannerText),
    detail < 3 && doing.seconds !== undefined ? `for ${doing.seconds} s or more` : "",
    detail < 3 && doing.upTo !== undefined ? `for ${doing.upTo} s or less` : "",
  );
}

const pointed = (noun: string, tone: Tone, mine: boolean): string =>
  tone.familiar ? `${mine ? "your" : "the"} ${noun}` : article(noun);

/**
 * The opponent's offensive action as a thing that can be parried: "a descending cut to the head", in the familiar tone
 * "the cut". undefined where the action has no noun (a feint that must miss, a wait).
 */
export function asThing(doing: Doing, tone: Tone): string | undefined {
  if (doing.result !== undefined || doing.seconds !== undefined || doing.begin) return undefined;
  const kinds = doing.kinds ?? [];
  if (kinds.some((kind) => !isOffence(kind))) return undefined;
  const blows = kinds.length === 0 ? struckBlows(doing) : undefined;
  if (kinds.length === 0 && blows === undefined && !doing.offence) return undefined;
  const bare = tone.detail >= 2;
  const nouns =
    blows?.map((blow) => (bare ? (blow.blow ?? blow.form ?? "blow") : blowNoun(blow))) ??
    (kinds.length > 0 ? kinds : [tone.familiar ? "blow" : "strike"]);
  const noun = listed([...new Set(nouns)].map((one) => pointed(one, tone, false)));
  return words(noun, modifiers(doing, tone, { withs: blows === undefined, targets: tone.detail === 0 }));
}

/** Base verb of an action whose end nobody asks for: "parry or void", "make a descending cut", "strike". */
function plainVerb(doing: Doing, tone: Tone): { readonly verb: string; readonly withs: boolean } {
  const kinds = doing.kinds ?? [];
  if (kinds.length > 0) return { verb: listed(kinds.map((kind) => verbOf(kind))), withs: true };
  if (doing.begin) return { verb: "begin", withs: true };
  const blows = struckBlows(doing);
  if (blows?.every((blow) => blow.blow === undefined && blow.direction === undefined && !blow.edge)) {
    return { verb: listed(blows.map((blow) => blow.form ?? "strike")), withs: false };
  }
  if (blows !== undefined && tone.detail < 3) {
    return { verb: `make ${listed(blows.map((blow) => article(blowNoun(blow))))}`, withs: false };
  }
  if (doing.offence || doing.with !== undefined) return { verb: "strike", withs: true };
  return { verb: "act", withs: true };
}

/** "land a riposte", "hit the head", "begin from ox and hit". */
function hitVerb(doing: Doing, tone: Tone): string {
  const kinds = doing.kinds ?? [];
  if (kinds.length > 0 && kinds.every(isOffence)) {
    if (tone.detail > 2) return plainVerb(doing, tone).verb;
    const nouns = listed(kinds.map((kind) => pointed(kind, tone, true)));
    return words("land", nouns, modifiers(doing, tone, { withs: true, targets: true }));
  }
  if (kinds.length > 0 || doing.begin) {
    const { verb, withs } = plainVerb(doing, tone);
    return words(verb, modifiers(doing, tone, { withs, targets: true }), "and hit");
  }
  // "anything but" reads as what was hit: "hit anything but the leg".
  const what = tone.detail < 3 ? listed((doing.to ?? []).map(targetText), "and") : "";
  return words("hit", what, modifiers(doing, tone, { withs: true, targets: false }));
}

/** The action in the base form that fits "you", "they" and a command: "land a riposte to the torso". */
export function verbPhrase(doing: Doing, tone: Tone): string {
  if (doing.result === "hit") return hitVerb(doing, tone);
  if (doing.result !== undefined) {
    const alone = doing.kinds === undefined && doing.with === undefined && !doing.begin && !doing.offence;
    const what = listed((doing.to ?? []).map(targetText), "and");
    if (alone) return words(doing.result, what, modifiers(doing, tone, { withs: true, targets: false }));
  }
  const { verb, withs } = plainVerb(doing, tone);
  const said = words(verb, modifiers(doing, tone, { withs, targets: true }));
  return doing.result === undefined ? said : `${said} and ${doing.result}`;
}

/** Defences that take the opponent's action as their object: "parry a cut". */
/** Commands with a comma or an "and" of their own need one before the "or" between them. */
export const alternatives = (items: readonly string[]): string =>
  items.some((item) => /,| and /.test(item)) ? items.join(", or ") : listed(items);

const TAKING: ReadonlySet<string> = new Set(["parry", "void", "evade", "set aside"]);
export const takesObject = (doing: Doing): boolean =>
  doing.result === undefined &&
  doing.begin !== true &&
  doing.to === undefined &&
  doing.with === undefined &&
  (doing.kinds?.length ?? 0) > 0 &&
  (doing.kinds ?? []).every((kind) => TAKING.has(kind));
