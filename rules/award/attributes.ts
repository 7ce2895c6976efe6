/**
 * The attributes of an action that one rule set mentions, each with its few values, and the formula of every word on
 * them. Bit 0 of a value set is "some other value"; a value gets a bit of its own only when a rule mentions it.
 */
import type { Meaning, Word } from "../language/lexicon.ts";
import type { WordClass } from "../vocabulary.ts";
import { and, type Formula, type Store } from "./formula.ts";

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

/** "cleanly" is found by the scorer (landed, and the other landed nothing), never recorded. */
const CLEANLY = "cleanly";
export const MANNER = "manner: ";
export const mannerAttribute = (manner: string): string => (manner === CLEANLY ? "clean" : MANNER + manner);

interface Implied {
  readonly attribute: number;
  readonly set: bigint;
}

export class Attributes {
  readonly names: string[] = [];
  readonly lookup: Lookup;
  private readonly indexes = new Map<string, number>();
  private readonly values: Map<string, number>[] = [];
  private readonly offences = new Set<string>();
  private readonly constraints = new Map<string, Constraint>();
  private implications: Implications[] | undefined;

  constructor(lookup: Lookup) {
    this.lookup = lookup;
    this.attribute("kind");
    for (const word of lookup.all("action")) {
      this.valueOf("kind", word.name);
      if (word.offence === true) this.offences.add(word.name);
    }
    for (const end of ["hit", "miss", "fall short"]) this.valueOf("end", end);
    this.valueOf("clean", "yes");
  }

  /** The number of an attribute, given on first mention. */
  attribute(name: string): number {
    const known = this.indexes.get(name);
    if (known !== undefined) return known;
    const index = this.names.push(name) - 1;
    this.indexes.set(name, index);
    this.values.push(new Map(name === "kind" ? [["other offence", 1]] : []));
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
    return values.reduce((set, value) => set | (1n << BigInt(this.valueOf(attribute, value))), 0n);
  }

  is(attribute: string, values: readonly string[]): Formula {
    return { op: "in", attribute: this.attribute(attribute), set: this.setOf(attribute, values) };
  }

  /** "strike": every word of class action that is an offence. */
  offence(): Formula {
    return { op: "in", attribute: this.attribute("kind"), set: this.offenceSet() };
  }

  offenceSet(): bigint {
    return this.setOf("kind", [...this.offences]) | 2n;
  }

  isOffence(kind: string): boolean {
    return this.offences.has(kind);
  }

  /** A word's formula; refuted by any of what the word implies. */
  word(name: string, wordClass: AttributeClass): Formula {
    const parts: Formula[] = [];
    for (const [attribute, values] of this.constraint(name, wordClass))
      parts.push(this.is(attribute, values));
    return and(parts);
  }

  manner(name: string): Formula {
    return this.is(mannerAttribute(name), ["yes"]);
  }

  constraint(name: string, wordClass: AttributeClass): Constraint {
    const key = `${wordClass}/${name}`;
    let found = this.constraints.get(key);
    if (!found)
      this.constraints.set(key, (found = constraintOf(this.lookup.named(name, wordClass), name, wordClass)));
    return found;
  }

  /** The values of a record's word, as bits; a value that no rule mentions is "some other". */
  bits(attribute: number, values: readonly string[]): bigint {
    const known = this.values[attribute] as Map<string, number>;
    const isKind = this.names[attribute] === "kind";
    return values.reduce((set, value) => {
      const bit = known.get(value) ?? (isKind && this.offences.has(value) ? 1 : 0);
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

  /** What each value implies for other attributes; built once, after the last mention. */
  implied(): readonly (readonly (readonly Implied[] | undefined)[])[] {
    this.implications ??= this.names.map((name, attribute) => impliedBy(this, name, attribute));
    return this.implications;
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

function impliedBy(attributes: Attributes, name: string, attribute: number): (readonly Implied[])[] {
  const byBit: Implied[][] = [];
  for (const [value, bit] of attributes.bitOf(attribute)) {
    const implied: Implied[] = [];
    const add = (other: string, values: readonly string[]): void => {
      const index = attributes.mentioned(other);
      if (index !== undefined && index !== attribute)
        implied.push({ attribute: index, set: attributes.bits(index, values) });
    };
    if (name === "kind" || name === "blow" || name === "guard" || name === "footwork" || name === "target")
      for (const [other, values] of attributes.constraint(value, name === "kind" ? "action" : name))
        add(other, values);
    if (name === "kind" && value !== "feint" && value !== "other offence" && !attributes.isOffence(value)) {
      for (const other of SHAPELESS) add(other, []);
      for (const other of SHAPELESS.concat("end")) addOther(attributes, implied, other);
    }
    if (name.startsWith(MANNER) && value === "yes")
      addExcluded(attributes, name.slice(MANNER.length), implied);
    byBit[bit] = implied.filter((one) => one.set !== 0n);
  }
  if (name === "kind") {
    const implied: Implied[] = [];
    for (const other of SHAPELESS.concat("end")) addOther(attributes, implied, other);
    byBit[0] = implied;
  }
  return byBit;
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
  const implied = attributes.implied();
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
