/** How a bout starts: who the weaker is, what head start that gives, and who begins with what "starts with the weaker". */
import type { Mark } from "../language/tree.ts";
import type { Weaker } from "../record.ts";
import { addPoint } from "./between.ts";
import { holder, markPlace, NOBODY } from "./fields.ts";
import type { Program } from "./program.ts";
import { enter } from "./run.ts";
import type { Span } from "./tally.ts";
import { headStarts, startsByStrength, weakerPlace } from "./weaker.ts";
import type { World } from "./worlds.ts";

const NUMBERS: Readonly<Record<Weaker, number>> = { red: holder(0), blue: holder(1), nobody: NOBODY };

/** Where nobody has said who the weaker is, each answer is a world. Without `heads` the score was said outright. */
export function startOfBout(program: Program, world: World, said: Weaker | undefined, heads: boolean): World {
  const { env, machine: m } = program;
  const place = weakerPlace(env);
  if (place < 0 || world.ended !== undefined) return world;
  enter(program, world);
  if (said !== undefined) m.mem[place] = NUMBERS[said];
  for (const mark of env.ruleSet.marks) if (startsByStrength(mark)) giveTo(program, mark, world, place);
  const given = heads ? ([0, 1] as const).map((side) => headStartOf(program, place, side)) : [0, 0];
  const settled = { ...world, mem: m.mem.slice() };
  return addPoint(program, addPoint(program, settled, 0, given[0]), 1, given[1]);
}

/** Unless a line, or the evening so far, has said who has it. */
function giveTo({ env, machine: m }: Program, mark: Mark, world: World, place: number): void {
  const { index } = markPlace(env, mark);
  if (!Number.isNaN(m.mem[index]) || world.candidates?.has(index) === true) return;
  const weaker = m.read(place);
  const toWeaker = mark.starts !== undefined && "with" in mark.starts && mark.starts.with === "the weaker";
  m.mem[index] = weaker === NOBODY || toWeaker ? weaker : holder(0) + holder(1) - weaker;
}

function headStartOf({ env, machine: m }: Program, place: number, side: 0 | 1): number {
  let given = 0;
  for (const { who, points } of headStarts(env.ruleSet)) {
    const weaker = m.read(place);
    if (weaker === NOBODY || (weaker === holder(side)) !== (who === "the weaker")) continue;
    if (typeof points === "number") given += points;
    else {
      const { index, each } = markPlace(env, env.mark(points.mark));
      given += m.read(each ? index + side : index);
    }
  }
  return given;
}

/** What each fencer's head start may be, where the rule set gives one. */
export interface HeadStart {
  readonly red: Span;
  readonly blue: Span;
}

/** Read from the worlds in which the bout has just started. */
export function headStartIn({ env }: Program, worlds: readonly World[]): HeadStart | undefined {
  if (headStarts(env.ruleSet).length === 0) return undefined;
  const span = (side: 0 | 1): Span => ({
    least: Math.min(...worlds.map(({ least }) => least[side] as number)),
    most: Math.max(...worlds.map(({ most }) => most[side] as number)),
  });
  return { red: span(0), blue: span(1) };
}
