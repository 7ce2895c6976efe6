/** One world and one line in the machine, and what comes out of it. */
import { extraTimeOf, lengthOf } from "../language/clock.ts";
import type { BoutRules } from "../language/tree-bout.ts";
import type { Call, ExchangeLine } from "../record.ts";
import { type CodedExchange, codeExchange } from "./code.ts";
import { keyOf } from "./keys.ts";
import { BONUS, HOW, type Machine, POINTS } from "./machine.ts";
import type { PickValues } from "./picks.ts";
import type { Program } from "./program.ts";
import type { World } from "./worlds.ts";

/** What came before this exchange: exchanges fenced, doubles, and the clock at the halt before it. */
export interface Position {
  readonly fenced: number;
  readonly doubles: number;
  /** Missing before the first halt; NaN where nobody wrote it. */
  readonly left?: number;
  /** What the judges called in the exchange before; at the end of the bout that was its last one. */
  readonly calls?: readonly Call[];
}

export const positionAfter = (
  { fenced, doubles }: Position,
  { how, left = Number.NaN, calls = [] }: ExchangeLine,
): Position => ({
  fenced: fenced + (how === "no exchange" ? 0 : 1),
  doubles: doubles + (how === "double" ? 1 : 0),
  left,
  calls,
});

export function coded(program: Program, line: ExchangeLine): CodedExchange {
  let known = program.codedLines.get(line);
  if (!known) program.codedLines.set(line, (known = codeExchange(program.coder, line, program.isParry)));
  return known;
}

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
  position: Position,
): void {
  const { machine: m, env } = program;
  enter(program, world);
  const { all } = env.fields;
  for (let i = 0; i < all.length; i++) if (all[i]?.life === "exchange") m.mem[i] = all[i]?.initial ?? 0;
  for (const { field, value } of picks) m.mem[field] = value;
  m.how = HOW[line.how ?? "plain"];
  m.left = line.left ?? Number.NaN;
  m.lasted = lastedBetween(env.ruleSet.bout, position.left, m.left);
  m.calls = line.calls ?? [];
  m.number = position.fenced + (line.how === "no exchange" ? 0 : 1);
  m.doubles = position.doubles;
  m.exchange = line.no;
  m.winner = -1;
}

/** Seconds from one halt to the next; NaN where the clock is not known at both. */
export function lastedBetween(bout: BoutRules, before: number | undefined, left: number): number {
  const start = before ?? lengthOf(bout) ?? Number.NaN;
  // More on the clock than at the halt before: it was set anew.
  const from = left > start ? (extraTimeOf(bout) ?? lengthOf(bout) ?? Number.NaN) : start;
  return Math.max(0, from - left);
}

/** Puts where the bout stands as it ends into the machine. */
export function standAtTheEnd({ machine: m, env }: Program, position: Position): void {
  m.how = HOW.plain;
  m.number = position.fenced;
  m.exchange = 0;
  m.doubles = position.doubles;
  m.left = position.left ?? lengthOf(env.ruleSet.bout) ?? Number.NaN;
  m.calls = position.calls ?? [];
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
