/** A compiled rule set, laid out once: coder, bit tables, closures and the list of passes. */
import type { RuleSet } from "../language/tree.ts";
import type { ExchangeLine } from "../record.ts";
import { Attributes, type Lookup } from "./attributes.ts";
import { type CodedExchange, Coder } from "./code.ts";
import { Doings, Predicates } from "./doing.ts";
import { type Cut, Environment, type KeptCondition } from "./environment.ts";
import { MATCH_BOUTS, markPlace, owned, pickPlace, TEAM_POINTS } from "./fields.ts";
import { hold, type Holding } from "./hold.ts";
import { owner } from "./joined.ts";
import { compileHad } from "./limits.ts";
import { compileLevel, type Level } from "./level.ts";
import { Machine, type SideIndex } from "./machine.ts";
import { compileMark, type MarkRunner, marksAskTouch } from "./marks.ts";
import { momentOf } from "./moments.ts";
import { Fields } from "./memory.ts";
import * as passes from "./passes.ts";
import {
  afterblows,
  countsAgainst,
  doubles,
  fencersLimit,
  POINTS_AGAINST,
  pointsAgainst,
  touches,
} from "./passes-bout.ts";
import type { Pass, Pieces } from "./passes.ts";
import type { Part } from "./part.ts";
import { buildParts, joinEffects } from "./parts.ts";
import { keepWeaker } from "./weaker.ts";
import { Layout, type Use } from "./pattern.ts";
import { resting } from "./resting.ts";
import { type CompiledRule, compileRule, compileTouches, inOrder, tryRule } from "./rules.ts";
import type { ChoiceTest } from "./dynamic.ts";
import { Tables, type View } from "./tables.ts";

export interface Program {
  readonly env: Environment;
  readonly machine: Machine;
  readonly coder: Coder;
  readonly tables: Tables;
  readonly choose: ChoiceTest;
  readonly rules: readonly CompiledRule[];
  readonly own: Pieces["own"];
  /** Award keys: (number * 2 + fencer) * 2 + unit. */
  readonly keys: number;
  readonly passes: readonly Pass[];
  readonly endPasses: readonly Pass[];
  readonly eveningPasses: readonly Pass[];
  /** What can be scored apart, for exchanges that may have gone in too many ways. */
  readonly parts: () => readonly Part[];
  readonly marks: readonly MarkRunner[];
  /** Some mark changes by what this exchange's touches are worth. */
  readonly marksAskTouch: boolean;
  readonly holding: Holding | undefined;
  /** For each named phrase whether a fencer made it. */
  readonly made: readonly ((side: 0 | 1) => boolean)[];
  /** Lines are coded once, on receipt. */
  readonly codedLines: WeakMap<ExchangeLine, CodedExchange>;
  readonly isParry: (kind: string) => boolean;
  /** Fields written after an exchange, only where something reads them. */
  readonly kept: Kept;
  /** What decides a level bout, where anything does. */
  readonly level: Level | undefined;
}

interface Kept {
  readonly points: number;
  readonly bonus: number;
  readonly warnings: number;
  readonly penalties: number;
  readonly fired: readonly { readonly rule: number; readonly field: number }[];
  readonly conditions: readonly KeptCondition[];
}

export function buildProgram(ruleSet: RuleSet, lookup: Lookup): Program {
  const rules = inOrder(ruleSet.rules);
  const fields = new Fields();
  const attributes = new Attributes(lookup);
  const doings = new Doings(ruleSet, attributes, new Predicates());
  const layout = new Layout(ruleSet, doings);
  const machine = new Machine(fields, rules.length, slotsOf(ruleSet), effectsOf(ruleSet));
  const coder = new Coder(attributes, doings.predicates, doings.likes);
  const env = new Environment(ruleSet, rules, fields, layout, doings, machine, coder);
  const own = { touch: rules.length, double: rules.length + 1, conversion: rules.length + 2 };
  const compiled = rules.map((rule, number) =>
    env.as(owner.rule(rule.name), () => compileRule(env, rule, number)),
  );
  const marks = ruleSet.marks.map((mark) => env.as(owner.mark(mark.name), () => compileMark(env, mark)));
  // A pick that no rule reads is still set, so it needs its place before the memory is laid out.
  for (const pick of ruleSet.picks) pickPlace(env, pick);
  keepForEnds(env);
  keepWeaker(env);
  const level = compileLevel(env);
  const holds = ruleSet.rules.some((rule) => (rule.does ?? []).some((effect) => effect.is === "hold"));
  const holding = holds ? hold(env, compiled) : undefined;
  const pieces: Pieces = {
    env,
    rules: compiled,
    touches: env.as(owner.touch, () => compileTouches(env)),
    own,
  };
  const list = listPasses(pieces, holding);
  const made = ruleSet.phrases.map(({ phrase }, i) => env.as(owner.made(i), () => env.accepted(phrase)));
  joinEffects(ruleSet, env.joined);
  bindRefs(env);
  machine.lastNumber = ruleSet.bout.ends.reduce((n, end) => (end.is === "exchanges" ? end.n : n), 0);
  machine.leftCandidates = aroundEach(env.timeCuts);
  machine.lengthCandidates = aroundEach(env.lengthCuts);
  machine.mem = fields.start();
  machine.now = fields.start();
  return {
    env,
    machine,
    coder,
    rules: compiled,
    own,
    keys: (rules.length + 3) * 4,
    passes: list,
    endPasses: listEndPasses(pieces, list),
    eveningPasses: listEveningPasses(pieces, list),
    marks,
    marksAskTouch: marksAskTouch(ruleSet.marks),
    holding,
    made,
    codedLines: new WeakMap(),
    isParry: parryTest(attributes),
    ...tablesAndParts(env, coder),
    choose: chooseOn(env),
    kept: keptOf(env, compiled),
    level,
  };
}

const slotsOf = (ruleSet: RuleSet): number =>
  8 + ruleSet.rules.reduce((n, rule) => n + 4 * (rule.pays ?? []).length + 2 * (1 + holdsOf(ruleSet)), 0);
/** Each may let go of something that it held of a rule. */
const holdsOf = (ruleSet: RuleSet): number =>
  ruleSet.rules.reduce((n, rule) => n + (rule.does ?? []).filter(({ is }) => is === "hold").length, 0);
const effectsOf = (ruleSet: RuleSet): number =>
  2 * ruleSet.rules.reduce((n, rule) => n + (rule.does ?? []).length, 0);

/** What the bout's end asks for is kept like anything that a condition asks for. */
function keepForEnds({ ruleSet, fields }: Environment): void {
  const { bout } = ruleSet;
  const scoreDecides = bout.wins !== "who has more points" || bout.ties.is !== "draw";
  if (scoreDecides || bout.ends.length > 0) fields.pair("points", "bout");
  if (bout.ends.some((end) => end.is === "team points")) {
    fields.pair(TEAM_POINTS, "team match");
    fields.field(MATCH_BOUTS, "teams");
  }
  if (bout.wins === "who has more bonus" || bout.ends.some((end) => end.is === "bonus"))
    fields.pair("bonus", "bout");
  if (bout.bonus.countsTowardsTheCap || bout.bonus.countsTowardsTheWin || bout.atTheEnd !== "stays apart")
    fields.pair("bonus", "bout");
  if (fields.find("bonus", 0)) fields.pair("points", "bout");
}

/** The one order of effects; what a rule set has no use for is left out. */
function listPasses(pieces: Pieces, holding: Holding | undefined): readonly Pass[] {
  const { env } = pieces;
  const { bout, rules } = env.ruleSet;
  const does = new Set(rules.flatMap((rule) => (rule.does ?? []).map((effect) => effect.is)));
  const list: Pass[] = [touches(pieces)];
  if (bout.doubles.is !== "both score" || bout.simultaneous !== "both score") list.push(doubles(pieces));
  if (bout.afterblows.is !== "both score" || bout.afterblows.onlyOf !== undefined)
    list.push(afterblows(pieces));
  if (rules.length > 0) list.push(passes.rules(pieces));
  if (rules.some((rule) => rule.bestOf !== undefined)) list.push(passes.bestOf(pieces));
  if (rules.some((rule) => (rule.pays ?? []).some(({ to }) => to === "us both")))
    list.push(passes.usBoth(pieces));
  if (does.has("annul")) list.push(passes.annul(pieces, resting(env, pieces.rules, pieces.own.touch)));
  if (does.has("multiply")) list.push(passes.multiply(pieces));
  if (does.has("turn over")) list.push(passes.turnOver(pieces));
  if (countsAgainst(env)) list.push(pointsAgainst(pieces));
  if (rules.some((rule) => (rule.atMost ?? []).length > 0)) list.push(passes.atMost(pieces));
  if (rules.some((rule) => rule.notBelow !== undefined)) list.push(passes.notBelow(pieces));
  if (bout.limit !== undefined) list.push(fencersLimit(pieces));
  if (rules.some((rule) => (rule.atMost ?? []).some(({ scope }) => scope !== "exchange")))
    list.push({ name: "had", run: compileHad(env, pieces.rules) });
  if (holding) list.push(holding.pass);
  return [...list, ...passes.outcomes(pieces).filter(({ name }) => does.has(name as "warn"))];
}

/** At the end of the bout only the rules that say so are tried; what follows them is the same. */
function listEndPasses(pieces: Pieces, list: readonly Pass[]): readonly Pass[] {
  const { env } = pieces;
  const waiting = pieces.rules.filter(({ rule }) => rule.at === "the end of the bout");
  const run = (): void => {
    for (const rule of waiting) for (const side of [0, 1] as const) tryRule(env, rule, side);
  };
  const first = ["touches", "doubles", "afterblows", "rules", POINTS_AGAINST, "hold"];
  return [{ name: "rules", run }, ...list.filter(({ name }) => !first.includes(name))];
}

/** At the end of the evening one fencer after the other is "I", on Red's side, and nobody is "they". */
function listEveningPasses({ env, rules }: Pieces, list: readonly Pass[]): readonly Pass[] {
  const waiting = rules.filter(({ rule }) => rule.at === "the end of the evening");
  const run = (): void => {
    for (const rule of waiting) tryRule(env, rule, 0);
  };
  return [{ name: "rules", run }, ...list.filter(({ name }) => name === "best of" || name === "at most")];
}

/** Seconds on either side of every number that a condition names. */
function aroundEach(cuts: ReadonlyMap<string, Cut>): readonly number[] {
  const sorted = [...new Set([...cuts.values()].map(({ n }) => n))].sort((a, b) => a - b);
  return [...new Set(sorted.flatMap((n) => [n - 0.5, n, n + 0.5]))].filter((n) => n >= 0);
}

const parryTest = (attributes: Attributes): ((kind: string) => boolean) => {
  const parries = attributes.constraint("parry", "action").get("kind") ?? [];
  return (kind) =>
    attributes
      .constraint(kind, "action")
      .get("kind")
      ?.every((one) => parries.includes(one)) === true;
};

function tablesAndParts(env: Environment, coder: Coder): Pick<Program, "tables" | "parts"> {
  const planned = [...env.hooks].sort(
    (a, b) => Number(b.plan.before === true) - Number(a.plan.before === true),
  );
  const hooks = planned.map(({ plan, first, owner: asker }) => ({
    asker,
    readsMemory: plan.readsMemory === true,
    hook: plan.build(env.slot(first), env.layout.words),
    start: (state: Int32Array): void => plan.start(state, env.slot(first)),
  }));
  const tables = new Tables(env.layout, coder, env.slotCount, {
    hooks: hooks.map(({ hook }) => hook),
    starts: hooks.map(({ start }) => start),
    readsMemory: hooks.some(({ readsMemory }) => readsMemory),
  });
  const view = (owners: ReadonlySet<string>, side: SideIndex | undefined): View => {
    const own = hooks.filter(({ asker }) => owners.has(asker));
    const final = finalBits(env, owners, side);
    return {
      final,
      begins: env.layout.uses.some((use) => use.test.begin && leadsTo(env, use, final)),
      hooks: own.map(({ hook }) => hook),
      starts: own.map(({ start }) => start),
      readsMemory: own.some(({ readsMemory }) => readsMemory) || tables.dynamic?.readsMemory === true,
    };
  };
  let parts: readonly Part[] | undefined;
  // Most bouts never need them.
  return { tables, parts: () => (parts ??= buildParts(env, view)) };
}

/** Whether a step belongs to a phrase that ends in one of these bits; phrases lie in one piece. */
function leadsTo({ layout }: Environment, { word, bit }: Use, final: Int32Array): boolean {
  for (let at = bit; at < 32; at++)
    if (((layout.final[word] as number) >>> at) & 1)
      return ((((final[word] as number) | (final[layout.words + word] as number)) >>> at) & 1) === 1;
  return false;
}

/** The last bits of the phrases that some of these ask for. */
function finalBits(
  { layout, askers }: Environment,
  owners: ReadonlySet<string>,
  side: SideIndex | undefined,
): Int32Array {
  const final = new Int32Array(2 * layout.words);
  for (const { id, tests } of layout.phrases) {
    if (![...(askers.get(id) ?? [])].some((asker) => owners.has(asker))) continue;
    for (const { word, mask } of tests) {
      if (side !== 1) final[word]! |= mask;
      if (side !== 0) final[layout.words + word]! |= mask;
    }
  }
  return final;
}

/** Finds the field of every pick, note and set that a step names. */
function bindRefs(env: Environment): void {
  for (const { test } of env.layout.uses)
    for (const { refs } of test.choices)
      for (const ref of refs) {
        const place =
          ref.source === "pick" ? pickPlace(env, env.pick(ref.name)) : markPlace(env, env.mark(ref.name));
        env.bindRef(ref, owned(place, ref.owner, ref.name));
        if (ref.atThatMoment) env.bindMoment(ref, momentOf(env, env.mark(ref.name)));
      }
}

/** Compares an action with picks and with marks that remember. */
function chooseOn(env: Environment): ChoiceTest {
  return (choices, signature, side, moment) =>
    choices.every(({ but, words, refs, likes }) => {
      const is =
        (words >= 0 && signature[words] === 1) ||
        refs.some((ref) => env.refHolds(ref, signature, side, moment.state)) ||
        likes.some((like) => moment.like(like));
      // "anything but my NOTE" while it is empty is anything (S10): an empty note is never equal.
      return is !== but;
    });
}

function keptOf(env: Environment, compiled: readonly CompiledRule[]): Kept {
  const { fields } = env;
  return {
    points: fields.find("points", 0)?.index ?? -1,
    bonus: fields.find("bonus", 0)?.index ?? -1,
    warnings: fields.find("warnings", 0)?.index ?? -1,
    penalties: fields.find("penalties", 0)?.index ?? -1,
    fired: compiled.flatMap(({ number, firedField }) =>
      firedField < 0 ? [] : [{ rule: number, field: firedField }],
    ),
    conditions: [...env.kept.values()],
  };
}
