/**
 * The same rule set with every rule, and every touch as a rule, paying one bonus without limits. Scoring a line with it
 * says which rules hold there, so that the table's chips are lit by the scorer itself and not by rules of their own.
 */
import type { Phrases } from "../language/explain-phrase.ts";
import { phrasesOfSet } from "../language/explain.ts";
import { wordsFor, type Words } from "../language/words.ts";
import type { Pay, Rule, RuleSet } from "../language/tree.ts";
import type { BoutSheet, ExchangeLine } from "../record.ts";
import type { Pair } from "../vocabulary.ts";
import { compile, type Scorer } from "./compile.ts";
import { scoreBout } from "./score.ts";
import type { ScoredExchange } from "./tally.ts";

export interface Probe {
  readonly scorer: Scorer;
  readonly phrases: Phrases;
  readonly words: Words;
}

const ONE_BONUS: Pay = { sum: { is: "numbers", numbers: [1], unit: "bonus" }, to: "me" };

/** No coach's rule has this name: a rule's name has no line break. */
export const touchProbe = (index: number): string => `touch\n${index}`;

function probeRule(rule: Rule): Rule {
  return {
    name: rule.name,
    ...(rule.at === undefined ? {} : { at: rule.at }),
    ...(rule.when === undefined ? {} : { when: rule.when }),
    ...(rule.if === undefined ? {} : { if: rule.if }),
    ...(rule.unless === undefined ? {} : { unless: rule.unless }),
    pays: [ONE_BONUS],
  };
}

/** The probing scorer of a rule set. */
export function probeOf(scorer: Scorer): Probe {
  const { ruleSet } = scorer;
  const touches = ruleSet.touches.map((touch, index): Rule => ({
    name: touchProbe(index),
    when: [touch.phrase],
    pays: [ONE_BONUS],
  }));
  const probing: RuleSet = { ...ruleSet, rules: [...ruleSet.rules.map(probeRule), ...touches] };
  return {
    scorer: compile(probing),
    phrases: phrasesOfSet(ruleSet),
    words: wordsFor(ruleSet.weapon, ruleSet.words),
  };
}

/** The last exchange of a bout that goes on with this line. */
export function lastOf(scorer: Scorer, before: BoutSheet, line: ExchangeLine): ScoredExchange | undefined {
  const { exchanges } = scoreBout(scorer, [...before, line]);
  return exchanges[exchanges.length - 1];
}

/** Names of the rules that surely hold in this line, for each fencer as "I". */
export function holding(probe: Probe, before: BoutSheet, line: ExchangeLine): Pair<ReadonlySet<string>> {
  const found = { red: new Set<string>(), blue: new Set<string>() };
  for (const award of lastOf(probe.scorer, before, line)?.awards ?? []) {
    if (award.unit === "bonus" && award.amount > 0) found[award.to].add(award.rule);
  }
  return found;
}
