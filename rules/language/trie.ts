/** Longest match of names of several words. */
import type { Token } from "./tokens.ts";

interface Node<T> {
  readonly next: Map<string, Node<T>>;
  readonly values: T[];
}

export interface Match<T> {
  readonly values: readonly T[];
  /** Index of the token after the match. */
  readonly next: number;
}

const node = <T>(): Node<T> => ({ next: new Map(), values: [] });

export class Trie<T> {
  private readonly root: Node<T> = node();

  add(key: readonly string[], value: T): void {
    let here = this.root;
    for (const text of key) {
      let next = here.next.get(text);
      if (!next) here.next.set(text, (next = node()));
      here = next;
    }
    here.values.push(value);
  }

  /** The longest run of tokens from `at` on that names something that `accept` takes. */
  longest(tokens: readonly Token[], at: number, accept: (value: T) => boolean): Match<T> | undefined {
    let here: Node<T> | undefined = this.root;
    let best: Match<T> | undefined;
    for (let i = at; ; i++) {
      if (i > at && here.values.length > 0) {
        const values = here.values.filter(accept);
        if (values.length > 0) best = { values, next: i };
      }
      const token = tokens[i];
      if (token === undefined || token.kind === "quoted") return best;
      here = here.next.get(token.text);
      if (here === undefined) return best;
    }
  }

  /** How far the tokens follow some name, and what could stand there instead; for messages only. */
  reach(tokens: readonly Token[], at: number): { readonly index: number; readonly next: readonly string[] } {
    let here = this.root;
    for (let i = at; ; i++) {
      const token = tokens[i];
      const next = token && token.kind !== "quoted" ? here.next.get(token.text) : undefined;
      if (next === undefined) return { index: i, next: [...here.next.keys()] };
      here = next;
    }
  }
}
