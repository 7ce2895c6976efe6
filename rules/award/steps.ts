/** What each pass did to the awards of one exchange, for the arithmetic in their sentences. */
import type { ExchangeLine } from "../record.ts";
import { scoreEnd, scoreExchange } from "./exchange.ts";
import { keyOf } from "./keys.ts";
import type { Machine } from "./machine.ts";
import type { PickValues } from "./picks.ts";
import type { Program } from "./program.ts";
import { coded, enter, type Position, prepare, sumSlots } from "./run.ts";
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

export function stepsOfEnd(program: Program, world: World): Steps {
  const { machine: m } = program;
  m.chooser.restart();
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

function timesOf(m: Machine, key: number): number {
  let times = 1;
  for (let slot = 0; slot < m.count; slot++)
    if (keyOf(m.rule[slot] as number, m.to[slot] as number, m.unit[slot] as number) === key)
      times = Math.max(times, m.times[slot] as number);
  return times;
}
