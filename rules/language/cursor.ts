/**
 * Walks over the tokens of one sentence. The first pass only decides; where it fails, a second pass over the same
 * grammar collects what could have stood at the furthest place that it reached.
 */
import type { WordClass } from "../vocabulary.ts";
import type { Message } from "./faults.ts";
import { ambiguous, numberSize } from "./faults-sentence.ts";
import type { Word } from "./lexicon.ts";
import type { Name, Names } from "./names.ts";
import { keyOf, tokenise, type Token } from "./tokens.ts";

/** What could stand at a place: a piece of the grammar, any word of a class, or a name of the rule set. */
export type Expected =
  | { readonly kind: "text"; readonly text: string }
  | { readonly kind: "class"; readonly class: WordClass }
  | { readonly kind: "name"; readonly of: Name["of"] | "rule" | "value"; readonly names: readonly string[] }
  | { readonly kind: "number" };

/** Thrown where no alternative fits; carries nothing, since the second pass finds the reason. */
export class NoFit extends Error {}
const NO_FIT = new NoFit("no alternative fits");

/** Thrown where the reason is plain at once. */
export class Wrong extends Error {
  readonly said: Message;
  readonly from: number;
  readonly to: number;
  constructor(said: Message, from: number, to: number) {
    super(said.text);
    this.said = said;
    this.from = from;
    this.to = to;
  }
}

/** Where each piece of a parsed tree stands in its sentence. */
export type Span = readonly [start: number, end: number];

/** What is left of a piece of the grammar after its first `matched` words, articles not counted. */
function rest(text: string, matched: number): string {
  const words = text.split(" ");
  for (let left = matched; left > 0 && words.length > 0;) if (keyOf(words.shift() ?? "").length > 0) left--;
  return words.join(" ");
}

/** As numbers are written and read again without loss. */
const SIZE = /^-?\d{1,6}(?:\.\d{1,3})?$/;

export class Cursor {
  readonly text: string;
  readonly tokens: readonly Token[];
  readonly names: Names;
  readonly spans = new Map<object, Span>();
  at = 0;
  furthest = 0;
  expected: Expected[] = [];
  private readonly collecting: boolean;

  constructor(text: string, names: Names, collecting: boolean) {
    this.text = text;
    this.tokens = tokenise(text);
    this.names = names;
    this.collecting = collecting;
  }

  /** Says what could have stood here; only the second pass listens. */
  note(expected: Expected, at: number = this.at): void {
    if (!this.collecting || at < this.furthest) return;
    if (at > this.furthest) {
      this.furthest = at;
      this.expected = [];
    }
    this.expected.push(expected);
  }

  fail(): never {
    throw NO_FIT;
  }

  /** A fault whose reason is known: over the tokens from `from` to before `to`. */
  wrong(said: Message, from: number = this.at, to: number = from + 1): never {
    throw new Wrong(said, from, to);
  }

  token(ahead = 0): Token | undefined {
    return this.tokens[this.at + ahead];
  }

  /** True where the words of `text` stand here, without going on. */
  sees(text: string, ahead = 0): boolean {
    const key = keyOf(text);
    for (let i = 0; i < key.length; i++) {
      const token = this.tokens[this.at + ahead + i];
      if (token === undefined || token.kind === "quoted" || token.text !== key[i]) return false;
    }
    return true;
  }

  /** Goes over the words of `text` if they stand here. */
  take(text: string): boolean {
    if (this.sees(text)) {
      this.at += keyOf(text).length;
      return true;
    }
    if (this.collecting) this.noteMissing(text);
    return false;
  }

  private noteMissing(text: string): void {
    const key = keyOf(text);
    let matched = 0;
    while (matched < key.length && this.tokens[this.at + matched]?.text === key[matched]) matched++;
    this.note({ kind: "text", text: matched === 0 ? text : rest(text, matched) }, this.at + matched);
  }

  /** The first of these pieces that stands here; longer ones first in the list. */
  oneOf<T extends string>(texts: readonly T[]): T | undefined {
    for (const text of texts) if (this.take(text)) return text;
    return undefined;
  }

  need(text: string): void {
    if (!this.take(text)) this.fail();
  }

  needOneOf<T extends string>(texts: readonly T[]): T {
    return this.oneOf(texts) ?? this.fail();
  }

  comma(): boolean {
    return this.take(",");
  }

  number(): number | undefined {
    const token = this.token();
    if (token?.kind === "number") {
      if (!SIZE.test(token.text)) this.wrong(numberSize(token.text));
      this.at++;
      // -0 is 0.
      return Number(token.text) + 0;
    }
    this.note({ kind: "number" });
    return undefined;
  }

  needNumber(): number {
    return this.number() ?? this.fail();
  }

  /** A word of one of these classes; two meanings in one class are a fault that names both. */
  word(classes: readonly WordClass[]): Word | undefined {
    const { words } = this.names;
    const match = words.longest(this.tokens, this.at, classes);
    if (match === undefined) {
      if (this.collecting) {
        for (const wordClass of classes) this.note({ kind: "class", class: wordClass });
        const { index, next } = words.reach(this.tokens, this.at);
        if (index > this.at) for (const text of next) this.note({ kind: "text", text }, index);
      }
      return undefined;
    }
    const [first, ...others] = match.values;
    const second = others.find((other) => other.class === first?.class);
    if (first && second)
      this.wrong(
        ambiguous(first, words.lexiconOf(first), second, words.lexiconOf(second)),
        this.at,
        match.next,
      );
    this.at = match.next;
    return first;
  }

  /** A name of the rule set. */
  name<T extends Name["of"]>(
    of: readonly T[],
    accept?: (name: Name) => boolean,
  ): (Name & { of: T }) | undefined {
    const fits = (name: Name): boolean =>
      (of as readonly string[]).includes(name.of) && (accept === undefined || accept(name));
    const match = this.names.longest(this.tokens, this.at, fits);
    if (match === undefined) {
      for (const one of of) this.note({ kind: "name", of: one, names: this.names.list(one) });
      return undefined;
    }
    this.at = match.next;
    return match.values[0] as (Name & { of: T }) | undefined;
  }

  /** A rule's name in quotes; whether there is such a rule is for the check, which knows them all. */
  quoted(): string | undefined {
    const token = this.token();
    if (token?.kind === "quoted") {
      this.at++;
      return this.names.rule(token.text) ?? token.text;
    }
    this.note({ kind: "name", of: "rule", names: this.names.ruleNames() });
    return undefined;
  }

  /** One of these values, by longest match. */
  value(values: readonly string[]): string | undefined {
    let best: string | undefined;
    for (const value of values)
      if (this.sees(value) && (best === undefined || keyOf(value).length > keyOf(best).length)) best = value;
    if (best === undefined) this.note({ kind: "name", of: "value", names: values });
    else this.at += keyOf(best).length;
    return best;
  }

  /** Remembers where a piece of the tree stands: from token `from` to the last one read. */
  placed<T extends object>(node: T, from: number): T {
    this.spans.set(node, this.span(from, this.at));
    return node;
  }

  span(from: number, to: number): Span {
    const first = this.tokens[from];
    const last = this.tokens[Math.max(from, to - 1)];
    const end = this.text.trimEnd().length;
    return [first?.start ?? end, last?.end ?? end];
  }

  atEnd(): boolean {
    if (this.at >= this.tokens.length) return true;
    this.note({ kind: "text", text: END });
    return false;
  }
}

export const END = "the end";
