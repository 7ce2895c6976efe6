/** The worlds that a bout may be in: what is carried on, and the least and most that has been won on the way. */
import { CAP } from "./code.ts";
import type { Ending } from "../vocabulary.ts";

/** Totals of a world: points and bonus, warnings, retirements, Red before Blue. */
export const TOTALS = 8;

export interface World {
  readonly mem: Float64Array;
  readonly least: Float64Array;
  readonly most: Float64Array;
  /** Undefined while the bout goes on. */
  readonly ended?: Ending;
  /** Values that fields may have which are not known (NaN), where they are fewer than the field's own. */
  readonly candidates?: ReadonlyMap<number, readonly number[]>;
  /** What was had tonight by whomever it belongs to, as this bout began: every value that it may have. */
  readonly parked?: Parked;
}

/** By `parkingKey`. Never changed once it is in a world. */
export type Parked = ReadonlyMap<string, readonly number[]>;

/** Written once for each, because every world of a bout has the same. */
const texts = new WeakMap<Parked, string>();
export function parkedText(parked: Parked | undefined): string {
  if (!parked) return "";
  let text = texts.get(parked);
  if (text === undefined) texts.set(parked, (text = [...parked].join()));
  return text;
}

export const MOST_WORLDS = CAP;

/** Joins worlds that nothing later can tell apart. */
export class WorldSet {
  readonly all: World[] = [];
  private readonly at = new Map<string, number>();

  add(world: World): void {
    const beside = `${parkedText(world.parked)}|${world.candidates ? [...world.candidates].join() : ""}`;
    const key = `${world.ended ?? ""}|${world.mem.join()}|${beside}`;
    const known = this.at.get(key);
    if (known === undefined) {
      this.at.set(key, this.all.length);
      this.all.push(world);
      return;
    }
    const other = this.all[known] as World;
    this.all[known] = {
      ...other,
      least: other.least.map((n, i) => Math.min(n, world.least[i] as number)),
      most: other.most.map((n, i) => Math.max(n, world.most[i] as number)),
    };
  }

  get over(): boolean {
    return this.all.length > MOST_WORLDS;
  }
}

/** The least and the most of every award key over all worlds and all ways in which an exchange may have gone. */
export class Hull {
  readonly least: Float64Array;
  readonly most: Float64Array;
  private some = false;

  constructor(keys: number) {
    this.least = new Float64Array(keys);
    this.most = new Float64Array(keys);
  }

  include(sums: Float64Array): void {
    if (!this.some) {
      this.least.set(sums);
      this.most.set(sums);
      this.some = true;
      return;
    }
    for (let key = 0; key < sums.length; key++) {
      const n = sums[key] as number;
      if (n < (this.least[key] as number)) this.least[key] = n;
      if (n > (this.most[key] as number)) this.most[key] = n;
    }
  }
}
