/** Scores a bout sheet: every award with its sentence, what is still open, and what to ask. */
import type { BoutSheet, ExchangeLine } from "../record.ts";
import { type Pair, type Side, SIDES, type Unit, UNITS } from "../vocabulary.ts";
import type { Scorer } from "./scorer.ts";
import { ifAllGranted, waitingFor } from "./claims.ts";
import { MATCH_BOUTS, TEAM_POINTS } from "./fields.ts";
import { teamsOf } from "./fencers.ts";
import { valuesOf } from "./follow.ts";
import type { Field } from "./memory.ts";
import { marksOf } from "./tally-marks.ts";
import type { Program } from "./program.ts";
import { questionsOf } from "./questions.ts";
import { applySaid, headStartAwards, openHeadStarts, penaltyAwards, warningsSaid } from "./outside.ts";
import { foldSheet, type FoldedExchange, type SheetFold } from "./sheet-fold.ts";
import { keyOf } from "./keys.ts";
import { settledLevel } from "./level.ts";
import { type Steps, stepsOfEnd, stepsOfExchange } from "./steps.ts";
import type { Award, OpenAward, ScoredExchange, Span, Tally } from "./tally.ts";
import { type AwardToTell, sentenceOf } from "./trace.ts";
import type { Hull, World } from "./worlds.ts";

/** The tally of a sheet's last bout, scored after those before it. */
export function scoreBout(scorer: Scorer, sheet: BoutSheet): Tally {
  const { program } = scorer;
  const granted = ifAllGranted(program, sheet);
  const fold = foldSheet(program, sheet);
  const exchanges = scoredExchanges(program, fold);
  const end = endAwards(program, fold);
  const outside = [...headStartAwards(program, fold), ...penaltyAwards(program, fold)];
  const endOpen = [...openHeadStarts(fold), ...end.open];
  const last = exchanges.at(-1);
  const base = last ? { points: last.points, bonus: last.bonus } : settledAt(program, fold, [], 0);
  const later = fold.said.filter(({ at }) => at >= exchanges.length);
  const before = last ? applySaid(program, later, base.points) : base.points;
  const points = plus(before, end.awards, "points");
  const waiting = waitingFor(program, fold, granted, [...exchanges.flatMap(({ open }) => open), ...endOpen]);
  return {
    points,
    bonus: plus(base.bonus, end.awards, "bonus"),
    span: spanOf(fold.worlds),
    open: openCount(exchanges) + openKeys(endOpen),
    questions: questionsOf(program, sheet, fold, exchanges, endOpen, waiting),
    ...endingOf(fold, exchanges),
    ...levelOf(program, fold),
    doubles: fold.position.doubles,
    warned: warnedBy(fold, exchanges),
    retired: { red: sure(fold.worlds, 6) > 0, blue: sure(fold.worlds, 7) > 0 },
    marks: marksOf(program, fold),
    awards: [...exchanges.flatMap(({ awards }) => awards), ...outside, ...end.awards],
    exchanges,
    claims: waiting.map(({ claim }) => claim),
    ...teamTotals(program, fold, points),
    ...(fold.evening ? { evening: fold.evening.awards, eveningOpen: fold.evening.open } : {}),
  };
}

/** In a relay: what the two teams have, this bout's settled points included. */
function teamTotals({ env }: Program, fold: SheetFold, points: Pair<number>): Pick<Tally, "teams"> {
  const first = env.fields.find(TEAM_POINTS, 0)?.index;
  const bouts = env.fields.find(MATCH_BOUTS)?.index;
  if (first === undefined || bouts === undefined) return {};
  const least = (at: number): number =>
    Math.min(...fold.worlds.flatMap((world) => valuesOf(world, env.fields.all[at] as Field)));
  const [red, blue] = teamsOf(fold.fencers);
  return {
    teams: {
      red: { team: red, points: least(first) + points.red },
      blue: { team: blue, points: least(first + 1) + points.blue },
      bout: least(bouts) + 1,
    },
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
    exchanges.reduce((n, one) => n + one.warned.red, warningsSaid(fold, "red")),
  ),
  blue: Math.max(
    sure(fold.worlds, 5),
    exchanges.reduce((n, one) => n + one.warned.blue, warningsSaid(fold, "blue")),
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

/** Settled score before an exchange: what was said outright, and settled awards since. */
function settledAt(
  program: Program,
  fold: SheetFold,
  before: readonly ScoredExchange[],
  at: number,
): { points: Pair<number>; bonus: Pair<number> } {
  const previous = before.at(-1);
  // What the end of the bout pays is told beside it.
  const unfenced = fold.beforeEnd.length > 0 ? fold.beforeEnd : fold.worlds;
  const first = fold.exchanges[0]?.before ?? unfenced;
  const start = { red: sure(first, 0), blue: sure(first, 1) };
  // A bout that was handed over has bonus already.
  const bonus = { red: sure(first, 2), blue: sure(first, 3) };
  const said = fold.said.filter((one) => one.at === at);
  if (!previous) return { points: at === 0 ? start : applySaid(program, said, start), bonus };
  return { points: applySaid(program, said, previous.points), bonus: previous.bonus };
}

function scoredExchanges(program: Program, fold: SheetFold): readonly ScoredExchange[] {
  const done: ScoredExchange[] = [];
  fold.exchanges.forEach((one, i) => {
    const start = settledAt(program, fold, done, i);
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
    steps ??= world ? stepsOfEnd(program, world, fold.position) : new Map();
    return steps.get(key);
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

/** What all worlds agree on of what decides a level bout. */
function levelOf({ level }: Program, { worlds }: SheetFold): Pick<Tally, "level"> {
  const settled =
    level &&
    settledLevel(
      level,
      worlds.map(({ mem }) => mem),
    );
  return settled ? { level: settled } : {};
}

const endedAfter = ({ exchanges }: SheetFold, i: number): boolean =>
  (exchanges[i] as FoldedExchange).folded.worlds.every((world) => world.ended !== undefined);
