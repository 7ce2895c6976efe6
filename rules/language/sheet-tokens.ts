/**
 * A line of a bout sheet as tokens. A hyphen between letters parts words, so that "stop-hit" and "stop hit" are one;
 * before a number that stands alone it is a minus.
 */

export interface Token {
  readonly is: "word" | "number" | "mark" | "text" | "source" | "stray";
  /** Words in lower case, quoted text and sources without their marks, all else as written. */
  readonly text: string;
  /** 0-based, in characters of the line. */
  readonly from: number;
  readonly to: number;
}

const TOKEN =
  /(?<number>(?:(?<=[\s,])-)?\d+(?:\.\d+)?)|(?<space>(?:\s|-(?!\d)|(?<![\s,])-)+)|(?<comment>#.*)|(?<source>@[\p{L}][\p{L}\d_-]*)|"(?<text>[^"]*)"|(?<word>[\p{L}\p{M}_'’]+)|(?<mark>!\?|[!.,[\]{}=+])|(?<stray>.)/gu;

const folded = (word: string): string => word.toLowerCase().normalize("NFC").replaceAll("’", "'");

export function tokensOf(line: string): readonly Token[] {
  const tokens: Token[] = [];
  for (const match of line.matchAll(TOKEN)) {
    const groups = match.groups ?? {};
    const from = match.index;
    const to = from + match[0].length;
    const add = (is: Token["is"], text: string): void => void tokens.push({ is, text, from, to });
    if (groups["source"] !== undefined) add("source", groups["source"].slice(1));
    else if (groups["text"] !== undefined) add("text", groups["text"]);
    else if (groups["number"] !== undefined) add("number", groups["number"]);
    else if (groups["word"] !== undefined) add("word", folded(groups["word"]));
    else if (groups["mark"] !== undefined) add("mark", groups["mark"]);
    else if (groups["stray"] !== undefined) add("stray", groups["stray"]);
  }
  return tokens;
}

const ARTICLES: ReadonlySet<string> = new Set(["the", "a", "an", "my", "their"]);
export const isArticle = (text: string): boolean => ARTICLES.has(text);

/** What a word is looked up by: lower case, single spaces, no hyphens, no articles. */
export const keyOf = (text: string): string =>
  tokensOf(text)
    .map((token) => token.text)
    .filter((part) => !isArticle(part))
    .join(" ");
