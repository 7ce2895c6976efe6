/** What stands between exchanges: marks brought in, the score said outright, the start of a bout, another bout. */
import type { SheetLine } from "../record.ts";
import { SIDES, type Side } from "../vocabulary.ts";
import { markPlace, type Place } from "./fields.ts";
import type { Field } from "./memory.ts";
import type { Program } from "./program.ts";
import { enter } from "./run.ts";
import { type World, WorldSet } from "./worlds.ts";

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

const HOLDERS: Readonly<Record<string, number>> = { red: 1, r: 1, blue: 2, b: 2, nobody: 0 };

export function applyMark({ env }: Program, world: World, line: Extract<SheetLine, { type: "mark" }>): World {
  const mark = env.ruleSet.marks.find((one) => one.name === line.mark);
  if (!mark) return world;
  const place = markPlace(env, mark);
  const mem = world.mem.slice();
  const value = valueOf(env, mark, line.value, mem, place);
  const sides = place.each
    ? SIDES.filter((side) => line.side === undefined || side === line.side)
    : [undefined];
  for (const side of sides) mem[place.index + (side === "blue" ? 1 : 0)] = value;
  return { ...world, mem };
}

function valueOf(
  env: Program["env"],
  mark: Program["env"]["ruleSet"]["marks"][number],
  value: number | string | boolean,
  mem: Float64Array,
  place: Place,
): number {
  if (typeof value === "number") return value;
  if (typeof value === "boolean") return value ? 1 : 0;
  const word = value.toLowerCase();
  if (mark.is === "token" || mark.is === "roles") return HOLDERS[word] ?? 0;
  if (mark.is === "note" || mark.is === "set") {
    const names = mark.is === "set" ? word.split(",").map((one) => one.trim()) : [word];
    const { values } = env.doings.domain(mark);
    const numbers = names.map((name) => values.indexOf(name)).filter((at) => at >= 0);
    return mark.is === "note" ? (numbers[0] ?? -1) + 1 : numbers.reduce((sum, at) => sum + 2 ** at, 0);
  }
  if (word === "on" || word === "off") return word === "on" ? 1 : 0;
  return mem[place.index] as number;
}

/** Head starts: whoever is the weaker, unless a `score` line said it, is one of two worlds. */
export function startOfBout(program: Program, world: World): World {
  const { env, machine: m } = program;
  const heads = env.ruleSet.bout.starts.filter((start) => start.is === "head start");
  if (heads.length === 0) return world;
  enter(program, world);
  const points: [number, number][] = ([0, 1] as const).map((weaker) => {
    const given: [number, number] = [0, 0];
    for (const head of heads) {
      const side = head.who === "the weaker" ? weaker : ((1 - weaker) as 0 | 1);
      given[side] +=
        typeof head.points === "number" ? head.points : headStart(program, head.points.mark, side);
    }
    return given;
  });
  const [first, second] = points as [[number, number], [number, number]];
  const same = first[0] === second[0] && first[1] === second[1];
  const [red, blue] = same || m.chooser.choose(2) === 0 ? first : second;
  const settled = { ...world, mem: m.mem.slice() };
  return addPoint(program, addPoint(program, settled, 0, red), 1, blue);
}

function headStart({ env, machine: m }: Program, name: string, side: 0 | 1): number {
  const place = markPlace(env, env.mark(name));
  return m.read(place.each ? place.index + side : place.index);
}

/** Another bout of the same evening: what follows the fencers goes with their names. */
export function newBout(
  { env }: Program,
  world: World,
  before: readonly [string, string],
  after: readonly [string, string],
): World {
  const parked = new Map(world.parked);
  const keyOf = (field: Field, names: readonly [string, string]): string =>
    field.life === "fencer"
      ? `${field.name.replace(/ (red|blue)$/, "")}|${names[field.side ?? 0]}`
      : pairKey(field, names);
  const follows = env.fields.all.filter(({ life }) => life === "fencer" || life === "pair");
  for (const field of follows) parked.set(keyOf(field, before), world.mem[field.index] as number);
  const mem = env.fields.start();
  for (const { index, life } of env.fields.all) if (life === "hall") mem[index] = world.mem[index] as number;
  for (const field of follows) mem[field.index] = parked.get(keyOf(field, after)) ?? field.initial;
  for (const field of lastBout(env.fields.all, env.ruleSet))
    mem[field.index] = lastHolder(field, world, before, after);
  const least = new Float64Array(world.least.length);
  return { mem, least, most: least.slice(), parked };
}

/** A pair's own field is shared; one for each fencer of the pair is his against this partner. */
function pairKey(field: Field, names: readonly [string, string]): string {
  const pair = [...names].sort().join(" and ");
  return field.side === undefined
    ? `${field.name}|${pair}`
    : `${field.name.replace(/ (red|blue)$/, "")}|${pair}|${names[field.side]}`;
}

/** Tokens that start with the last loser or winner; the sides are the fencers'. */
function lastBout(
  fields: readonly Field[],
  ruleSet: Program["env"]["ruleSet"],
): readonly (Field & { loser: boolean })[] {
  return ruleSet.marks.flatMap((mark) => {
    const starts = mark.starts;
    if (starts === undefined || !("with" in starts)) return [];
    if (starts.with !== "the last loser" && starts.with !== "the last winner") return [];
    const field = fields.find((one) => one.name === `mark ${mark.name}` && one.life === "bout");
    return field ? [{ ...field, loser: starts.with === "the last loser" }] : [];
  });
}

const WINS: Readonly<Record<string, Side | undefined>> = {
  "red wins": "red",
  "blue wins": "blue",
  "red forfeits": "blue",
  "blue forfeits": "red",
};

/** The fencer who lost or won the last bout, if he fences in this one; else nobody has said who has it. */
function lastHolder(
  { loser }: { loser: boolean },
  world: World,
  before: readonly [string, string],
  after: readonly [string, string],
): number {
  const winner = WINS[world.ended ?? ""];
  if (winner === undefined) return Number.NaN;
  const name = before[(winner === "red") === loser ? 1 : 0] as string;
  return after.includes(name) ? after.indexOf(name) + 1 : Number.NaN;
}

/** The evening is over: whatever lasts a night is as at its beginning. */
export function newEvening({ env }: Program, world: World): World {
  const mem = world.mem.slice();
  for (const { index, life, initial } of env.fields.all)
    if (life === "fencer" || life === "pair" || life === "hall") mem[index] = initial;
  return { ...world, mem, parked: new Map() };
}
