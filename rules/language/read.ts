/** Reads a rule set: YAML envelope, sentences, checks. Every fault at once, each with its place and cure. */
import { isMap, isScalar, isSeq } from "yaml";
import type { Cursor } from "./cursor.ts";
import { check } from "./check.ts";
import { Envelope, type Entry, type Node } from "./envelope.ts";
import type { Outcome } from "./faults.ts";
import * as say from "./faults-file.ts";
import { KEYS, keysOf, RULE_KEYS, type KeyOf } from "./keys.ts";
import { MOST_ENTRIES } from "./limits.ts";
import { Names } from "./names.ts";
import { parseAll } from "./parse-condition.ts";
import { parseEffect, parseLimits, parsePay, parseWatcher } from "./parse-pay.ts";
import { parsePhrase } from "./parse-phrase.ts";
import {
  draftMarks,
  draftPicks,
  nameOf,
  readBout,
  readMark,
  readOwnWords,
  readPick,
  readWeapon,
  titleOf,
} from "./read-parts.ts";
import { pieceOf, type Piece } from "./source.ts";
import type { Rule, RuleSet, Touch } from "./tree.ts";
import { wordsFor } from "./words.ts";

const ENDS = RULE_KEYS.at.holds.values;

type RuleKey = KeyOf<typeof RULE_KEYS>;

/** A rule set, or every fault with its line, column and cure; warnings never block. `file` is named in the faults. */
export const readRuleSet = (text: string, file = "rule set"): Outcome<RuleSet> => read(text, file, true);

/** The same by the grammar alone: nothing is checked beyond each sentence. For what proves that print and read agree. */
export const readSentences = (text: string, file = "rule set"): Outcome<RuleSet> => read(text, file, false);

function read(text: string, file: string, checked: boolean): Outcome<RuleSet> {
  const envelope = new Envelope(text, file);
  const ruleSet = new Reader(envelope, checked).read();
  if (ruleSet === undefined || envelope.faults.length > 0)
    return { ok: false, faults: inOrder([...envelope.faults]) };
  return { ok: true, value: ruleSet, warnings: inOrder([...envelope.warnings]) };
}

/** The names that a text gives and the words of its weapon, however much of it is at fault; for completion. */
export function namesIn(text: string): Names {
  const reader = new Reader(new Envelope(text, ""), false);
  reader.read();
  return reader.known;
}

const inOrder = <T extends { readonly line: number; readonly column: number }>(faults: T[]): readonly T[] =>
  faults.sort((a, b) => a.line - b.line || a.column - b.column);

interface RuleDraft {
  readonly name: string;
  readonly key: Piece;
  readonly entries: ReadonlyMap<string, Entry>;
  /** Its keys are at fault already. */
  readonly faulty: boolean;
}

const firstKeyOf = (node: Node): string | undefined => {
  const key = isMap(node) ? node.items[0]?.key : undefined;
  return key && isScalar(key) ? pieceOf(key).text : undefined;
};

class Reader {
  private readonly envelope: Envelope;
  private names: Names = new Names(wordsFor(undefined, []));
  private top: ReadonlyMap<string, Entry> = new Map();
  /** Rules with a sentence at fault; what is missing from them is not their second fault. */
  private readonly broken = new Set<Rule>();

  private readonly checked: boolean;

  constructor(envelope: Envelope, checked: boolean) {
    this.envelope = envelope;
    this.checked = checked;
  }

  read(): RuleSet | undefined {
    const { envelope } = this;
    const document = envelope.document();
    if (document === undefined) return undefined;
    const root = envelope.plain(document.contents);
    if (root === null || (root.range[1] - root.range[0] === 0 && envelope.faults.length === 0)) {
      if (envelope.faults.length === 0) envelope.at(say.emptyFile(), 0, 0);
      return undefined;
    }
    this.top = new Map(
      envelope
        .map(root, "a rule set", "name: ...", keysOf(KEYS))
        .map((entry) => [entry.key.text.trim().toLowerCase(), entry]),
    );
    if (this.top.size === 0) {
      this.title();
      return undefined;
    }
    return this.ruleSet();
  }

  get known(): Names {
    return this.names;
  }

  private value(key: KeyOf<typeof KEYS>): Node | null {
    return this.top.get(key)?.value ?? null;
  }

  private ruleSet(): RuleSet {
    const { envelope } = this;
    const name = this.title();
    const weaponNode = this.value("weapon");
    const weapon = weaponNode === null ? undefined : readWeapon(envelope, weaponNode);
    const own = readOwnWords(envelope, this.value("words"), weapon);
    this.names = new Names(wordsFor(weapon, own));
    const { names } = this;
    const picks = draftPicks(envelope, this.value("picks"), names);
    const marks = draftMarks(envelope, this.value("marks"), names);
    const phraseEntries = envelope
      .map(this.value("phrases"), "phrases", "theme: I cut to the leg")
      .flatMap((entry) => {
        const phraseName = nameOf(envelope, entry.key, "A phrase");
        if (phraseName !== undefined) names.add({ of: "phrase", name: phraseName });
        return phraseName === undefined ? [] : [{ ...entry, name: phraseName }];
      });
    const drafts = this.draftRules();
    const phrases = phraseEntries.flatMap((entry) => {
      const piece = envelope.text(entry.value, "a phrase");
      const phrase = piece && envelope.sentence(piece, parsePhrase, names);
      return phrase ? [{ name: entry.name, phrase }] : [];
    });
    const ruleSet: RuleSet = {
      name,
      ...(weapon === undefined ? {} : { weapon }),
      words: own,
      phrases,
      picks: picks.map((draft) => readPick(envelope, draft, names)),
      marks: marks.flatMap((draft) => readMark(envelope, draft, names) ?? []),
      bout: readBout(envelope, this.value("bout"), names),
      touches: this.touches(),
      rules: drafts.map((draft) => this.rule(draft)),
    };
    const nowhere: Piece = { text: "", start: 0, end: 0, style: "plain" };
    envelope.place(ruleSet, { piece: this.top.get("name")?.key ?? nowhere });
    envelope.place(ruleSet.bout, { piece: this.top.get("bout")?.key ?? nowhere });
    if (this.checked) check(ruleSet, envelope, names, this.broken);
    return ruleSet;
  }

  private title(): string {
    const entry = this.top.get("name");
    const piece = entry && this.envelope.text(entry.value, "the rule set's name");
    if (entry === undefined) this.envelope.at(say.missingKey("name", "A rule set", KEYS.name.example), 0, 0);
    return (piece && titleOf(this.envelope, piece, "A rule set")) ?? "";
  }

  private touches(): readonly Touch[] {
    const { envelope, names } = this;
    return envelope.map(this.value("touches"), "touches", "I hit: 1").flatMap(({ key, value }) => {
      const phrase = envelope.sentence(key, parsePhrase, names);
      const piece = envelope.text(value, "what the touch is worth");
      const worth = piece && envelope.number(piece, "what the touch is worth, as in 1");
      if (phrase === undefined || worth === undefined) return [];
      const touch = { phrase, worth };
      envelope.place(touch, { piece: key });
      return [touch];
    });
  }

  private draftRules(): readonly RuleDraft[] {
    const { envelope } = this;
    const node = envelope.plain(this.value("rules"));
    if (node === null || node.range[0] === node.range[1]) return [];
    if (!isSeq(node)) {
      envelope.at(say.wantsRules(firstKeyOf(node)), node.range[0], node.range[1]);
      return [];
    }
    if (node.items.length > MOST_ENTRIES) {
      envelope.at(say.tooMany("rules", MOST_ENTRIES), node.range[0], node.range[0]);
      return [];
    }
    return node.items.flatMap((item) => this.draftRule(item as Node));
  }

  private draftRule(node: Node): readonly RuleDraft[] {
    const { envelope } = this;
    const before = envelope.faults.length;
    const list = envelope.map(node, "a rule", "name: Cover and answer", keysOf(RULE_KEYS));
    const [first] = list;
    if (first === undefined) {
      if (envelope.faults.length === before)
        envelope.at(say.missingKey("name", "A rule", RULE_KEYS.name.example), node.range[0], node.range[1]);
      return [];
    }
    const entries = new Map(list.map((entry) => [entry.key.text.trim().toLowerCase(), entry]));
    const entry = entries.get("name");
    const piece = entry && envelope.text(entry.value, "the rule's name");
    if (entry === undefined) envelope.fault(say.namelessRule(), { piece: first.key });
    const name = (piece && titleOf(envelope, piece, "A rule")) ?? "";
    if (name !== "") this.names.addRule(name);
    return [{ name, key: piece ?? first.key, entries, faulty: envelope.faults.length > before }];
  }

  private rule({ name, key, entries, faulty }: RuleDraft): Rule {
    const { envelope, names } = this;
    const before = envelope.faults.length;
    const many = <T>(at: RuleKey, rule: (c: Cursor) => T): readonly T[] | undefined => {
      const entry = entries.get(at);
      if (entry === undefined) return undefined;
      return envelope
        .texts(entry.value, at)
        .flatMap((piece) => envelope.sentence(piece, (c) => [rule(c)], names, at === "when") ?? []);
    };
    const one = <T>(at: RuleKey, rule: (c: Cursor) => T): T | undefined => {
      const entry = entries.get(at);
      const piece = entry && envelope.text(entry.value, at);
      return piece && envelope.sentence(piece, rule, names);
    };
    const number = (at: RuleKey): number | undefined => {
      const entry = entries.get(at);
      const piece = entry && envelope.text(entry.value, at);
      return piece && envelope.number(piece, "the floor, as in 0");
    };
    const when = many("when", parsePhrase);
    const ifs = many("if", parseAll);
    const unless = many("unless", parseAll);
    const pays = many("pays", parsePay);
    const does = many("does", parseEffect);
    const atMost = many("at most", parseLimits)?.flat();
    const at = one("at", (c) => c.needOneOf(ENDS));
    const groupEntry = entries.get("best of");
    const groupPiece = groupEntry && envelope.text(groupEntry.value, "the group's name");
    const bestOf = groupPiece && titleOf(envelope, groupPiece, "A group");
    const notBelow = number("not below");
    const watch = one("watch", parseWatcher);
    const rule: Rule = {
      name,
      ...(at ? { at } : {}),
      ...(when && when.length > 0 ? { when } : {}),
      ...(ifs && ifs.length > 0 ? { if: ifs } : {}),
      ...(unless && unless.length > 0 ? { unless } : {}),
      ...(pays && pays.length > 0 ? { pays } : {}),
      ...(does && does.length > 0 ? { does } : {}),
      ...(atMost && atMost.length > 0 ? { atMost } : {}),
      ...(bestOf === undefined ? {} : { bestOf }),
      ...(notBelow === undefined ? {} : { notBelow }),
      ...(watch === undefined ? {} : { watch }),
    };
    envelope.place(rule, { piece: key });
    if (faulty || envelope.faults.length > before) this.broken.add(rule);
    return rule;
  }
}
