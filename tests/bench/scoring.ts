/** Scoring against a function written by hand for the same rule set, and compiling. Medians of rounds that take turns. */
import { compile } from "../../rules/award/compile.ts";
import { QuickBout, type QuickExchange } from "../../rules/award/quick.ts";
import { readRuleSet } from "../../rules/language/read.ts";
import type { Act, ExchangeLine } from "../../rules/record.ts";
import {
  FORMS,
  type HandAct,
  handAwards,
  type HandAwards,
  type HandExchange,
  handScore,
  handState,
  type HandState,
  KINDS,
  TARGETS,
} from "./handwritten.ts";
import { newerScore, newerState, type NewerState } from "./handwritten-newer.ts";
import { newerRuleSet } from "./newer-rules.ts";
import { benchRules, benchRuleSet } from "./scoring-rules.ts";
import type { RuleSet } from "../../rules/language/tree.ts";

interface BenchRow {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly goal: number;
  readonly ok: boolean;
}

const EXCHANGES = 2000;
const A_BOUT = 10;
const ROUNDS = 41;

/** A rule set, and the function that a person wrote for it. */
interface Contest<State> {
  readonly ruleSet: RuleSet;
  readonly state: () => State;
  readonly score: (exchange: HandExchange, state: State, awards: HandAwards) => void;
}

const plain = (count: number): Contest<HandState> => ({
  ruleSet: benchRuleSet(count),
  state: handState,
  score: (exchange, state, awards) => handScore(exchange, state, count, awards),
});
const newer = (): Contest<NewerState> => ({ ruleSet: newerRuleSet(), state: newerState, score: newerScore });

const AGAINST = "against a hand-written function";

export function rows(): BenchRow[] {
  const lines = benchLines(EXCHANGES);
  return [
    faster(`scoring, 20 rules, coded exchange, ${AGAINST}`, plain(20), lines, 1.3, false),
    faster(`scoring, 5 rules, coded exchange, ${AGAINST}`, plain(5), lines, 1, false),
    faster(`scoring, 20 rules, from the JSON record, ${AGAINST}`, plain(20), lines, 0.6, true),
    faster(`scoring, 20 rules of the newer means, coded exchange, ${AGAINST}`, newer(), lines, 1.3, false),
    faster(
      `scoring, 20 rules of the newer means, from the JSON record, ${AGAINST}`,
      newer(),
      lines,
      0.6,
      true,
    ),
    compiling("compile a 20-rule set", benchRuleSet(20)),
    compiling("compile a 20-rule set of the newer means", newerRuleSet()),
    reading(),
  ];
}

/** Seeded, closed lines in which every fact is written. */
function benchLines(count: number): readonly ExchangeLine[] {
  let seed = 20_240_607;
  const below = (n: number): number => {
    seed = (Math.imul(seed, 1_664_525) + 1_013_904_223) >>> 0;
    return Math.floor((seed / 4_294_967_296) * n);
  };
  return Array.from({ length: count }, (_, i): ExchangeLine => {
    const acts = Array.from({ length: 2 + below(4) }, (): Act => {
      const kind = KINDS[below(KINDS.length)] as string;
      const by = below(2) === 0 ? "red" : "blue";
      const target = TARGETS[1 + below(4)] as string;
      // "void" and "counter-attack" are general words; the bench says which of their kinds is not meant.
      const not =
        kind === "void" ? { not: ["slip the leg"] } : kind === "counter-attack" ? { not: ["stop-hit"] } : {};
      if (KINDS.indexOf(kind as (typeof KINDS)[number]) > 3) return { by, kind, target, ...not };
      const act = { by, kind, ...not, form: FORMS[1 + below(2)] as string, target } as const;
      return below(2) === 0 ? { ...act, end: "hit" } : act;
    });
    const lands = (by: string): boolean => acts.some((act) => act.by === by && act.end === "hit");
    const how = lands("red") && lands("blue") && below(3) > 0 ? { how: "double" as const } : {};
    return { type: "exchange", no: i + 1, ...how, acts, open: false };
  });
}

function handOf({ acts, how }: ExchangeLine): HandExchange {
  return {
    double: how === "double",
    acts: acts.map((act): HandAct => ({
      by: act.by === "red" ? 0 : 1,
      kind: KINDS.indexOf(act.kind as (typeof KINDS)[number]),
      form: FORMS.indexOf((act.form ?? "none") as (typeof FORMS)[number]),
      target: TARGETS.indexOf((act.target ?? "none") as (typeof TARGETS)[number]),
      hit: act.end === "hit",
    })),
  };
}

function faster<State>(
  name: string,
  contest: Contest<State>,
  lines: readonly ExchangeLine[],
  goal: number,
  json: boolean,
): BenchRow {
  const bout = new QuickBout(compile(contest.ruleSet));
  const quick = lines.map((line) => bout.coded(line) as QuickExchange);
  const hand = lines.map(handOf);
  assertSame(contest, lines);
  const awards = handAwards();
  const byHand = (): void => {
    let state = contest.state();
    for (let i = 0; i < hand.length; i++) {
      if (i % A_BOUT === 0) state = contest.state();
      contest.score(hand[i] as HandExchange, state, awards);
    }
  };
  // The record's objects, as they come out of JSON: nothing about them is known beforehand.
  const records = lines.map((line) => JSON.stringify(line));
  const parsed = (): ExchangeLine[] => records.map((text) => JSON.parse(text) as ExchangeLine);
  const byTables = (): void => {
    for (let i = 0; i < quick.length; i++) {
      if (i % A_BOUT === 0) bout.restart();
      bout.exchange(quick[i] as QuickExchange);
    }
  };
  const ratio = median(
    Array.from({ length: ROUNDS }, () => {
      const fresh = json ? parsed() : [];
      const floor = timeOf(byHand);
      return floor / timeOf(json ? () => fromRecords(bout, fresh) : byTables);
    }).slice(4),
  );
  const value = Math.round(ratio * 100) / 100;
  return { name, value, unit: "x as fast", goal, ok: value >= goal };
}

function fromRecords(bout: QuickBout, lines: readonly ExchangeLine[]): void {
  for (let i = 0; i < lines.length; i++) {
    if (i % A_BOUT === 0) bout.restart();
    bout.line(lines[i] as ExchangeLine);
  }
}

/** Both must give the same awards, or the comparison is worth nothing. */
function assertSame<State>(contest: Contest<State>, lines: readonly ExchangeLine[]): void {
  const scorer = compile(contest.ruleSet);
  const bout = new QuickBout(scorer);
  const awards = handAwards();
  const { rules: ordered, own } = scorer.program;
  const file = scorer.ruleSet.rules.map((rule) => ordered.findIndex((one) => one.rule === rule));
  let state = contest.state();
  const seen = new Set<number>();
  let paid = 0;
  lines.forEach((line, i) => {
    if (i % A_BOUT === 0) {
      bout.restart();
      state = contest.state();
    }
    if (!bout.line(line)) throw new Error(`not everything is known of ${JSON.stringify(line)}`);
    contest.score(handOf(line), state, awards);
    const m = bout.machine;
    const sum = (rule: number, side: number): number => m.sum(rule, side, 0) + m.sum(rule, side, 1);
    for (const side of [0, 1]) {
      const wanted = [
        awards.touch[side],
        awards.double[side],
        ...file.map((_, rule) => awards.rules[rule * 2 + side]),
      ];
      const given = [sum(own.touch, side), sum(own.double, side), ...file.map((number) => sum(number, side))];
      given.forEach((amount, at) => {
        if (amount !== wanted[at])
          throw new Error(
            `exchange ${String(i + 1)}, award ${String(at)}: ${String(amount)}, by hand ${String(wanted[at])}: ${JSON.stringify(line)}`,
          );
        if (amount !== 0) {
          paid++;
          seen.add(at);
        }
      });
    }
  });
  const silent = contest.ruleSet.rules.filter(({ pays }, i) => pays !== undefined && !seen.has(i + 2));
  // Chance alone makes a few of them too seldom.
  if (silent.length > 2) throw new Error(`never paid: ${silent.map(({ name }) => name).join(", ")}`);
  if (paid < lines.length / 4) throw new Error(`only ${String(paid)} awards in the whole bench`);
}

function compiling(name: string, ruleSet: RuleSet): BenchRow {
  const times = Array.from({ length: 1200 }, () => timeOf(() => void compile(ruleSet))).slice(800);
  const value = Math.round(median(times) * 1000) / 1000;
  return { name, value, unit: "ms", goal: 0.3, ok: value <= 0.3 };
}

function reading(): BenchRow {
  const text = benchRules(20);
  const times = Array.from({ length: 100 }, () => timeOf(() => void readRuleSet(text))).slice(20);
  const value = Math.round(median(times) * 100) / 100;
  return { name: "read the file of a 20-rule set", value, unit: "ms", goal: 5, ok: value <= 5 };
}

function timeOf(work: () => void): number {
  const start = performance.now();
  work();
  return performance.now() - start;
}

const median = (list: readonly number[]): number =>
  [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)] as number;
