/** What a recorded action, or an unrecorded one, may be: the values that each attribute can still have (S1-S3). */
import type { Act, ExchangeLine } from "../record.ts";
import { type Side, SIDES } from "../vocabulary.ts";
import {
  type AttributeClass,
  type Attributes,
  excludedBy,
  MANNER,
  mannerAttribute,
  saidAttribute,
} from "./attributes.ts";
import type { Store } from "./formula.ts";
import { type Hands, handsOf, LEFT_HANDERS } from "./hands.ts";

/** What may be missing from a line: nothing, anything, only some words, or anything but some words. */
export type Openness = boolean | { readonly only: readonly string[] } | { readonly but: readonly string[] };

/** A "no exchange" line is always closed (S8). */
export function opennessOf({ how, open, closed }: ExchangeLine): Openness {
  if (how === "no exchange") return false;
  if (typeof open !== "boolean") return { only: open };
  return open && closed !== undefined && closed.length > 0 ? { but: closed } : open;
}

/** How one action stands in its line: what the line, not the action, says of it. */
export interface Standing {
  readonly open: Openness;
  /** Right after the fencer's own parry: a strike there is a riposte (S2). */
  readonly afterOwnParry: boolean;
  readonly end: "hit" | "miss" | "fall short" | "no hit";
  /** Landed, and the other landed nothing. */
  readonly clean: boolean;
  /** Who strikes with the left in this bout. */
  readonly leftHanded: readonly Side[];
}

export interface Known {
  readonly store: Store;
  /** Attributes that somebody wrote; nothing narrows them away. */
  readonly written: ReadonlySet<number>;
}

const WORD_KEYS = [
  ["form", "form"],
  ["blow", "blow"],
  ["direction", "direction"],
  ["edge", "edge"],
  ["hand", "hand"],
  ["footwork", "footwork"],
  ["target", "target"],
] as const;
const CLASSES_OF_NOT: readonly AttributeClass[] = [
  "action",
  "form",
  "blow",
  "direction",
  "edge",
  "hand",
  "footwork",
  "target",
  "side",
  "guard",
];

/** "contact" and "tempo" stand for every word of their family in a line's list of what may be missing. */
const FAMILIES: Readonly<Record<string, readonly string[]>> = {
  contact: ["parry", "beat", "bind", "press", "touch blades"],
  tempo: ["in one tempo", "in two tempi"],
};

/** Whether a line leaves this word open: whether an action of that kind, or that manner, may be missing from it. */
export function leavesOpen(open: Openness, word: string, by?: Act["by"]): boolean {
  if (typeof open === "boolean") return open;
  const named = (list: readonly string[], prefix: string): boolean =>
    list.some((kind) => kind === prefix + word || (prefix === "" && FAMILIES[kind]?.includes(word) === true));
  const sides = by === "both" ? SIDES : by === undefined ? [] : [by];
  // Both acting needs both left open, and one of them closed closes it.
  if ("only" in open)
    return named(open.only, "") || (sides.length > 0 && sides.every((side) => named(open.only, `${side} `)));
  return !named(open.but, "") && !sides.some((side) => named(open.but, `${side} `));
}

/** The words that an action of this kind is too: a stop-hit is a counter-attack. */
function coveringWords(attributes: Attributes, kind: string): readonly string[] {
  const wider = attributes.lookup.all("action").filter((word) => word.means?.kind?.includes(kind) === true);
  return [kind, ...wider.flatMap(({ name }) => (name === kind ? [] : [name]))];
}

/** A list that leaves counter-attacks open leaves stop-hits open, and one that closes the former closes the latter. */
function leavesKindOpen(attributes: Attributes, open: Openness, kind: string, by: Act["by"]): boolean {
  const words = coveringWords(attributes, kind);
  return typeof open === "object" && "but" in open
    ? words.every((word) => leavesOpen(open, word, by))
    : words.some((word) => leavesOpen(open, word, by));
}

/** Whether anything at all may stand before the first action or after the last. */
const isWide = (open: Openness): boolean => open === true || (typeof open === "object" && "but" in open);

export const isStrike = (act: Act): boolean =>
  act.form !== undefined ||
  act.blow !== undefined ||
  act.direction !== undefined ||
  act.edge !== undefined ||
  act.target !== undefined ||
  act.end !== undefined;

class Build {
  readonly store: bigint[];
  readonly written = new Set<number>();
  readonly attributes: Attributes;
  readonly hands: readonly Hands[];

  constructor(attributes: Attributes, hands: readonly Hands[]) {
    this.attributes = attributes;
    this.hands = hands;
    this.store = attributes.everything();
    this.set(LEFT_HANDERS, hands);
  }

  set(name: string, values: readonly string[]): void {
    if (values.length === 0) return;
    const attribute = this.attributes.mentioned(name);
    if (attribute === undefined) return;
    this.store[attribute] = this.attributes.bits(attribute, values);
    this.written.add(attribute);
  }

  /** No value that a rule mentions. */
  none(name: string): void {
    const attribute = this.attributes.mentioned(name);
    if (attribute !== undefined) this.store[attribute] = 1n;
  }

  narrow(name: string, set: bigint): void {
    const attribute = this.attributes.mentioned(name);
    if (attribute === undefined || this.written.has(attribute)) return;
    const narrowed = (this.store[attribute] as bigint) & set;
    if (narrowed !== 0n) this.store[attribute] = narrowed;
  }
}

export function knownOfAct(attributes: Attributes, act: Act, standing: Standing): Known {
  const build = new Build(attributes, handsOf(act.by, standing.leftHanded));
  writeKind(build, act, standing);
  const words = wordsOf(act);
  for (const [name, wordClass] of words) writeOwn(build, name, wordClass);
  for (const [name, wordClass] of words)
    for (const [attribute, values] of attributes.constraintFor(name, wordClass, build.hands)) {
      const index = attributes.mentioned(attribute);
      if (index !== undefined) build.narrow(attribute, attributes.bits(index, values));
    }
  writeEnd(build, standing, act.not);
  writeManners(build, act, standing.open);
  for (const name of act.not ?? []) writeNot(build, name);
  writeSeconds(build, act.for);
  return { store: build.store, written: build.written };
}

function wordsOf(act: Act): (readonly [string, AttributeClass])[] {
  const words: [string, AttributeClass][] = [];
  if (act.kind !== undefined) words.push([act.kind, "action"]);
  for (const [key, wordClass] of WORD_KEYS) {
    const name = act[key];
    if (name !== undefined) words.push([name, wordClass]);
  }
  return words;
}

/** The word's own attribute; what it only implies may still be contradicted by another written word. */
function writeOwn(build: Build, name: string, wordClass: AttributeClass): void {
  const constraint = build.attributes.constraintFor(name, wordClass, build.hands);
  const own = wordClass === "action" ? "kind" : wordClass;
  build.set(saidAttribute(own), [name]);
  build.set(saidAttribute("opening"), constraint.get("opening") ?? []);
  const values = constraint.get(own);
  if (values !== undefined) build.set(own, values);
  else for (const [attribute, implied] of constraint) build.set(attribute, implied);
}

const AFTER_PARRY: readonly string[] = ["riposte", "counter-riposte"];

/** The pad always says double, afterblow or neither (S6): a strike that nobody called an afterblow is none. */
const afterblowSet = (attributes: Attributes): bigint =>
  attributes.bits(attributes.mentioned("kind") as number, [AFTERBLOW]);
const AFTERBLOW = "afterblow";

function writeKind(build: Build, act: Act, { open, afterOwnParry }: Standing): void {
  const { attributes } = build;
  for (const place of act.from ?? []) {
    const isGuard = attributes.lookup.named(place, "guard") !== undefined;
    writeOwn(build, place, isGuard || !["right", "left", "above"].includes(place) ? "guard" : "side");
  }
  if (act.kind !== undefined || !isStrike(act)) return;
  const kindsOf = (kind: string): readonly string[] =>
    attributes.constraint(kind, "action").get("kind") ?? [];
  if (afterOwnParry) build.set("kind", kindsOf("riposte"));
  else if (isWide(open)) build.narrow("kind", attributes.offenceSet() & ~afterblowSet(attributes));
  else if (open === false) build.set("kind", kindsOf("attack"));
  else {
    // What is missing can make another strike of it: with a parry missing before it, a riposte.
    const answers = leavesOpen(open, "parry", act.by) ? AFTER_PARRY : [];
    const may = (kind: string): boolean =>
      attributes.isOffence(kind) &&
      (answers.includes(kind) || leavesKindOpen(attributes, open, kind, act.by));
    const kinds = attributes.lookup.all("action").filter((word) => may(word.name));
    const index = attributes.mentioned("kind") as number;
    build.narrow("kind", attributes.bits(index, [...kindsOf("attack"), ...kinds.map((word) => word.name)]));
  }
}

function writeEnd(build: Build, { end, open, clean }: Standing, not: Act["not"]): void {
  if (end !== "no hit") build.set("end", [end]);
  else if (open === false) build.none("end");
  else {
    const index = build.attributes.mentioned("end") as number;
    const missing = ["miss", "fall short"].filter(
      (one) => leavesOpen(open, one) && not?.includes(one) !== true,
    );
    build.narrow("end", build.attributes.bits(index, missing) | 1n);
  }
  if (clean) build.set("clean", ["yes"]);
  else build.none("clean");
}

function writeManners(build: Build, act: Act, open: Openness): void {
  const { attributes } = build;
  for (const name of attributes.names)
    if (name.startsWith(MANNER) && !leavesOpen(open, name.slice(MANNER.length))) build.none(name);
  for (const manner of act.manners ?? []) {
    build.set(mannerAttribute(manner), ["yes"]);
    for (const excluded of excludedBy(attributes.lookup, manner)) build.none(mannerAttribute(excluded));
  }
}

function writeNot(build: Build, name: string): void {
  const { attributes } = build;
  if (name === "miss" || name === "fall short") return;
  if (attributes.lookup.named(name, "manner") || attributes.mentioned(mannerAttribute(name)) !== undefined) {
    build.none(mannerAttribute(name));
    return;
  }
  const wordClass = CLASSES_OF_NOT.find((one) => attributes.lookup.named(name, one) !== undefined);
  if (wordClass === undefined) return;
  const constraint = attributes.constraint(name, wordClass);
  const own = wordClass === "action" ? "kind" : wordClass;
  const [attribute, values] = constraint.has(own)
    ? [own, constraint.get(own) ?? []]
    : ([...constraint][0] ?? [own, []]);
  const index = attributes.mentioned(attribute);
  if (index === undefined) return;
  // "Some other value" stays possible: not this one is all that was seen.
  const refuted = attributes.bits(index, values) & ~1n;
  const left = (build.store[index] as bigint) & ~refuted;
  if (left !== 0n) build.store[index] = left;
}

function writeSeconds(build: Build, seconds: number | undefined): void {
  if (seconds === undefined) return;
  for (const name of build.attributes.names) {
    const [kind, said] = name.split(": ");
    if (kind !== "seconds" && kind !== "up to") continue;
    const holds = kind === "seconds" ? seconds >= Number(said) : seconds <= Number(said);
    if (holds) build.set(name, ["yes"]);
    else build.none(name);
  }
}

/** An action that nobody recorded: never a hit, and of the kinds that the line leaves open. */
export function knownOfUnrecorded(
  attributes: Attributes,
  open: Openness,
  by: Act["by"],
  leftHanded: readonly Side[],
): readonly Known[] {
  if (open === false) return [];
  const build = new Build(attributes, handsOf(by, leftHanded));
  build.none("clean");
  build.narrow(
    "end",
    build.attributes.bits(attributes.mentioned("end") as number, ["miss", "fall short"]) | 1n,
  );
  if (isWide(open))
    for (const name of attributes.names)
      if (name.startsWith(MANNER) && !leavesOpen(open, name.slice(MANNER.length))) build.none(name);
  if (open !== true) {
    const kind = attributes.mentioned("kind") as number;
    const words = attributes.lookup.all("action");
    const bits = (some: readonly { name: string }[]): bigint =>
      some.reduce((set, word) => set | attributes.bits(kind, [word.name]), 0n);
    const left = words.filter((word) => leavesKindOpen(attributes, open, word.name, by));
    const allowed = bits(left);
    if (allowed === 0n) return [];
    // Where every offence of the list is surely not missing, none of another name is.
    const others = left.some((word) => word.offence === true) ? 3n : 1n;
    build.store[kind] = allowed | (isWide(open) ? others : 0n);
  }
  // An afterblow is a hit, and a hit is never unrecorded (S1).
  build.narrow("kind", ~afterblowSet(attributes));
  return [{ store: build.store, written: build.written }];
}
