/** German phrases. The verb stands second, so whatever leads ("dann", "im letzten Gang") turns subject and verb round. */
import { isForms } from "../canonical.ts";
import { words } from "../print-phrase.ts";
import type {
  Alike,
  Blow,
  Choice,
  Doing,
  Gap,
  Likeness,
  Manner,
  Owner,
  Phrase,
  PickValue,
  Place,
  Ref,
  Step,
} from "../tree.ts";
import {
  ACT,
  ACTIONS,
  BEGIN,
  DIRECTIONS,
  FORM_VERBS,
  FORMS,
  GUARDS,
  isGermanBlow,
  MAKE,
  MANNERS,
  quoted,
  RESULTS,
  SIDES,
  STRIKE,
  TARGETS,
  type Verb,
  WITHS,
} from "./words.ts";

const SUBJECTS = { I: "ich", they: "der Gegner", either: "einer von uns", both: "wir beide" } as const;
const FORM_OF = { I: 0, they: 1, either: 1, both: 2 } as const;

const OF: Readonly<Record<Owner, string>> = {
  my: "von mir",
  their: "vom Gegner",
  the: "",
  "my team's": "meiner Mannschaft",
  "their team's": "seiner Mannschaft",
};
/** A name that the coach gave, with its owner: „streak“ von mir. */
export const owned = (owner: Owner, name: string): string => words(quoted(name), OF[owner]);

const refText = ({ ref, owner, oneOf, atThatMoment }: Ref): string =>
  words(
    oneOf === true ? "eines aus" : "",
    owned(owner, ref),
    atThatMoment === true ? "in dem Augenblick" : "",
  );

/** "ein anderes Ziel", "dasselbe Ziel": hit; gone to; used. */
const LIKE: Readonly<Record<Likeness, readonly [noun: string, gender: "m" | "f" | "n"]>> = {
  target: ["Ziel", "n"],
  opening: ["Blöße", "f"],
  blow: ["Schlag", "m"],
  form: ["Schlagart", "f"],
  guard: ["Hut", "f"],
  side: ["Seite", "f"],
  hand: ["Hand", "f"],
};
const ANOTHER = {
  m: ["einen anderen", "einem anderen"],
  f: ["eine andere", "einer anderen"],
  n: ["ein anderes", "einem anderen"],
} as const;
const SAME = {
  m: ["denselben", "demselben"],
  f: ["dieselbe", "derselben"],
  n: ["dasselbe", "demselben"],
} as const;

function alikeText({ alike, what, theirs }: Alike, of: 0 | 1): string {
  const [noun, gender] = LIKE[what];
  const like = alike === "another" ? ANOTHER : SAME;
  const than = theirs !== true ? "" : alike === "another" ? "als beim Gegner" : "wie beim Gegner";
  return words(like[gender][of], noun, than);
}

function choice<T extends object>(
  of: Choice<T>,
  each: (one: T) => string,
  like: (one: Alike) => string,
  before = "",
): string {
  const said = of.any.map((one) =>
    "ref" in one ? words(before, refText(one)) : "alike" in one ? like(one) : each(one),
  );
  return said.join(" oder ");
}

function blowText({ direction, edge, form, blow, hand, footwork, kind }: Blow): string {
  const adverbs = [edge, hand, footwork].flatMap((one) =>
    one === undefined ? [] : (WITHS[one] ?? quoted(one)),
  );
  // A word of another tongue is said as it is: nobody knows its gender.
  if (blow !== undefined && !isGermanBlow(blow))
    return words(quoted(blow), adverbs.length === 0 ? "" : `mit ${adverbs.join(" und ")}`);
  const noun = blow === undefined ? form && FORMS[form] : capital(blow);
  const head = noun ?? kind ?? (direction === undefined ? undefined : "Schlag");
  const turn = direction && (DIRECTIONS[direction] ?? quoted(direction));
  if (head === undefined) return adverbs.join(" und ");
  return words("einem", turn, head, adverbs.length === 0 ? "" : `mit ${adverbs.join(" und ")}`);
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

const plainPart = (name: string): string | undefined => TARGETS[name]?.[0].replace(/^(?:den|die|das) /u, "");

/** A value of a pick, by itself: "obere linke Blöße", "Zornhau zum Kopf". */
export function valueText({ text, blow, target }: PickValue): string {
  if (blow !== undefined && target !== undefined) {
    const said = FORMS[blow] ?? (isGermanBlow(blow) ? capital(blow) : quoted(blow));
    return words(said, TARGETS[target]?.[1] ?? `zu ${quoted(target)}`);
  }
  const guard = GUARDS[text]?.replace(/^aus de[mr] /u, "");
  return plainPart(text) ?? FORMS[text] ?? guard ?? (isGermanBlow(text) ? capital(text) : quoted(text));
}

const withText = (of: Choice<Blow>): string =>
  words(
    "mit",
    of.but === true ? "allem außer" : "",
    choice(of, blowText, (one) => alikeText(one, 1)),
  );

type Target = Choice<{ readonly target: string }>;
const part = (name: string, at: 0 | 1 | 2): string => TARGETS[name]?.[at] ?? quoted(name);

/** What is hit: "den Kopf", "alles außer dem Bein". */
const hitText = (of: Target): string =>
  of.but === true
    ? words(
        "alles außer",
        choice(
          of,
          ({ target }) => part(target, 2),
          (one) => alikeText(one, 1),
        ),
      )
    : choice(
        of,
        ({ target }) => part(target, 0),
        (one) => alikeText(one, 0),
      );
/** Where a strike goes: "zum Kopf". */
const toText = (of: Target): string =>
  words(
    of.but === true ? "überallhin außer" : "",
    choice(
      of,
      ({ target }) => TARGETS[target]?.[1] ?? `zu ${quoted(target)}`,
      (one) => `zu ${alikeText(one, 1)}`,
    ),
  );

const placeText = (place: Place): string =>
  "side" in place
    ? (SIDES[place.side] ?? quoted(place.side))
    : (GUARDS[place.guard] ?? `aus ${quoted(place.guard)}`);
const fromText = (of: Choice<Place>): string =>
  words(
    of.but === true ? "überallher außer" : "",
    choice(of, placeText, (one) => `aus ${alikeText(one, 1)}`, "aus"),
  );

const mannerText = ({ manner, not }: Manner): string =>
  words(not === true ? "nicht" : "", MANNERS[manner] ?? quoted(manner));

interface Clause {
  readonly verbs: readonly Verb[];
  readonly joined: "oder" | "";
  /** Everything behind the verb. */
  readonly rest: readonly string[];
}

/** The verb of an action, and how many of its blows and targets the verb has said already. */
function verbsOf(doing: Doing): {
  readonly verbs: readonly Verb[];
  readonly blows: number;
  readonly targets: number;
} {
  const { kinds = [], begin, offence, result, with: blows = [], to = [] } = doing;
  const none = { blows: 0, targets: 0 };
  if (begin === true) return { verbs: [BEGIN], ...none };
  if (kinds.length > 0) return { verbs: kinds.map(actionVerb), ...none };
  if (result !== undefined) return { verbs: [RESULTS[result]], blows: 0, targets: to.length > 0 ? 1 : 0 };
  if (offence !== true) return { verbs: [ACT], ...none };
  const [first] = blows;
  if (first === undefined || !isForms(first)) return { verbs: [STRIKE], ...none };
  const forms = first.any.flatMap((one) => ("form" in one ? (one.form ?? []) : []));
  return { ...none, verbs: forms.map((form) => FORM_VERBS[form] ?? STRIKE), blows: 1 };
}

const actionVerb = (kind: string): Verb => ACTIONS[kind] ?? { ...MAKE, object: quoted(kind) };

function clauseOf(doing: Doing): Clause {
  const { verbs, blows, targets } = verbsOf(doing);
  const isResult = doing.result !== undefined && doing.begin !== true && (doing.kinds ?? []).length === 0;
  const [first] = doing.to ?? [];
  const result = doing.result === undefined || isResult ? undefined : RESULTS[doing.result];
  return {
    verbs: result ? [...verbs, result] : verbs,
    joined: "oder",
    rest: [
      targets > 0 && first ? hitText(first) : "",
      ...(doing.with ?? []).slice(blows).map(withText),
      ...(doing.to ?? []).slice(targets).map(toText),
      ...(doing.from ?? []).map(fromText),
      ...(doing.manners ?? []).map(mannerText),
      doing.seconds === undefined ? "" : `mindestens ${number(doing.seconds)} s lang`,
      doing.upTo === undefined ? "" : `höchstens ${number(doing.upTo)} s lang`,
    ],
  };
}

/** German writes a comma in a number. */
export const number = (n: number): string => String(n).replace(".", ",");

function linkText(link: Step["link"]): string {
  if (link === "next") return "als nächste eigene Aktion";
  return link === "at once" ? "sofort darauf" : "dann";
}
const gapText = ({ is, seconds }: Gap): string =>
  is === "within" ? `innerhalb von ${number(seconds)} s` : `nach mindestens ${number(seconds)} s`;

/** "der Gegner haut zum Kopf"; behind something that leads: "haut der Gegner zum Kopf". */
function stepText(step: Step, lead: string): string {
  const { subject, doing } = step;
  const form = FORM_OF[subject];
  const never = step.never === true ? "nie" : "";
  const result = "make" in doing || doing.result === undefined ? undefined : RESULTS[doing.result];
  const clause: Clause =
    "make" in doing
      ? { verbs: [{ ...MAKE, object: quoted(doing.make) }], joined: "", rest: [] }
      : clauseOf(doing);
  const tail =
    result !== undefined && clause.verbs.length > 1 && clause.verbs.at(-1) === result ? result : undefined;
  const verbs = tail ? clause.verbs.slice(0, -1) : clause.verbs;
  const [first, ...others] = verbs;
  if (first === undefined) return "";
  const open =
    lead === ""
      ? words(SUBJECTS[subject], first.forms[form])
      : words(lead, first.forms[form], SUBJECTS[subject]);
  const more = others.map((one) => words("oder", one.forms[form], one.object, one.end)).join(" ");
  // What stands at a verb's end closes its own part before another verb is named.
  const said =
    others.length > 0
      ? words(open, never, first.object, first.end, more, ...clause.rest)
      : words(open, never, first.object, ...clause.rest, first.end);
  return tail ? words(said, "und", tail.forms[form], tail.end) : said;
}

/** "der Gegner haut zum Kopf, dann pariere ich"; `lead` stands before it and turns it round. */
export function phraseText(phrase: Phrase, lead = ""): string {
  return phrase.steps
    .map((step, at) => {
      if (at === 0) return stepText(step, words(lead, phrase.first === true ? "zuerst" : ""));
      return stepText(step, words(linkText(step.link), step.gap && gapText(step.gap)));
    })
    .join(", ");
}
