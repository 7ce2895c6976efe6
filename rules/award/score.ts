/** Scores a bout sheet: every award with its sentence, what is still open, and what to ask. */
import type { Mark } from "../language/tree.ts";
import type { BoutSheet, ExchangeLine } from "../record.ts";
import { type Pair, type Side, SIDES, type Unit, UNITS } from "../vocabulary.ts";
import type { Scorer } from "./compile.ts";
import { markPlace } from "./fields.ts";
import type { Program } from "./program.ts";
import { questionsOf } from "./questions.ts";
import { foldSheet, type FoldedExchange, type SheetFold } from "./sheet-fold.ts";
import { keyOf } from "./keys.ts";
import { type Steps, stepsOfEnd, stepsOfExchange } from "./steps.ts";
import type { Award, MarkValue, OpenAward, ScoredExchange, Span, Tally } from "./tally.ts";
import { type AwardToTell, sentenceOf, sideWord } from "./trace.ts";
import type { Hull, World } from "./worlds.ts";

/** The tally of a sheet's last bout, scored after those before it. */
export function scoreBout(scorer: Scorer, sheet: BoutSheet): Tally {
  const { program } = scorer;
  const fold = foldSheet(program, sheet);
  const exchanges = scoredExchanges(program, fold);
  const end = endAwards(program, fold);
  const penalties = penaltyAwards(fold);
  const last = exchanges.at(-1);
  const base = last ? { points: last.points, bonus: last.bonus } : settledAt(fold, [], 0);
  const later = fold.said.filter(({ at }) => at >= exchanges.length);
  const before = last ? applySaid(later, base.points) : base.points;
  return {
    points: plus(before, end.awards, "points"),
    bonus: plus(base.bonus, end.awards, "bonus"),
    span: spanOf(fold.worlds),
    open: openCount(exchanges) + openKeys(end.open),
    questions: questionsOf(program, sheet, fold, exchanges, end.open),
    ...endingOf(fold, exchanges),
    doubles: fold.position.doubles,
    warned: warnedBy(fold, exchanges),
    retired: { red: sure(fold.worlds, 6) > 0, blue: sure(fold.worlds, 7) > 0 },
    marks: marksOf(program, fold.worlds),
    awards: [...exchanges.flatMap(({ awards }) => awards), ...penalties, ...end.awards],
    exchanges,
  };
}

const sure = (worlds: readonly World[], at: number): number =>
  worlds.length === 0 ? 0 : Math.min(...worlds.map(({ least }) => least[at] as number));

function spanOf(worlds: readonly World[]): Tally["span"] {
  const span = (at: number): Span => ({
    least: Math.min(...worlds.map(({ least }) => least[at] as number)),
    most: Math.max(...worlds.map(({ most }) => most[at] as number)),
  });
  return { points: { red: span(0), blue: span(1) }, bonus: { red: span(2), blue: span(3) } };
}

/** A warning counts once every world agrees that it was given. */
const warnedBy = (fold: SheetFold, exchanges: readonly ScoredExchange[]): Pair<number> => ({
  red: Math.max(
    sure(fold.worlds, 4),
    exchanges.reduce((n, one) => n + one.warned.red, 0),
  ),
  blue: Math.max(
    sure(fold.worlds, 5),
    exchanges.reduce((n, one) => n + one.warned.blue, 0),
  ),
});

function plus(start: Pair<number>, awards: readonly Award[], unit: Unit): Pair<number> {
  const sum = (side: Side): number =>
    awards.reduce(
      (n, award) => (award.to === side && award.unit === unit ? n + award.amount : n),
      start[side],
    );
  return { red: sum("red"), blue: sum("blue") };
}

function applySaid(said: SheetFold["said"], points: Pair<number>): Pair<number> {
  let now = points;
  for (const { set, penalty } of said) {
    if (set) now = { red: set.red, blue: set.blue };
    if (penalty) now = penalty === "red" ? { ...now, blue: now.blue + 1 } : { ...now, red: now.red + 1 };
  }
  return now;
}

/** Settled score before an exchange: what was said outright, and settled awards since. */
function settledAt(
  fold: SheetFold,
  before: readonly ScoredExchange[],
  at: number,
): { points: Pair<number>; bonus: Pair<number> } {
  const previous = before.at(-1);
  const first = fold.exchanges[0]?.before ?? fold.worlds;
  const start = { red: sure(first, 0), blue: sure(first, 1) };
  const said = fold.said.filter((one) => one.at === at);
  if (!previous) return { points: at === 0 ? start : applySaid(said, start), bonus: { red: 0, blue: 0 } };
  return { points: applySaid(said, previous.points), bonus: previous.bonus };
}

function scoredExchanges(program: Program, fold: SheetFold): readonly ScoredExchange[] {
  const done: ScoredExchange[] = [];
  fold.exchanges.forEach((one, i) => {
    const start = settledAt(fold, done, i);
    const { awards, open } = tell(program, one);
    const { folded, line, before } = one;
    const names = program.env.ruleSet.phrases;
    const made = (side: Side): string[] =>
      names.filter((_, at) => folded.made[side][at] === true).map(({ name }) => name);
    done.push({
      no: line.no,
      ...(line.id === undefined ? {} : { id: line.id }),
      ...(line.how === undefined ? {} : { how: line.how }),
      awards,
      open,
      warned: folded.warned,
      points: plus(start.points, awards, "points"),
      bonus: plus(start.bonus, awards, "bonus"),
      afterTheEnd: before.every((world) => world.ended !== undefined),
      made: { red: made("red"), blue: made("blue") },
    });
  });
  return done;
}

/** Number of a rule or of an own award, as a name. */
function nameOf({ rules, own }: Program, number: number): AwardToTell["rule"] {
  if (number === own.touch) return "touch";
  if (number === own.double) return "double";
  if (number === own.conversion) return "conversion";
  return (rules[number] as Program["rules"][number]).rule;
}

interface Told {
  readonly awards: readonly Award[];
  readonly open: readonly OpenAward[];
}

function tell(program: Program, one: FoldedExchange): Told {
  const { folded, line, before, picks, position } = one;
  const world = before.find(({ ended }) => ended === undefined);
  let steps: Steps | undefined;
  const stepsFor = (key: number): Steps extends ReadonlyMap<number, infer S> ? S | undefined : never => {
    steps ??= world ? stepsOfExchange(program, world, line, picks, position) : new Map();
    return steps.get(key);
  };
  return tellHull(program, folded.hull, line.no, line, stepsFor);
}

function tellHull(
  program: Program,
  hull: Hull,
  exchange: number,
  line: ExchangeLine | undefined,
  stepsFor: (key: number) => AwardToTell["steps"] | undefined,
): Told {
  const awards: Award[] = [];
  const open: OpenAward[] = [];
  for (const number of inFileOrder(program))
    SIDES.forEach((to, side) => {
      UNITS.forEach((unit, u) => {
        const key = keyOf(number, side, u);
        const least = hull.least[key] as number;
        const most = hull.most[key] as number;
        if (least === 0 && most === 0) return;
        const rule = nameOf(program, number);
        const name = typeof rule === "string" ? rule : rule.name;
        if (least !== most) open.push({ exchange, to, rule: name, unit, span: { least, most } });
        else {
          const told = { rule, to, unit, amount: least, steps: stepsFor(key) ?? [] };
          awards.push({
            exchange,
            to,
            rule: name,
            unit,
            amount: least,
            sentence: sentenceOf(program, line, told),
          });
        }
      });
    });
  return { awards, open };
}

/** Touches and doubles first, then the rules as the file lists them. */
function inFileOrder({ rules, own, env }: Program): readonly number[] {
  const numbers = env.ruleSet.rules.map((rule) => rules.findIndex((one) => one.rule === rule));
  return [own.touch, own.double, ...numbers, own.conversion];
}

function endAwards(program: Program, fold: SheetFold): Told {
  if (!fold.someEnded) return { awards: [], open: [] };
  const world = fold.beforeEnd.find(({ ended }) => ended === undefined);
  let steps: Steps | undefined;
  return tellHull(program, fold.end, 0, undefined, (key) => {
    steps ??= world ? stepsOfEnd(program, world) : new Map();
    return steps.get(key);
  });
}

function penaltyAwards({ said, exchanges }: SheetFold): readonly Award[] {
  return said.flatMap(({ at, penalty }): Award[] => {
    if (!penalty) return [];
    const to: Side = penalty === "red" ? "blue" : "red";
    const sentence = `Penalty hit against ${sideWord(penalty)}: 1 point to ${sideWord(to)}.`;
    const exchange = exchanges[at - 1]?.line.no ?? 0;
    return [{ exchange, to, rule: "penalty", unit: "points", amount: 1, sentence }];
  });
}

/** (award, fencer) pairs; both units of one rule are one. */
const openKeys = (open: readonly OpenAward[]): number =>
  new Set(open.map(({ rule, to }) => `${rule}\n${to}`)).size;
const openCount = (exchanges: readonly ScoredExchange[]): number =>
  exchanges.reduce((n, { open }) => n + openKeys(open), 0);

/** Ended only where every world agrees how. */
function endingOf(fold: SheetFold, exchanges: readonly ScoredExchange[]): Pick<Tally, "ended" | "endedAt"> {
  const ended = fold.worlds[0]?.ended;
  if (fold.lost || ended === undefined || fold.worlds.some((world) => world.ended !== ended))
    return { ended: null };
  const over = exchanges.findIndex((_, i) => endedAfter(fold, i));
  const no = exchanges[over]?.no;
  return no === undefined ? { ended } : { ended, endedAt: no };
}

const endedAfter = ({ exchanges }: SheetFold, i: number): boolean =>
  (exchanges[i] as FoldedExchange).folded.worlds.every((world) => world.ended !== undefined);

const HOLDERS = ["nobody", "red", "blue"] as const;

function marksOf(program: Program, worlds: readonly World[]): Tally["marks"] {
  const { env } = program;
  const values = env.ruleSet.marks.map((mark) => {
    const { index, each } = markPlace(env, mark);
    const read = (at: number): MarkValue => markValue(program, mark, worlds, at);
    return [mark.name, each ? { red: read(index), blue: read(index + 1) } : read(index)] as const;
  });
  return Object.fromEntries(values);
}

/** Where worlds differ nobody knows yet: "unknown". */
function markValue({ env }: Program, mark: Mark, worlds: readonly World[], at: number): MarkValue {
  const value = worlds[0]?.mem[at] as number;
  if (Number.isNaN(value) || worlds.some(({ mem }) => mem[at] !== value)) return "unknown";
  switch (mark.is) {
    case "count":
      return value;
    case "flag":
      return value === 1;
    case "token":
    case "roles":
      return HOLDERS[value] ?? "nobody";
    case "note":
      return env.doings.domain(mark).values[value - 1] ?? "";
    case "set":
      return env.doings.domain(mark).values.filter((_, i) => Math.floor(value / 2 ** i) % 2 === 1);
  }
}
