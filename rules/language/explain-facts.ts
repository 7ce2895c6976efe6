/** Which facts a rule needs, and how well they can be seen: the ground for watchers, warnings and the press plan. */
import { isHard } from "./common.ts";
import { laidOut, type Phrases } from "./explain-phrase.ts";
import { allWithin } from "./walk.ts";
import type { AnyOf, Condition, Doing, Phrase, Rule, RuleSet, Step } from "./tree.ts";

/**
 * Who can see a fact: the table who hit, where, and with which kind of blow; a judge told to watch also single actions
 * and footwork; only an expert tempo, measure and intention.
 */
export const SIGHTS = ["table", "judge", "expert"] as const;
export type Sight = (typeof SIGHTS)[number];

export interface NeededFact {
  /** "parry", "lunge", "in one tempo". */
  readonly word: string;
  readonly is: "kind" | "footwork" | "manner";
  readonly sight: Sight;
}

function phrasesOf(conditions: readonly Condition[]): readonly Phrase[] {
  return conditions.flatMap(allWithin).flatMap((one) => (one.is === "phrase" ? [one.phrase] : []));
}

const phrasesOfLines = (lines: AnyOf | undefined): readonly Phrase[] => (lines ?? []).flatMap(phrasesOf);

/** Every phrase that the rule reads, laid out: `when`, `if`, `unless`, and conditions of its pay and effects. */
export function phrasesOfRule(rule: Rule, phrases: Phrases): readonly Phrase[] {
  const held = (rule.does ?? []).flatMap((effect) =>
    effect.is === "hold" && effect.lostIf !== undefined ? [effect.lostIf] : [],
  );
  const all = [
    ...(rule.when ?? []),
    ...phrasesOfLines(rule.if),
    ...phrasesOfLines(rule.unless),
    ...(rule.pays ?? []).flatMap((pay) => phrasesOf(pay.if ?? [])),
    ...held,
  ];
  return all.map((phrase) => laidOut(phrase, phrases));
}

function factsOfDoing(doing: Doing): readonly NeededFact[] {
  const kinds = (doing.kinds ?? []).map((word): NeededFact => ({
    word,
    is: "kind",
    sight: TIMED.has(word) ? "table" : "judge",
  }));
  const feet = (doing.with ?? []).flatMap((choice) =>
    choice.any.flatMap((one): readonly NeededFact[] =>
      "ref" in one || "alike" in one || one.footwork === undefined
        ? []
        : [{ word: one.footwork, is: "footwork", sight: "judge" }],
    ),
  );
  const manners = (doing.manners ?? [])
    // Whether a hit was clean follows from the double and afterblow keys.
    .filter((one) => one.manner !== "cleanly")
    .map((one): NeededFact => ({
      word: one.manner,
      is: "manner",
      sight: isHard(one.manner) ? "expert" : "judge",
    }));
  return [...kinds, ...feet, ...manners];
}

/** Seen from the clock. */
const TIMED: ReadonlySet<string> = new Set(["wait"]);
/** The table's own keys say it: an afterblow. */
const KEYED: ReadonlySet<string> = new Set(["afterblow"]);

const isAct = (step: Step): step is Step & { readonly doing: Doing } => !("make" in step.doing);

/** What somebody must see for this rule, each word once, in the order of the phrases. */
export function factsOfRule(rule: Rule, phrases: Phrases): readonly NeededFact[] {
  const found = new Map<string, NeededFact>();
  for (const phrase of phrasesOfRule(rule, phrases)) {
    for (const step of phrase.steps) {
      if (!isAct(step)) continue;
      for (const fact of factsOfDoing(step.doing)) {
        if (!KEYED.has(fact.word) && !found.has(fact.word)) found.set(fact.word, fact);
      }
    }
  }
  return [...found.values()];
}

/** Words whose facts some rule gives to a watcher; the same kind of fact then has a watcher wherever it is needed (S4). */
export function watchedWords(set: RuleSet, phrases: Phrases, only?: "seats"): ReadonlySet<string> {
  const watched = set.rules.filter((rule) =>
    only === undefined ? rule.watch !== undefined : hasOwnSeat(rule.watch),
  );
  return new Set(watched.flatMap((rule) => factsOfRule(rule, phrases).map((fact) => fact.word)));
}

/** Watched from another seat than the table's, whose Record key therefore leaves it open (S4). */
const hasOwnSeat = (watch: Rule["watch"]): boolean =>
  watch?.is === "judge" || watch?.is === "referee" || watch?.is === "fencers";

/** True where a named judge, the referee or the fencers watch something that this rule needs. */
export function isJudged(rule: Rule, set: RuleSet, phrases: Phrases): boolean {
  if (rule.watch !== undefined) return hasOwnSeat(rule.watch);
  const given = watchedWords(set, phrases, "seats");
  return factsOfRule(rule, phrases).some((fact) => given.has(fact.word));
}
