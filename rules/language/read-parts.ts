/** The parts of a rule set before its rules: words, names, picks, marks and the bout's sentences. */
import { WEAPONS, type Weapon } from "../vocabulary.ts";
import type { Cursor } from "./cursor.ts";
import type { Entry, Envelope, Node } from "./envelope.ts";
import * as say from "./faults-file.ts";
import { BOUT_KEYS, keysOf, MARK_KEYS, neededOf, PICK_KEYS, type KeyOf } from "./keys.ts";
import { LONGEST_NAME } from "./limits.ts";
import { Names } from "./names.ts";
import * as bout from "./parse-bout.ts";
import * as marks from "./parse-mark.ts";
import { parseBlowWords, parseTargetWord } from "./parse-phrase.ts";
import { parseOwnWord } from "./parse-word.ts";
import { DEFAULT_BOUT } from "./print-bout.ts";
import type { Piece } from "./source.ts";
import { keyOf, sameName } from "./tokens.ts";
import type { Mark, OwnWord, Pick, PickValue } from "./tree.ts";
import type { BoutRules } from "./tree-bout.ts";
import { growingWords, wordsFor } from "./words.ts";

/** Marks that turn the direction of writing: a name would reorder the line that it stands in (Unicode, UAX #9). */
const TURNS = /[\u202a-\u202e\u2066-\u2069]/gu;

/** A title as it stands: one line, no double quotes (rules are quoted by them). */
export function titleOf(envelope: Envelope, piece: Piece, what: string): string | undefined {
  return nameOf(envelope, piece, what, (name) => name.length);
}

/** A name that sentences use: more than an article. */
export function nameOf(
  envelope: Envelope,
  piece: Piece,
  what: string,
  size: (name: string) => number = (name) => keyOf(name).length,
): string | undefined {
  const name = piece.text.trim().replace(/\s+/gu, " ");
  if (size(name) === 0) envelope.fault(say.noName(what), { piece });
  else if (name.startsWith("__")) envelope.fault(say.underscores(name.slice(0, 60)), { piece });
  else if (name.search(TURNS) >= 0)
    envelope.fault(say.nameTurns(name.replace(TURNS, "").slice(0, 60)), { piece });
  else if (/["\p{Cc}\p{Cs}]/u.test(name) || name.length > LONGEST_NAME)
    envelope.fault(say.badName(name.slice(0, 60)), { piece });
  else return name;
  return undefined;
}

export function readWeapon(envelope: Envelope, node: Node | null): Weapon | undefined {
  const piece = envelope.text(node, "a weapon");
  if (piece === undefined) return undefined;
  const text = piece.text.trim().toLowerCase();
  const weapon = WEAPONS.find((one) => one === text);
  if (weapon === undefined) envelope.fault(say.notAWeapon(piece.text.trim(), WEAPONS), { piece });
  return weapon;
}

/** One class and no other word: nothing above it can be meant. */
const PLAIN_CLASS = /^\s*(?:an?\s+)?(?:action|manner|target|guard|call|footwork|strike|blow)\s*$/iu;

/** The names that an own word may be told by. Most name none of those above, and then the list need not grow. */
class OwnNames {
  private readonly base: Names;
  private readonly above: OwnWord[] = [];
  private grown: { readonly words: ReturnType<typeof growingWords>; readonly names: Names } | undefined;
  private readonly weapon: Weapon | undefined;

  constructor(weapon: Weapon | undefined) {
    this.weapon = weapon;
    this.base = new Names(wordsFor(weapon, []));
  }

  for(text: string): Names {
    if (this.above.length === 0 || PLAIN_CLASS.test(text)) return this.base;
    if (!this.grown) {
      const words = growingWords(this.weapon);
      this.grown = { words, names: new Names(words) };
      for (const word of this.above) words.addOwn(word);
    }
    return this.grown.names;
  }

  /** A word of the language keeps its meaning; the check says so. */
  add(word: OwnWord): void {
    if (this.base.words.find(word.name).length > 0) return;
    this.above.push(word);
    this.grown?.words.addOwn(word);
  }
}

/** In the order of the file: a word may be told by those above it. */
export function readOwnWords(
  envelope: Envelope,
  node: Node | null,
  weapon: Weapon | undefined,
): readonly OwnWord[] {
  if (node === null) return [];
  const names = new OwnNames(weapon);
  return envelope.map(node, "words", "praise: a call").flatMap(({ key, value }) => {
    const name = nameOf(envelope, key, "A word");
    const piece = envelope.text(value, "what the word is");
    const said = piece && envelope.sentence(piece, parseOwnWord, names.for(piece.text));
    if (name === undefined || said === undefined) return [];
    const word: OwnWord = { name: name.toLowerCase(), ...said };
    names.add(word);
    envelope.place(word, { piece: key });
    return [word];
  });
}

/** A pick with its values, before the sentences that need all names. */
export interface PickDraft {
  readonly name: string;
  readonly key: Piece;
  readonly by: Pick["by"];
  readonly from: readonly PickValue[];
  readonly entries: ReadonlyMap<string, Entry>;
}

const byKey = (entries: readonly Entry[]): ReadonlyMap<string, Entry> =>
  new Map(entries.map((entry) => [entry.key.text.trim().toLowerCase(), entry]));

export function draftPicks(envelope: Envelope, node: Node | null, names: Names): readonly PickDraft[] {
  return envelope.map(node, "picks", "card:").flatMap(({ key, value }) => {
    const name = nameOf(envelope, key, "A pick");
    const before = envelope.faults.length;
    const entries = byKey(
      envelope.map(
        value,
        `the pick "${key.text}"`,
        `by: the coach", "from: [head, arm]" and "when: before the bout`,
        keysOf(PICK_KEYS),
      ),
    );
    // What is missing from a pick that could not be read is not its second fault.
    const readable = entries.size > 0 || envelope.faults.length === before;
    if (name === undefined || !readable) return [];
    for (const [needed, example] of neededOf(PICK_KEYS))
      if (!entries.has(needed))
        envelope.fault(say.missingKey(needed, `The pick "${name}"`, example), { piece: key });
    const by = sentenceAt(envelope, entries, "by", marks.parsePickBy, names) ?? "the coach";
    const from = readValues(envelope, entries.get("from")?.value ?? null, names);
    const draft = { name, key, by, from, entries };
    names.add({ of: "pick", name, each: /each fencer/.test(by), values: from });
    return [draft];
  });
}

function readValues(envelope: Envelope, node: Node | null, names: Names): readonly PickValue[] {
  const seen = new Set<string>();
  return envelope.texts(node, "the values to pick from").flatMap((piece) => {
    const text = nameOf(envelope, piece, "A value");
    if (text === undefined) return [];
    const key = sameName(text);
    if (seen.has(key)) {
      envelope.fault(say.keyTwice(text), { piece });
      return [];
    }
    seen.add(key);
    if (!text.includes("+")) return [{ text }];
    return envelope.sentence(piece, parseBlowAndTarget, names) ?? [];
  });
}

/** "zornhau + head". */
function parseBlowAndTarget(c: Cursor): PickValue {
  const blow = parseBlowWords(c);
  c.need("+");
  const target = parseTargetWord(c);
  return { text: `${blow} + ${target}`, blow, target };
}

function sentenceAt<T>(
  envelope: Envelope,
  entries: ReadonlyMap<string, Entry>,
  key: string,
  rule: (c: Cursor) => T,
  names: Names,
): T | undefined {
  const entry = entries.get(key);
  const piece = entry && envelope.text(entry.value, key);
  return piece && envelope.sentence(piece, rule, names);
}

export function readPick(envelope: Envelope, draft: PickDraft, names: Names): Pick {
  const { name, by, from, entries, key } = draft;
  const when = sentenceAt(envelope, entries, "when", marks.parsePickTime, names) ?? { at: "before the bout" };
  const seenBy = sentenceAt(envelope, entries, "seen by", marks.parseSeenBy, names);
  const shown = sentenceAt(envelope, entries, "shown", marks.parseShown, names);
  const turnsAt = entries.get("turns");
  const piece = turnsAt && envelope.text(turnsAt.value, "turns");
  const turns = piece && envelope.number(piece, "how many are drawn together, as in 2");
  const pick: Pick = {
    name,
    by,
    from,
    when,
    ...(seenBy === undefined ? {} : { seenBy }),
    ...(shown === undefined ? {} : { shown }),
    ...(turns === undefined ? {} : { turns }),
  };
  envelope.place(pick, { piece: key });
  return pick;
}

export interface MarkDraft {
  readonly name: string;
  readonly key: Piece;
  readonly kind: marks.MarkKind | undefined;
  readonly entries: ReadonlyMap<string, Entry>;
}

export function draftMarks(envelope: Envelope, node: Node | null, names: Names): readonly MarkDraft[] {
  return envelope.map(node, "marks", "streak:").flatMap(({ key, value }) => {
    const name = nameOf(envelope, key, "A mark");
    const entries = byKey(
      envelope.map(value, `the mark "${key.text}"`, "is: a count for each fencer", keysOf(MARK_KEYS)),
    );
    if (name === undefined) return [];
    for (const [needed, example] of neededOf(MARK_KEYS))
      if (!entries.has(needed))
        envelope.fault(say.missingKey(needed, `The mark "${name}"`, example), { piece: key });
    const kind = sentenceAt(envelope, entries, "is", marks.parseMarkKind, names);
    names.add({ of: "mark", name, ...(kind ? { is: kind.is, for: kind.for } : {}) });
    for (const role of kind?.roles ?? []) names.add({ of: "role", name: role, mark: name });
    return [{ name, key, kind, entries }];
  });
}

export function readMark(envelope: Envelope, draft: MarkDraft, names: Names): Mark | undefined {
  const { name, key, kind, entries } = draft;
  const starts = sentenceAt(envelope, entries, "starts", marks.parseMarkStart, names);
  const changesAt = entries.get("changes");
  const pieces = changesAt ? envelope.texts(changesAt.value, "what changes the mark") : [];
  const changes = pieces.flatMap((piece) => envelope.sentence(piece, marks.parseChange, names) ?? []);
  if (kind === undefined) return undefined;
  const mark: Mark = { name, ...kind, ...(starts === undefined ? {} : { starts }), changes };
  envelope.place(mark, { piece: key });
  return mark;
}

type BoutKey = KeyOf<typeof BOUT_KEYS>;

export function readBout(envelope: Envelope, node: Node | null, names: Names): BoutRules {
  const entries = byKey(envelope.map(node, "bout", "doubles: score nothing", keysOf(BOUT_KEYS)));
  const list = <T>(key: BoutKey, rule: (c: Cursor) => T): readonly T[] => {
    const entry = entries.get(key);
    if (entry === undefined) return [];
    return envelope.texts(entry.value, key).flatMap((piece) => envelope.sentence(piece, rule, names) ?? []);
  };
  const one = <T>(key: BoutKey, rule: (c: Cursor) => T): T | undefined =>
    sentenceAt(envelope, entries, key, rule, names);
  const usual = DEFAULT_BOUT;
  const limit = one("limits", bout.parseTeamLimit);
  const rules: BoutRules = {
    ends: list("ends", bout.parseEnd),
    starts: list("starts", bout.parseStart),
    wins: one("wins", bout.parseWins) ?? usual.wins,
    clock: one("clock", bout.parseClock) ?? usual.clock,
    halt: one("halt", bout.parseHalt) ?? usual.halt,
    ties: one("ties", bout.parseTies) ?? usual.ties,
    doubles: one("doubles", bout.parseDoubles) ?? usual.doubles,
    afterblows: one("afterblows", bout.parseAfterblows) ?? usual.afterblows,
    simultaneous: one("simultaneous", bout.parseSimultaneous) ?? usual.simultaneous,
    panel: one("panel", bout.parsePanel) ?? usual.panel,
    ...(limit === undefined ? {} : { limit }),
    atTheEnd: one("at the end", bout.parseAtTheEnd) ?? usual.atTheEnd,
    bonus: one("bonus", bout.parseBonus) ?? usual.bonus,
  };
  return rules;
}
