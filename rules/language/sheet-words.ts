/** The words that a bout sheet may use, looked up by longest match. */
import { WORD_CLASSES, type WordClass } from "../vocabulary.ts";
import type { Word } from "./lexicon.ts";
import type { RuleSet } from "./tree.ts";
import { isArticle, keyOf, type Token } from "./sheet-tokens.ts";
import { wordsFor } from "./words.ts";

export interface Match {
  readonly words: readonly Word[];
  /** Tokens used, articles included. */
  readonly length: number;
}

export class SheetWords {
  private readonly byKey = new Map<string, Word[]>();
  private longest = 1;

  constructor(ruleSet: RuleSet) {
    const words = wordsFor(ruleSet.weapon, ruleSet.words);
    for (const wordClass of WORD_CLASSES) for (const word of words.all(wordClass)) this.add(word);
  }

  private add(word: Word): void {
    for (const name of [word.name, ...(word.also ?? []), ...(word.verb === undefined ? [] : [word.verb])]) {
      const key = keyOf(name);
      const known = this.byKey.get(key);
      if (!known) this.byKey.set(key, [word]);
      else if (!known.includes(word)) known.push(word);
      this.longest = Math.max(this.longest, key.split(" ").length);
    }
  }

  /** The longest word that begins at `from`, of one of these classes. */
  match(tokens: readonly Token[], from: number, classes: readonly WordClass[]): Match | undefined {
    let found: Match | undefined;
    let key = "";
    for (let at = from, parts = 0; at < tokens.length && parts < this.longest; at++) {
      const token = tokens[at] as Token;
      if (token.is !== "word" && token.is !== "number") break;
      if (isArticle(token.text)) continue;
      key = parts === 0 ? token.text : `${key} ${token.text}`;
      parts++;
      const words = (this.byKey.get(key) ?? []).filter((word) => classes.includes(word.class));
      if (words.length > 0) found = { words, length: at - from + 1 };
    }
    return found;
  }

  /** The word of that class with this name or spelling. */
  named(text: string, classes: readonly WordClass[]): Word | undefined {
    return this.byKey.get(keyOf(text))?.find((word) => classes.includes(word.class));
  }

  /** The nearest spelling, from four letters up. */
  nearest(text: string, classes: readonly WordClass[]): string | undefined {
    const names = [...this.byKey].filter(([, words]) => words.some((word) => classes.includes(word.class)));
    return nearest(
      text,
      names.map(([key]) => key),
    );
  }
}

const known = new WeakMap<RuleSet, SheetWords>();
export function sheetWords(ruleSet: RuleSet): SheetWords {
  let words = known.get(ruleSet);
  if (!words) known.set(ruleSet, (words = new SheetWords(ruleSet)));
  return words;
}

/** The candidate with the fewest changed letters, if few enough; two swapped letters count as one change. */
export function nearest(text: string, candidates: readonly string[]): string | undefined {
  if (text.length < 4) return undefined;
  const allowed = text.length < 7 ? 1 : 2;
  let best: string | undefined;
  let least = allowed + 1;
  for (const candidate of candidates) {
    if (Math.abs(candidate.length - text.length) > allowed) continue;
    const changes = distance(text, candidate);
    if (changes < least) [best, least] = [candidate, changes];
  }
  return best;
}

function distance(a: string, b: string): number {
  let before: number[] = [];
  let row = Array.from({ length: b.length + 1 }, (_, i) => i);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1] ? 0 : 1;
      let least = Math.min((row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1, (row[j - 1] ?? 0) + same);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        least = Math.min(least, (before[j - 2] ?? 0) + 1);
      next.push(least);
    }
    [before, row] = [row, next];
  }
  return row[b.length] ?? 0;
}
