/**
 * The attributes of an action that one rule set mentions, each with its few values, and the formula of every word on
 * them. Bit 0 of a value set is "some other value"; a value gets a bit of its own only when a rule mentions it.
 */
import type { Meaning, Word } from "../language/lexicon.ts";
import type { WordClass } from "../vocabulary.ts";
import { and, type Formula, or, type Store } from "./formula.ts";
import { allowed, everyHand, HANDS, type Hands, LEFT_HANDERS, turningOf } from "./hands.ts";

/** The part of the word list that scoring needs. */
export interface Lookup {
  named(name: string, wordClass: WordClass): Word | undefined;
  all(wordClass: WordClass): readonly Word[];
}

const OWN_ATTRIBUTE = {
  action: "kind",
  form: "form",
  blow: "blow",
  direction: "direction",
  edge: "edge",
  hand: "hand",
  footwork: "footwork",
  target: "target",
  side: "side",
  guard: "guard",
} as const;
export type AttributeClass = keyof typeof OWN_ATTRIBUTE;

/** A word's constraint: each of these attributes has one of these values. */
export type Constraint = ReadonlyMap<string, readonly string[]>;

/** What a mark can remember of an action, with the class of its words; an opening is no word of its own. */
export const REMEMBERED_CLASSES: Readonly<Record<string, AttributeClass | undefined>> = {
  blow: "blow",
  form: "form",
  target: "target",
  kind: "action",
  side: "side",
  guard: "guard",
  hand: "hand",
};

const SAID = "said: ";
/** The word itself that was recorded: a mark that remembers "head" has not remembered "face", which "head" may be. */
export const saidAttribute = (what: string): string => SAID + what;

/** "cleanly" is found by the scorer (landed, and the other landed nothing), never recorded. */
const CLEANLY = "cleanly";
export const MANNER = "manner: ";
export const mannerAttribute = (manner: string): string => (manner === CLEANLY ? "clean" : MANNER + manner);

/** What depends on the word list alone, worked out once for all rule sets that share it. */
interface Shared {
  readonly kinds: ReadonlyMap<string, number>;
  readonly offences: ReadonlySet<string>;
  readonly constraints: Map<string, Constraint>;
}

const MOST_CONSTRAINTS = 2048;
const sharedByLookup = new WeakMap<Lookup, Shared>();

function sharedOf(lookup: Lookup): Shared {
  let shared = sharedByLookup.get(lookup);
  if (!shared) {
    const kinds = new Map([["other offence", 1]]);
    const actions = lookup.all("action");
    for (const { name } of actions) if (!kinds.has(name)) kinds.set(name, kinds.size + 1);
    const offences = new Set(actions.filter(({ offence }) => offence === true).map(({ name }) => name));
    sharedByLookup.set(lookup, (shared = { kinds, offences, constraints: new Map() }));
  }
  return shared;
}

interface Implied {
  readonly attribute: number;
  readonly set: bigint;
}

export class Attributes {
  readonly names: string[] = [];
  readonly lookup: Lookup;
  private readonly indexes = new Map<string, number>();
  private readonly values: Map<string, number>[] = [];
  private readonly shared: Shared;
  private readonly words = new Map<AttributeClass, Map<string, Formula>>();
  private readonly results = new Map<string, Formula>();
  private offenceBits: bigint | undefined;
  private readonly implications = new Map<bigint, readonly Implications[]>();

  constructor(lookup: Lookup) {
    this.lookup = lookup;
    this.shared = sharedOf(lookup);
    this.attribute("kind");
    for (const end of ["hit", "miss", "fall short"]) this.valueOf("end", end);
    this.valueOf("clean", "yes");
  }

  /** The number of an attribute, given on first mention. */
  attribute(name: string): number {
    const known = this.indexes.get(name);
    if (known !== undefined) return known;
    const index = this.names.push(name) - 1;
    this.indexes.set(name, index);
    this.values.push(new Map(name === "kind" ? this.shared.kinds : []));
    // What a word says of these turns with the hands.
    if (name === "side" || name === "opening") this.setOf(LEFT_HANDERS, HANDS);
    return index;
  }

  mentioned(name: string): number | undefined {
    return this.indexes.get(name);
  }

  /** The bit of a value, given on first mention. */
  private valueOf(attribute: string, value: string): number {
    const values = this.values[this.attribute(attribute)] as Map<string, number>;
    const known = values.get(value);
    if (known !== undefined) return known;
    values.set(value, values.size + 1);
    return values.size;
  }

  setOf(attribute: string, values: readonly string[]): bigint {
    let set = 0n;
    for (const value of values) set |= 1n << BigInt(this.valueOf(attribute, value));
    return set;
  }

  is(attribute: string, values: readonly string[]): Formula {
    return { op: "in", attribute: this.attribute(attribute), set: this.setOf(attribute, values) };
  }

  /** How an action ended. */
  result(result: string): Formula {
    let formula = this.results.get(result);
    if (!formula) this.results.set(result, (formula = this.is("end", [result])));
    return formula;
  }

  /** "strike": every word of class action that is an offence. */
  offence(): Formula {
    return { op: "in", attribute: this.attribute("kind"), set: this.offenceSet() };
  }

  offenceSet(): bigint {
    this.offenceBits ??= this.setOf("kind", [...this.shared.offences]) | 2n;
    return this.offenceBits;
  }

  isOffence(kind: string): boolean {
    return this.shared.offences.has(kind);
  }

  /** A word's formula; refuted by any of what the word implies. */
  word(name: string, wordClass: AttributeClass): Formula {
    let words = this.words.get(wordClass);
    if (!words) this.words.set(wordClass, (words = new Map()));
    let formula = words.get(name);
    if (!formula) {
      const parts: Formula[] = [];
      const turning = turningOf(this.lookup.named(name, wordClass));
      for (const [attribute, values] of this.constraint(name, wordClass)) {
        const hands = everyHand(attribute, values, turning);
        if (hands.length === 1) parts.push(this.is(attribute, values));
        else
          parts.push(
            or(hands.map((one) => and([this.is(LEFT_HANDERS, one.hands), this.is(attribute, one.values)]))),
          );
      }
      words.set(name, (formula = and(parts)));
    }
    return formula;
  }

  manner(name: string): Formula {
    return this.is(mannerAttribute(name), ["yes"]);
  }

  constraint(name: string, wordClass: AttributeClass): Constraint {
    const key = `${wordClass}/${name}`;
    const { constraints } = this.shared;
    let found = constraints.get(key);
    if (!found) {
      found = constraintOf(this.lookup.named(name, wordClass), name, wordClass);
      // A record may hold any word; only those of the list are worth keeping.
      if (constraints.size < MOST_CONSTRAINTS) constraints.set(key, found);
    }
    return found;
  }

  /** What a word allows an action whose fencers have one of these hands. */
  constraintFor(name: string, wordClass: AttributeClass, hands: readonly Hands[]): Constraint {
    const constraint = this.constraint(name, wordClass);
    const turning = turningOf(this.lookup.named(name, wordClass));
    if (turning === undefined) return constraint;
    return new Map(
      [...constraint].map(([attribute, values]) => [attribute, allowed(attribute, values, turning, hands)]),
    );
  }

  /** The values of a record's word, as bits; a value that no rule mentions is "some other". */
  bits(attribute: number, values: readonly string[]): bigint {
    const known = this.values[attribute] as Map<string, number>;
    const isKind = this.names[attribute] === "kind";
    return values.reduce((set, value) => {
      const bit = known.get(value) ?? (isKind && this.shared.offences.has(value) ? 1 : 0);
      return set | (1n << BigInt(bit));
    }, 0n);
  }

  everything(): bigint[] {
    return this.values.map((values) => (1n << BigInt(values.size + 1)) - 1n);
  }

  /** The name of the only value left, or undefined. */
  valueNames(attribute: number, set: bigint): string[] {
    const names: string[] = [];
    for (const [name, bit] of this.values[attribute] as Map<string, number>)
      if ((set >> BigInt(bit)) & 1n) names.push(name);
    return names;
  }

  /** What each value implies for other attributes, given these hands; built once for each, after the last mention. */
  implied(store: Store): readonly Implications[] {
    const index = this.indexes.get(LEFT_HANDERS);
    const set = index === undefined ? 0n : (store[index] as bigint);
    let found = this.implications.get(set);
    if (!found) {
      const hands = index === undefined ? HANDS : (this.valueNames(index, set) as Hands[]);
      found = this.names.map((name, attribute) => impliedBy(this, name, attribute, hands));
      this.implications.set(set, found);
    }
    return found;
  }

  bitOf(attribute: number): ReadonlyMap<string, number> {
    return this.values[attribute] as Map<string, number>;
  }
}

function constraintOf(word: Word | undefined, name: string, wordClass: AttributeClass): Constraint {
  const own = OWN_ATTRIBUTE[wordClass];
  const means: Meaning = word?.means ?? {};
  const constraint = new Map<string, readonly string[]>();
  // An opening is named by a target word of its own; it says nothing of the region.
  if (means[own] === undefined && !(own === "target" && means.opening !== undefined))
    constraint.set(own, [name]);
  for (const [attribute, values] of Object.entries(means)) constraint.set(attribute, values);
  if (word?.stroke !== undefined && means.side === undefined)
    constraint.set("side", [word.stroke === "forehand" ? "right" : "left"]);
  return constraint;
}

/** Kinds that are no strike have no form and no blow, feints apart. */
const SHAPELESS = ["form", "blow"];

function impliedBy(
  attributes: Attributes,
  name: string,
  attribute: number,
  hands: readonly Hands[],
): (readonly Implied[])[] {
  const byBit: Implied[][] = [];
  for (const [value, bit] of attributes.bitOf(attribute)) {
    const implied: Implied[] = [];
    const add = (other: string, values: readonly string[]): void => {
      const index = attributes.mentioned(other);
      if (index !== undefined && index !== attribute)
        implied.push({ attribute: index, set: attributes.bits(index, values) });
    };
    if (name === "kind" || name === "blow" || name === "guard" || name === "footwork" || name === "target")
      for (const [other, values] of attributes.constraintFor(value, name === "kind" ? "action" : name, hands))
        add(other, values);
    if (name === "kind" && value !== "feint" && value !== "other offence" && !attributes.isOffence(value)) {
      for (const other of SHAPELESS) add(other, []);
      for (const other of SHAPELESS.concat("end")) addOther(attributes, implied, other);
    }
    if (name.startsWith(SAID)) addSaid(attributes, name.slice(SAID.length), value, hands, add);
    if (name.startsWith(MANNER) && value === "yes")
      addExcluded(attributes, name.slice(MANNER.length), implied);
    byBit[bit] = implied.filter((one) => one.set !== 0n);
  }
  // No word of the list was said, so it is none.
  if (name.startsWith(SAID)) {
    const implied: Implied[] = [];
    addOther(attributes, implied, name.slice(SAID.length));
    byBit[0] = implied;
  }
  if (name === "kind") {
    const implied: Implied[] = [];
    for (const other of SHAPELESS.concat("end")) addOther(attributes, implied, other);
    byBit[0] = implied;
  }
  return byBit;
}

/** What was said was so. */
function addSaid(
  attributes: Attributes,
  what: string,
  value: string,
  hands: readonly Hands[],
  add: (other: string, values: readonly string[]) => void,
): void {
  const wordClass = REMEMBERED_CLASSES[what];
  if (wordClass === undefined) return add(what, [value]);
  for (const [other, values] of attributes.constraintFor(value, wordClass, hands)) add(other, values);
}

function addOther(attributes: Attributes, implied: Implied[], other: string): void {
  const index = attributes.mentioned(other);
  if (index !== undefined) implied.push({ attribute: index, set: 1n });
}

function addExcluded(attributes: Attributes, manner: string, implied: Implied[]): void {
  for (const excluded of excludedBy(attributes.lookup, manner)) {
    const index = attributes.mentioned(mannerAttribute(excluded));
    if (index !== undefined) implied.push({ attribute: index, set: 1n });
  }
}

/** Manners that cannot hold together with this one, whichever of the two words says so. */
export function excludedBy(lookup: Lookup, manner: string): readonly string[] {
  const own = lookup.named(manner, "manner")?.excludes ?? [];
  const others = lookup.all("manner").filter((word) => word.excludes?.includes(manner) === true);
  return [...own, ...others.map((word) => word.name)];
}

/**
 * Narrows every attribute by what its neighbours imply until nothing changes; undefined where nothing is left.
 * Attributes that were written are never narrowed away: what somebody saw wins over what a word implies.
 */
export function propagate(
  attributes: Attributes,
  start: Store,
  written: ReadonlySet<number>,
): Store | undefined {
  const store = [...start];
  const implied = attributes.implied(store);
  for (let changed = true; changed;) {
    changed = false;
    for (let attribute = 0; attribute < store.length; attribute++) {
      const byBit = implied[attribute] as Implications;
      if (byBit.length === 0) continue;
      if (!written.has(attribute) && dropContradicting(store, attribute, byBit)) changed = true;
      if (store[attribute] === 0n) return undefined;
      if (applyAgreed(store, attribute, byBit)) changed = true;
    }
  }
  return store;
}

type Implications = readonly (readonly Implied[] | undefined)[];

function dropContradicting(store: bigint[], attribute: number, byBit: Implications): boolean {
  const before = store[attribute] as bigint;
  let after = before;
  for (let bit = 0; bit < byBit.length; bit++) {
    if (!((after >> BigInt(bit)) & 1n)) continue;
    for (const { attribute: other, set } of byBit[bit] ?? [])
      if (((store[other] as bigint) & set) === 0n) after &= ~(1n << BigInt(bit));
  }
  store[attribute] = after;
  return after !== before;
}

/** What all values left imply; what contradicts something written is left alone. */
function applyAgreed(store: bigint[], attribute: number, byBit: Implications): boolean {
  const agreed = agreedOn(store[attribute] as bigint, byBit);
  let changed = false;
  for (const [other, set] of agreed) {
    const before = store[other] as bigint;
    const narrowed = before & set;
    if (narrowed === 0n || narrowed === before) continue;
    store[other] = narrowed;
    changed = true;
  }
  return changed;
}

/** For each attribute that every value left says something of, the values that some of them allow. */
function agreedOn(values: bigint, byBit: Implications): ReadonlyMap<number, bigint> {
  let agreed: Map<number, bigint> | undefined;
  for (let bit = 0; values >> BigInt(bit) !== 0n; bit++) {
    if (!((values >> BigInt(bit)) & 1n)) continue;
    const here = new Map<number, bigint>();
    for (const { attribute, set } of byBit[bit] ?? [])
      here.set(attribute, (here.get(attribute) ?? ~0n) & set);
    if (agreed === undefined) agreed = here;
    else
      for (const [attribute, set] of agreed) {
        const other = here.get(attribute);
        if (other === undefined) agreed.delete(attribute);
        else agreed.set(attribute, set | other);
      }
    if (agreed.size === 0) break;
  }
  return agreed ?? new Map();
}
