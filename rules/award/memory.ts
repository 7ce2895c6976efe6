/**
 * What a bout carries from one exchange to the next, one number a field. NaN is "not known yet": the field may hold
 * any value of its domain, and is settled on first reading by a choice, each choice being one possible world.
 */

/**
 * How long a field lives. The others follow whom they belong to through the evening: a fencer, a pair, a team, a fencer or
 * a team within the match of two teams, that match itself, the hall.
 */
export const LIVES = [
  "exchange",
  "bout",
  "fencer",
  "pair",
  "team",
  "match",
  "team match",
  "teams",
  "hall",
] as const;
export type Life = (typeof LIVES)[number];

export interface Field {
  readonly index: number;
  readonly name: string;
  readonly life: Life;
  /** 0 Red, 1 Blue; missing for what belongs to both. */
  readonly side?: 0 | 1;
  readonly initial: number;
  /** The values that it may have while it is not known. */
  readonly domain: readonly number[];
}

/** Walks through every sequence of choices: the first run takes the first of each, `next` moves to the next run. */
export class Chooser {
  private readonly taken: number[] = [];
  private readonly sizes: number[] = [];
  private at = 0;

  choose(size: number): number {
    if (this.at < this.taken.length) return this.taken[this.at++] as number;
    this.taken.push(0);
    this.sizes.push(size);
    this.at++;
    return 0;
  }

  /** The choices taken so far in this run. */
  soFar(): readonly number[] {
    return this.taken.slice(0, this.at);
  }

  /** Takes these choices again, if this run begins with them; false, and nothing taken, if it does not. */
  repeat(choices: readonly number[]): boolean {
    if (this.at !== 0 || choices.some((choice, i) => this.taken[i] !== choice)) return false;
    this.at = choices.length;
    return true;
  }

  restart(): void {
    this.taken.length = 0;
    this.sizes.length = 0;
    this.at = 0;
  }

  next(): boolean {
    this.at = 0;
    while (this.taken.length > 0) {
      const last = this.taken.length - 1;
      const taken = (this.taken[last] as number) + 1;
      if (taken < (this.sizes[last] as number)) {
        this.taken[last] = taken;
        return true;
      }
      this.taken.pop();
      this.sizes.pop();
    }
    return false;
  }
}

export class Fields {
  readonly all: Field[] = [];
  private readonly byName = new Map<string, Field>();

  /** The field of this name, made on first mention. */
  field(
    name: string,
    life: Life,
    options: { side?: 0 | 1; initial?: number; domain?: readonly number[] } = {},
  ): Field {
    const full = options.side === undefined ? name : `${name} ${options.side === 0 ? "red" : "blue"}`;
    const known = this.byName.get(full);
    if (known) return known;
    const field: Field = {
      index: this.all.length,
      name: full,
      life,
      initial: options.initial ?? 0,
      domain: options.domain ?? [0],
      ...(options.side === undefined ? {} : { side: options.side }),
    };
    this.all.push(field);
    this.byName.set(full, field);
    return field;
  }

  /** One for each fencer, Red first; always next to each other. */
  pair(name: string, life: Life, options: { initial?: number; domain?: readonly number[] } = {}): number {
    const known = this.find(name, 0);
    if (known) return known.index;
    const red = this.field(name, life, { ...options, side: 0 });
    this.field(name, life, { ...options, side: 1 });
    return red.index;
  }

  find(name: string, side?: 0 | 1): Field | undefined {
    return this.byName.get(side === undefined ? name : `${name} ${side === 0 ? "red" : "blue"}`);
  }

  start(): Float64Array {
    return Float64Array.from(this.all, (field) => field.initial);
  }
}
