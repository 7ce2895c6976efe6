/** One world and one line in the machine, and what comes out of it. */
import type { ExchangeLine } from "../record.ts";
import { type CodedExchange, codeExchange } from "./code.ts";
import { keyOf } from "./keys.ts";
import { BONUS, HOW, type Machine, POINTS } from "./machine.ts";
import type { PickValues } from "./picks.ts";
import type { Program } from "./program.ts";
import { TOTALS, type World } from "./worlds.ts";

/** What came before this exchange: exchanges fenced, and doubles. */
export interface Position {
  readonly fenced: number;
  readonly doubles: number;
}

export const positionAfter = ({ fenced, doubles }: Position, { how }: ExchangeLine): Position => ({
  fenced: fenced + (how === "no exchange" ? 0 : 1),
  doubles: doubles + (how === "double" ? 1 : 0),
});

export function coded(program: Program, line: ExchangeLine): CodedExchange {
  let known = program.codedLines.get(line);
  if (!known) program.codedLines.set(line, (known = codeExchange(program.coder, line, program.isParry)));
  return known;
}

export const newWorld = (program: Program): World => ({
  mem: program.env.fields.start(),
  least: new Float64Array(TOTALS),
  most: new Float64Array(TOTALS),
});

/** Puts a world into the machine. */
export function enter({ machine: m }: Program, world: World): void {
  m.mem.set(world.mem);
  m.candidates = world.candidates;
}

/** Puts a world and a line into the machine. */
export function prepare(
  program: Program,
  world: World,
  line: ExchangeLine,
  picks: PickValues,
  { fenced }: Position,
): void {
  const { machine: m, env } = program;
  enter(program, world);
  const { all } = env.fields;
  for (let i = 0; i < all.length; i++) if (all[i]?.life === "exchange") m.mem[i] = all[i]?.initial ?? 0;
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
    sums[keyOf(m.rule[slot] as number, m.to[slot] as number, m.unit[slot] as number)]! += m.amount[
      slot
    ] as number;
}

/** Points, bonus, warnings and retirements that the machine has just given, Red before Blue. */
export function gains(m: Machine): readonly number[] {
  return [
    m.sum(-1, 0, POINTS),
    m.sum(-1, 1, POINTS),
    m.sum(-1, 0, BONUS),
    m.sum(-1, 1, BONUS),
    m.warned[0] as number,
    m.warned[1] as number,
    m.retired[0] as number,
    m.retired[1] as number,
  ];
}

/** The world after what the machine has just scored. */
export function grown(world: World, m: Machine): World {
  const won = gains(m);
  return {
    ...world,
    mem: m.now.slice(),
    least: world.least.map((n, i) => n + (won[i] as number)),
    most: world.most.map((n, i) => n + (won[i] as number)),
  };
}
