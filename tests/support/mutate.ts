/** Mutations of texts with a fixed seed: what a file may suffer between a coach's keyboard and the reader. */

/** Numbers from 0 to below 1, the same for the same seed (mulberry32). */
export function chance(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** Names that every object of JavaScript has already. */
export const PROTOTYPE_NAMES = ["__proto__", "constructor", "toString", "hasOwnProperty", "valueOf"] as const;

const ODDITIES = [
  "\u0000",
  "\u0007",
  "\u0085",
  "\u00a0",
  "\u00ad",
  "\u0130",
  "\u0301",
  "\u1e9e",
  "\u200b",
  "\u200d",
  "\u202e",
  "\u2028",
  "\u2029",
  "\u3000",
  "\ud800",
  "\udc00",
  "\ufeff",
  "\uffff",
  "é",
  "e\u0301",
  "ﬁ",
  "ß",
  "“",
  "’",
  "٣",
  "💥",
  "👩‍👩‍👧",
  "ǅ",
];
const MARKS = [..."\"':-[]{}#&*!|>%@`,.?~+=/\\\t\n\r 0"];
const NUMBERS = [
  "-1",
  "0",
  "-0",
  "0.5",
  "1e309",
  "0x1F",
  "999999999999999999999",
  "9".repeat(400),
  "0.1234567",
  "1_000",
  "NaN",
  "Infinity",
  "2,5",
];

export class Mutator {
  private readonly next: () => number;
  private readonly texts: readonly string[];
  /** What the grammar of these files is made of. */
  private readonly pieces: readonly string[];

  constructor(seed: number, texts: readonly string[], pieces: readonly string[]) {
    this.next = chance(seed);
    this.texts = texts;
    this.pieces = pieces;
  }

  below(n: number): number {
    return Math.floor(this.next() * n);
  }

  pick<T>(from: readonly T[]): T {
    return from[this.below(from.length)] as T;
  }

  /** One of the texts, mutated once to four times; now and then so little that it may still be read. */
  text(): string {
    let text = this.pick(this.texts);
    if (this.below(4) === 0) return this.slightly(text);
    for (let times = 1 + this.below(4); times > 0; times--) text = this.pick(this.kinds)(text);
    return text;
  }

  private slightly(text: string): string {
    return this.put(text, 0, this.pick([" ", "  ", "1", "0", "the ", "\n", " # aside\n", "a "]));
  }

  private put(text: string, length: number, piece: string): string {
    const at = this.below(text.length + 1);
    return text.slice(0, at) + piece + text.slice(at + length);
  }

  private words(text: string): readonly RegExpExecArray[] {
    return [...text.matchAll(/[\p{L}\d_'-]+/gu)];
  }

  private instead(text: string, found: RegExpExecArray | undefined, piece: string): string {
    if (found === undefined) return text + piece;
    return text.slice(0, found.index) + piece + text.slice(found.index + found[0].length);
  }

  private lines(text: string, change: (lines: string[], at: number) => void): string {
    const lines = text.split("\n");
    change(lines, this.below(lines.length));
    return lines.join("\n");
  }

  private readonly kinds: readonly ((text: string) => string)[] = [
    // Letters and marks
    (text) => this.put(text, this.below(8), this.pick(MARKS)),
    (text) => this.put(text, this.below(3), String.fromCodePoint(this.below(0x3000))),
    (text) => this.put(text, this.below(3), this.pick(ODDITIES)),
    (text) => this.put(text, 1 + this.below(12), ""),
    (text) => this.put(text, this.below(8), this.pick(this.pieces)),
    // Words of this file and of others
    (text) => this.instead(text, this.pick(this.words(text)), this.pick(ODDITIES)),
    (text) => {
      const [word = ""] = this.pick(this.words(this.pick(this.texts))) ?? [];
      return this.instead(text, this.pick(this.words(text)), word);
    },
    (text) => {
      const name = this.pick(this.words(text))?.[0];
      return name === undefined ? text : text.replaceAll(name, this.pick(PROTOTYPE_NAMES));
    },
    (text) => {
      const numbers = this.words(text).filter(([word]) => /^\d/.test(word));
      return this.instead(text, this.pick(numbers), this.pick(NUMBERS));
    },
    // Lines
    (text) => this.lines(text, (lines, at) => lines.splice(at, 1)),
    (text) => this.lines(text, (lines, at) => lines.splice(at, 0, lines[at] ?? "")),
    (text) =>
      this.lines(text, (lines, at) => (lines[at] = " ".repeat(1 + this.below(5)) + (lines[at] ?? ""))),
    (text) => this.lines(text, (lines, at) => (lines[at] = (lines[at] ?? "").replace(/^ {1,2}/, ""))),
    (text) => this.lines(text, (lines, at) => (lines[at] = `\t${lines[at] ?? ""}`)),
    (text) => {
      const others = this.pick(this.texts).split("\n");
      return this.lines(text, (lines, at) => lines.splice(at, 0, this.pick(others)));
    },
    (text) => this.lines(text, (lines, at) => lines.splice(at, 2, lines[at + 1] ?? "", lines[at] ?? "")),
    (text) => text.replaceAll("\n", this.pick(["\r\n", "\r", "\n\n"])),
    // Too much of it
    (text) => this.put(text, 0, this.pick(["[", "{", "- ", "? ", "(", "a: "]).repeat(1 + this.below(60))),
    (text) => this.put(text, 0, this.pick(this.pieces).repeat(1 + this.below(40))),
    (text) => text.slice(0, this.below(text.length + 1)),
  ];
}
