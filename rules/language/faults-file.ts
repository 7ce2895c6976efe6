/** Every message about the file itself: its YAML, its keys, its shape. */
import type { Message } from "./faults.ts";
import { listed } from "./faults-sentence.ts";
import { nearest } from "./spelling.ts";

const say = (code: string, text: string, cure?: string): Message =>
  cure === undefined ? { code, text } : { code, text, cure };

export const tooBig = (kilobytes: number): Message =>
  say("too-big", `A rule set may have ${String(kilobytes)} kB. This file is larger: it cannot be one.`);
export const tooMany = (what: string, most: number): Message =>
  say("too-many", `A rule set may have ${String(most)} ${what}. Split it into several rule sets.`);
export const tooDeep = (): Message =>
  say("not-yaml", "Lists and keys are nested too deeply here. A rule set needs three levels.");

/** What went wrong, by the parser's own code for it. */
const YAML_FAULTS: Readonly<Record<string, string>> = {
  TAB_AS_INDENT: "Indent with spaces: a tab may not stand at the beginning of a line.",
  BAD_INDENT: "This line is not indented like its neighbours. Give every key of one group the same indent.",
  BLOCK_AS_IMPLICIT_KEY:
    "A sentence with \": \" inside needs quotes around it, or the line is indented too far. Write it as '...'.",
  MULTILINE_IMPLICIT_KEY: 'A key must stand on one line and end with ":". Look at the line before, too.',
  KEY_OVER_1024_CHARS:
    'This key is too long. Give the phrase a name under "phrases" and write "I make the NAME".',
  MISSING_CHAR: 'A mark is missing here: a closing quote or bracket, or the ":" after a key.',
  UNEXPECTED_TOKEN:
    "Nothing may stand here. A sentence that begins with a quote needs single quotes around the whole: '\"Rule\" pays me'.",
  BAD_SCALAR_START: "A text may not begin with this mark. Put quotes around the text.",
  BAD_DQ_ESCAPE: 'A "\\" inside double quotes begins an escape. Use single quotes instead.',
  MULTIPLE_DOCS: 'A file holds one rule set. Put what follows "---" into a file of its own.',
  UNRESOLVED_TAG: "A rule set uses no tags. Leave out what begins with !.",
  TAG_RESOLVE_FAILED: "A rule set uses no tags. Leave out what begins with !.",
  BAD_ALIAS: "A rule set uses no anchors and aliases. Write the text out.",
  DUPLICATE_KEY: "This key stands here twice. Keep one.",
};
export const notYaml = (code: string): Message =>
  say(
    "not-yaml",
    YAML_FAULTS[code] ?? "This is not the YAML of a rule set. Look for a missing quote, colon or indent.",
  );

export const noAliases = (): Message =>
  say("no-aliases", "A rule set uses no anchors, aliases and tags. Write the text out.");
export const noMerge = (): Message => say("no-merge", `A rule set has no "<<" key. Write the keys out.`);
export const noDirectives = (): Message =>
  say("no-directives", "A rule set begins with its keys. Leave out the line that begins with %.");

export const emptyFile = (): Message =>
  say("empty-file", `There is no rule set here. Begin with "name: ..." and "touches:".`);

export const sheetsHere = (): Message =>
  say("sheets-key", `A rule set has no "sheets". Bout sheets are files of their own.`);

export function unknownKey(key: string, of: string, keys: readonly string[]): Message {
  const near = nearest(key.toLowerCase(), keys, 3);
  const known = near === undefined ? ` Known here: ${keys.join(", ")}.` : ` Did you mean "${near}"?`;
  return say("unknown-key", `"${key}" is not a key of ${of}.${known}`, near);
}
export const keyTwice = (key: string): Message =>
  say("duplicate-key", `"${key}" stands here twice. Keep one.`);
export const missingKey = (key: string, of: string, example: string): Message =>
  say("missing-key", `${of} needs "${key}", as in "${key}: ${example}".`);

export const wantsText = (what: string): Message =>
  say("wants-text", `One sentence belongs here (${what}), not a list or more keys.`);
export const wantsList = (what: string): Message =>
  say(
    "wants-text",
    `Sentences belong here (${what}): one beside the key, or a list of them with "- " in front.`,
  );
export const wantsKeys = (what: string, example: string): Message =>
  say("wants-keys", `Keys belong under ${what}, as in "${example}".`);
export const wantsRules = (): Message =>
  say("wants-rules", `"rules" is a list; each rule begins with "- name: ...".`);
export const wantsNumber = (text: string, what: string): Message =>
  say("wants-number", `"${text}" is not a number. Write ${what}.`);
export const noName = (what: string): Message =>
  say("no-name", `${what} needs a name of at least one word beside "a", "an" and "the".`);
export const badName = (name: string): Message =>
  say("bad-name", `"${name}" cannot be a name: use one line without double quotes.`);

export const notA = (text: string, what: string, known: readonly string[]): Message => {
  const near = nearest(text.toLowerCase(), known);
  return say(
    "unknown-word",
    `"${text}" is not ${what}.${near === undefined ? ` Write ${listed(known, 12)}.` : ` Did you mean "${near}"?`}`,
    near,
  );
};
