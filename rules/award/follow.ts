/** What follows the fencers, the teams and the hall from bout to bout: how it is kept, and how it comes back. */
import type { Fencers, Holder } from "./entry.ts";
import { isCarried, type Met, teamsOf } from "./fencers.ts";
import { ANOTHER, markPlace, NOBODY } from "./fields.ts";
import type { Field } from "./memory.ts";
import type { Program } from "./program.ts";
import { type Parked, TOTALS, type World } from "./worlds.ts";

/** Whom a field belongs to while these two fence; undefined for what ends with the bout. */
export interface Kept {
  readonly holder: Holder;
  /** Whose it is within a pair or a match. */
  readonly whose?: string;
}

const sorted = ([a, b]: readonly [string, string]): readonly [string, string] => (a < b ? [a, b] : [b, a]);

export function keptBy(field: Field, fencers: Fencers): Kept | undefined {
  const names = [fencers.red, fencers.blue] as const;
  const teams = teamsOf(fencers);
  const side = field.side ?? 0;
  switch (field.life) {
    case "exchange":
    case "bout":
      return undefined;
    case "fencer":
      return { holder: { fencer: names[side] } };
    case "team":
      return { holder: { team: teams[side] } };
    case "pair":
      return { holder: { pair: sorted(names) }, ...(field.side === undefined ? {} : { whose: names[side] }) };
    case "match":
      return { holder: { teams: sorted(teams) }, whose: names[side] };
    case "team match":
      return { holder: { teams: sorted(teams) }, whose: teams[side] };
    case "teams":
      return { holder: { teams: sorted(teams) } };
    case "hall":
      return { holder: { hall: true } };
  }
}

/** What a field is called whichever side it is for. */
export const baseOf = ({ name, side }: Field): string =>
  side === undefined ? name : name.replace(/ (red|blue)$/u, "");

/** One written form for one thing that is kept; `readKey` reads it. */
export const parkingKey = (base: string, { holder, whose }: Kept): string =>
  JSON.stringify([base, holder, whose ?? ""]);

export function readKey(key: string): Kept & { readonly base: string } {
  const [base, holder, whose] = JSON.parse(key) as [string, Holder, string];
  return { base, holder, ...(whose === "" ? {} : { whose }) };
}

/** Every value that a field may have in this world. */
export function valuesOf(world: World, { index, domain }: Field): readonly number[] {
  const value = world.mem[index] as number;
  return Number.isNaN(value) ? (world.candidates?.get(index) ?? domain) : [value];
}

/** Fields of tokens and roles that may be with somebody who does not fence. */
export function carriedFields({ env }: Program): ReadonlySet<number> {
  return new Set(env.ruleSet.marks.filter(isCarried).map((mark) => markPlace(env, mark).index));
}

/** Which fencers these holders are: 0 nobody, else the fencer's number and one. */
function identities(
  values: readonly number[],
  before: readonly number[],
  fencers: Fencers,
  met: Met,
): readonly number[] {
  const here = [met.number(fencers.red) + 1, met.number(fencers.blue) + 1];
  const others = before.filter((one) => one !== NOBODY && !here.includes(one));
  return [
    ...new Set(
      values.flatMap((one) =>
        one === ANOTHER ? others : one === NOBODY ? [NOBODY] : [here[one - 1] as number],
      ),
    ),
  ];
}

function holders(values: readonly number[], fencers: Fencers, met: Met): readonly number[] {
  const here = [met.number(fencers.red) + 1, met.number(fencers.blue) + 1];
  return [
    ...new Set(
      values.map((one) => (one === NOBODY ? NOBODY : here.includes(one) ? here.indexOf(one) + 1 : ANOTHER)),
    ),
  ];
}

const isStart = (values: readonly number[], { initial, domain }: Field): boolean =>
  Number.isNaN(initial)
    ? domain.every((one) => values.includes(one))
    : values.length === 1 && values[0] === initial;

/** Everything that lasts, as it stands while these two fence. */
export function park(program: Program, world: World, fencers: Fencers, met: Met): Parked {
  const parked = new Map(world.parked);
  const carried = carriedFields(program);
  for (const field of program.env.fields.all) {
    const kept = keptBy(field, fencers);
    if (!kept) continue;
    const key = parkingKey(baseOf(field), kept);
    const values = valuesOf(world, field);
    if (isStart(values, field)) parked.delete(key);
    else
      parked.set(
        key,
        carried.has(field.index) ? identities(values, parked.get(key) ?? [], fencers, met) : values,
      );
  }
  return parked;
}

/** The world in which these two begin. */
export function unpark(program: Program, parked: Parked, fencers: Fencers, met: Met): World {
  const { env } = program;
  const mem = env.fields.start();
  const candidates = new Map<number, readonly number[]>();
  const carried = carriedFields(program);
  for (const field of env.fields.all) {
    const kept = keptBy(field, fencers);
    const found = kept && parked.get(parkingKey(baseOf(field), kept));
    if (!found) continue;
    setValues(mem, candidates, field.index, carried.has(field.index) ? holders(found, fencers, met) : found);
  }
  const totals = new Float64Array(TOTALS);
  return {
    mem,
    least: totals,
    most: totals.slice(),
    parked,
    ...(candidates.size > 0 ? { candidates } : {}),
  };
}

/** What a field is where nothing is kept of it, by what it is called. */
function startsByBase({ env }: Program): ReadonlyMap<string, readonly number[]> {
  return new Map<string, readonly number[]>([
    ...env.fields.all.map((field): [string, readonly number[]] => [
      baseOf(field),
      Number.isNaN(field.initial) ? field.domain : [field.initial],
    ]),
    [LAST_BASE, [LAST.neither]],
  ]);
}

/** One for several: of each thing every value that some of them have. Sound, because it only adds what may have been. */
export function joinParked(program: Program, all: readonly Parked[]): Parked {
  const [only] = all;
  if (only && all.length === 1) return only;
  const starts = startsByBase(program);
  const joined = new Map<string, readonly number[]>();
  for (const key of new Set(all.flatMap((parked) => [...parked.keys()]))) {
    const start = starts.get(readKey(key).base) ?? [];
    joined.set(key, [...new Set(all.flatMap((parked) => parked.get(key) ?? start))]);
  }
  return joined;
}

/** More worlds than these, and those that only others will tell apart are joined as the next bout begins. */
const ENOUGH_WORLDS = 12;

export function joinElsewhere(program: Program, worlds: readonly World[]): readonly World[] {
  if (worlds.length <= ENOUGH_WORLDS) return worlds;
  const groups = new Map<string, World[]>();
  for (const world of worlds) {
    const key = `${world.mem.join()}|${world.candidates ? [...world.candidates].join() : ""}`;
    groups.set(key, [...(groups.get(key) ?? []), world]);
  }
  return [...groups.values()].map((group) => ({
    ...(group[0] as World),
    parked: joinParked(
      program,
      group.map(({ parked }) => parked ?? new Map()),
    ),
  }));
}

/** How a fencer's last bout went, as it is kept. */
export const LAST = { won: 1, lost: 2, neither: 3 } as const;
export const LAST_BASE = "last";

export function setValues(
  mem: Float64Array,
  candidates: Map<number, readonly number[]>,
  index: number,
  values: readonly number[],
): void {
  candidates.delete(index);
  mem[index] = values.length === 1 ? (values[0] as number) : Number.NaN;
  if (values.length > 1) candidates.set(index, values);
}
