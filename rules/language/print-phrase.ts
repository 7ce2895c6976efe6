/** The canonical text of phrases. */
import { isForms } from "./canonical.ts";
import type { Alike, Blow, Choice, Doing, Gap, Manner, Owner, Phrase, Place, Ref, Step } from "./tree.ts";
import { verbOf } from "./words.ts";

const SUBJECTS = { I: "I", they: "they", either: "I or they", both: "we both" } as const;

export const words = (...parts: readonly (string | undefined)[]): string =>
  parts.filter((part) => part !== undefined && part !== "").join(" ");

/** "my streak", "the card"; a name that brings its own article gets no second one. */
export const owned = (owner: Owner, name: string): string =>
  owner === "the" && /^(the|an?) /i.test(name) ? name : `${owner} ${name}`;

const ref = (one: Ref): string =>
  words(
    one.oneOf === true ? "one of" : "",
    owned(one.owner, one.ref),
    one.atThatMoment === true ? "at that moment" : "",
  );

export const printAlike = ({ alike, what, theirs }: Alike): string =>
  words(alike, what, theirs !== true ? "" : alike === "another" ? "than theirs" : "as theirs");

function choice<T extends object>(of: Choice<T>, print: (one: T) => string): string {
  const texts = of.any.map((one) =>
    "ref" in one ? ref(one) : "alike" in one ? printAlike(one) : print(one),
  );
  return words(of.but === true ? "anything but" : "", texts.join(" or "));
}

const article = (text: string): string => {
  if (/\d$/.test(text)) return text;
  return `${/^[aeiou]/i.test(text) ? "an" : "a"} ${text}`;
};

/** "a descending cut", "an absetzen", "one hand", "a lunge", "the false edge". */
function printBlow(blow: Blow): string {
  const { direction, edge, form, blow: name, hand, footwork, kind } = blow;
  const head = words(form, name, kind, footwork);
  if (head !== "" || direction !== undefined) return article(words(direction, edge, head, hand));
  const text = words(edge, hand);
  return /^(one|both|two) /.test(text) ? text : `the ${text}`;
}

function printPlace(place: Place): string {
  if ("side" in place) return place.side === "above" ? "above" : `the ${place.side}`;
  return /\bguard\b/.test(place.guard) ? `the ${place.guard}` : place.guard;
}

const printManner = ({ manner, not }: Manner): string => (not === true ? `not ${manner}` : manner);
const printTarget = (of: Choice<{ readonly target: string }>): string =>
  choice(of, ({ target }) => `the ${target}`);

interface Verb {
  readonly text: string;
  /** How many of the blows and targets the verb has said already. */
  readonly blows: number;
  readonly targets: number;
  /** True where the verb is the result itself. */
  readonly result: boolean;
}

function verb(doing: Doing): Verb {
  const { kinds = [], begin, offence, result, with: blows = [], to = [] } = doing;
  const none = { blows: 0, targets: 0, result: false };
  if (begin === true) return { text: "begin", ...none };
  if (kinds.length > 0) return { text: kinds.map(verbOf).join(" or "), ...none };
  if (result !== undefined) {
    const [first] = to;
    return {
      text: words(result, first && printTarget(first)),
      blows: 0,
      targets: first ? 1 : 0,
      result: true,
    };
  }
  if (offence !== true) return { text: "act", ...none };
  const [first] = blows;
  if (first && isForms(first)) {
    const forms = first.any.map((one) => ("form" in one ? (one.form ?? "") : ""));
    return { ...none, text: forms.join(" or "), blows: 1 };
  }
  return { text: "strike", ...none };
}

function printDoing(doing: Doing): string {
  const { text, blows, targets, result } = verb(doing);
  return words(
    text,
    ...(doing.with ?? []).slice(blows).map((one) => `with ${choice(one, printBlow)}`),
    ...(doing.to ?? []).slice(targets).map((one) => `to ${printTarget(one)}`),
    ...(doing.from ?? []).map((one) => `from ${choice(one, printPlace)}`),
    ...(doing.manners ?? []).map(printManner),
    doing.seconds === undefined ? "" : `for ${String(doing.seconds)} s or more`,
    doing.upTo === undefined ? "" : `for ${String(doing.upTo)} s or less`,
    doing.result === undefined || result ? "" : `and ${doing.result}`,
  );
}

export function printStep(step: Step): string {
  const doing = "make" in step.doing ? `make ${owned("the", step.doing.make)}` : printDoing(step.doing);
  return words(SUBJECTS[step.subject], step.never === true ? "never" : "", doing);
}

export const printGap = ({ is, seconds }: Gap): string =>
  is === "within" ? `within ${String(seconds)} s` : `after ${String(seconds)} s or more`;

/** "they cut to the head, then I parry, at once I riposte and hit". */
export function printPhrase(phrase: Phrase): string {
  const steps = phrase.steps.map((step) =>
    step.link === "start"
      ? printStep(step)
      : words(step.link, step.gap && printGap(step.gap), printStep(step)),
  );
  return words(phrase.first === true ? "first" : "", steps.join(", "));
}
