/** What was the target of it? Asked where a mark remembers it, or where two actions are compared in it. */
import type { Act, ExchangeLine } from "../record.ts";
import { REMEMBERED_CLASSES, saidAttribute } from "./attributes.ts";
import { type Candidate, storeOf } from "./candidate.ts";
import { remembered } from "./doing.ts";
import { truth } from "./formula.ts";
import { isStrike } from "./known.ts";
import { actId } from "./lines.ts";
import type { Program } from "./program.ts";
import type { Answer, AttributeKey } from "./tally.ts";
import * as say from "./question-words.ts";

const REMEMBERED: Readonly<Record<string, AttributeKey>> = {
  kind: "kind",
  blow: "blow",
  form: "form",
  target: "target",
  opening: "target",
  hand: "hand",
  side: "from",
  guard: "from",
};

const isOpen = (set: bigint): boolean => (set & (set - 1n)) !== 0n;

/** What a mark remembers of an action or is compared with, where nobody wrote it or the word may be a finer one. */
export function remembering(program: Program, line: ExchangeLine): readonly Candidate[] {
  const { doings, ruleSet } = program.env;
  const whats = new Map<string, readonly string[]>();
  for (const mark of ruleSet.marks) {
    if (mark.is !== "note" && mark.is !== "set") continue;
    const what = remembered(mark);
    if (REMEMBERED[what] !== undefined) whats.set(what, doings.domain(mark).values);
  }
  const compared = new Set<string>();
  for (const { what } of doings.likes.compared) {
    compared.add(what);
    whats.set(what, doings.likes.values(what));
  }
  return [...whats].flatMap(([what, all]) => {
    const found = line.acts.flatMap((_, i) => askedOf(program, line, i, what, all));
    return compared.has(what) ? found.map((one) => againstOthers(one, found)) : found;
  });
}

/**
 * Where two actions are compared and of neither is known what it was, an answer for one tells nothing by itself: it
 * matters where it does with the others settled.
 */
function againstOthers(one: Candidate, all: readonly Candidate[]): Candidate {
  const others = all.filter((other) => other !== one).flatMap(({ answers }) => answers[0]?.facts ?? []);
  if (others.length === 0) return one;
  return { ...one, contrast: one.answers.map(({ facts }) => [...others, ...facts]) };
}

function askedOf(
  program: Program,
  line: ExchangeLine,
  i: number,
  what: string,
  all: readonly string[],
): readonly Candidate[] {
  const { attributes } = program.env.doings;
  const own = attributes.mentioned(what);
  const attribute = attributes.mentioned(saidAttribute(what)) ?? own;
  const key = REMEMBERED[what];
  const act = line.acts[i] as Act;
  if (attribute === undefined || key === undefined || !isCompared(program, act)) return [];
  const wordClass = REMEMBERED_CLASSES[what];
  // Before the store: what a word asks about may not have been asked about before.
  const asked = all.map((value) => ({
    value,
    word: wordClass === undefined ? undefined : attributes.word(value, wordClass),
  }));
  const store = storeOf(program, line, i);
  const isGeneral = own !== undefined && isOpen(store[own] as bigint);
  if (!isOpen(store[attribute] as bigint) && !isGeneral) return [];
  const values = asked.filter(({ value, word }) => {
    // An opening is no finer word for a part of the body.
    if (what === "target" && !attributes.constraint(value, "target").has("target")) return false;
    return word === undefined || truth(word, store) !== false;
  });
  const answers = values.map(({ value }): Answer => {
    const word = what === "opening" ? openingWord(program, value) : value;
    const fact = { fact: "attribute", act: actId(line, i), key } as const;
    // "head" is an answer too, and says that it was no finer word.
    const finer = finerThan(program, what, value).map((one) => ({
      ...fact,
      value: one,
      not: true as const,
    }));
    return { label: value, facts: [{ ...fact, value: word }, ...finer] };
  });
  const text = `what was the ${what} of ${say.itsName(line, i)}?`;
  return [{ id: `${actId(line, i)}/${what}`, text, answers }];
}

/** A strike or a feint: only those are remembered, and compared with each other. */
export const isCompared = ({ env }: Program, act: Act): boolean =>
  isStrike(act) || act.kind === "feint" || env.doings.attributes.isOffence(act.kind ?? "");

/** The words that a general one may have been: face and throat for the head. */
function finerThan({ env }: Program, what: string, value: string): readonly string[] {
  const wordClass = REMEMBERED_CLASSES[what];
  if (wordClass === undefined) return [];
  const values = env.doings.attributes.constraint(value, wordClass).get(what) ?? [];
  return values.filter((one) => one !== value);
}

const openingWord = ({ env }: Program, opening: string): string =>
  env.doings.attributes.lookup.all("target").find((word) => word.means?.opening?.includes(opening) === true)
    ?.name ?? opening;
