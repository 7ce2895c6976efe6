/** Compiles a checked rule set into bit tables and small closures; nothing is generated as code. */
import type { RuleSet } from "../language/tree.ts";
import { wordsFor } from "../language/words.ts";
import type { Lookup } from "./attributes.ts";
import { buildProgram } from "./program.ts";
import { Unsupported } from "./refusal.ts";
import { scoreBout } from "./score.ts";
import type { Scorer } from "./scorer.ts";

export type { Scorer } from "./scorer.ts";

/** Throws `Unsupported`, with a sentence, for a construct that cannot be scored; `unsupported` asks beforehand. */
export function compile(ruleSet: RuleSet, words: Lookup = wordsFor(ruleSet.weapon, ruleSet.words)): Scorer {
  const scorer: Scorer = {
    ruleSet,
    program: buildProgram(ruleSet, words),
    score: (sheet) => scoreBout(scorer, sheet),
  };
  return scorer;
}

/** A sentence for each construct that cannot be scored; empty when compile accepts the rule set. */
export function unsupported(ruleSet: RuleSet, words?: Lookup): string[] {
  const lookup = words ?? wordsFor(ruleSet.weapon, ruleSet.words);
  const sentences = [
    { ...ruleSet, rules: [], marks: [] },
    ...ruleSet.rules.map((rule) => ({
      ...ruleSet,
      rules: [rule, ...ruleSet.rules.filter((one) => one !== rule)],
    })),
  ].flatMap((part) => refusalOf(part, lookup));
  return [...new Set(sentences)];
}

function refusalOf(ruleSet: RuleSet, lookup: Lookup): string[] {
  try {
    buildProgram(ruleSet, lookup);
    return [];
  } catch (cause) {
    if (cause instanceof Unsupported) return [cause.message];
    throw cause;
  }
}
