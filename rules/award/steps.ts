/** What each pass did to the awards of one exchange, for the arithmetic in their sentences. */
import type { ExchangeLine } from "../record.ts";
import { scoreEnd, scoreExchange } from "./exchange.ts";
import { keyOf } from "./keys.ts";
import { type Machine, POINTS } from "./machine.ts";
import { POINTS_AGAINST } from "./passes-bout.ts";
import type { PickValues } from "./picks.ts";
import type { Program } from "./program.ts";
import { coded, enter, type Position, prepare, standAtTheEnd, sumSlots } from "./run.ts";
import { statesAtHalt } from "./simulate.ts";
import type { World } from "./worlds.ts";

/** The sum of one award key after each pass that changed it. */
export interface PassStep {
  readonly pass: string;
  readonly amount: number;
  /** How often it was paid, where it is paid each time. */
  readonly times: number;
}

/** Steps by award key. */
export type Steps = ReadonlyMap<number, readonly PassStep[]>;

/** Runs one of the ways in which the exchange may have gone once more, and writes down what each pass did. */
export function stepsOfExchange(
  program: Program,
  world: World,
  line: ExchangeLine,
  picks: PickValues,
  position: Position,
): Steps {
  const { machine: m, tables, choose } = program;
  m.chooser.restart();
  prepare(program, world, line, picks, position);
  const states = statesAtHalt(tables, coded(program, line), choose, tables.all);
  const state = states?.[0];
  if (!state) return new Map();
  m.state = state;
  return watched(program, () => scoreExchange(program));
}

export function stepsOfEnd(program: Program, world: World, position: Position): Steps {
  const { machine: m } = program;
  m.chooser.restart();
  standAtTheEnd(program, position);
  enter(program, world);
  return watched(program, () => scoreEnd(program));
}

function watched(program: Program, run: () => void): Steps {
  const { machine: m, keys } = program;
  const steps = new Map<number, PassStep[]>();
  const before = new Float64Array(keys);
  const here = new Float64Array(keys);
  m.watch = (pass) => {
    sumSlots(m, here);
    if (pass === POINTS_AGAINST) {
      exchangeSteps(steps, program.own.touch);
      before.set(here);
      return;
    }
    for (let key = 0; key < keys; key++) {
      if (here[key] === before[key]) continue;
      const list = steps.get(key) ?? [];
      list.push({ pass, amount: here[key] as number, times: timesOf(m, key) });
      steps.set(key, list);
    }
    before.set(here);
  };
  try {
    run();
  } finally {
    m.watch = undefined;
  }
  return steps;
}

/** What was one fencer's touch is now written to the other, with all that was done to it. */
function exchangeSteps(steps: Map<number, PassStep[]>, touch: number): void {
  const [red, blue] = [keyOf(touch, 0, POINTS), keyOf(touch, 1, POINTS)];
  const [ofRed, ofBlue] = [steps.get(red) ?? [], steps.get(blue) ?? []];
  steps.set(red, ofBlue);
  steps.set(blue, ofRed);
}

function timesOf(m: Machine, key: number): number {
  let times = 1;
  for (let slot = 0; slot < m.count; slot++)
    if (keyOf(m.rule[slot] as number, m.to[slot] as number, m.unit[slot] as number) === key)
      times = Math.max(times, m.times[slot] as number);
  return times;
}
