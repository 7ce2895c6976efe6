/** Too many worlds made one: field by field the values that each may have. Sound, because it only adds worlds. */
import type { Program } from "./program.ts";
import { parkedText, type World } from "./worlds.ts";

/** A field with more possible values than this cannot be followed. */
export const MOST_VALUES = 64;

/** One world for each way in which the bout may have ended; undefined where some field has too many values. */
export function merge(program: Program, worlds: readonly World[]): readonly World[] | undefined {
  const groups = new Map<string, World[]>();
  for (const world of worlds) {
    const key = `${world.ended ?? ""}|${parkedText(world.parked)}`;
    groups.set(key, [...(groups.get(key) ?? []), world]);
  }
  const merged = [...groups.values()].map((group) => mergeOne(program, group));
  return merged.every((world) => world !== undefined) ? merged : undefined;
}

function mergeOne(program: Program, worlds: readonly World[]): World | undefined {
  const [first] = worlds as [World, ...World[]];
  const mem = first.mem.slice();
  const candidates = new Map<number, readonly number[]>();
  for (const { index, domain } of program.env.fields.all) {
    const values = new Set<number>();
    for (const world of worlds) {
      const value = world.mem[index] as number;
      if (!Number.isNaN(value)) values.add(value);
      else for (const one of world.candidates?.get(index) ?? domain) values.add(one);
    }
    if (values.size > MOST_VALUES) return undefined;
    if (values.size === 1) mem[index] = [...values][0] as number;
    else {
      mem[index] = Number.NaN;
      candidates.set(index, [...values]);
    }
  }
  const { candidates: _, ...rest } = first;
  return {
    ...rest,
    mem,
    least: first.least.map((_n, i) => Math.min(...worlds.map(({ least }) => least[i] as number))),
    most: first.most.map((_n, i) => Math.max(...worlds.map(({ most }) => most[i] as number))),
    ...(candidates.size > 0 ? { candidates } : {}),
  };
}
