/** The sentence of an award: the rule, what was done, and the arithmetic. */
import type { Act, ExchangeLine } from "../record.ts";
import type { Alike, Doing, Effect, Gap, Phrase, Rule } from "../language/tree.ts";
import { other, type Side, type Unit } from "../vocabulary.ts";
import { toldAs } from "../language/words.ts";
import { conditionsTold } from "./grounds.ts";
import { countsAgainst } from "./passes-bout.ts";
import type { PassStep } from "./steps.ts";
import { type Witness, witness } from "./witness.ts";
import type { Program } from "./program.ts";

const SIDE_NAMES: Readonly<Record<Side, string>> = { red: "Red", blue: "Blue" };
export const sideWord = (side: Side): string => SIDE_NAMES[side];

/** "1 point", "2 points", "0.5 bonus", "-1 point". */
export function amountText(amount: number, unit: Unit): string {
  const number = String(amount);
  return unit === "bonus" ? `${number} bonus` : `${number} ${Math.abs(amount) === 1 ? "point" : "points"}`;
}

const IRREGULAR: Readonly<Record<string, string>> = {
  hit: "hit",
  cut: "cut",
  thrust: "thrust",
  beat: "beat",
  bind: "bound",
  withdraw: "withdrew",
  strike: "struck",
  fall: "fell",
  hold: "held",
  leave: "left",
  lose: "lost",
  take: "took",
  drive: "drove",
  get: "got",
  make: "made",
  slip: "slipped",
  step: "stepped",
  drop: "dropped",
  grapple: "grappled",
  control: "controlled",
  disarm: "disarmed",
  throw: "threw",
  "stop-hit": "stop-hit",
  "counter-time": "acted in counter-time",
  afterblow: "landed an afterblow",
  "pommel strike": "struck with the pommel",
};

/** "parry" -> "parried", "control the weapon arm" -> "controlled the weapon arm". */
export function past(verb: string): string {
  const whole = IRREGULAR[verb] ?? toldAs(verb);
  if (whole !== undefined) return whole;
  const [first = "", ...rest] = verb.split(" ");
  const head = IRREGULAR[first] ?? regular(first);
  return [head, ...rest].join(" ");
}

function regular(verb: string): string {
  if (verb.endsWith("e")) return `${verb}d`;
  if (/[^aeiou]y$/.test(verb)) return `${verb.slice(0, -1)}ied`;
  return `${verb}ed`;
}

/** "a cut", "an afterblow"; a numbered cut has none: "cut 2". */
const article = (noun: string): string =>
  /\d$/.test(noun) ? noun : /^[aeiou]/.test(noun) ? `an ${noun}` : `a ${noun}`;

/** One action in the past tense, without its fencer: "hit the torso with a riposte". */
export function actText(act: Act): string {
  const tail = [
    ...(act.from ?? []).map(
      (place) => `from ${place === "right" || place === "left" ? `the ${place}` : place}`,
    ),
    ...(act.manners ?? []),
    ...(act.for === undefined ? [] : [`for ${String(act.for)} s`]),
  ];
  const landed = act.end === "hit" || (act.kind === "afterblow" && act.end === undefined);
  const how = [act.direction, act.edge, act.blow ?? act.form].filter((word) => word !== undefined);
  const target = act.target === undefined ? "" : ` the ${act.target}`;
  const means = means_(act, how);
  if (landed) return join(`hit${target}`, means, tail);
  const miss = act.end === "miss" ? "missed" : act.end === "fall short" ? "fell short" : undefined;
  if (miss !== undefined) return join(`${miss}${target}`, means, tail);
  if (act.kind !== undefined) {
    const strokes = how.length > 0 ? ` with ${article(how.join(" "))}` : "";
    const at = act.target === undefined ? "" : ` to${target}`;
    return join(`${past(act.kind)}${strokes}${at}`, "", tail);
  }
  if (act.form !== undefined && act.blow === undefined && how.length === 1)
    return join(`${past(act.form)}${act.target === undefined ? "" : ` to${target}`}`, extras(act), tail);
  if (how.length > 0) return join(`struck${act.target === undefined ? "" : ` to${target}`}`, means, tail);
  return join(act.target === undefined ? "acted" : `struck to${target}`, extras(act), tail);
}

/** "with a riposte", "with a zwerchhau and a lunge". */
function means_(act: Act, how: readonly (string | undefined)[]): string {
  const kind = act.kind === undefined || act.kind === "attack" ? undefined : article(act.kind);
  const stroke = how.length === 0 ? undefined : article(how.join(" "));
  const both = kind !== undefined && stroke !== undefined ? [`${stroke} as ${kind}`] : [];
  const one = both.length === 0 ? [kind ?? stroke].filter((noun) => noun !== undefined) : both;
  const all = [...one, ...bodyOf(act)];
  return all.length === 0 ? "" : `with ${all.join(" and ")}`;
}

/** The hand and the step that it was done with. */
const bodyOf = (act: Act): readonly string[] => [
  ...(act.hand === undefined ? [] : [act.hand]),
  ...(act.footwork === undefined ? [] : [article(act.footwork)]),
];

const extras = (act: Act): string => {
  const all = bodyOf(act);
  return all.length === 0 ? "" : `with ${all.join(" and ")}`;
};

const join = (head: string, means: string, tail: readonly string[]): string =>
  [head, means, ...tail].filter((part) => part !== "").join(" ");

/** "Red parried, then within 2 s hit the torso with a riposte". */
export function storyOf({ acts, steps }: Pick<Witness, "acts" | "steps">): string {
  let story = "";
  acts.forEach((act, i) => {
    const who = act.by === acts[i - 1]?.by ? "" : act.by === "both" ? "both " : `${sideWord(act.by)} `;
    const step = steps[i];
    const when = step?.gap ? `${gapText(step.gap)} ` : "";
    story += `${i === 0 ? "" : `, then ${when}`}${who}${actText(act)}${step ? likenessText(step.doing) : ""}`;
  });
  return story;
}

const gapText = ({ is, seconds }: Gap): string =>
  is === "within" ? `within ${String(seconds)} s` : `after ${String(seconds)} s or more`;

/** ", another target than before" */
function likenessText({ with: blows = [], to = [], from = [] }: Doing): string {
  const items = [...blows, ...to, ...from].flatMap<object>(({ but, any }) => (but === true ? [] : any));
  // One of several words may be what it was instead.
  const likes = items.length === 1 ? items.filter((one) => "alike" in one).map((one) => one as Alike) : [];
  return likes
    .map(({ alike, what, theirs }) => {
      const than = alike === "another" ? "than" : "as";
      return `, ${alike} ${what} ${than} ${theirs === true ? "the other's" : "before"}`;
    })
    .join("");
}

/** What a rule's phrase matched, or what may stand in its place. */
function groundOf(program: Program, line: ExchangeLine, rule: Rule, side: Side): string {
  const found = firstWitness(program, line, phrasesOf(rule), side);
  if (found && found.acts.length > 0) return storyOf(found);
  return exchangeText(line) ?? conditionsOf(rule, side) ?? sideWord(side);
}

/** What was done where a rule pays: its "when", or the phrases that its "if" asks for. */
function phrasesOf({ when, if: lines = [] }: Rule): readonly Phrase[] {
  if (when !== undefined) return when;
  return lines.length === 1 ? lines.flat().flatMap((one) => (one.is === "phrase" ? [one.phrase] : [])) : [];
}

const conditionsOf = (rule: Rule, side: Side): string | undefined =>
  conditionsTold(rule, sideWord(side), sideWord(other(side)));

export function firstWitness(
  program: Program,
  line: ExchangeLine,
  phrases: readonly Phrase[],
  side: Side,
): Witness | undefined {
  for (const phrase of phrases) {
    const found = witness(program, line, phrase, side);
    if (found) return found;
  }
  return undefined;
}

const EXCHANGE_WORDS: Readonly<Record<NonNullable<ExchangeLine["how"]>, string>> = {
  double: "both hit, a double",
  simultaneous: "both struck, simultaneous",
  "no exchange": "no exchange",
};
const exchangeText = ({ how }: ExchangeLine): string | undefined => how && EXCHANGE_WORDS[how];

const PASS_WORDS: Readonly<Record<string, string>> = {
  doubles: "the double",
  afterblows: "the afterblow",
  "best of": "best of its group",
  annul: "annulled",
  multiply: "multiplied",
  "turn over": "turned over",
  "at most": "capped",
  "not below": "floor",
  "fencer's limit": "the fencer's limit",
  hold: "held",
};

const US_BOTH = "us both";

/** "1 point, doubled by Lunge from behind: 2 points". */
function arithmetic(
  steps: readonly PassStep[],
  unit: Unit,
  amount: number,
  because: (pass: string, from: number, to: number) => string,
): string {
  const parts: string[] = [];
  let before: number | undefined;
  for (const { pass, amount: after, times } of steps) {
    // What both fencers would have been paid twice is paid once: there is nothing to reckon.
    if (before === undefined || pass === US_BOTH) parts.splice(0, parts.length, firstSum(after, times, unit));
    else parts.push(`${because(pass, before, after)}: ${amountText(after, unit)}`);
    before = after;
  }
  if (parts.length === 0) parts.push(amountText(amount, unit));
  return parts.join(", ");
}

/** "2 times 0.5 bonus: 1 bonus" where it is paid each time. */
function firstSum(amount: number, times: number, unit: Unit): string {
  if (amount === 0) return "nothing";
  if (times < 2) return amountText(amount, unit);
  return `${String(times)} times ${amountText(amount / times, unit)}: ${amountText(amount, unit)}`;
}

export interface AwardToTell {
  readonly rule: Rule | "touch" | "double" | "conversion";
  readonly to: Side;
  readonly unit: Unit;
  readonly amount: number;
  readonly steps: readonly PassStep[];
}

/** One sentence that names the rule, the actions and the arithmetic. */
export function sentenceOf(program: Program, line: ExchangeLine | undefined, award: AwardToTell): string {
  const { rule, to, unit, amount, steps } = award;
  const sum = arithmetic(counted(rule, unit, steps), unit, amount, (pass, from, after) =>
    reason(program, pass, from, after, award),
  );
  // Where points count against, what was earned is written to the other.
  const earner = countsAgainst(program.env) ? other(to) : to;
  const against = earner === to ? "" : ` against ${sideWord(to)}`;
  // What came over from the other was earned by the other.
  const came = steps[0]?.pass === "turn over";
  const over = came ? `, turned over to ${sideWord(earner)} by ${reasonOver(program, award)}` : "";
  if (rule === "touch")
    return `Touch: ${touchStory(program, line, came ? other(earner) : earner)}: ${sum}${against}${over}.`;
  if (rule === "double") return `Double: both hit: ${sum} for ${sideWord(to)}.`;
  if (rule === "conversion")
    return unit === "bonus"
      ? `Conversion: ${sideWord(to)}'s bonus at the end: ${sum}.`
      : `Conversion: ${sideWord(earner)}'s bonus at the end: ${sum}${against}.`;
  const due = came ? other(to) : to;
  const held = steps[0]?.pass === "hold" || (!line && rule.at === undefined);
  if (held) return `${rule.name}: what was held for ${sideWord(to)}: ${sum}.`;
  const fired = firing(program, line, rule, due);
  const receiver = fired === due && !sharesWithBoth(rule) ? "" : ` to ${sideWord(due)}`;
  return `${rule.name}: ${ruleStory(program, line, rule, fired)}: ${sum}${receiver}${over}.`;
}

function ruleStory(program: Program, line: ExchangeLine | undefined, rule: Rule, fired: Side): string {
  if (line) return groundOf(program, line, rule, fired);
  const told = conditionsOf(rule, fired);
  return told === undefined ? `${sideWord(fired)} at the end of the bout` : `at the end of the bout ${told}`;
}

const sharesWithBoth = ({ pays = [] }: Rule): boolean => pays.some(({ to }) => to === "us both");
const isTheirs = (to: NonNullable<Rule["pays"]>[number]["to"]): boolean =>
  to === "them" || to === "their team";

/** "3 times 1 bonus" where one sum is paid times a count. */
function counted(rule: AwardToTell["rule"], unit: Unit, steps: readonly PassStep[]): readonly PassStep[] {
  const [first, ...rest] = steps;
  const pays = typeof rule === "object" ? (rule.pays ?? []) : [];
  const [pay] = pays;
  if (first === undefined || pays.length !== 1 || pay === undefined) return steps;
  const { sum, times, forEachFullSeconds, eachTime } = pay;
  const multiplied = times !== undefined || forEachFullSeconds !== undefined;
  if (sum.is !== "numbers" || sum.unit !== unit || sum.numbers.length !== 1 || !multiplied || eachTime)
    return steps;
  const n = first.amount / (sum.numbers[0] ?? 1);
  return Number.isInteger(n) ? [{ ...first, times: n }, ...rest] : steps;
}

/** The fencer who is "I" where this award came from. */
function firing(program: Program, line: ExchangeLine | undefined, rule: Rule, to: Side): Side {
  const pays = rule.pays ?? [];
  const paysThem = pays.some((pay) => isTheirs(pay.to));
  const paysMe = pays.some((pay) => !isTheirs(pay.to));
  if (paysThem && !paysMe) return other(to);
  if (!line || rule.when === undefined) return to;
  return firstWitness(program, line, rule.when, to) ? to : other(to);
}

function touchStory(program: Program, line: ExchangeLine | undefined, to: Side): string {
  if (!line) return sideWord(to);
  const best = [...program.env.ruleSet.touches].sort((a, b) => b.worth - a.worth);
  for (const { phrase } of best) {
    const found = witness(program, line, phrase, to);
    if (found && found.acts.length > 0) return storyOf(found);
  }
  return `${sideWord(to)} hit`;
}

const reasonOver = (program: Program, award: AwardToTell): string =>
  namesDoing(program, award, "turn over").join(" or ");

/** The rules that do this to awards in the unit of this one. */
function namesDoing(program: Program, award: AwardToTell, is: string, factor?: number): readonly string[] {
  const { unit, rule } = award;
  const own = typeof rule === "object" ? rule.name : rule;
  const fits = (effect: Effect): boolean =>
    effect.is === is &&
    (!("from" in effect) || effect.from === undefined || effect.from === own) &&
    (!("what" in effect) || effect.what.includes(unit)) &&
    (factor === undefined || !("by" in effect) || effect.by === factor);
  return program.env.ruleSet.rules.filter((one) => (one.does ?? []).some(fits)).map((one) => one.name);
}

function reason(program: Program, pass: string, from: number, after: number, award: AwardToTell): string {
  const doing = (is: string, factor?: number): string => {
    const names = namesDoing(program, award, is, factor);
    return names.length > 0 || factor === undefined ? names.join(" or ") : doing(is);
  };
  if (pass === "multiply") {
    const by = after / from;
    const word = by === 2 ? "doubled" : by === 3 ? "tripled" : by === 0.5 ? "halved" : `times ${String(by)}`;
    return `${word} by ${doing("multiply", by)}`;
  }
  if (pass === "annul") return `annulled by ${doing("annul")}`;
  if (pass === "turn over") return `turned over by ${doing("turn over")}`;
  if (pass === "at most" && typeof award.rule === "object")
    return `capped at ${(award.rule.atMost ?? []).map(limitText).join(" and ")}`;
  return PASS_WORDS[pass] ?? pass;
}

const SCOPE_WORDS: Readonly<Record<string, string>> = {
  exchange: "an exchange",
  bout: "a bout",
  pair: "a pair tonight",
  team: "a team tonight",
  evening: "tonight",
  hall: "in the hall tonight",
};

function limitText(limit: NonNullable<Rule["atMost"]>[number]): string {
  const scope = SCOPE_WORDS[limit.scope] as string;
  if (limit.of !== "times") return `${amountText(limit.n, limit.of)} ${scope}`;
  return `${limit.n === 1 ? "once" : limit.n === 2 ? "twice" : `${String(limit.n)} times`} ${scope}`;
}
