/** The parts of a rule set before its rules: words, names, picks, marks and the bout's sentences. */
import { WEAPONS, type Weapon } from "../vocabulary.ts";
import type { Cursor } from "./cursor.ts";
import type { Entry, Envelope, Node } from "./envelope.ts";
import * as say from "./faults-file.ts";
import type { Names } from "./names.ts";
import * as bout from "./parse-bout.ts";
import * as marks from "./parse-mark.ts";
import { parseBlowWords, parseTargetWord } from "./parse-phrase.ts";
import { DEFAULT_BOUT } from "./print-bout.ts";
import type { Piece } from "./source.ts";
import { keyOf, sameName } from "./tokens.ts";
import type { BoutRules, Mark, OwnWord, Pick, PickValue } from "./tree.ts";

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
  else if (/["\p{Cc}\p{Cs}]/u.test(name) || name.length > 200)
    envelope.fault(say.badName(name.slice(0, 60)), { piece });
  else return name;
  return undefined;
}

export function readWeapon(envelope: Envelope, node: Node | null): Weapon | undefined {
  const piece = envelope.text(node, "a weapon");
  if (piece === undefined) return undefined;
  const text = piece.text.trim().toLowerCase();
  const weapon = WEAPONS.find((one) => one === text);
  if (weapon === undefined)
    envelope.fault(say.notA(piece.text.trim(), "a weapon known here", WEAPONS), { piece });
  return weapon;
}

const OWN_CLASSES = ["action", "manner", "target", "guard", "call"] as const;

export function readOwnWords(envelope: Envelope, node: Node | null, names: Names): readonly OwnWord[] {
  return envelope.map(node, "words", "praise: a call").flatMap(({ key, value }) => {
    const name = nameOf(envelope, key, "A word");
    const piece = envelope.text(value, "what the word is");
    const is = piece && envelope.sentence(piece, (c) => ({ is: c.needOneOf(OWN_CLASSES) }), names)?.is;
    if (name === undefined || is === undefined) return [];
    const word = { name: name.toLowerCase(), is };
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

const PICK_KEYS = ["by", "from", "when", "seen by", "shown", "turns"];

const byKey = (entries: readonly Entry[]): ReadonlyMap<string, Entry> =>
  new Map(entries.map((entry) => [entry.key.text.trim().toLowerCase(), entry]));

export function draftPicks(envelope: Envelope, node: Node | null, names: Names): readonly PickDraft[] {
  return envelope.map(node, "picks", "card:").flatMap(({ key, value }) => {
    const name = nameOf(envelope, key, "A pick");
    const entries = byKey(envelope.map(value, `the pick "${key.text}"`, "by: the coach", PICK_KEYS));
    if (name === undefined) return [];
    for (const [needed, example] of NEEDED)
      if (!entries.has(needed))
        envelope.fault(say.missingKey(needed, `The pick "${name}"`, example), { piece: key });
    const by = sentenceAt(envelope, entries, "by", marks.parsePickBy, names) ?? "the coach";
    const from = readValues(envelope, entries.get("from")?.value ?? null, names);
    const draft = { name, key, by, from, entries };
    names.add({ of: "pick", name, each: /each fencer/.test(by), values: from });
    return [draft];
  });
}

const NEEDED = [
  ["by", "the coach"],
  ["from", "[head, arm]"],
  ["when", "before the bout"],
] as const;

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

const MARK_KEYS = ["is", "starts", "changes"];

export function draftMarks(envelope: Envelope, node: Node | null, names: Names): readonly MarkDraft[] {
  return envelope.map(node, "marks", "streak:").flatMap(({ key, value }) => {
    const name = nameOf(envelope, key, "A mark");
    const entries = byKey(
      envelope.map(value, `the mark "${key.text}"`, "is: a count for each fencer", MARK_KEYS),
    );
    if (name === undefined) return [];
    if (!entries.has("is"))
      envelope.fault(say.missingKey("is", `The mark "${name}"`, "a count for each fencer"), { piece: key });
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

const BOUT_RULES = {
  clock: bout.parseClock,
  halt: bout.parseHalt,
  ties: bout.parseTies,
  doubles: bout.parseDoubles,
  afterblows: bout.parseAfterblows,
  simultaneous: bout.parseSimultaneous,
  panel: bout.parsePanel,
  "at the end": bout.parseAtTheEnd,
  bonus: bout.parseBonus,
} as const;
const BOUT_KEYS = ["ends", "starts", ...Object.keys(BOUT_RULES).slice(0, 7), "limits", "at the end", "bonus"];

export function readBout(envelope: Envelope, node: Node | null, names: Names): BoutRules {
  const entries = byKey(envelope.map(node, "bout", "doubles: score nothing", BOUT_KEYS));
  const list = <T>(key: string, rule: (c: Cursor) => T): readonly T[] => {
    const entry = entries.get(key);
    if (entry === undefined) return [];
    return envelope.texts(entry.value, key).flatMap((piece) => envelope.sentence(piece, rule, names) ?? []);
  };
  const one = <T>(key: string, rule: (c: Cursor) => T): T | undefined =>
    sentenceAt(envelope, entries, key, rule, names);
  const usual = DEFAULT_BOUT;
  const limit = one("limits", bout.parseTeamLimit);
  const rules: BoutRules = {
    ends: list("ends", bout.parseEnd),
    starts: list("starts", bout.parseStart),
    clock: one("clock", BOUT_RULES.clock) ?? usual.clock,
    halt: one("halt", BOUT_RULES.halt) ?? usual.halt,
    ties: one("ties", BOUT_RULES.ties) ?? usual.ties,
    doubles: one("doubles", BOUT_RULES.doubles) ?? usual.doubles,
    afterblows: one("afterblows", BOUT_RULES.afterblows) ?? usual.afterblows,
    simultaneous: one("simultaneous", BOUT_RULES.simultaneous) ?? usual.simultaneous,
    panel: one("panel", BOUT_RULES.panel) ?? usual.panel,
    ...(limit === undefined ? {} : { limit }),
    atTheEnd: one("at the end", BOUT_RULES["at the end"]) ?? usual.atTheEnd,
    bonus: one("bonus", BOUT_RULES.bonus) ?? usual.bonus,
  };
  return rules;
}
