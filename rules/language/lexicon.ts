/** What a lexicon file holds. The YAML files in ../lexicons are checked against `lexiconSchema` and compiled into modules at build. */
import * as z from "zod/mini";
import { type Weapon, WEAPONS, WORD_CLASSES, type WordClass } from "../vocabulary.ts";

/** Attributes of an action that a word can constrain. */
const ATTRIBUTES = [
  "kind",
  "form",
  "blow",
  "direction",
  "edge",
  "hand",
  "footwork",
  /** The striker's own side that it comes from: right, left, above. */
  "side",
  "guard",
  /** Region of the body: head, torso, arm, hand, leg ... */
  "target",
  /** Opening named from its owner's body: "upper left" ... */
  "opening",
] as const;
export type ActAttribute = (typeof ATTRIBUTES)[number];

/** Each attribute must be one of these values. */
export type Meaning = { readonly [A in ActAttribute]?: readonly string[] };

/**
 * Whose hand the word's sides and openings are named from. They are written for two right-handers; a left-hander turns
 * them to their mirror image. "unclear": the source speaks of right-handers only, so of a left-handed striker the word
 * and its mirror image are both possible.
 */
const TURNINGS = ["with the striker", "with the other", "unclear"] as const;
export type Turning = (typeof TURNINGS)[number];

export interface Word {
  readonly name: string;
  readonly class: WordClass;
  /** Other spellings and names that mean exactly the same. */
  readonly also?: readonly string[];
  /** Actions only: how a sentence says it ("land an afterblow"); missing: its name. */
  readonly verb?: string;
  /** Actions only: how a sentence tells it afterwards ("made a cavazione"); missing: the past of its name. */
  readonly told?: string;
  /** What the word implies; refuted by any of it. A blow's own name is implied too, unless it lists its kinds (mandritto). */
  readonly means?: Meaning;
  /** A finer word for one of the same class: whatever is this is that too ("left cheek" is a part of the face). */
  readonly of?: string;
  /** A blow struck from the forehand or the backhand: "from the right" follows from the striker's hand. */
  readonly stroke?: "forehand" | "backhand";
  /** Missing: with the striker where there is a stroke, else nothing turns. */
  readonly turns?: Turning;
  /** Actions only: true where it is an offensive action ("strike"). */
  readonly offence?: boolean;
  /** Words of the same class that cannot hold together with it (in one tempo, in two tempi). */
  readonly excludes?: readonly string[];
  /** A short plain gloss for a coach. */
  readonly gloss?: string;
  /** Key of one of the lexicon's sources. */
  readonly source?: string;
}

export interface Lexicon {
  readonly name: string;
  /** Missing: words of no school, always known. */
  readonly weapon?: Weapon;
  /** Published sources, keyed by a short name: "agocchie" -> "Giovanni dall'Agocchie, Dell'Arte di Scrimia, 1572". */
  readonly sources: Readonly<Record<string, string>>;
  readonly words: readonly Word[];
}

const text = z.string().check(z.minLength(1), z.trim());
const list = z.readonly(z.array(text).check(z.minLength(1)));

const meaningSchema = z.strictObject(
  Object.fromEntries(ATTRIBUTES.map((attribute) => [attribute, z.optional(list)])) as Record<
    ActAttribute,
    z.ZodMiniOptional<typeof list>
  >,
);

const wordSchema = z.strictObject({
  name: text,
  class: z.enum(WORD_CLASSES),
  also: z.optional(list),
  means: z.optional(meaningSchema),
  stroke: z.optional(z.enum(["forehand", "backhand"])),
  turns: z.optional(z.enum(TURNINGS)),
  offence: z.optional(z.boolean()),
  excludes: z.optional(list),
  verb: z.optional(text),
  told: z.optional(text),
  of: z.optional(text),
  gloss: z.optional(text),
  source: z.optional(text),
});

/** What a file in ../lexicons must look like; unknown keys are refused, so that a misspelt one is seen. */
export const lexiconSchema = z.strictObject({
  name: text,
  weapon: z.optional(z.enum(WEAPONS)),
  sources: z.record(z.string(), text),
  words: z.readonly(z.array(wordSchema)),
});
