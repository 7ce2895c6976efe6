/**
 * The closed list of a rule set's keys, and what each holds. The reader takes its keys from here and the JSON Schema is
 * made from here, so neither can know a key that the other does not.
 */
import { WEAPONS } from "../vocabulary.ts";

/** What stands beside a key. Sentences are read by the grammar; the envelope knows only that they are text. */
export type Holds =
  /** One text on one line, without double quotes. */
  | { readonly is: "title" }
  | { readonly is: "sentence" }
  /** One sentence, or a list of them. */
  | { readonly is: "sentences" }
  /** One value, or a list of them; each once. */
  | { readonly is: "values" }
  | { readonly is: "number" }
  /** One of these; \`articles\`: also with "a" or "an" in front. */
  | { readonly is: "one of"; readonly values: readonly string[]; readonly articles?: true }
  /** A group of keys. */
  | { readonly is: "group"; readonly keys: Keys }
  /** A list of groups of keys. */
  | { readonly is: "list"; readonly keys: Keys }
  /** Keys of the writer's own: names, or sentences, each with one thing beside it. */
  | { readonly is: "own keys"; readonly of: "names" | "sentences"; readonly each: Holds };

export interface Key {
  readonly title: string;
  /** In a coach's words, as an editor would show it. */
  readonly says: string;
  readonly holds: Holds;
  /** As one would write it: in the fault where a needed key is missing, and in the schema. */
  readonly example: string;
  /** Without it there is a fault. */
  readonly needed?: true;
}
export type Keys = Readonly<Record<string, Key>>;

/** The text keys of a list, for a reader that asks for one of them by name. */
export type KeyOf<K extends Keys> = Extract<keyof K, string>;
export const keysOf = <K extends Keys>(keys: K): readonly KeyOf<K>[] => Object.keys(keys) as KeyOf<K>[];

/** The keys that must be there, each with its example, in the order of the list. */
export const neededOf = (keys: Keys): readonly (readonly [key: string, example: string])[] =>
  Object.entries(keys).flatMap(([key, { needed, example }]) => (needed === true ? [[key, example]] : []));

const TITLE: Holds = { is: "title" };
const SENTENCE: Holds = { is: "sentence" };
const SENTENCES: Holds = { is: "sentences" };
const NUMBER: Holds = { is: "number" };

export const PICK_KEYS = {
  by: {
    title: "Who picks",
    says: "Who chooses the value: each fencer, the coach, the coach for each fencer, chance, chance for each fencer, or the judge.",
    holds: SENTENCE,
    example: "the coach",
    needed: true,
  },
  from: {
    title: "The values",
    says: "What may be picked: words, or a blow with its target, as in zornhau + head.",
    holds: { is: "values" },
    example: "[head, arm]",
    needed: true,
  },
  when: {
    title: "When it is picked",
    says: "Before or after the bout, the evening or each exchange; after every 2 exchanges; every 60 s.",
    holds: SENTENCE,
    example: "before the bout",
    needed: true,
  },
  "seen by": {
    title: "Who sees it",
    says: "The table, the coach, the fencer, or a role such as the attacker. Left out: everybody.",
    holds: SENTENCE,
    example: "the table",
  },
  shown: {
    title: "When it is shown",
    says: "At once or at the end.",
    holds: SENTENCE,
    example: "at the end",
  },
  turns: {
    title: "How many in turn",
    says: "How many values are drawn together and then taken in turn.",
    holds: NUMBER,
    example: "2",
  },
} as const satisfies Keys;

export const MARK_KEYS = {
  is: {
    title: "What it is, and whose",
    says: "A count, flag, set or note for whoever keeps it; a token; or two roles.",
    holds: SENTENCE,
    example: "a count for each fencer",
    needed: true,
  },
  starts: {
    title: "How it starts",
    says: "A count at a number, a flag on or off, a token or the first role with somebody. Left out: 0, off, empty, nobody.",
    holds: SENTENCE,
    example: "at 3",
  },
  changes: {
    title: "What changes it",
    says: "What happens to the mark and when, one sentence or a list of them.",
    holds: SENTENCES,
    example: "up 1 when I hit",
  },
} as const satisfies Keys;

export const BOUT_KEYS = {
  ends: {
    title: "What ends the bout",
    says: "At points, after exchanges or time, at a lead, at doubles. Left out: it ends when the table ends it.",
    holds: SENTENCES,
    example: "at 5 points",
  },
  starts: {
    title: "How the bout starts",
    says: "What stands before the first exchange: points given ahead, the place, the clock. Left out: nil all.",
    holds: SENTENCES,
    example: "the weaker has 2 points",
  },
  wins: {
    title: "Who wins",
    says: "By which score the bout is won. Left out: the more points.",
    holds: SENTENCE,
    example: "who has more bonus",
  },
  clock: {
    title: "The clock",
    says: "Stopped at the halt, or running. Left out: stopped at the halt.",
    holds: SENTENCE,
    example: "running",
  },
  halt: {
    title: "What halts",
    says: "On every hit, or only on a hit to one target. Left out: on every hit.",
    holds: SENTENCE,
    example: "on every hit",
  },
  ties: {
    title: "What breaks a tie",
    says: "Draw, sudden death, more time, a priority minute, judges' choice, or the fewer of a count. Left out: draw.",
    holds: SENTENCE,
    example: "sudden death",
  },
  doubles: {
    title: "What a double scores",
    says: "Nothing, both score, or one off each. Left out: nothing.",
    holds: SENTENCE,
    example: "score nothing",
  },
  afterblows: {
    title: "What an afterblow does",
    says: "Both score, it scores nothing, it takes off, it annuls the hit, or it halves. Left out: both score.",
    holds: SENTENCE,
    example: "take off 1",
  },
  simultaneous: {
    title: "What simultaneous hits score",
    says: "Nothing, or both score. Left out: nothing.",
    holds: SENTENCE,
    example: "score nothing",
  },
  panel: {
    title: "Who judges, and how they agree",
    says: "The referee decides, a majority, a jury, an average and the like. Left out: the referee decides.",
    holds: SENTENCE,
    example: "majority",
  },
  limits: {
    title: "What one fencer of a team may score",
    says: "The most that one fencer of a team scores.",
    holds: SENTENCE,
    example: "3 points a fencer",
  },
  "at the end": {
    title: "What becomes of the bonus at the end",
    says: "Bonus stays apart, or so many bonus make a point. Left out: it stays apart.",
    holds: SENTENCE,
    example: "bonus stays apart",
  },
  bonus: {
    title: "What bonus counts towards",
    says: "It stays apart, or counts towards the win, the cap, or both. Left out: it stays apart.",
    holds: SENTENCE,
    example: "counts towards the win",
  },
} as const satisfies Keys;

export const RULE_KEYS = {
  name: {
    title: "The rule's name",
    says: "How the rule is called on the floor and in the sentence of its award.",
    holds: TITLE,
    example: "Cover and answer",
    needed: true,
  },
  at: {
    title: "At an end",
    says: "Puts the rule to an end instead of every exchange.",
    holds: { is: "one of", values: ["the end of the bout", "the end of the evening"] },
    example: "the end of the bout",
  },
  when: {
    title: "When it holds",
    says: "Phrases; any one is enough. Left out: the rule is tried in every exchange.",
    holds: SENTENCES,
    example: "I parry, then I hit",
  },
  if: {
    title: "What must hold as well",
    says: "Phrases and conditions; any line is enough, and a comma with and joins several in one line.",
    holds: SENTENCES,
    example: "I am behind by 2 or more",
  },
  unless: {
    title: "What must not hold",
    says: "Phrases and conditions; any line that holds keeps the rule from paying.",
    holds: SENTENCES,
    example: "they land an afterblow",
  },
  pays: {
    title: "What it pays",
    says: "How much, in bonus or points, and to whom. The lines of a list are summed.",
    holds: SENTENCES,
    example: "2 bonus to me",
  },
  does: {
    title: "What it does",
    says: "Annuls, doubles, halves, turns over or holds awards of the exchange, ends the bout, or warns.",
    holds: SENTENCES,
    example: "annul my points",
  },
  "at most": {
    title: "How often, or how much",
    says: "The caps of what the rule pays, each with its scope.",
    holds: SENTENCES,
    example: "4 bonus a bout, 6 bonus a pair tonight",
  },
  "best of": {
    title: "Best of a group",
    says: "A group's name: of its rules only the one that pays a fencer most stays.",
    holds: TITLE,
    example: "answers",
  },
  "not below": {
    title: "The floor",
    says: "The fencer's tally never goes lower than this by what the rule pays.",
    holds: NUMBER,
    example: "0",
  },
  watch: {
    title: "Who must see it",
    says: "The table, a judge by number, or a second judge's assent.",
    holds: SENTENCE,
    example: "judge 1",
  },
} as const satisfies Keys;

export const KEYS = {
  name: {
    title: "The rule set's name",
    says: "How the rule set is called on the screens.",
    holds: TITLE,
    example: "Answer from above",
    needed: true,
  },
  weapon: {
    title: "The weapon",
    says: "Whose school's words may be used. Left out: the words of every school.",
    holds: { is: "one of", values: WEAPONS },
    example: "longsword",
  },
  words: {
    title: "Words of your own",
    says: "Each word with what it is: an action, a manner, a target, a guard, a call; a part of the head, a kind of parry, a descending cut to the arm, another word for lunge.",
    holds: {
      is: "own keys",
      of: "names",
      each: SENTENCE,
    },
    example: "{ praise: a call }",
  },
  phrases: {
    title: "Phrases with a name",
    says: "Who does what, in which order, named to be used again: I make the theme.",
    holds: { is: "own keys", of: "names", each: SENTENCE },
    example: "{ theme: I cut to the leg }",
  },
  picks: {
    title: "Picks",
    says: "Values that come from outside: a fencer's secret, a card, chance, a judge.",
    holds: { is: "own keys", of: "names", each: { is: "group", keys: PICK_KEYS } },
    example: "{ card: { by: the coach, from: [head, arm], when: before the bout } }",
  },
  marks: {
    title: "Marks",
    says: "Values that rules change: counts, flags, sets, notes, tokens and roles.",
    holds: { is: "own keys", of: "names", each: { is: "group", keys: MARK_KEYS } },
    example: "{ streak: { is: a count for each fencer, changes: up 1 when I hit } }",
  },
  bout: {
    title: "The bout",
    says: "How the bout goes. What is left out is as usual.",
    holds: { is: "group", keys: BOUT_KEYS },
    example: "{ ends: at 5 points }",
  },
  touches: {
    title: "What a touch is worth",
    says: "Phrases with numbers; of the lines that a fencer meets in an exchange the best one counts, once.",
    holds: { is: "own keys", of: "sentences", each: NUMBER },
    example: "{ I hit the head: 3, I hit: 1 }",
  },
  rules: {
    title: "The rules",
    says: "What pays beside the touches, each rule with its name.",
    holds: { is: "list", keys: RULE_KEYS },
    example: "[{ name: Off the parry, when: 'I parry, then I hit', pays: 2 bonus to me }]",
  },
} as const satisfies Keys;
