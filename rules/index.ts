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
export type { Act, BoutSheet, Call, ExchangeLine, SheetLine } from "./record.ts";
export type {
  Answer,
  Award,
  Fact,
  MarkValue,
  OpenAward,
  Question,
  ScoredExchange,
  Span,
  Tally,
} from "./award/tally.ts";
export {
  PANELS,
  type BoutRules,
  type Panel,
  type Phrase,
  type Pick,
  type Rule,
  type RuleSet,
  type Step,
  type Ties,
} from "./language/tree.ts";
export { formatFaults, type Fault, type Outcome } from "./language/faults.ts";
export { readRuleSet } from "./language/read.ts";
export { printCondition, printPhrase, printRule, printRuleSet } from "./language/print.ts";
export { hashRuleSet } from "./language/hash.ts";
export { explain, type Explanation } from "./language/explain.ts";
export { wordsFor, type Words } from "./language/words.ts";
export { printJsonLines, printSheet, readJsonLines, readSheet } from "./language/sheet.ts";
export { compile, unsupported, type Scorer } from "./award/compile.ts";
export { scoreBout } from "./award/score.ts";
export { applyFacts } from "./award/facts.ts";
export { whetherOver, type BoutStanding, type Verdict } from "./award/over.ts";
export { pressPlan, type HitKey, type PressPlan } from "./award/plan.ts";
export type { ChipKey } from "./award/plan-chips.ts";
export { chips, draftLine, draftStart, isReady, press } from "./award/plan-draft.ts";
export type { Chip, Draft } from "./award/plan-read.ts";
export { sayAloud } from "./award/plan-say.ts";
export { SETS } from "./.generated/shelf.ts";
