/** The names that a rule set gives: phrases, picks, marks, roles, rules. Sentences are parsed against them. */
import type { WordClass } from "../vocabulary.ts";
import { keyOf, quotedName, sameName, type Token } from "./tokens.ts";
import type { Keeper, Mark, PickValue } from "./tree.ts";
import { Trie, type Match } from "./trie.ts";
import type { Words } from "./words.ts";

/** What is known of a name before any sentence that uses it is read. */
export type Name =
  | { readonly of: "phrase"; readonly name: string }
  /** `each`: one value for each fencer. */
  | {
      readonly of: "pick";
      readonly name: string;
      readonly each: boolean;
      readonly values: readonly PickValue[];
    }
  /** `is` is missing where the mark's own sentence is at fault. */
  | { readonly of: "mark"; readonly name: string; readonly is?: Mark["is"]; readonly for?: Keeper }
  | { readonly of: "role"; readonly name: string; readonly mark: string };

export class Names {
  readonly words: Words;
  private readonly trie = new Trie<Name>();
  private readonly all: Name[] = [];
  private readonly tokens = new Set<string>();
  private readonly rules = new Map<string, string>();

  constructor(words: Words) {
    this.words = words;
  }

  add(name: Name): void {
    const key = keyOf(name.name);
    this.all.push(name);
    this.trie.add(key, name);
    for (const token of key) this.tokens.add(token);
  }

  addRule(name: string): void {
    this.rules.set(quotedName(name), name);
  }

  /** The rule as its own `name` line writes it; undefined: there is none. */
  rule(name: string): string | undefined {
    return this.rules.get(quotedName(name));
  }

  ruleNames(): readonly string[] {
    return [...this.rules.values()];
  }

  list(of: Name["of"]): readonly string[] {
    return this.all.filter((name) => name.of === of).map((name) => name.name);
  }

  mark(name: string): (Name & { of: "mark" }) | undefined {
    const key = sameName(name);
    return this.all.find(
      (one): one is Name & { of: "mark" } => one.of === "mark" && sameName(one.name) === key,
    );
  }

  pick(name: string): (Name & { of: "pick" }) | undefined {
    const key = sameName(name);
    return this.all.find(
      (one): one is Name & { of: "pick" } => one.of === "pick" && sameName(one.name) === key,
    );
  }

  longest(tokens: readonly Token[], at: number, accept: (name: Name) => boolean): Match<Name> | undefined {
    return this.trie.longest(tokens, at, accept);
  }

  contains(token: string): boolean {
    return this.tokens.has(token);
  }
}

/** How a class is called in a message. */
export const CLASS_NAMES: Readonly<Record<WordClass, string>> = {
  action: "an action",
  form: "a form of strike",
  blow: "a blow",
  direction: "a direction",
  edge: "an edge",
  hand: "a hand",
  footwork: "footwork",
  target: "a target",
  side: "a side",
  guard: "a guard",
  manner: "a manner",
  call: "a judge's call",
};
