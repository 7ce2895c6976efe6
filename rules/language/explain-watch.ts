/** Who watches what, and what a coach should be warned of before the evening. */
import { factsOfRule, watchedWords, type NeededFact } from "./explain-facts.ts";
import { asStatement, isBeingHit, laidOut, type Phrases } from "./explain-phrase.ts";
import { capital, isOffence, listed } from "./explain-words.ts";
import type { Doing, Pay, Rule, RuleSet } from "./tree.ts";

/** More than this many themes can be neither fenced nor watched. */
const MOST_THEMES = 3;

const quoted = (facts: readonly NeededFact[]): string =>
  listed(
    facts.map((fact) => fact.word),
    "and",
  );

function watcherName(rule: Rule, set: RuleSet, phrases: Phrases): string {
  const needs = new Set(factsOfRule(rule, phrases).map((fact) => fact.word));
  const sharing = set.rules.find(
    (one) => one.watch?.is === "judge" && factsOfRule(one, phrases).some((fact) => needs.has(fact.word)),
  );
  const watch = rule.watch ?? sharing?.watch;
  if (watch === undefined || watch.is === "table") return "The table";
  if (watch.is === "referee") return "The referee";
  if (watch.is === "fencers") return "Each fencer";
  return watch.is === "judge" ? `Judge ${watch.no}` : "A second judge";
}

function watchLine(rule: Rule, set: RuleSet, phrases: Phrases): readonly string[] {
  const facts = factsOfRule(rule, phrases);
  if (rule.watch?.is === "second judge") return [`A second judge must assent to "${rule.name}".`];
  if (facts.length === 0 && rule.watch === undefined) return [];
  const what = facts.length === 0 ? "the hits" : quoted(facts);
  return [`${watcherName(rule, set, phrases)} watches "${rule.name}": ${what}.`];
}

/** Who watches what; and what is counted for tomorrow without pay. */
export function watchSentences(set: RuleSet, phrases: Phrases): readonly string[] {
  const counted = set.phrases.map(
    (one) => `Counted for the report: the ${one.name} (${asStatement(one.phrase, phrases)}).`,
  );
  return [...set.rules.flatMap((rule) => watchLine(rule, set, phrases)), ...counted];
}

/** What the pay is at its first, best time; 0 where it takes away or where the judge decides. */
export function firstPay(pay: Pay): number {
  if (pay.sum.is === "numbers") return pay.sum.numbers[0] ?? 0;
  return pay.sum.is === "between" ? pay.sum.high : 0;
}

const bonusToMe = (rule: Rule): number =>
  (rule.pays ?? [])
    .filter((pay) => pay.to === "me" && "unit" in pay.sum && pay.sum.unit === "bonus")
    .reduce((most, pay) => Math.max(most, firstPay(pay)), 0);

/** A rule that pays the fencer extra for something done: a theme of the evening. */
const isTheme = (rule: Rule): boolean =>
  rule.at === undefined && (rule.when?.length ?? 0) > 0 && bonusToMe(rule) > 0;

/** The action that earns: the last positive step of the reader. */
function paidActions(rule: Rule, phrases: Phrases): readonly Doing[] {
  return (rule.when ?? []).flatMap((phrase) => {
    const steps = laidOut(phrase, phrases).steps.filter((step) => !step.never);
    const last = steps[steps.length - 1];
    return last !== undefined && last.subject === "I" && !("make" in last.doing) ? [last.doing] : [];
  });
}

const mayFail = (doing: Doing): boolean =>
  doing.result === undefined &&
  (doing.offence === true ||
    (doing.kinds ?? []).some((kind) => isOffence(kind)) ||
    ((doing.kinds ?? []).length === 0 && (doing.with ?? []).length > 0));

/** The value of a usual touch: the middle one of the values that the rule set gives. */
export function usualTouch(set: RuleSet): number {
  const worths = [...new Set(set.touches.map((touch) => touch.worth))]
    .filter((one) => one > 0)
    .sort((a, b) => a - b);
  return worths[Math.floor((worths.length - 1) / 2)] ?? 0;
}

/** With base b and bonus x, trying is worth it at a share b/(b+x) of the usual success; 0..1. */
export const breakEven = (b: number, x: number): number => b / (b + x);

const percent = (share: number): number => Math.round(share * 100);

function breakEvens(set: RuleSet, phrases: Phrases): readonly string[] {
  const b = usualTouch(set);
  if (b === 0) return [];
  return set.rules.filter(isTheme).flatMap((rule) => {
    if (!paidActions(rule, phrases).some((doing) => doing.result === "hit")) return [];
    const drop = percent(breakEven(b, bonusToMe(rule)));
    return [
      `"${rule.name}": you are paying for a success drop to ${drop} %: with a usual touch worth ${b}, it is worth trying if it works ${drop} % as often.`,
    ];
  });
}

function tooMany(set: RuleSet): readonly string[] {
  const themes = set.rules.filter(isTheme);
  if (themes.length <= MOST_THEMES) return [];
  return [
    `${themes.length} themes are paid in one bout; above ${MOST_THEMES} nobody can fence or watch them all. Leave some for another evening.`,
  ];
}

function unwatched(set: RuleSet, phrases: Phrases): readonly string[] {
  const given = watchedWords(set, phrases);
  return set.rules.flatMap((rule) => {
    if (rule.watch !== undefined) return [];
    const facts = factsOfRule(rule, phrases).filter((fact) => !given.has(fact.word));
    const expert = facts.filter((fact) => fact.sight === "expert");
    const hard = expert.length > 0 ? expert : facts.filter((fact) => fact.sight === "judge");
    if (hard.length === 0) return [];
    const said = listed(hard.map((fact) => `"${fact.word}"`));
    return expert.length > 0
      ? [
          `Nobody watches "${rule.name}": ${said} needs an expert's eye. Write who watches, as in "watch: judge 1".`,
        ]
      : [`Nobody watches "${rule.name}": a table alone cannot surely see ${said}. Write "watch: judge 1".`];
  });
}

function paysFailure(set: RuleSet, phrases: Phrases): readonly string[] {
  return set.rules.filter(isTheme).flatMap((rule) => {
    if (!paidActions(rule, phrases).some(mayFail)) return [];
    return [
      `"${rule.name}" pays whether the action lands or not. That is right for a cue; for anything else write "and hit".`,
    ];
  });
}

function unhit(rule: Rule): boolean {
  const lines = rule.unless ?? [];
  return lines.some((line) => line.length === 1 && line[0]?.is === "phrase" && isBeingHit(line[0].phrase));
}

/** A bonus above the dearest touch that is kept when hit makes fencers trade. */
function trades(set: RuleSet, phrases: Phrases): readonly string[] {
  const dearest = Math.max(0, ...set.touches.map((touch) => touch.worth));
  return set.rules.filter(isTheme).flatMap((rule) => {
    const bonus = bonusToMe(rule);
    const clean = paidActions(rule, phrases).every((doing) =>
      doing.manners?.some((one) => one.manner === "cleanly"),
    );
    if (dearest === 0 || bonus <= dearest || unhit(rule) || clean) return [];
    return [
      `"${rule.name}" pays ${bonus} even to a fencer who is hit, and a hit costs at most ${dearest}: fencers may trade. Write "unless: they hit".`,
    ];
  });
}

/** What a coach should know before the evening, the gravest first. */
export function warningSentences(set: RuleSet, phrases: Phrases): readonly string[] {
  return [
    ...tooMany(set),
    ...unwatched(set, phrases),
    ...trades(set, phrases),
    ...paysFailure(set, phrases),
    ...breakEvens(set, phrases),
  ].map(capital);
}
