/** The YAML around the sentences: keys and pieces of text with their places, every fault collected. */
import { isAlias, isMap, isScalar, isSeq, parseDocument, type Document, type ParsedNode } from "yaml";
import { tooDeepAt } from "./depth.ts";
import type { Span } from "./cursor.ts";
import type { Fault, Message } from "./faults.ts";
import * as say from "./faults-file.ts";
import { yamlFault } from "./faults-yaml.ts";
import { MOST_ENTRIES, MOST_KILOBYTES } from "./limits.ts";
import type { Names } from "./names.ts";
import { parseSentence, type Rule } from "./parse.ts";
import { offsetOf, pieceOf, Source, type Piece } from "./source.ts";
import { sameName } from "./tokens.ts";

const MOST_FAULTS = 100;
const MOST_YAML_FAULTS = 5;
/** Errors of the YAML parser that are looked at. */
const MOST_YAML_ERRORS = 100;

export type Node = ParsedNode;
export interface Entry {
  readonly key: Piece;
  readonly value: Node | null;
}

/** Where a piece of the tree stands: a span of a piece of text. */
export interface Place {
  readonly piece: Piece;
  readonly span?: Span;
}

export class Envelope {
  readonly source: Source;
  readonly faults: Fault[] = [];
  readonly warnings: Fault[] = [];
  readonly places = new Map<object, Place>();

  constructor(text: string, file: string) {
    this.source = new Source(text, file);
  }

  at(said: Message, start: number, end: number): void {
    if (this.faults.length < MOST_FAULTS) this.faults.push(this.source.fault(said, start, end));
  }

  /** A fault over a piece of text, or over a part of it. */
  fault(said: Message, { piece, span }: Place): void {
    const [start, end] = this.offsets(piece, span);
    this.at(said, start, end);
  }

  warn(said: Message, { piece, span }: Place): void {
    const [start, end] = this.offsets(piece, span);
    if (this.warnings.length < MOST_FAULTS)
      this.warnings.push(this.source.fault(said, start, end, "warning"));
  }

  private offsets(piece: Piece, span: Span | undefined): Span {
    if (span === undefined) return [piece.start, piece.end];
    const { text } = this.source;
    const start = offsetOf(text, piece, span[0]);
    return span[1] > span[0] ? [start, offsetOf(text, piece, span[1] - 1) + 1] : [start, start];
  }

  place(node: object, place: Place): void {
    this.places.set(node, place);
  }

  /** The node's own place, or else that of what holds it. */
  placeOf(node: object, around?: object): Place {
    return (
      this.places.get(node) ??
      (around && this.places.get(around)) ?? { piece: { text: "", start: 0, end: 0, style: "plain" } }
    );
  }

  /** The file's document; undefined after a fault of the YAML itself. */
  document(): Document.Parsed | undefined {
    const { text } = this.source;
    if (text.length > MOST_KILOBYTES * 1024) {
      this.at(say.tooBig(MOST_KILOBYTES), 0, 0);
      return undefined;
    }
    const deep = tooDeepAt(text);
    if (deep !== undefined) {
      this.at(say.tooDeep(), deep, deep + 1);
      return undefined;
    }
    const document = parsed(text);
    if (document === undefined) {
      this.at(say.tooDeep(), 0, 0);
      return undefined;
    }
    // One slip of the YAML leads to many; the first ones name it.
    // Each is looked for in the whole text: of tens of thousands the first ones say enough.
    const found = document.errors
      .slice(0, MOST_YAML_ERRORS)
      .map(({ code, pos }) => ({ pos, code, ...yamlFault(code, text, pos[0]) }));
    const sure = found.filter((one) => one.sure === true || one.code === "TAB_AS_INDENT");
    const told = new Set<string>();
    for (const { said, at, code, pos } of sure.length > 0 ? sure : found) {
      const once = code === "TAB_AS_INDENT" ? String(at) : said.text;
      if (told.size < MOST_YAML_FAULTS && !told.has(once)) this.at(said, at, at === pos[0] ? pos[1] : at);
      told.add(once);
    }
    if (/^%/m.test(text) && document.directives.docStart === true) {
      const at = text.search(/^%/m);
      this.at(say.noDirectives(), at, at + 1);
    }
    return this.faults.length > 0 ? undefined : document;
  }

  /** A node that a rule set may have: no alias, anchor or tag. */
  plain(node: Node | null): Node | null {
    if (node === null) return null;
    const [start, end] = node.range;
    const marked =
      isAlias(node) || node.anchor !== undefined || (node.tag !== undefined && !isUsual(node.tag));
    if (!marked) return node;
    this.at(say.noAliases(), start, end);
    return null;
  }

  /** The keys of a map that are known, each once. `keys` undefined: any. */
  map(node: Node | null, of: string, example: string, keys?: readonly string[]): readonly Entry[] {
    const map = this.plain(node);
    if (map === null) return [];
    if (!isMap(map)) {
      if (isScalar(map) && map.range[0] === map.range[1]) return [];
      const written = isSeq(map) ? "a list" : isScalar(map) ? pieceOf(map).text : "";
      this.at(say.wantsKeys(of, example, written), map.range[0], map.range[1]);
      return [];
    }
    if (map.items.length > MOST_ENTRIES) {
      this.at(say.tooMany(`keys under ${of}`, MOST_ENTRIES), map.range[0], map.range[0]);
      return [];
    }
    const seen = new Set<string>();
    const entries: Entry[] = [];
    for (const { key: keyNode, value } of map.items) {
      const key = this.text(keyNode as Node, "a key");
      if (key === undefined) continue;
      const name = keys === undefined ? sameName(key.text) : key.text.trim().toLowerCase();
      if (name === "<<") this.fault(say.noMerge(), { piece: key });
      else if (seen.has(name)) this.fault(say.keyTwice(key.text), { piece: key });
      else if (keys && !keys.includes(name))
        this.fault(name === "sheets" ? say.sheetsHere() : say.unknownKey(key.text, of, keys), { piece: key });
      else entries.push({ key, value: value as Node | null });
      seen.add(name);
    }
    return entries;
  }

  /** One text; undefined after a fault. */
  text(node: Node | null, what: string): Piece | undefined {
    const plain = this.plain(node);
    if (plain === null) return undefined;
    if (isScalar(plain)) return pieceOf(plain);
    this.at(say.wantsText(what), plain.range[0], plain.range[1]);
    return undefined;
  }

  /** One text or a list of texts. */
  texts(node: Node | null, what: string): readonly Piece[] {
    const plain = this.plain(node);
    if (plain === null) return [];
    if (isScalar(plain)) return [pieceOf(plain)];
    if (!isSeq(plain)) {
      this.at(say.wantsList(what), plain.range[0], plain.range[1]);
      return [];
    }
    if (plain.items.length > MOST_ENTRIES) {
      this.at(say.tooMany("lines in one list", MOST_ENTRIES), plain.range[0], plain.range[0]);
      return [];
    }
    return plain.items.flatMap((item) => this.text(item as Node, what) ?? []);
  }

  /** A whole number or a half. */
  number(piece: Piece, what: string): number | undefined {
    const text = piece.text.trim();
    if (/^[-+]?\d{1,6}(\.\d{1,3})?$/.test(text)) return Number(text) + 0;
    this.fault(say.wantsNumber(text, what), { piece });
    return undefined;
  }

  /** One sentence by one piece of the grammar; its places are kept. */
  sentence<T>(piece: Piece, rule: Rule<T>, names: Names, isWhen = false): T | undefined {
    const parsedSentence = parseSentence(piece.text, rule, names, isWhen);
    if (!parsedSentence.ok) {
      const { said, start, end } = parsedSentence;
      this.fault(said, { piece, span: [start, end] });
      return undefined;
    }
    const { value, spans } = parsedSentence;
    if (typeof value === "object" && value !== null) this.places.set(value, { piece });
    for (const [node, span] of spans) this.places.set(node, { piece, span });
    return value;
  }
}

const isUsual = (tag: string): boolean => /^tag:yaml\.org,2002:(?:map|seq|str)$/.test(tag);

function parsed(text: string): Document.Parsed | undefined {
  try {
    return parseDocument(text, {
      schema: "failsafe",
      version: "1.2",
      uniqueKeys: false,
      merge: false,
      prettyErrors: false,
      // "silent" would also pass over a second document.
      logLevel: "error",
    });
  } catch {
    // A RangeError of the parser's recursion, should some nesting escape the count above.
    return undefined;
  }
}
