/** A rule set read back in plain words, for the coach who wrote it and the fencers who meet it. */
import { boutSentences, endsSentence, touchSentences } from "./explain-bout.ts";
import { type Phrases } from "./explain-phrase.ts";
import { ruleSentence, ruleShort } from "./explain-rule.ts";
import { warningSentences, watchSentences } from "./explain-watch.ts";
import { firstPay } from "./explain-watch.ts";
import type { Pay, Receiver, Rule, RuleSet } from "./tree.ts";
import type { Unit } from "../vocabulary.ts";

export interface ExplainedPay {
  readonly unit: Unit;
  /** What it pays the first time; negative where it takes away. */
  readonly amount: number;
  readonly to: Receiver;
}

export interface ExplainedRule {
  readonly name: string;
  /** "Parry a descending cut to the head, then land a riposte: 2 bonus to you; judge 1 watches." */
  readonly sentence: string;
  /** One line on a phone, said to the fencer: "Parry the cut, then land your riposte". */
  readonly short: string;
  readonly pays: readonly ExplainedPay[];
}

export interface Explanation {
  readonly bout: readonly string[];
  readonly touches: readonly string[];
  readonly rules: readonly ExplainedRule[];
  /** Who watches what, and what is counted without pay. */
  readonly watch: readonly string[];
  /** What the coach should know before the evening; nothing here forbids anything. */
  readonly warnings: readonly string[];
}

/** The phrases that a rule set names, for the functions that lay "I make the NAME" out. */
export const phrasesOfSet = (ruleSet: RuleSet): Phrases =>
  new Map(ruleSet.phrases.map((one) => [one.name, one.phrase]));

function explainedPay(pay: Pay, rules: readonly Rule[]): readonly ExplainedPay[] {
  if (pay.sum.is !== "what pays them") return [{ unit: pay.sum.unit, amount: firstPay(pay), to: pay.to }];
  const wanted = pay.sum.rule;
  const paid = rules.find((rule) => rule.name === wanted);
  return (paid?.pays ?? []).flatMap((one) =>
    "unit" in one.sum ? [{ unit: one.sum.unit, amount: firstPay(one), to: pay.to }] : [],
  );
}

const explainedRules = (ruleSet: RuleSet, phrases: Phrases): readonly ExplainedRule[] =>
  ruleSet.rules.map((rule) => ({
    name: rule.name,
    sentence: ruleSentence(rule, ruleSet.rules, phrases),
    short: ruleShort(rule, phrases),
    pays: (rule.pays ?? []).flatMap((pay) => explainedPay(pay, ruleSet.rules)),
  }));

/** What a device that scores says of a rule set: what ends the bout, and what each rule pays; the rest stays empty. */
export const explainBriefly = (ruleSet: RuleSet): Explanation => ({
  bout: [endsSentence(ruleSet.bout)],
  touches: [],
  rules: explainedRules(ruleSet, phrasesOfSet(ruleSet)),
  watch: [],
  warnings: [],
});

/** Reads a rule set back: the bout, what touches are worth, every rule in a sentence and in a line, and warnings. */
export function explain(ruleSet: RuleSet): Explanation {
  const phrases = phrasesOfSet(ruleSet);
  return {
    bout: boutSentences(ruleSet, phrases),
    touches: touchSentences(ruleSet, phrases),
    rules: explainedRules(ruleSet, phrases),
    watch: watchSentences(ruleSet, phrases),
    warnings: warningSentences(ruleSet, phrases),
  };
}
