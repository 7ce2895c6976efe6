/** The words that a rule set may use: the common vocabulary, its weapon's lexicon and its own words. */
import { LEXICONS } from "../.generated/shelf.ts";
import type { Weapon, WordClass } from "../vocabulary.ts";
import { COMMON } from "./common.ts";
import type { Word } from "./lexicon.ts";
import { alsoNamed, entryOf, widened, withParts } from "./own-word.ts";
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
  JSON.stringify([
    word.name,
    word.means ?? null,
    word.stroke ?? null,
    word.turns ?? null,
    word.offence ?? false,
    word.of ?? null,
  ]);

const spellingsOf = ({ name, also = [], verb }: Word): readonly string[] => [
  name,
  ...also,
  ...(verb === undefined ? [] : [verb]),
];

class WordList implements Words {
  private readonly byClass = new Map<WordClass, Word[]>();
  private readonly byKey = new Map<string, Word[]>();
  private readonly trie = new Trie<Word>();
  private readonly tokens = new Set<string>();
  private readonly origin = new Map<Word, Origin>();

  /** `wins`: a word of the same class and spelling that is there already gives way; otherwise both stay, or the first. */
  add(entry: Word, lexicon: Origin, clash: "replace" | "keep" | "both"): void {
    const word = withParts(entry, (name, wordClass) => this.named(name, wordClass));
    if (this.isSame(word)) return;
    const keys = [...new Set(spellingsOf(word).map(sameName))];
    if (clash === "keep" && this.of(sameName(word.name), word.class).some((one) => this.isCommon(one)))
      return;
    if (clash === "replace") for (const old of this.of(sameName(word.name), word.class)) this.remove(old);
    if (word.of !== undefined) this.widen(word);
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

  /** A club's own word; whatever it is a kind or a part of covers it from here on. */
  addOwn(own: OwnWord): void {
    if (own.sameAs !== undefined) {
      const word = this.named(own.sameAs, own.is);
      if (word) this.swap(word, alsoNamed(word, own.name));
      return;
    }
    this.add(
      entryOf(own, (name, wordClass) => this.named(name, wordClass)),
      OWN,
      "both",
    );
  }

  /** Every word that covers what this one is a kind or a part of. */
  private widen(finer: Word): void {
    for (const words of [...this.byClass.values()])
      for (const word of [...words]) {
        const wider = widened(word, finer);
        if (wider) this.swap(word, wider);
      }
  }

  private swap(old: Word, word: Word): void {
    const origin = this.lexiconOf(old);
    const at = this.listOf(old.class).indexOf(old);
    this.remove(old);
    this.origin.set(word, origin);
    // The order of the lexicons stays.
    this.listOf(old.class).splice(at, 0, word);
    for (const key of new Set(spellingsOf(word).map(sameName))) this.file(key, word, "both");
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
    for (const key of spellingsOf(word).map(sameName)) {
      const words = this.byKey.get(key);
      if (words?.includes(word) === true)
        this.byKey.set(
          key,
          words.filter((one) => one !== word),
        );
    }
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

const OWN: Origin = { name: "own words" };

function build(weapon: Weapon | undefined): WordList {
  const list = new WordList();
  for (const word of COMMON.words) list.add(word, COMMON, "both");
  for (const lexicon of LEXICONS) {
    const applies = weapon === undefined || lexicon.weapon === undefined || lexicon.weapon === weapon;
    // Without a weapon no school may change what a common word means.
    if (applies)
      for (const word of lexicon.words) list.add(word, lexicon, weapon === undefined ? "keep" : "replace");
  }
  return list;
}

/** Words that grow while a rule set's own are read, so that one may be told by those above it. */
export function growingWords(weapon: Weapon | undefined): Words & { addOwn(own: OwnWord): void } {
  return build(weapon);
}

const built = new Map<string, Words>();

/** The words of a weapon (all schools' where there is none) with a rule set's own. The same list for the same question. */
export function wordsFor(weapon: Weapon | undefined, own: readonly OwnWord[]): Words {
  const key = `${weapon ?? ""}|${own.length === 0 ? "" : JSON.stringify(own)}`;
  const known = built.get(key);
  if (known) return known;
  const words = build(weapon);
  for (const word of own) words.addOwn(word);
  // A server reads many rule sets; only the lists that many share are worth keeping.
  if (own.length === 0 || built.size < 64) built.set(key, words);
  return words;
}

let told: ReadonlyMap<string, string | undefined> | undefined;

/**
 * How a sentence tells an action or a form afterwards, where its own letters do not: "made a cavazione". A club's own
 * word is told as a noun; undefined: a verb like any other.
 */
export function toldAs(name: string): string | undefined {
  told ??= new Map(
    [COMMON, ...LEXICONS].flatMap(({ words }) =>
      words.flatMap((word) =>
        word.class === "action" || word.class === "form" ? [[word.name, word.told] as const] : [],
      ),
    ),
  );
  if (told.has(name)) return told.get(name);
  return `made ${/^[aeiou]/i.test(name) ? "an" : "a"} ${name}`;
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
