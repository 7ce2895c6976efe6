/** The words that a rule set may use: the common vocabulary, its weapon's lexicon and its own words. */
import { LEXICONS } from "../.generated/shelf.ts";
import type { Weapon, WordClass } from "../vocabulary.ts";
import { COMMON } from "./common.ts";
import type { Word } from "./lexicon.ts";
import { sameName, type Token } from "./tokens.ts";
import type { OwnWord } from "./tree.ts";
import { Trie, type Match } from "./trie.ts";

/** Where a word comes from. */
export interface Origin {
  readonly name: string;
  readonly weapon?: Weapon;
}

export interface Words {
  /** Every word that `text` names, whatever its class; two of one class: the schools differ. */
  find(text: string): readonly Word[];
  /** The word by its name or another spelling; undefined where the class has none. */
  named(name: string, wordClass: WordClass): Word | undefined;
  /** All words of a class, each once, in the order of the lexicons. */
  all(wordClass: WordClass): readonly Word[];
  /** Words of these classes that begin with `prefix`, by name. */
  completions(prefix: string, classes: readonly WordClass[]): readonly Word[];
  /** The longest word of these classes that stands at token `at`. */
  longest(tokens: readonly Token[], at: number, classes: readonly WordClass[]): Match<Word> | undefined;
  /** How far the tokens follow any word; for messages. */
  reach(tokens: readonly Token[], at: number): { readonly index: number; readonly next: readonly string[] };
  /** True where some word or spelling contains this single token. */
  contains(token: string): boolean;
  /** The name of the lexicon that a word comes from, and its weapon. */
  lexiconOf(word: Word): Origin;
}

const shape = (word: Word): string =>
  JSON.stringify([word.name, word.means ?? null, word.stroke ?? null, word.offence ?? false]);

class WordList implements Words {
  private readonly byClass = new Map<WordClass, Word[]>();
  private readonly byKey = new Map<string, Word[]>();
  private readonly trie = new Trie<Word>();
  private readonly tokens = new Set<string>();
  private readonly origin = new Map<Word, Origin>();

  /** `wins`: a word of the same class and spelling that is there already gives way; otherwise both stay, or the first. */
  add(word: Word, lexicon: Origin, clash: "replace" | "keep" | "both"): void {
    const spellings = [word.name, ...(word.also ?? []), ...(word.verb === undefined ? [] : [word.verb])];
    if (this.isSame(word)) return;
    const keys = [...new Set(spellings.map(sameName))];
    if (clash === "keep" && this.of(sameName(word.name), word.class).some((one) => this.isCommon(one)))
      return;
    if (clash === "replace") for (const old of this.of(sameName(word.name), word.class)) this.remove(old);
    this.origin.set(word, lexicon);
    this.listOf(word.class).push(word);
    for (const key of keys) this.file(key, word, clash);
  }

  private file(key: string, word: Word, clash: "replace" | "keep" | "both"): void {
    const others = this.byKey.get(key) ?? [];
    if (clash === "keep" && others.some((one) => one.class === word.class && this.isCommon(one))) return;
    this.byKey.set(key, [...others, word]);
    const tokens = key.split(" ");
    this.trie.add(tokens, word);
    for (const token of tokens) this.tokens.add(token);
  }

  private isCommon(word: Word): boolean {
    return this.origin.get(word) === COMMON;
  }

  private isSame(word: Word): boolean {
    const wanted = shape(word);
    return this.of(sameName(word.name), word.class).some((one) => shape(one) === wanted);
  }

  private remove(word: Word): void {
    this.byClass.set(
      word.class,
      this.listOf(word.class).filter((one) => one !== word),
    );
    this.gone.add(word);
    for (const [key, words] of this.byKey)
      if (words.includes(word))
        this.byKey.set(
          key,
          words.filter((one) => one !== word),
        );
  }
  private readonly gone = new Set<Word>();

  private listOf(wordClass: WordClass): Word[] {
    let list = this.byClass.get(wordClass);
    if (!list) this.byClass.set(wordClass, (list = []));
    return list;
  }

  private of(key: string, wordClass: WordClass): readonly Word[] {
    return (this.byKey.get(key) ?? []).filter((word) => word.class === wordClass);
  }

  find(text: string): readonly Word[] {
    return this.byKey.get(sameName(text)) ?? [];
  }

  named(name: string, wordClass: WordClass): Word | undefined {
    const found = this.of(sameName(name), wordClass);
    return found.find((word) => word.name === name) ?? found[0];
  }

  all(wordClass: WordClass): readonly Word[] {
    return this.byClass.get(wordClass) ?? [];
  }

  completions(prefix: string, classes: readonly WordClass[]): readonly Word[] {
    const start = sameName(prefix);
    const fits = (word: Word): boolean =>
      [word.name, ...(word.also ?? [])].some((spelling) => sameName(spelling).startsWith(start));
    return classes
      .flatMap((wordClass) => this.all(wordClass).filter(fits))
      .sort((a, b) => (a.name < b.name ? -1 : 1));
  }

  longest(tokens: readonly Token[], at: number, classes: readonly WordClass[]): Match<Word> | undefined {
    return this.trie.longest(tokens, at, (word) => classes.includes(word.class) && !this.gone.has(word));
  }

  reach(tokens: readonly Token[], at: number): { readonly index: number; readonly next: readonly string[] } {
    return this.trie.reach(tokens, at);
  }

  contains(token: string): boolean {
    return this.tokens.has(token);
  }

  lexiconOf(word: Word): Origin {
    return this.origin.get(word) ?? COMMON;
  }
}

function build(weapon: Weapon | undefined, own: readonly OwnWord[]): Words {
  const list = new WordList();
  for (const word of COMMON.words) list.add(word, COMMON, "both");
  for (const lexicon of LEXICONS) {
    const applies = weapon === undefined || lexicon.weapon === undefined || lexicon.weapon === weapon;
    // Without a weapon no school may change what a common word means.
    if (applies)
      for (const word of lexicon.words) list.add(word, lexicon, weapon === undefined ? "keep" : "replace");
  }
  for (const { name, is } of own) list.add({ name, class: is }, { name: "own words" }, "both");
  return list;
}

const built = new Map<string, Words>();

/** The words of a weapon (all schools' where there is none) with a rule set's own. The same list for the same question. */
export function wordsFor(weapon: Weapon | undefined, own: readonly OwnWord[]): Words {
  const key = `${weapon ?? ""}|${own.map(({ name, is }) => `${is}:${name}`).join("|")}`;
  const known = built.get(key);
  if (known) return known;
  const words = build(weapon, own);
  // A server reads many rule sets; only the lists that many share are worth keeping.
  if (own.length === 0 || built.size < 64) built.set(key, words);
  return words;
}

let verbs: ReadonlyMap<string, string> | undefined;

/** How a sentence says an action: "land an afterblow" for the word "afterblow". */
export function verbOf(action: string): string {
  verbs ??= new Map(
    [COMMON, ...LEXICONS].flatMap(({ words }) =>
      words.flatMap((word) => (word.verb === undefined ? [] : [[word.name, word.verb] as const])),
    ),
  );
  return verbs.get(action) ?? action;
}
