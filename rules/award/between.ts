/** What stands between exchanges: the score said outright, the start of a bout, another bout, another evening. */
import { closeBout, lastHolders } from "./closing.ts";
import type { Fencers } from "./entry.ts";
import type { Met } from "./fencers.ts";
import { markPlace } from "./fields.ts";
import { park, setValues, unpark } from "./follow.ts";
import type { Program } from "./program.ts";
import { type Parked, type World, WorldSet } from "./worlds.ts";

/** Runs a change once for each choice that it makes. */
export function settleChoices(
  { machine: m }: Program,
  worlds: readonly World[],
  change: (world: World) => World,
): readonly World[] {
  const next = new WorldSet();
  for (const world of worlds) {
    m.chooser.restart();
    do next.add(change(world));
    while (m.chooser.next());
  }
  return next.all;
}

export function setScore({ kept }: Program, world: World, red: number, blue: number): World {
  const mem = world.mem.slice();
  const least = world.least.slice();
  const most = world.most.slice();
  [red, blue].forEach((points, side) => {
    least[side] = points;
    most[side] = points;
    if (kept.points >= 0) mem[kept.points + side] = points;
  });
  return { ...world, mem, least, most };
}

/** A penalty hit: one point that no rule pays. */
export function addPoint({ kept }: Program, world: World, side: 0 | 1, points = 1): World {
  if (world.ended !== undefined) return world;
  const mem = world.mem.slice();
  const least = world.least.slice();
  const most = world.most.slice();
  least[side]! += points;
  most[side]! += points;
  if (kept.points < 0) return { ...world, mem, least, most };
  const index = kept.points + side;
  mem[index]! += points;
  const values = world.candidates?.get(index);
  const candidates =
    values &&
    new Map(world.candidates).set(
      index,
      values.map((n) => n + points),
    );
  return { ...world, mem, least, most, ...(candidates ? { candidates } : {}) };
}

/** Another bout of the same evening: what lasts goes with the fencers, the teams and the hall. */
export function newBout(
  program: Program,
  world: World,
  bouts: { readonly before: Fencers; readonly after: Fencers; readonly begun: boolean; readonly met: Met },
): World {
  const { before, after, begun, met } = bouts;
  const closed = begun ? closeBout(program, world, before) : world;
  return beginBout(program, park(program, closed, before, met), after, met);
}

/** These two begin, with what stood before. */
export function beginBout(program: Program, parked: Parked, fencers: Fencers, met: Met): World {
  const { env } = program;
  const world = unpark(program, parked, fencers, met);
  const candidates = new Map(world.candidates);
  for (const mark of env.ruleSet.marks) {
    const { starts } = mark;
    if (starts === undefined || !("with" in starts)) continue;
    if (starts.with !== "the last loser" && starts.with !== "the last winner") continue;
    const { index } = markPlace(env, mark);
    const who = lastHolders(parked, fencers, starts.with);
    if (who && env.fields.all[index]?.life === "bout") setValues(world.mem, candidates, index, who);
  }
  return candidates.size > 0 ? { ...world, candidates } : world;
}

/** The evening is over: whatever lasts a night is as at its beginning; the bout's own stands. */
export function newEvening({ env }: Program, world: World, parked: Parked): World {
  const mem = world.mem.slice();
  for (const { index, life, initial } of env.fields.all)
    if (life !== "bout" && life !== "exchange") mem[index] = initial;
  return { ...world, mem, parked };
}
