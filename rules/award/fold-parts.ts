/**
 * An exchange with too many ways to try together, scored part by part: sound, and exact for each award, because parts
 * share nothing in an exchange. What the parts leave behind is kept field by field, as the values that each may have.
 */
import type { ExchangeLine } from "../record.ts";
import type { CodedExchange } from "./code.ts";
import { afterExchange, ENDING_BY_RULE } from "./ending.ts";
import { scoreExchange } from "./exchange.ts";
import { MOST_VALUES } from "./merge.ts";
import type { Part } from "./part.ts";
import type { PickValues } from "./picks.ts";
import type { Program } from "./program.ts";
import { coded, gains, type Position, positionAfter, prepare, sumSlots } from "./run.ts";
import { FoundStates } from "./found-states.ts";
import { statesAtHalt } from "./simulate.ts";
import { Hull, TOTALS, type World, WorldSet } from "./worlds.ts";

export interface FoundInParts {
  readonly least: Float64Array;
  readonly most: Float64Array;
  readonly warned: readonly [number, number];
  readonly made: readonly [boolean[], boolean[]];
  readonly worlds: readonly World[];
}

/** More runs than this for one part and even it has too many ways; a question is not worth as many. */
const MOST_RUNS = 8000;
const MOST_RUNS_TO_ASK = 1000;

export function foldParts(
  program: Program,
  world: World,
  line: ExchangeLine,
  picks: PickValues,
  position: Position,
  exchange: CodedExchange,
  endHull: Hull,
): FoundInParts | undefined {
  const sum = new PartSum(program, world, line, picks, position);
  try {
    for (const part of program.parts()) if (!sum.part(part, exchange)) return undefined;
  } finally {
    program.machine.look(undefined);
  }
  return sum.found(endHull);
}

/** Runs one part in every way of one world; false where there are too many. */
function runPart(
  program: Program,
  world: World,
  line: ExchangeLine,
  picks: PickValues,
  position: Position,
  exchange: CodedExchange,
  part: Part,
  most: number,
  collect: () => void,
): boolean {
  const { machine: m, tables, choose } = program;
  m.chooser.restart();
  const found = new FoundStates(m);
  let runs = 0;
  do {
    prepare(program, world, line, picks, position);
    m.look(part);
    const states = found.of(() => statesAtHalt(tables, exchange, choose, part.view));
    if (!states || ++runs > most) return false;
    m.state = states[states.length === 1 ? 0 : m.chooser.choose(states.length)] as Int32Array;
    scoreExchange(program);
    collect();
  } while (m.chooser.next());
  return true;
}

/** The awards of one part over every way and world; undefined where there are too many. */
export function hullOfPart(
  program: Program,
  worlds: readonly World[],
  line: ExchangeLine,
  picks: PickValues,
  position: Position,
  part: Part,
): Hull | undefined {
  const hull = new Hull(program.keys);
  const sums = new Float64Array(program.keys);
  const exchange = coded(program, line);
  try {
    for (const world of worlds) {
      if (world.ended !== undefined) hull.include(new Float64Array(program.keys));
      else {
        const done = runPart(program, world, line, picks, position, exchange, part, MOST_RUNS_TO_ASK, () => {
          sumSlots(program.machine, sums);
          hull.include(sums);
        });
        if (!done) return undefined;
      }
    }
  } finally {
    program.machine.look(undefined);
  }
  return hull;
}

class PartSum {
  private readonly least: Float64Array;
  private readonly most: Float64Array;
  private readonly totals: { least: Float64Array; most: Float64Array };
  /** What fields that the parts own may be afterwards. */
  private readonly values = new Map<number, Set<number>>();
  /** How much points, bonus and warnings, Red's and Blue's, may have grown: the sums of all parts. */
  private grown: readonly (readonly number[])[] = Array.from({ length: 6 }, () => [0]);
  private readonly endings = new Set<number>();
  private readonly made: readonly [boolean[], boolean[]];
  private start: Float64Array = new Float64Array(0);
  private readonly program: Program;
  private readonly world: World;
  private readonly line: ExchangeLine;
  private readonly picks: PickValues;
  private readonly position: Position;

  constructor(program: Program, world: World, line: ExchangeLine, picks: PickValues, position: Position) {
    this.program = program;
    this.world = world;
    this.line = line;
    this.picks = picks;
    this.position = position;
    this.least = new Float64Array(program.keys);
    this.most = new Float64Array(program.keys);
    this.totals = { least: new Float64Array(TOTALS), most: new Float64Array(TOTALS) };
    const names = program.env.ruleSet.phrases;
    this.made = [names.map(() => true), names.map(() => true)];
  }

  part(part: Part, exchange: CodedExchange): boolean {
    const { program, world, line, picks, position } = this;
    const { machine: m } = program;
    const sums = new Float64Array(program.keys);
    const hull = new Hull(program.keys);
    const totals = new Hull(TOTALS);
    const grown = Array.from({ length: 6 }, () => new Set<number>());
    const fields = new Map<number, Set<number>>();
    this.startFrom();
    const done = runPart(program, world, line, picks, position, exchange, part, MOST_RUNS, () => {
      sumSlots(m, sums);
      hull.include(sums);
      const won = gains(m);
      totals.include(Float64Array.from(won));
      grown.forEach((set, i) => set.add(won[i] as number));
      if (part.ends) this.endings.add(m.ending);
      this.remember(part, fields);
    });
    if (!done) return false;
    return this.join(hull, totals, grown, fields);
  }

  /** The memory as the exchange begins, before anything is read. */
  private startFrom(): void {
    if (this.start.length > 0) return;
    prepare(this.program, this.world, this.line, this.picks, this.position);
    this.start = this.program.machine.mem.slice();
  }

  /** Fields that this part has changed, and phrases that it surely made. */
  private remember(part: Part, fields: Map<number, Set<number>>): void {
    const { machine: m, made } = this.program;
    for (const index of part.fields) {
      const set = fields.get(index) ?? new Set();
      fields.set(index, set.add(m.now[index] as number));
    }
    for (const side of part.sides)
      made.forEach((accepted, i) => {
        if (part.made[i] === 1 && !accepted(side)) this.made[side][i] = false;
      });
  }

  private join(
    hull: Hull,
    totals: Hull,
    grown: readonly ReadonlySet<number>[],
    fields: Map<number, Set<number>>,
  ): boolean {
    hull.least.forEach((n, key) => {
      this.least[key]! += n;
      this.most[key]! += hull.most[key] as number;
    });
    totals.least.forEach((n, i) => {
      this.totals.least[i]! += n;
      this.totals.most[i]! += totals.most[i] as number;
    });
    this.grown = this.grown.map((before, i) => sumsOf(before, [...(grown[i] as ReadonlySet<number>)]));
    for (const [index, set] of fields) this.values.set(index, set);
    return this.grown.every((values) => values.length <= MOST_VALUES);
  }

  found(endHull: Hull): FoundInParts | undefined {
    const { program, line, position, totals } = this;
    const base = this.carried();
    if (!base) return undefined;
    const { machine: m } = program;
    const worlds = new WorldSet();
    for (const ending of this.endings.size === 0 ? [0] : this.endings) {
      m.chooser.restart();
      do
        worlds.add(
          afterExchange(
            program,
            base,
            positionAfter(position, line),
            line.left,
            ENDING_BY_RULE[ending],
            endHull,
          ),
        );
      while (m.chooser.next() && !worlds.over);
    }
    if (worlds.over) return undefined;
    const warned = [totals.least[4] as number, totals.least[5] as number] as const;
    return { least: this.least, most: this.most, warned, made: this.made, worlds: worlds.all };
  }

  /** The one world that holds every value that some way leaves behind. */
  private carried(): World | undefined {
    const { program, world, start, totals } = this;
    const mem = start.slice();
    const candidates = new Map(world.candidates);
    const put = (index: number, values: readonly number[]): void => {
      candidates.delete(index);
      mem[index] = values.length === 1 ? (values[0] as number) : Number.NaN;
      if (values.length > 1) candidates.set(index, values);
    };
    for (const [index, set] of this.values) {
      const known = [...set].filter((value) => !Number.isNaN(value));
      // Never read, so it is as unknown as it was.
      if (known.length === set.size) put(index, known);
      else if (known.length > 0) put(index, [...new Set([...known, ...this.possible(index)])]);
    }
    const { kept } = program;
    [kept.points, kept.bonus, kept.warnings].forEach((first, unit) => {
      if (first < 0) return;
      for (const side of [0, 1]) {
        const sums = sumsOf(this.possible(first + side), this.grown[unit * 2 + side] as readonly number[]);
        put(first + side, sums);
      }
    });
    if ([...candidates.values()].some((values) => values.length > MOST_VALUES)) return undefined;
    const { candidates: _, ...rest } = world;
    return {
      ...rest,
      mem,
      least: world.least.map((n, i) => n + (totals.least[i] as number)),
      most: world.most.map((n, i) => n + (totals.most[i] as number)),
      ...(candidates.size > 0 ? { candidates } : {}),
    };
  }

  /** What a field may have been as the exchange began. */
  private possible(index: number): readonly number[] {
    const value = this.start[index] as number;
    if (!Number.isNaN(value)) return [value];
    return this.world.candidates?.get(index) ?? this.program.env.fields.all[index]?.domain ?? [];
  }
}

function sumsOf(a: readonly number[], b: readonly number[]): readonly number[] {
  if (b.length === 1) return b[0] === 0 ? a : a.map((x) => x + (b[0] as number));
  return [...new Set(a.flatMap((x) => b.map((y) => x + y)))];
}
