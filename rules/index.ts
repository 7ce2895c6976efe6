/** The front door of the rule language: read, print, explain, compile, score. Pure and browser-safe. */
export {
  DIRECTIONS,
  EDGES,
  ENDINGS,
  ENDS,
  FORMS,
  MANNERS_OF_EXCHANGE,
  other,
  SCOPES,
  SIDES,
  UNITS,
  WEAPONS,
  WORD_CLASSES,
  type End,
  type Ending,
  type MannerOfExchange,
  type Pair,
  type Scope,
  type Side,
  type Unit,
  type Weapon,
  type WordClass,
} from "./vocabulary.ts";
export type { Act, BoutSheet, Call, ExchangeLine, GrantedLine, HadLine, SheetLine } from "./record.ts";
export type {
  Answer,
  Award,
  Claim,
  EveningAward,
  Fact,
  MarkValue,
  OpenAward,
  OpenEveningAward,
  Question,
  ScoredExchange,
  Span,
  Tally,
  TeamTotal,
} from "./award/tally.ts";
export { type Phrase, type Pick, type Rule, type RuleSet, type Step } from "./language/tree.ts";
export { PANELS, type BoutRules, type Panel, type Ties } from "./language/tree-bout.ts";
export { formatFaults, type Fault, type Outcome } from "./language/faults.ts";
export { readRuleSet } from "./language/read.ts";
export { envelopeSchema } from "./language/schema.ts";
export { printCondition, printPhrase, printRule, printRuleSet } from "./language/print.ts";
export { completeAt } from "./language/complete-file.ts";
export type { Completion, Completions } from "./language/complete.ts";
export { GERMAN } from "./language/german/german.ts";
export { ENGLISH, type Wording } from "./language/wording.ts";
export { hashRuleSet } from "./language/hash.ts";
export { explain, explainBriefly, type Explanation } from "./language/explain.ts";
export { wordsFor, type Words } from "./language/words.ts";
export { printJsonLines, printSheet, readJsonLines, readSheet } from "./language/sheet.ts";
export { compile, unsupported } from "./award/compile.ts";
export type { Scorer } from "./award/scorer.ts";
export { scoreBout } from "./award/score.ts";
export { applyFacts } from "./award/facts.ts";
export type { EveningEntry, Fencers, Holder } from "./award/entry.ts";
export { bringIn, carryOn, eveningAfter, eveningEnd } from "./award/evening.ts";
export { atLast, whetherOver, type BoutStanding, type Verdict, type WhenLevel } from "./award/over.ts";
export { pressPlan, type HitKey, type PressPlan } from "./award/plan.ts";
export type { ChipKey } from "./award/plan-chips.ts";
export { chips, draftLine, draftStart, isReady, press } from "./award/plan-draft.ts";
export type { Chip, Draft } from "./award/plan-read.ts";
export { sayAloud } from "./award/plan-say.ts";
export { SETS } from "./.generated/shelf.ts";
