/** The closed lists of the rule language, and the types that follow from them. */

export const SIDES = ["red", "blue"] as const;
export type Side = (typeof SIDES)[number];

/** A value for each fencer. */
export interface Pair<T> {
  readonly red: T;
  readonly blue: T;
}

export const other = (side: Side): Side => (side === "red" ? "blue" : "red");

export const WEAPONS = ["longsword", "sidesword", "sabre", "rapier", "smallsword", "sport"] as const;
export type Weapon = (typeof WEAPONS)[number];

/** Two tallies, never mixed: points are the bout's score, bonus stays apart unless the rule set says so. */
export const UNITS = ["points", "bonus"] as const;
export type Unit = (typeof UNITS)[number];

/** How an action ended. "perhaps" is a hit that somebody still has to confirm. */
export const ENDS = ["hit", "perhaps", "miss", "fall short"] as const;
export type End = (typeof ENDS)[number];

/** What is said of a whole exchange. */
export const MANNERS_OF_EXCHANGE = ["double", "simultaneous", "no exchange"] as const;
export type MannerOfExchange = (typeof MANNERS_OF_EXCHANGE)[number];

/** How a bout ended; "red wins" and so on are said aloud exactly so. */
export const ENDINGS = [
  "red wins",
  "blue wins",
  "draw",
  "both lose",
  "no winner",
  "stopped",
  "red forfeits",
  "blue forfeits",
] as const;
export type Ending = (typeof ENDINGS)[number];

/**
 * The classes of words. A word is a constraint on an action: one or more attributes with a value.
 * The grammar knows the classes only, so that it never grows with the words.
 */
export const WORD_CLASSES = [
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
  "manner",
  "call",
] as const;
export type WordClass = (typeof WORD_CLASSES)[number];

export const FORMS = ["cut", "thrust", "slice"] as const;

/** From the striker's own side; straight is neither descending from a side nor level (straight down). */
export const DIRECTIONS = ["descending", "rising", "level"] as const;

export const EDGES = ["true edge", "false edge", "flat"] as const;

export const SCOPES = ["exchange", "bout", "pair", "team", "evening", "hall"] as const;
export type Scope = (typeof SCOPES)[number];
