/**
 * "another target", "the same guard": two recorded actions compared by what was said of them. Of two words that may
 * mean the same ("head", "face") it is unknown whether they do.
 */
import type { Alike, Likeness, RuleSet } from "../language/tree.ts";
import { visit } from "../language/walk.ts";
import { type AttributeClass, type Attributes, REMEMBERED_CLASSES } from "./attributes.ts";
import { type Formula, or, type Store } from "./formula.ts";

/** One "another target" of a step. */
export interface LikeTest {
  /** Number of what is compared. */
  readonly what: number;
  readonly another: boolean;
  /** With the other fencer's latest strike or feint, not with the own one. */
  readonly theirs: boolean;
}

interface Said {
  readonly set: bigint;
  /** The word as it was written; undefined where nobody wrote one. */
  readonly word: string | undefined;
}

/** "neither": one of the two has nothing that could be compared. "open": not known. */
type Verdict = Alike["alike"] | "neither" | "open";
export const VERDICTS = ["the same", "another", "neither"] as const satisfies readonly Verdict[];

/** What nobody recorded: it may be like anything. */
export const NOTHING_SAID = 0;

interface Compared {
  readonly what: Likeness;
  readonly attribute: number;
  /** By number; 0 is NOTHING_SAID. */
  readonly said: Said[];
  readonly numbers: Map<string, number>;
  readonly verdicts: Map<number, Verdict>;
  /** Words of the rule set that are finer than others, as values. */
  readonly mentioned: readonly bigint[];
}

interface Predicates {
  add(formula: Formula): number;
}

export class Likes {
  readonly compared: Compared[] = [];
  /** The predicate of a strike or a feint, which alone are compared; -1 where nothing is. */
  strike = -1;
  private readonly ruleSet: RuleSet;
  private readonly attributes: Attributes;
  private readonly predicates: Predicates;

  constructor(ruleSet: RuleSet, attributes: Attributes, predicates: Predicates) {
    this.ruleSet = ruleSet;
    this.attributes = attributes;
    this.predicates = predicates;
  }

  test({ alike, what, theirs }: Alike): LikeTest {
    return { what: this.number(what), another: alike === "another", theirs: theirs === true };
  }

  private number(what: Likeness): number {
    const known = this.compared.findIndex((one) => one.what === what);
    if (known >= 0) return known;
    const { attributes: a } = this;
    if (this.strike < 0) this.strike = this.predicates.add(or([a.offence(), a.word("feint", "action")]));
    const compared: Compared = {
      what,
      attribute: a.attribute(what),
      said: [{ set: 0n, word: undefined }],
      numbers: new Map(),
      verdicts: new Map(),
      mentioned: mentionedIn(this.ruleSet, what).map((word) => a.setOf(what, this.valuesOf(what, word))),
    };
    // Every word has a value of its own, so that two that differ are seen to differ.
    for (const word of this.wordsFor(what)) a.word(word, classOf(what));
    return this.compared.push(compared) - 1;
  }

  /** Every word that says something of this attribute. */
  private wordsFor(what: Likeness): readonly string[] {
    return this.attributes.lookup.all(classOf(what)).map(({ name }) => name);
  }

  /** Everything that it can be, as words; openings by their own names. */
  values(what: Likeness): readonly string[] {
    const words = this.wordsFor(what);
    const all = what === "opening" ? words.flatMap((word) => this.valuesOf(what, word)) : words;
    return [...new Set(all)].sort();
  }

  private valuesOf(what: Likeness, word: string): readonly string[] {
    return this.attributes.constraint(word, classOf(what)).get(what) ?? [];
  }

  /** A number for what was said of one recorded action, in which two are compared. */
  numberOf(index: number, store: Store, word: string | undefined): number {
    const { said, numbers, attribute } = this.compared[index] as Compared;
    const set = store[attribute] as bigint;
    const key = `${set.toString(36)} ${word ?? ""}`;
    let number = numbers.get(key);
    if (number === undefined) numbers.set(key, (number = said.push({ set, word }) - 1));
    return number;
  }

  /** Whether every strike has one, whether it was said or not. */
  isOfEveryStrike(index: number): boolean {
    const { what } = this.compared[index] as Compared;
    return what !== "blow" && what !== "guard";
  }

  /** What two actions are to each other. */
  verdict(index: number, before: number, now: number): Verdict {
    if (before === NOTHING_SAID || now === NOTHING_SAID) return "open";
    const compared = this.compared[index] as Compared;
    const key = before * 0x1_0000 + now;
    let verdict = compared.verdicts.get(key);
    if (verdict === undefined) compared.verdicts.set(key, (verdict = verdictOf(compared, before, now)));
    return verdict;
  }
}

/** Beside the values of words: none of them. */
const NO_VALUE = 1n;

/** The same word is the same thing, unless the rule set itself tells finer ones apart. */
function verdictOf({ said, mentioned }: Compared, before: number, now: number): Verdict {
  const [a, b] = [said[before] as Said, said[now] as Said];
  if (a.set === NO_VALUE || b.set === NO_VALUE) return "neither";
  const isOne = (set: bigint): boolean => (set & (set - 1n)) === 0n;
  const common = a.set & b.set;
  if (common === 0n) return ((a.set | b.set) & NO_VALUE) === 0n ? "another" : "open";
  if (isOne(a.set) && isOne(b.set)) return "the same";
  if (a.word === undefined || a.word !== b.word) return "open";
  const all = a.set | b.set;
  const finer = mentioned.some((set) => (set & all) !== 0n && (all & ~set) !== 0n);
  return finer ? "open" : "the same";
}

const classOf = (what: Likeness): AttributeClass =>
  what === "opening" ? "target" : (REMEMBERED_CLASSES[what] as AttributeClass);

/** The words that the rule set's own steps and picks name for it. */
function mentionedIn(ruleSet: RuleSet, what: Likeness): readonly string[] {
  const words = new Set<string>();
  const isTarget = what === "target" || what === "opening";
  visit(ruleSet, {
    phrase({ steps }) {
      for (const { doing } of steps) {
        if ("make" in doing) continue;
        const items = [...(doing.with ?? []), ...(doing.to ?? []), ...(doing.from ?? [])];
        for (const one of items.flatMap<object>(({ any }) => any)) {
          const word = (one as Readonly<Record<string, unknown>>)[isTarget ? "target" : what];
          if (typeof word === "string") words.add(word);
        }
      }
    },
  });
  for (const { from } of ruleSet.picks)
    for (const { text, blow, target } of from)
      for (const word of [text, blow, target]) if (word !== undefined) words.add(word);
  return [...words];
}
