/** What the referee gives between exchanges: warnings, and penalty hits. */
import { other, type Side, SIDES } from "../vocabulary.ts";
import { addPoint } from "./between.ts";
import { countsAgainst } from "./passes-bout.ts";
import type { Program } from "./program.ts";
import type { World } from "./worlds.ts";

/** Adds 1 to a fencer's count, where something asks for it. */
function counted(world: World, field: number, side: Side): World {
  if (field < 0) return world;
  const at = field + SIDES.indexOf(side);
  const mem = world.mem.slice();
  mem[at]! += 1;
  const values = world.candidates?.get(at);
  if (!values) return { ...world, mem };
  const candidates = new Map(world.candidates).set(
    at,
    values.map((n) => n + 1),
  );
  return { ...world, mem, candidates };
}

/** Warnings of a world stand behind its points and bonus, Red's before Blue's. */
const WARNINGS = 4;

export function addWarning({ kept }: Program, world: World, side: Side): World {
  if (world.ended !== undefined) return world;
  const at = WARNINGS + SIDES.indexOf(side);
  const least = world.least.slice();
  const most = world.most.slice();
  least[at]! += 1;
  most[at]! += 1;
  return counted({ ...world, least, most }, kept.warnings, side);
}

/** Who gets the point of a penalty hit: the other; where points count against, whoever it is given against. */
export const receiverOf = (program: Program, against: Side): Side =>
  countsAgainst(program.env) ? against : other(against);

export function addPenalty(program: Program, world: World, against: Side): World {
  if (world.ended !== undefined) return world;
  const hit = addPoint(program, world, SIDES.indexOf(receiverOf(program, against)) as 0 | 1);
  return counted(hit, program.kept.penalties, against);
}
