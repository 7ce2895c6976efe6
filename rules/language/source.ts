/** A file's text, with the way back from a place in a sentence to a line and column of the file. */
import { Scalar } from "yaml";
import type { Fault, Message } from "./faults.ts";

/** One scalar of the file: its text, and where that text stands. */
export interface Piece {
  readonly text: string;
  /** Offsets into the file, quotes included. */
  readonly start: number;
  readonly end: number;
  readonly style: "plain" | "single" | "double" | "block";
}

const STYLES: Readonly<Record<string, Piece["style"]>> = {
  [Scalar.QUOTE_SINGLE]: "single",
  [Scalar.QUOTE_DOUBLE]: "double",
  [Scalar.BLOCK_FOLDED]: "block",
  [Scalar.BLOCK_LITERAL]: "block",
};

export function pieceOf(scalar: Scalar): Piece {
  const [start, end] = scalar.range ?? [0, 0, 0];
  const text = typeof scalar.value === "string" ? scalar.value : "";
  return { text, start, end, style: STYLES[scalar.type ?? ""] ?? "plain" };
}

const isSpace = (char: string | undefined): boolean => char !== undefined && /\s/.test(char);

/** Length in the source of the escape that begins at `at`, and whether it stands for a letter rather than a space. */
function escapeAt(text: string, at: number): { readonly length: number; readonly letter: boolean } {
  const kind = text[at + 1];
  if (kind === "x") return { length: 4, letter: true };
  if (kind === "u") return { length: 6, letter: true };
  if (kind === "U") return { length: 10, letter: true };
  return { length: 2, letter: kind !== undefined && !/[ \t\n\r0abtnvfe_NLP]/.test(kind) };
}

/**
 * Offset in the file of character `index` of a piece's text. Folding only changes white space, so the n-th character
 * that is no space is the n-th in both.
 */
export function offsetOf(file: string, piece: Piece, index: number): number {
  const { text, start, end, style } = piece;
  const raw = file.slice(start, end);
  if (style === "plain" && raw.startsWith(text)) return start + index;
  let at = style === "block" ? Math.max(raw.indexOf("\n"), 0) : style === "plain" ? 0 : 1;
  let after = at;
  for (let i = 0; i <= index && i < text.length; i++) {
    if (isSpace(text[i])) continue;
    at = after;
    for (; at < raw.length;) {
      if (style === "double" && raw[at] === "\\") {
        const escape = escapeAt(raw, at);
        if (escape.letter) break;
        at += escape.length;
      } else if (isSpace(raw[at])) at++;
      else break;
    }
    const doubled = style === "single" && raw[at] === "'" && raw[at + 1] === "'";
    after = at + (style === "double" && raw[at] === "\\" ? escapeAt(raw, at).length : doubled ? 2 : 1);
  }
  const place = index >= text.length || isSpace(text[index]) ? after : at;
  return start + Math.min(place, raw.length);
}

export class Source {
  readonly file: string;
  readonly text: string;
  private readonly starts: number[] = [0];

  constructor(text: string, file: string) {
    this.text = text;
    this.file = file;
    for (let at = text.indexOf("\n"); at >= 0; at = text.indexOf("\n", at + 1)) this.starts.push(at + 1);
  }

  /** Index of the line that holds an offset. */
  private lineOf(offset: number): number {
    let low = 0;
    let high = this.starts.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if ((this.starts[middle] ?? 0) <= offset) low = middle;
      else high = middle - 1;
    }
    return low;
  }

  /** A fault over the characters from `start` to before `end` of the file. */
  fault(said: Message, start: number, end: number, severity: Fault["severity"] = "fault"): Fault {
    const at = Math.max(0, Math.min(start, this.text.length));
    const line = this.lineOf(at);
    const begins = this.starts[line] ?? 0;
    const ends = this.starts[line + 1] ?? this.text.length + 1;
    const source = this.text.slice(begins, ends - 1).replace(/\r$/, "");
    const column = Math.min(at - begins, source.length);
    const to = end - begins;
    const cure =
      said.cure !== undefined && to >= column && to <= source.length
        ? { cure: { from: column, to, text: said.cure } }
        : {};
    const { file } = this;
    return {
      code: said.code,
      severity,
      file,
      line: line + 1,
      column: column + 1,
      message: said.text,
      source,
      ...cure,
    };
  }
}
