/** What is wrong where the file is no YAML: the parser's own code, and the line as its writer sees it. */
import type { Message } from "./faults.ts";

const say = (text: string): Message => ({ code: "not-yaml", text });

/** What went wrong, by the parser's own code for it. */
const BY_CODE: Readonly<Record<string, string>> = {
  TAB_AS_INDENT: "Indent with spaces: a tab may not stand at the beginning of a line.",
  BAD_INDENT: "This line is not indented like its neighbours. Give every key of one group the same indent.",
  BLOCK_AS_IMPLICIT_KEY: 'A sentence has no ": " inside. Leave the colon out.',
  MULTILINE_IMPLICIT_KEY: 'A key must stand on one line and end with ":". Look at the line before, too.',
  KEY_OVER_1024_CHARS:
    'This key is too long. Give the phrase a name under "phrases" and write "I make the NAME".',
  MISSING_CHAR: 'A mark is missing here: a closing quote or bracket, or the ":" after a key.',
  UNEXPECTED_TOKEN: "Nothing may stand here. Leave it out, or put the whole sentence in single quotes.",
  BAD_SCALAR_START: "A text may not begin with this mark. Put single quotes around the whole text.",
  BAD_DQ_ESCAPE: 'A "\\" inside double quotes begins an escape. Use single quotes instead.',
  MULTIPLE_DOCS: 'A file holds one rule set. Put what follows "---" into a file of its own.',
  UNRESOLVED_TAG: "A rule set uses no tags. Leave out what begins with !.",
  TAG_RESOLVE_FAILED: "A rule set uses no tags. Leave out what begins with !.",
  BAD_ALIAS: "A rule set uses no anchors and aliases. Write the text out.",
  DUPLICATE_KEY: "This key stands here twice. Keep one.",
};
const OTHER = "This is not the YAML of a rule set. Look for a missing quote, colon or indent.";

/** The lines around a place of the file. */
interface Around {
  readonly line: string;
  readonly before: string;
  readonly next: string;
  /** Offset of the line, and of the next one. */
  readonly starts: number;
  readonly ends: number;
}

function around(text: string, at: number): Around {
  const starts = text.lastIndexOf("\n", at - 1) + 1;
  const end = text.indexOf("\n", at);
  const ends = end < 0 ? text.length : end + 1;
  const nextEnd = text.indexOf("\n", ends);
  const trimmed = (line: string): string => line.replace(/\r?\n?$/, "");
  return {
    line: trimmed(text.slice(starts, ends)),
    before: trimmed(text.slice(text.lastIndexOf("\n", starts - 2) + 1, Math.max(0, starts - 1))),
    next: trimmed(text.slice(ends, nextEnd < 0 ? text.length : nextEnd)),
    starts,
    ends,
  };
}

const indentOf = (line: string): number => /^[ ]*/.exec(line)?.[0].length ?? 0;
/** A key with its value, "- " in front or not. */
const KEY = /^(\s*(?:- +)?)([^\s"'#:-][^:"'#]*):(?: +(.*))?$/u;
const short = (text: string): string => (text.length > 60 ? `${text.slice(0, 60)}...` : text);

export interface YamlFault {
  readonly said: Message;
  readonly at: number;
  /** Seen in the line itself; without it the parser may only have stumbled over what stands before. */
  readonly sure?: true;
}

/** Slips of the pen that a line shows by itself, whatever the parser stumbled over. */
function byLine({ line, next, starts }: Around): YamlFault | undefined {
  const found = (text: string): YamlFault => ({ said: say(text), at: starts });
  if (line.includes("\r"))
    return found("The lines of this file end in a way of long ago. Save it anew with usual line ends.");
  if (line.startsWith("```")) return found('Leave this line out: a rule set begins with "name:".');
  if (/^[ ]*[\u00a0\u2000-\u200a\u202f\u3000]/u.test(line))
    return found(
      "This line begins with spaces of another kind, as web pages have them. Type usual spaces instead.",
    );
  const dash = /^\s*-(?=[\p{L}])/u.exec(line);
  if (dash) {
    const below = indentOf(next) === dash[0].length ? " Give the lines below it one space more, too." : "";
    return found(`Put a space after the dash: "- ${short(line.slice(dash[0].length))}".${below}`);
  }
  const tight = /^\s*((?:- )?[\p{L}][\p{L} ]*):(?=[^\s:])(.*)$/u.exec(line);
  if (tight) return found(`Put a space after the colon: "${short(`${tight[1] ?? ""}: ${tight[2] ?? ""}`)}".`);
  return undefined;
}

/** Where a value begins with a quote that its line does not close; the last one before the fault. */
function openQuote(text: string, at: number): number | undefined {
  let found: number | undefined;
  for (const match of text.slice(0, at).matchAll(/(?::|-) +(["'])([^\n]*)$/gmu))
    if (!(match[2] ?? "").includes(match[1] ?? "")) found = match.index + match[0].indexOf(match[1] ?? "");
  return found;
}

/** A sentence with quotes at its beginning only, or an open bracket. */
function byValue(
  code: string,
  text: string,
  at: number,
  { line, before, starts }: Around,
): YamlFault | undefined {
  const [, , , value = ""] = KEY.exec(line) ?? [];
  if (code === "UNEXPECTED_TOKEN" && /^"[^"]*" \S/.test(value))
    return {
      said: say(
        `A sentence that begins with a quote needs single quotes around the whole: '${short(value)}'.`,
      ),
      at: starts + line.indexOf(value),
    };
  if (code === "MISSING_CHAR") {
    const from = openQuote(text, at);
    if (from !== undefined)
      return {
        said: say(`This quote is never closed. Put the same mark at the end, or leave it out.`),
        at: from,
      };
  }
  const open = [before, line].find((one) => /[[{]/.test(one) && !/[\]}]/.test(one));
  if (open !== undefined && /BAD_INDENT|MISSING_CHAR|BAD_SCALAR|UNEXPECTED|FLOW/.test(code)) {
    const bracket = open.search(/[[{]/);
    const at = open === line ? starts : starts - before.length - 1;
    return {
      said: say(
        `The bracket "${open[bracket] ?? "["}" is never closed. Leave it out: a sentence needs none.`,
      ),
      at: at + bracket,
    };
  }
  return undefined;
}

/** One key under another where a value stands already. */
function byIndent(code: string, { line, before, next, starts, ends }: Around): YamlFault | undefined {
  if (code !== "BLOCK_AS_IMPLICIT_KEY" && code !== "MULTILINE_IMPLICIT_KEY") return undefined;
  const key = KEY.exec(line);
  if (key === null) return undefined;
  const column = (match: RegExpExecArray): number => (match[1] ?? "").length;
  const nextKey = KEY.exec(next);
  const tooFar = (under: RegExpExecArray, at: number): YamlFault => ({
    said: say(
      `This line is indented too far. Begin it ${column(under) === 0 ? "without spaces" : `with ${String(column(under))} spaces`}, so that it stands right under "${under[2] ?? ""}".`,
    ),
    at,
  });
  const value = key[3] ?? "";
  if (nextKey && indentOf(next) > column(key) && value !== "" && !/: /.test(value)) return tooFar(key, ends);
  const beforeKey = KEY.exec(before);
  if (beforeKey && indentOf(line) > column(beforeKey) && (beforeKey[3] ?? "") !== "" && !/: /.test(value))
    return tooFar(beforeKey, starts);
  return undefined;
}

/** The fault at `at`, as its writer can mend it, and where it stands. */
export function yamlFault(code: string, text: string, at: number): YamlFault {
  const lines = around(text, at);
  const seen = byLine(lines) ?? byValue(code, text, at, lines) ?? byIndent(code, lines);
  return seen ? { ...seen, sure: true } : { said: say(BY_CODE[code] ?? OTHER), at };
}
