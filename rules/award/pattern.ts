/**
 * Phrases laid out as bits: one bit for "the steps up to here have happened", for each fencer as "I". All phrases of
 * a rule set advance together by a shift, an "and" with what the action is, and an "and" with where waiting is allowed.
 */
import type { Doing, Gap, Phrase, RuleSet, Step, Subject } from "../language/tree.ts";
import { msOf, type Timed } from "./ages.ts";
import type { Doings, StepTest } from "./doing.ts";
import { Unsupported } from "./refusal.ts";

export interface FlatStep {
  readonly link: Step["link"];
  readonly gap?: Gap;
  readonly subject: Subject;
  readonly never: boolean;
  readonly doing: Doing;
}
export interface FlatPhrase {
  readonly first: boolean;
  readonly steps: readonly FlatStep[];
}

/** Where a phrase is accepted: any of these bits, in either fencer's half. */
export interface Accepts {
  readonly id: number;
  readonly phrase: Phrase;
  readonly alternatives: readonly FlatPhrase[];
  readonly tests: readonly Bit[];
  /** One for each alternative; `mayEnd`: a "never" at its end can still take the match away. */
  readonly bits: readonly (Bit & { readonly mayEnd: boolean })[];
  /** A "never" at its end takes only the later matches away, so that they cannot be followed together. */
  readonly fades: boolean;
  /** Notes and sets that its steps read with this exchange's earlier actions in them. */
  readonly marksAtThatMoment: readonly string[];
}

export interface Bit {
  readonly word: number;
  readonly mask: number;
}

export interface Use {
  readonly test: StepTest;
  readonly subject: Subject;
  readonly never: boolean;
  readonly word: number;
  readonly bit: number;
  /** How long after the step before, in milliseconds; `timed` by number. */
  readonly gap?: { readonly is: Gap["is"]; readonly timed: number; readonly time: number };
}

const turned: Readonly<Record<Subject, Subject>> = { I: "they", they: "I", either: "either", both: "both" };

/** Named phrases written out, so that only plain steps are left; "I or they make the NAME" becomes two phrases. */
export function flatten(ruleSet: RuleSet, phrase: Phrase, turn = false, depth = 0): readonly FlatPhrase[] {
  if (depth > 8) throw new Unsupported("A named phrase uses itself.");
  if (!turn && phrase.steps.every(({ doing }) => !("make" in doing)))
    return [{ first: phrase.first === true, steps: phrase.steps.map(plainStep) }];
  let done: FlatPhrase[] = [{ first: phrase.first === true, steps: [] }];
  for (const step of phrase.steps) {
    const next = flatStep(ruleSet, step, turn, depth);
    done = done.flatMap((before) =>
      next.map((after) => ({
        first: before.first || (before.steps.length === 0 && after.first),
        steps: [...before.steps, ...after.steps],
      })),
    );
  }
  return done;
}

const plainStep = ({ link, gap, subject, never, doing }: Step): FlatStep => ({
  link,
  ...(gap ? { gap } : {}),
  subject,
  never: never === true,
  doing: doing as Doing,
});

function flatStep(ruleSet: RuleSet, step: Step, turn: boolean, depth: number): readonly FlatPhrase[] {
  const subject = turn ? turned[step.subject] : step.subject;
  const { doing, gap } = step;
  if (!("make" in doing)) return [{ first: false, steps: [{ ...plainStep(step), subject }] }];
  const named = ruleSet.phrases.find((one) => one.name === doing.make);
  if (!named) throw new Unsupported(`No phrase is named "${doing.make}".`);
  if (step.never === true && named.phrase.steps.length > 1)
    throw new Unsupported(
      `"never make the ${doing.make}": only a phrase of one step can be forbidden so; use "unless".`,
    );
  if (subject === "both")
    throw new Unsupported(`"we both make the ${doing.make}" cannot be one phrase; use two lines.`);
  const turns = subject === "either" ? [false, true] : [subject === "they"];
  return turns
    .flatMap((one) => flatten(ruleSet, named.phrase, one, depth + 1))
    .map(({ first, steps }) => {
      // The time runs to the first action that the phrase asks for.
      const timed = step.never === true ? 0 : steps.findIndex((inner) => !inner.never);
      return {
        first,
        steps: steps.map((inner, i) => ({
          ...inner,
          link: i === 0 ? step.link : inner.link,
          ...(gap && i === timed ? { gap } : {}),
          never: step.never === true ? true : inner.never,
        })),
      };
    });
}

export class Layout {
  readonly uses: Use[] = [];
  /** Bits of which it counts how long ago they were reached. */
  readonly timed: Timed[] = [];
  readonly phrases: Accepts[] = [];
  /** Bits in use of each word of a half. */
  private readonly used: number[] = [];
  /** Filled while phrases are added, one number a word. */
  readonly init: number[] = [];
  readonly start: number[] = [];
  readonly loop: number[] = [];
  readonly final: number[] = [];
  private readonly ruleSet: RuleSet;
  private readonly doings: Doings;
  private readonly known = new Map<Phrase, Accepts>();
  private readonly byMeaning = new Map<string, Accepts>();

  constructor(ruleSet: RuleSet, doings: Doings) {
    this.ruleSet = ruleSet;
    this.doings = doings;
  }

  get words(): number {
    return this.used.length;
  }

  /** A phrase is laid out once, however many rules name it or say the same in other words. */
  add(phrase: Phrase): Accepts {
    const known = this.known.get(phrase);
    if (known) return known;
    const alternatives = flatten(this.ruleSet, phrase);
    const tests = alternatives.map(({ steps }) => steps.map(({ doing }) => this.doings.test(doing)));
    const key = alternatives.map((flat, i) => meaningOf(flat, tests[i] as StepTest[])).join("/");
    let accepts = this.byMeaning.get(key);
    if (!accepts) {
      const bits = alternatives.map((flat, i) => {
        const { word, mask } = this.lay(flat, tests[i] as StepTest[]);
        return { word, mask, mayEnd: flat.steps.at(-1)?.never === true };
      });
      const fades = alternatives.some(({ steps }) => fadesAtItsEnd(steps));
      accepts = {
        id: this.phrases.length,
        phrase,
        alternatives,
        tests: merged(bits),
        bits,
        fades,
        marksAtThatMoment: tests.flatMap((steps) => steps.flatMap(namesAtThatMoment)),
      };
      this.phrases.push(accepts);
      this.byMeaning.set(key, accepts);
    }
    this.known.set(phrase, accepts);
    return accepts;
  }

  private lay(flat: FlatPhrase, tests: readonly StepTest[]): Bit {
    const { steps } = flat;
    const leadingNever = steps[0]?.never === true;
    const hasStart = flat.first || leadingNever;
    let bits = hasStart ? 1 : 0;
    for (const step of steps) if (!step.never) bits++;
    const { word, bit: from } = this.room(bits);
    let bit = from - 1;
    if (hasStart) {
      bit++;
      this.start[word]! |= 1 << bit;
      if (!flat.first) this.loop[word]! |= 1 << bit;
    } else this.init[word]! |= 1 << from;
    const firstBit = hasStart ? from + 1 : from;
    for (let i = 0; i < steps.length; i++) {
      const { subject, never, link, gap } = steps[i] as FlatStep;
      if (!never) bit++;
      else if (link === "at once" || link === "next")
        throw new Unsupported(`"${link}" and "never" cannot stand together.`);
      const before = never ? bit : bit - 1;
      if (gap && before < firstBit) throw new Unsupported(`"${gap.is} ${String(gap.seconds)} s" of what?`);
      const timing = gap && { gap: this.gapAfter(word, before, gap, never) };
      this.uses.push({ test: tests[i] as StepTest, subject, never, word, bit, ...timing });
      if (link === "next") this.uses.push(this.nothingBetween(subject, word, before));
      let next = i + 1;
      while (steps[next]?.never === true) next++;
      if (!never && steps[next]?.link !== "at once") this.loop[word]! |= 1 << bit;
    }
    this.final[word]! |= 1 << bit;
    return { word, mask: 1 << bit };
  }

  private gapAfter(word: number, bit: number, { is, seconds }: Gap, never: boolean): Use["gap"] & object {
    let timed = this.timed.findIndex((one) => one.word === word && one.bit === bit);
    if (timed < 0) timed = this.timed.push({ word, bit, within: -1, after: -1, window: -1 }) - 1;
    const own = this.timed[timed] as Timed;
    const time = msOf(seconds);
    if (never) own.window = Math.max(own.window, time);
    else own[is] = time;
    return { is, timed, time };
  }

  /** Until the next step that fencer does nothing else; of both or either, neither does. */
  private nothingBetween(subject: Subject, word: number, bit: number): Use {
    const who = subject === "both" ? "either" : subject;
    return { test: this.doings.test({}), subject: who, never: true, word, bit };
  }

  /** Phrases never cross a word, so that a shift needs no carry. */
  private room(bits: number): { word: number; bit: number } {
    if (bits > 32) throw new Unsupported("A phrase may have at most 32 steps.");
    let word = this.used.findIndex((used) => used + bits <= 32);
    if (word < 0) {
      word = this.used.push(0) - 1;
      for (const list of [this.init, this.start, this.loop, this.final]) list.push(0);
    }
    const bit = this.used[word] as number;
    this.used[word] = bit + bits;
    return { word, bit };
  }
}

/** What tells a written-out phrase from others, as text. */
function meaningOf({ first, steps }: FlatPhrase, tests: readonly StepTest[]): string {
  let key = first ? "first" : "";
  for (let i = 0; i < steps.length; i++) {
    const { link, gap, subject, never } = steps[i] as FlatStep;
    const { predicate, begin, choices } = tests[i] as StepTest;
    key += `;${link}${subject}${never ? "never" : ""}${begin ? "begin" : ""}${String(predicate)}`;
    if (gap) key += `${gap.is}${String(gap.seconds)}`;
    if (choices.length > 0) key += JSON.stringify(choices);
  }
  return key;
}

const NO_NAMES: readonly string[] = [];
const namesAtThatMoment = ({ choices }: StepTest): readonly string[] =>
  choices.length === 0
    ? NO_NAMES
    : choices.flatMap(({ refs }) => refs.flatMap(({ name, atThatMoment }) => (atThatMoment ? [name] : [])));

/** Whether the "never" at the end holds for a time only. */
function fadesAtItsEnd(steps: readonly FlatStep[]): boolean {
  const last = steps.findLastIndex(({ never }) => !never);
  return steps.some(({ never, gap }, i) => i > last && never && gap !== undefined);
}

/** Matches that only a part of can be taken away are not followed one by one. */
export function refuseFading(accepts: Pick<Accepts, "fades">, what: string): void {
  if (accepts.fades)
    throw new Unsupported(`${what} cannot follow a phrase that ends with "within ... s" and "never".`);
}

function merged(tests: readonly Bit[]): readonly Bit[] {
  if (tests.length === 1) return tests;
  const byWord = new Map<number, number>();
  for (const { word, mask } of tests) byWord.set(word, (byWord.get(word) ?? 0) | mask);
  return [...byWord].map(([word, mask]) => ({ word, mask }));
}
