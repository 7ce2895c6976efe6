/** What a sheet says was there before: marks, picks, and what was had in other bouts or before this one was handed over. */
import type { HadLine, SheetLine } from "../record.ts";
import type { Fencers } from "./entry.ts";
import { isCarried, type Met } from "./fencers.ts";
import {
  ANOTHER,
  isEachFencers,
  MATCH_BOUTS,
  MATCH_POINTS,
  markPlace,
  pickPlace,
  TEAM_POINTS,
} from "./fields.ts";
import { baseOf, keptBy, parkingKey, setValues } from "./follow.ts";
import { hadFields } from "./limits.ts";
import { numberOf } from "./mark-values.ts";
import type { Field } from "./memory.ts";
import type { Program } from "./program.ts";
import type { World } from "./worlds.ts";

interface Here {
  readonly fencers: Fencers;
  readonly met: Met;
}

/** The world with these values in a field, whatever was there. */
function withValues(world: World, index: number, values: readonly number[]): World {
  const mem = world.mem.slice();
  const map = new Map(world.candidates);
  setValues(mem, map, index, values);
  const { candidates: _, ...rest } = world;
  return { ...rest, mem, ...(map.size > 0 ? { candidates: map } : {}) };
}

export function applyMark(
  { env }: Program,
  world: World,
  line: Extract<SheetLine, { type: "mark" }>,
  { fencers, met }: Here,
): World {
  const mark = env.ruleSet.marks.find((one) => one.name === line.mark);
  if (!mark) return world;
  const { index, each } = markPlace(env, mark);
  const values = [line.value, ...(line.or ?? [])].flatMap((value) => {
    const number = numberOf(mark, value, { env, met, fencers });
    return number === undefined ? [] : [number];
  });
  if (values.length === 0) return world;
  if (mark.is === "token" || mark.is === "roles")
    return withHolder(env.fields.all[index] as Field, world, values, { fencers, met }, isCarried(mark));
  const sides = each
    ? ([0, 1] as const).filter((side) => line.side === undefined || side === sideOf(line))
    : [0];
  return sides.reduce((next, side) => withValues(next, index + side, values), world);
}

const sideOf = ({ side }: { readonly side?: "red" | "blue" }): number => (side === "blue" ? 1 : 0);

/** Who does not fence here holds it only where it goes from bout to bout; elsewhere nobody does. */
function withHolder(
  field: Field,
  world: World,
  numbers: readonly number[],
  { fencers, met }: Here,
  carried: boolean,
): World {
  const here = [met.number(fencers.red) + 1, met.number(fencers.blue) + 1];
  const values = numbers.map((one) =>
    one === 0 ? 0 : here.includes(one) ? here.indexOf(one) + 1 : carried ? ANOTHER : 0,
  );
  const next = withValues(world, field.index, [...new Set(values)]);
  const kept = carried ? keptBy(field, fencers) : undefined;
  return kept
    ? { ...next, parked: new Map(world.parked).set(parkingKey(baseOf(field), kept), numbers) }
    : next;
}

/** A pick of which only some values are left; what is said outright is set exchange by exchange. */
export function applyPick({ env }: Program, world: World, line: Extract<SheetLine, { type: "pick" }>): World {
  const pick = env.ruleSet.picks.find((one) => one.name === line.pick);
  if (!pick || !line.or) return world;
  const { index } = pickPlace(env, pick);
  const values = [line.value, ...line.or].map((value) => pick.from.findIndex(({ text }) => text === value));
  const sides = isEachFencers(pick)
    ? ([0, 1] as const).filter((side) => line.side === undefined || side === sideOf(line))
    : [0];
  return sides.reduce(
    (next, side) =>
      withValues(
        next,
        index + side,
        values.filter((value) => value >= 0),
      ),
    world,
  );
}

/** More values than these are not told apart. */
const MOST_STEPS = 64;

/** Every value that what was had may have; halves and quarters only where the rule set can pay them. */
function spanValues({ env }: Program, { least, most }: HadLine): readonly number[] {
  if (least === most) return [least];
  const { rules, touches, bout } = env.ruleSet;
  const numbers = [
    ...touches.map(({ worth }) => worth),
    ...rules.flatMap((rule) =>
      (rule.pays ?? []).flatMap(({ sum }) => ("numbers" in sum ? sum.numbers : [0.5])),
    ),
    ...rules.flatMap((rule) => (rule.atMost ?? []).map(({ n }) => n)),
    least,
    most,
  ];
  const parts =
    bout.afterblows.is === "half to the second" ||
    rules.some((rule) =>
      (rule.does ?? []).some((effect) => effect.is === "multiply" && !Number.isInteger(effect.by)),
    );
  const step = parts ? 0.25 : numbers.every(Number.isInteger) ? 1 : 0.5;
  const count = Math.min(MOST_STEPS - 1, Math.ceil((most - least) / step));
  return Array.from({ length: count + 1 }, (_, i) =>
    i === count ? most : least + ((most - least) * i) / count,
  );
}

/** What was had: of a rule, for its limits and for "3, 2, then 0"; or at all, tonight or in this bout. */
export function applyHad(program: Program, world: World, line: HadLine): World {
  const { env, kept } = program;
  const values = spanValues(program, line);
  const side = sideOf(line);
  const set = (next: World, field: Field | undefined): World =>
    field ? withValues(next, field.index, values) : next;
  const at = side as 0 | 1;
  if (line.rule !== undefined) {
    const limited = hadFields(env, line.rule)
      .filter(({ limit }) => limit.scope === line.scope && limit.of === line.of)
      .map(({ first, shared }) => env.fields.all[first + (shared ? 0 : side)]);
    const fired =
      line.scope === "bout" && line.of === "times" ? [env.fields.find(`fired ${line.rule}`, at)] : [];
    return [...limited, ...fired].reduce(set, world);
  }
  switch (line.scope) {
    case "evening":
      return set(world, env.fields.find(`tonight ${line.of}`, at));
    case "match":
      return set(
        world,
        line.of === "bouts" ? env.fields.find(MATCH_BOUTS) : env.fields.find(MATCH_POINTS, at),
      );
    case "team match":
      return set(world, env.fields.find(TEAM_POINTS, at));
    case "bout": {
      const next = set(world, env.fields.find(line.of, at));
      if (line.of !== "points" && line.of !== "bonus") return next;
      const first = line.of === "points" ? 0 : 2;
      const field = line.of === "points" ? kept.points : kept.bonus;
      return withTotal(field < 0 ? next : withValues(next, field + side, values), first + side, line);
    }
    case "pair":
    case "team":
    case "hall":
      return world;
  }
}

function withTotal(world: World, at: number, { least, most }: HadLine): World {
  const [low, high] = [world.least.slice(), world.most.slice()];
  low[at] = least;
  high[at] = most;
  return { ...world, least: low, most: high };
}
