/**
 * Folds the lines of one bout into the worlds that it may be in. Every exchange is scored in every world, once for
 * each way in which it may have gone; what all of them agree on is settled.
 */
import type { ExchangeLine } from "../record.ts";
import type { Ending, Pair } from "../vocabulary.ts";
import { type CodedExchange, codeExchange } from "./code.ts";
import { crudeBounds } from "./crude.ts";
import { scoreConversion, scoreEnd, scoreExchange } from "./exchange.ts";
import { markPlace } from "./fields.ts";
import { BONUS, HOW, type Machine, POINTS } from "./machine.ts";
import { type BoutStanding, whetherOver } from "./over.ts";
import type { PickValues } from "./picks.ts";
import type { Program } from "./program.ts";
import { statesAtHalt } from "./simulate.ts";
import { Hull, TOTALS, type World, WorldSet } from "./worlds.ts";

/** More runs than this for one exchange and its bounds are only sound, not exact. */
const MOST_RUNS = 20_000;

export interface Folded {
  readonly worlds: readonly World[];
  readonly hull: Hull;
  readonly warned: Pair<number>;
  /** Numbers of the named phrases that each fencer made in every world. */
  readonly made: Pair<readonly boolean[]>;
  /** Nothing but sound bounds is known from here on. */
  readonly lost: boolean;
}

export interface Position {
  /** Exchanges fenced before this one, and doubles. */
  readonly fenced: number;
  readonly doubles: number;
}

export function coded(program: Program, line: ExchangeLine): CodedExchange {
  let known = program.codedLines.get(line);
  if (!known) program.codedLines.set(line, (known = codeExchange(program.coder, line, program.isParry)));
  return known;
}

export function foldExchange(
  program: Program,
  worlds: readonly World[],
  line: ExchangeLine,
  picks: PickValues,
  position: Position,
  endHull: Hull,
): Folded {
  const step = new Step(program, line, picks, position, endHull);
  const exchange = coded(program, line);
  for (const world of worlds) if (!step.world(world, exchange)) return foldLost(program, worlds);
  return step.done();
}

/** Too many ways, here or before: from here on only bounds, and nothing is settled. */
export function foldLost(program: Program, worlds: readonly World[]): Folded {
  const none = program.env.ruleSet.phrases.map(() => false);
  const hull = crudeBounds(program);
  const next = worlds.map((world) => ({ ...world, ...widened(world, hull) }));
  return { worlds: next, hull, warned: { red: 0, blue: 0 }, made: { red: none, blue: none }, lost: true };
}

/** A world's totals with an exchange's bounds added to them. */
function widened(world: World, hull: Hull): Pick<World, "least" | "most"> {
  const least = world.least.slice();
  const most = world.most.slice();
  hull.least.forEach((n, key) => {
    const at = (key % 2) * 2 + (Math.floor(key / 2) % 2);
    least[at]! += n;
    most[at]! += hull.most[key] as number;
  });
  return { least, most };
}

class Step {
  private readonly hull: Hull;
  private readonly endHull: Hull;
  private readonly next = new WorldSet();
  private readonly warned: [number, number] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  private readonly made: boolean[][];
  private runs = 0;
  private readonly m: Machine;
  private readonly sums: Float64Array;
  /** States that no world can change; found once. */
  private states: readonly Int32Array[] | undefined;
  private readonly program: Program;
  private readonly line: ExchangeLine;
  private readonly picks: PickValues;
  private readonly position: Position;

  constructor(program: Program, line: ExchangeLine, picks: PickValues, position: Position, endHull: Hull) {
    this.endHull = endHull;
    this.program = program;
    this.line = line;
    this.picks = picks;
    this.position = position;
    this.m = program.machine;
    this.hull = new Hull(program.keys);
    this.sums = new Float64Array(program.keys);
    const names = program.env.ruleSet.phrases;
    this.made = [names.map(() => true), names.map(() => true)];
  }

  done(): Folded {
    return {
      worlds: this.next.all,
      hull: this.hull,
      warned: { red: finite(this.warned[0]), blue: finite(this.warned[1]) },
      made: { red: this.made[0] ?? [], blue: this.made[1] ?? [] },
      lost: false,
    };
  }

  /** False where there are too many ways. */
  world(world: World, exchange: CodedExchange): boolean {
    if (world.ended !== undefined) {
      this.sums.fill(0);
      this.hull.include(this.sums);
      this.warned.fill(0);
      this.next.add(world);
      return true;
    }
    const { chooser } = this.m;
    chooser.restart();
    do {
      prepare(this.program, world, this.line, this.picks, this.position);
      const states = this.statesOf(exchange);
      if (!states || ++this.runs > MOST_RUNS || this.next.over) return false;
      this.m.state = states[states.length === 1 ? 0 : chooser.choose(states.length)] as Int32Array;
      scoreExchange(this.program);
      this.collect(world);
    } while (chooser.next());
    return true;
  }

  private statesOf(exchange: CodedExchange): readonly Int32Array[] | undefined {
    if (this.states) return this.states;
    const { tables, choose } = this.program;
    const states = statesAtHalt(tables, exchange, choose);
    if (!tables.readsMemory) this.states = states;
    return states;
  }

  private collect(world: World): void {
    const { m, sums, program } = this;
    sumSlots(m, sums);
    this.hull.include(sums);
    for (const side of [0, 1] as const) {
      this.warned[side] = Math.min(this.warned[side], m.warned[side] as number);
      program.made.forEach((accepted, i) => {
        if (!accepted(side)) (this.made[side] as boolean[])[i] = false;
      });
    }
    const next = grown(world, m);
    const byRule = ENDING_BY_RULE[m.ending];
    const after = positionAfter(this.position, this.line);
    // A choice that the end needs belongs to the same run.
    const over = isOver(program, next, after, m.left, byRule);
    this.next.add(over ? endWorld(program, next, after, this.endHull, byRule, undefined) : next);
  }
}

const finite = (n: number): number => (Number.isFinite(n) ? n : 0);
const ENDING_BY_RULE: readonly (BoutStanding["byRule"] | undefined)[] = [
  undefined,
  "both lose",
  "blue wins",
  "red wins",
  "by score",
];

/** Puts a world and a line into the machine. */
export function prepare(
  { machine: m, env }: Program,
  world: World,
  line: ExchangeLine,
  picks: PickValues,
  { fenced }: Position,
): void {
  m.mem.set(world.mem);
  for (const { index, life, initial } of env.fields.all) if (life === "exchange") m.mem[index] = initial;
  for (const { field, value } of picks) m.mem[field] = value;
  m.how = HOW[line.how ?? "plain"];
  m.left = line.left ?? Number.NaN;
  m.calls = line.calls ?? [];
  m.number = fenced + (line.how === "no exchange" ? 0 : 1);
  m.winner = -1;
}

/** Sums of the slots by award key. */
export function sumSlots(m: Machine, sums: Float64Array): void {
  sums.fill(0);
  for (let slot = 0; slot < m.count; slot++)
    sums[((m.rule[slot] as number) * 2 + (m.to[slot] as number)) * 2 + (m.unit[slot] as number)]! += m.amount[
      slot
    ] as number;
}

/** The world after what the machine has just scored. */
function grown(world: World, m: Machine): World {
  const least = world.least.slice();
  const most = world.most.slice();
  for (let side = 0; side < 2; side++) {
    const won = [m.sum(-1, side, POINTS), m.sum(-1, side, BONUS), m.warned[side] as number, m.retired[side] as number];
    won.forEach((n, i) => {
      least[i * 2 + side]! += n;
      most[i * 2 + side]! += n;
    });
  }
  return { ...world, mem: m.now.slice(), least, most };
}

export const newWorld = (program: Program): World => ({
  mem: program.env.fields.start(),
  least: new Float64Array(TOTALS),
  most: new Float64Array(TOTALS),
});

/** Points and bonus as this world has them; NaN where it does not keep them and its bounds do not say. */
function standingOf(program: Program, world: World, { fenced, doubles }: Position): BoutStanding {
  const { kept, env } = program;
  const value = (kept: number, at: number): number =>
    kept >= 0 ? (world.mem[kept] as number) : world.least[at] === world.most[at] ? (world.least[at] as number) : Number.NaN;
  const pair = (kept: number, at: number): Pair<number> => ({
    red: value(kept, at),
    blue: value(kept < 0 ? kept : kept + 1, at + 1),
  });
  const { ties } = env.ruleSet.bout;
  const fewer = ties.is === "fewer" ? markPlace(env, env.mark(ties.mark)).index : -1;
  return {
    points: pair(kept.points, 0),
    bonus: pair(kept.bonus, 2),
    exchanges: fenced,
    doubles,
    ...(fewer < 0 ? {} : { fewer: { red: world.mem[fewer] as number, blue: world.mem[fewer + 1] as number } }),
  };
}

export const positionAfter = ({ fenced, doubles }: Position, { how }: ExchangeLine): Position => ({
  fenced: fenced + (how === "no exchange" ? 0 : 1),
  doubles: doubles + (how === "double" ? 1 : 0),
});

export function isOver(
  program: Program,
  world: World,
  position: Position,
  left: number | undefined,
  byRule: BoutStanding["byRule"],
): boolean {
  const { bout } = program.env.ruleSet;
  if (bout.ends.length === 0) return byRule !== undefined;
  const over = whetherOver(bout, {
    ...standingOf(program, world, position),
    ...(left === undefined || Number.isNaN(left) ? {} : { left }),
    ...(byRule === undefined ? {} : { byRule }),
  });
  return over !== null && over !== "tie";
}

/** Scores the end of the bout in one world: conversion, then the winner, then the rules that wait for it. */
export function endWorld(
  program: Program,
  world: World,
  position: Position,
  hull: Hull,
  byRule: BoutStanding["byRule"],
  said: Ending | undefined,
): World {
  const { machine: m, keys } = program;
  const total = new Float64Array(keys);
  const part = new Float64Array(keys);
  m.how = HOW.plain;
  m.mem.set(world.mem);
  scoreConversion(program);
  sumSlots(m, total);
  const converted = grown(world, m);
  const ended = said ?? endingOf(program, converted, position, byRule);
  m.winner = WINNERS[ended];
  m.mem.set(converted.mem);
  scoreEnd(program);
  sumSlots(m, part);
  hull.include(total.map((n, i) => n + (part[i] as number)));
  return { ...grown(converted, m), ended };
}

const WINNERS: Readonly<Record<Ending, number>> = {
  "red wins": 0,
  "blue forfeits": 0,
  "blue wins": 1,
  "red forfeits": 1,
  draw: 2,
  "both lose": 3,
  stopped: 2,
};

/** Who has won by score; where a world does not keep the score, every ending that its bounds allow. */
function endingOf(program: Program, world: World, position: Position, byRule: BoutStanding["byRule"]): Ending {
  const standing = standingOf(program, world, position);
  if (standing.points.red === standing.points.red) {
    const over = whetherOver(program.env.ruleSet.bout, { ...standing, called: true, ...(byRule ? { byRule } : {}) });
    return over === null || over === "tie" ? "draw" : over;
  }
  if (byRule !== undefined && byRule !== "by score") return byRule;
  const { least, most } = world;
  const [redLeast, blueLeast, redMost, blueMost] = [least[0], least[1], most[0], most[1]] as [number, number, number, number];
  const possible: Ending[] = [];
  if (redMost > blueLeast) possible.push("red wins");
  if (blueMost > redLeast) possible.push("blue wins");
  if (redMost >= blueLeast && blueMost >= redLeast) possible.push("draw");
  return possible[program.machine.chooser.choose(possible.length)] as Ending;
}
