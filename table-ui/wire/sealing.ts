/** Which rules hang on a choice that is still sealed: their open awards stay off the views that may not see the choice. */
import type { Rule, RuleSet } from "../../rules/index.ts";

/** Every word that stands anywhere in a piece of a rule set. */
function wordsIn(tree: unknown, found: Set<string> = new Set()): Set<string> {
  if (typeof tree === "string") found.add(tree);
  else if (Array.isArray(tree)) for (const item of tree) wordsIn(item, found);
  else if (typeof tree === "object" && tree !== null) {
    for (const item of Object.values(tree)) wordsIn(item, found);
  }
  return found;
}

/** A rule that reads the score hangs on everything that pays. */
const READS_SCORE = new Set(["lead", "level", "outcome"]);
const SCORE = "the score itself";

/** Counts that a paying or a warning rule changes ("my points plus my warnings", "times my touch"). */
const COUNTS_SCORE = new Set(["points", "bonus", "touch", "warnings", "wins"]);

/** Whether a sum anywhere in a piece counts what rules pay. */
function countsScore(tree: unknown): boolean {
  if (Array.isArray(tree)) return tree.some(countsScore);
  if (typeof tree !== "object" || tree === null) return false;
  const { counted } = tree as { readonly counted?: unknown };
  return (typeof counted === "string" && COUNTS_SCORE.has(counted)) || Object.values(tree).some(countsScore);
}

function readsOf(piece: unknown): Set<string> {
  const words = wordsIn(piece);
  if ([...READS_SCORE].some((word) => words.has(word)) || countsScore(piece)) words.add(SCORE);
  return words;
}

/** The rules whose awards a rule's effects change: those that it names, or all that pay. */
function changedBy(rule: Rule | undefined, all: readonly string[]): readonly string[] {
  return (rule?.does ?? []).flatMap((effect) => {
    if (effect.is !== "annul" && effect.is !== "multiply" && effect.is !== "turn over") return [];
    return effect.from === undefined ? all : [effect.from];
  });
}

/**
 * Names of the rules (and "touch") that could change with a hidden pick: those that name it, those that name a rule or a
 * mark that does, and so on. Errs on the side of sealing.
 */
export function sealedRules(ruleSet: RuleSet, hidden: ReadonlySet<string>): ReadonlySet<string> {
  if (hidden.size === 0) return new Set();
  const pieces = [
    ...ruleSet.rules.map((rule: Rule) => ({ name: rule.name, reads: readsOf(rule), pays: true })),
    ...ruleSet.marks.map((mark) => ({ name: mark.name, reads: readsOf(mark), pays: false })),
    ...ruleSet.phrases.map((phrase) => ({ name: phrase.name, reads: readsOf(phrase), pays: false })),
    ...ruleSet.touches.map((touch) => ({ name: "touch", reads: readsOf(touch), pays: true })),
  ];
  const paying = ["touch", ...ruleSet.rules.map(({ name }) => name)];
  const tainted = new Set(hidden);
  for (let grown = true; grown;) {
    grown = false;
    for (const piece of pieces) {
      if (tainted.has(piece.name) && (!piece.pays || tainted.has(SCORE))) continue;
      if (![...piece.reads].some((word) => word !== piece.name && tainted.has(word))) continue;
      tainted.add(piece.name);
      if (piece.pays) tainted.add(SCORE);
      for (const name of changedBy(
        ruleSet.rules.find((rule) => piece.pays && rule.name === piece.name),
        paying,
      ))
        tainted.add(name);
      // Of rules that are "best of" one another, one can take another's place.
      for (const rule of ruleSet.rules) {
        if (rule.bestOf !== undefined && piece.reads.has(rule.bestOf)) tainted.add(rule.name);
      }
      grown = true;
    }
  }
  for (const name of hidden) tainted.delete(name);
  tainted.delete(SCORE);
  return tainted;
}
