/**
 * The wording of a rule set in one language: a table over the tree. Every entry says one kind of node; keys are words of
 * the envelope. English is the language that is written and read; another language is one more table of this shape, and
 * the compiler names every entry that it lacks.
 */
import { printBoutSentences } from "./print-bout.ts";
import { printAll } from "./print-condition.ts";
import { printChange, printMarkKind, printMarkStart, printPickTime, printSeenBy } from "./print-mark.ts";
import { printEffect, printLimit, printPay, printWatcher } from "./print-pay.ts";
import { printPhrase } from "./print-phrase.ts";
import { printOwnWord } from "./print-word.ts";
import type { BoutRules } from "./tree-bout.ts";
import type {
  Change,
  Condition,
  Effect,
  Limit,
  Mark,
  MarkStart,
  OwnWord,
  Pay,
  Phrase,
  Pick,
  PickTime,
  PickValue,
  Rule,
  Watcher,
} from "./tree.ts";
import type { Weapon } from "../vocabulary.ts";

/** The envelope's own words, in the order in which they are printed. */
export const KEY_WORDS = [
  "name",
  "weapon",
  "words",
  "phrases",
  "picks",
  "by",
  "from",
  "seen by",
  "shown",
  "turns",
  "marks",
  "is",
  "starts",
  "changes",
  "bout",
  "ends",
  "wins",
  "clock",
  "halt",
  "ties",
  "doubles",
  "afterblows",
  "simultaneous",
  "panel",
  "limits",
  "at the end",
  "bonus",
  "touches",
  "rules",
  "at",
  "when",
  "if",
  "unless",
  "pays",
  "does",
  "at most",
  "best of",
  "not below",
  "watch",
] as const;
export type KeyWord = (typeof KEY_WORDS)[number];

export interface Wording {
  /** Its text is written and read back, so that YAML's quotes stand where YAML needs them. */
  readonly written: boolean;
  readonly key: (key: KeyWord) => string;
  readonly weapon: (weapon: Weapon) => string;
  readonly ownWord: (word: OwnWord) => string;
  readonly phrase: (phrase: Phrase) => string;
  /** All of them: one line of a list. */
  readonly conditions: (all: readonly Condition[]) => string;
  readonly pay: (pay: Pay) => string;
  readonly effect: (effect: Effect) => string;
  readonly limits: (limits: readonly Limit[]) => string;
  readonly watcher: (watcher: Watcher) => string;
  readonly at: (at: NonNullable<Rule["at"]>) => string;
  readonly markKind: (mark: Mark) => string;
  readonly markStart: (start: MarkStart) => string;
  readonly change: (change: Change) => string;
  readonly value: (value: PickValue) => string;
  readonly pickBy: (by: Pick["by"]) => string;
  readonly pickTime: (time: PickTime) => string;
  readonly seenBy: (seenBy: NonNullable<Pick["seenBy"]>) => string;
  readonly shown: (shown: NonNullable<Pick["shown"]>) => string;
  /** Every sentence of a bout by its key; "" where there is none to say. */
  readonly bout: (bout: BoutRules) => BoutSentences;
}

export type BoutKey = Extract<
  KeyWord,
  | "ends"
  | "starts"
  | "wins"
  | "clock"
  | "halt"
  | "ties"
  | "doubles"
  | "afterblows"
  | "simultaneous"
  | "panel"
  | "limits"
  | "at the end"
  | "bonus"
>;
export type BoutSentences = Readonly<Record<BoutKey, string | readonly string[]>>;

export const ENGLISH: Wording = {
  written: true,
  key: (key) => key,
  weapon: (weapon) => weapon,
  ownWord: printOwnWord,
  phrase: printPhrase,
  conditions: printAll,
  pay: printPay,
  effect: printEffect,
  limits: (limits) => limits.map(printLimit).join(", "),
  watcher: printWatcher,
  at: (at) => at,
  markKind: printMarkKind,
  markStart: printMarkStart,
  change: printChange,
  value: ({ text }) => text,
  pickBy: (by) => by,
  pickTime: printPickTime,
  seenBy: printSeenBy,
  shown: (shown) => shown,
  bout: printBoutSentences,
};
