/** A rule set's identity: the same meaning has the same hash, however it was typed. */
import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, utf8ToBytes } from "@noble/hashes/utils.js";
import { WORD_CLASSES } from "../vocabulary.ts";
import { printRuleSet } from "./print.ts";
import type { RuleSet } from "./tree.ts";
import { wordsFor, type Words } from "./words.ts";

/** Every text that stands anywhere in the tree; those that are words decide what the rule set means. */
function textsIn(value: unknown, found: Set<string>): void {
  if (typeof value === "string") found.add(value);
  else if (typeof value === "object" && value !== null)
    for (const inner of Object.values(value) as unknown[]) textsIn(inner, found);
}

/** The words that the tree names, each with what it implies; spelling variants and glosses do not count. */
function wordsUsed(ruleSet: RuleSet, words: Words): readonly string[] {
  const texts = new Set<string>();
  textsIn(ruleSet, texts);
  const lines: string[] = [];
  for (const wordClass of WORD_CLASSES)
    for (const word of words.all(wordClass)) {
      if (!texts.has(word.name)) continue;
      const means = Object.entries(word.means ?? {}).sort(([a], [b]) => (a < b ? -1 : 1));
      lines.push(
        JSON.stringify([
          wordClass,
          word.name,
          means,
          word.stroke ?? "",
          word.offence ?? false,
          word.excludes ?? [],
          ...(word.turns === undefined ? [] : [word.turns]),
        ]),
      );
    }
  return lines.sort();
}

/** SHA-256, 64 hex digits, of the canonical print and of what its words mean. */
export function hashRuleSet(ruleSet: RuleSet): string {
  const used = wordsUsed(ruleSet, wordsFor(ruleSet.weapon, ruleSet.words));
  return bytesToHex(sha256(utf8ToBytes(`${printRuleSet(ruleSet)}\n${used.join("\n")}\n`)));
}
