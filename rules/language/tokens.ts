/** Cuts a sentence into tokens. Articles are left out here, so that they are optional everywhere. */

export interface Token {
  readonly kind: "word" | "number" | "quoted" | "mark";
  /** Lower case; a quoted name keeps its case and loses its quotes. */
  readonly text: string;
  /** Offsets into the sentence. */
  readonly start: number;
  readonly end: number;
}

const ARTICLES: ReadonlySet<string> = new Set(["a", "an", "the"]);

const SPACE = /\s+/uy;
const QUOTED = /"([^"]*)"/uy;
const NUMBER = /[-−–+]?\d+(?:\.\d+)?/uy;
const WORD = /[\p{L}\p{M}][\p{L}\p{M}\p{N}'’-]*/uy;

const sticky = (pattern: RegExp, text: string, at: number): RegExpExecArray | null => {
  pattern.lastIndex = at;
  return pattern.exec(text);
};

const isPlainLetter = (code: number): boolean => (code >= 97 && code <= 122) || (code >= 65 && code <= 90);

/** Letters of one spelling for the same word: lower case, composed, straight apostrophe. */
function fold(text: string): string {
  const lower = text.toLowerCase();
  for (let i = 0; i < lower.length; i++) {
    if (lower.charCodeAt(i) > 127) return lower.normalize("NFC").replaceAll("’", "'");
  }
  return lower;
}

function tokenAt(text: string, at: number): Token {
  if (!isPlainLetter(text.charCodeAt(at))) {
    const quoted = sticky(QUOTED, text, at);
    if (quoted) return { kind: "quoted", text: (quoted[1] ?? "").trim(), start: at, end: QUOTED.lastIndex };
    const number = sticky(NUMBER, text, at);
    if (number)
      return {
        kind: "number",
        text: number[0].replace(/^[−–]/u, "-").replace(/^\+/u, ""),
        start: at,
        end: NUMBER.lastIndex,
      };
  }
  const word = sticky(WORD, text, at);
  if (word) return { kind: "word", text: fold(word[0]), start: at, end: WORD.lastIndex };
  const char = String.fromCodePoint(text.codePointAt(at) ?? 32);
  return { kind: "mark", text: char, start: at, end: at + char.length };
}

/** The tokens of a sentence, without articles. */
export function tokenise(text: string): readonly Token[] {
  const tokens: Token[] = [];
  let at = 0;
  while (at < text.length) {
    if (text.charCodeAt(at) <= 32 || sticky(SPACE, text, at)) {
      sticky(SPACE, text, at);
      at = Math.max(SPACE.lastIndex, at + 1);
      continue;
    }
    const token = tokenAt(text, at);
    at = token.end;
    if (token.kind !== "word" || !ARTICLES.has(token.text)) tokens.push(token);
  }
  return tokens;
}

const keys = new Map<string, readonly string[]>();

/** The token texts of a fixed piece of the grammar or of a name; remembered for the grammar's own pieces. */
export function keyOf(text: string): readonly string[] {
  const known = keys.get(text);
  if (known) return known;
  const key = tokenise(text).map((token) => token.text);
  if (keys.size < 4096) keys.set(text, key);
  return key;
}

/** One text for all spellings of a name that stands in quotes: only case and spaces do not matter. */
export const quotedName = (text: string): string => fold(text).trim().replace(/\s+/gu, " ");

/** One text for all spellings of a name: case, articles and spaces do not matter. */
export const sameName = (text: string): string => keyOf(text).join(" ");
