/** Completion inside a whole file: which sentence the caret stands in, and what could stand next there. */
import { complete, type Completions } from "./complete.ts";
import { BOUT_KEYS, KEYS, keysOf, MARK_KEYS, PICK_KEYS, RULE_KEYS, type Keys } from "./keys.ts";
import { namesIn } from "./read.ts";
import { SENTENCES, type SentenceKind } from "./sentences.ts";

interface Caret {
  readonly kind: SentenceKind;
  /** The sentence up to the caret. */
  readonly text: string;
}

const GROUPS: Readonly<Record<string, Keys>> = {
  picks: PICK_KEYS,
  marks: MARK_KEYS,
  bout: BOUT_KEYS,
  rules: RULE_KEYS,
};

const LINE = /^(?<indent>[ ]*)(?<dash>- +)?(?:(?<key>[^\s:#][^:#]*?):(?: +|$))?(?<text>.*)$/u;
interface Line {
  readonly indent: number;
  readonly item: boolean;
  readonly key: string | undefined;
  readonly text: string;
}

function lineOf(source: string): Line {
  const { indent = "", dash, key, text = "" } = LINE.exec(source)?.groups ?? {};
  return {
    indent: indent.length + (dash?.length ?? 0),
    item: dash !== undefined,
    key: key?.toLowerCase(),
    text: text.replace(/^['"]/u, ""),
  };
}

const kindOf = (path: string): SentenceKind | undefined =>
  path in SENTENCES ? (path as SentenceKind) : undefined;

/** The sentence that the caret stands in; undefined where there is none, in a name for instance. */
function caretAt(before: readonly string[]): Caret | undefined {
  const here = lineOf(before.at(-1) ?? "");
  const above = before.slice(0, -1).map(lineOf);
  const top = above.findLast(({ indent, item, key }) => indent === 0 && !item && key !== undefined)?.key;
  if (top === undefined || here.indent === 0) return undefined;
  if (top === "touches") {
    const kind = kindOf(top);
    return kind && { kind, text: here.key === undefined ? here.text : "" };
  }
  if (top === "phrases") return here.key === undefined ? undefined : { kind: "phrases", text: here.text };
  const keys = GROUPS[top];
  if (keys === undefined) return undefined;
  const names: readonly string[] = keysOf(keys);
  const key =
    here.key !== undefined && names.includes(here.key)
      ? here.key
      : here.item && here.key === undefined
        ? above.findLast(({ indent, key: held }) => indent < here.indent && held !== undefined)?.key
        : undefined;
  const kind = key === undefined ? undefined : kindOf(`${top}.${key}`);
  return kind && { kind, text: here.text };
}

/** The keys that may stand where a line begins. */
function keysAt(before: readonly string[]): readonly string[] {
  const here = lineOf(before.at(-1) ?? "");
  if (here.key !== undefined) return [];
  if (here.indent === 0) return here.item ? [] : keysOf(KEYS);
  const top = before
    .slice(0, -1)
    .map(lineOf)
    .findLast(({ indent, item }) => indent === 0 && !item)?.key;
  const deep = top === "bout" ? 2 : 4;
  const keys = top === undefined ? undefined : GROUPS[top];
  return keys !== undefined && here.indent === deep ? keysOf(keys) : [];
}

/**
 * What could stand at `offset` (characters) of a rule set's text, be it unfinished or at fault elsewhere. Undefined where
 * a name or a number belongs, which only its writer knows.
 */
export function completeAt(text: string, offset: number): Completions | undefined {
  const before = text.slice(0, offset).split("\n");
  const caret = caretAt(before);
  if (caret !== undefined) {
    // The caret's own line is left out: unfinished, it could make the whole file unreadable.
    const lines = text.split("\n");
    lines[before.length - 1] = "";
    return complete(caret.text, caret.kind, namesIn(lines.join("\n")));
  }
  const begun = lineOf(before.at(-1) ?? "").text.toLowerCase();
  const next = keysAt(before)
    .filter((key) => key.startsWith(begun))
    .map((key) => ({ text: `${key}:`, is: "piece" as const }));
  return next.length === 0 ? undefined : { whole: false, replaces: begun.length, next };
}
