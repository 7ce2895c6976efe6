/**
 * Folds the lines of one bout into the worlds that it may be in. Every exchange is scored in every world, once for
 * each way in which it may have gone; what all of them agree on is settled.
 */
import type { ExchangeLine } from "../record.ts";
import type { Pair } from "../vocabulary.ts";
import type { CodedExchange } from "./code.ts";
import { crudeBounds } from "./crude.ts";
import { afterExchange, ENDING_BY_RULE } from "./ending.ts";
import { scoreExchange } from "./exchange.ts";
import { foldParts } from "./fold-parts.ts";
import type { Machine } from "./machine.ts";
import { FoundStates } from "./found-states.ts";
import { merge } from "./merge.ts";
import type { PickValues } from "./picks.ts";
import type { Program } from "./program.ts";
import { coded, grown, type Position, positionAfter, prepare, sumSlots } from "./run.ts";
import { statesAtHalt } from "./simulate.ts";
import { Hull, type World, WorldSet } from "./worlds.ts";

/** More runs than this for one exchange, and its parts are scored apart. */
const MOST_RUNS = 2000;

export interface Folded {
  readonly worlds: readonly World[];
  readonly hull: Hull;
  readonly warned: Pair<number>;
  /** Numbers of the named phrases that each fencer made in every world. */
  readonly made: Pair<readonly boolean[]>;
  /** Nothing but sound bounds is known from here on. */
  readonly lost: boolean;
}

export function foldExchange(
  program: Program,
  worlds: readonly World[],
  line: ExchangeLine,
  picks: PickValues,
  position: Position,
  endHull: Hull,
): Folded {
  const step = new Step(program, line, picks, position, endHull);
  const exchange = coded(program, line);
  for (const world of worlds) if (!step.world(world, exchange)) return foldLost(program, worlds);
  return step.done() ?? foldLost(program, worlds);
}

/** Too many ways, here or before: from here on only bounds, and nothing is settled. */
export function foldLost(program: Program, worlds: readonly World[]): Folded {
  const none = program.env.ruleSet.phrases.map(() => false);
  const hull = crudeBounds(program);
  const next = worlds.map((world) => ({ ...world, ...widened(world, hull) }));
  return { worlds: next, hull, warned: { red: 0, blue: 0 }, made: { red: none, blue: none }, lost: true };
}

/** A world's totals with an exchange's bounds added to them. */
function widened(world: World, hull: Hull): Pick<World, "least" | "most"> {
  const least = world.least.slice();
  const most = world.most.slice();
  hull.least.forEach((n, key) => {
    const at = (key % 2) * 2 + (Math.floor(key / 2) % 2);
    least[at]! += n;
    most[at]! += hull.most[key] as number;
  });
  return { least, most };
}

class Step {
  private readonly hull: Hull;
  private readonly next = new WorldSet();
  private readonly warned: [number, number] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  private readonly made: readonly [boolean[], boolean[]];
  private runs = 0;
  private readonly m: Machine;
  private readonly sums: Float64Array;
  /** States that no world can change; found once. */
  private states: readonly Int32Array[] | undefined;
  /** Set once the exchange has turned out to have too many ways. */
  private apart = false;
  private readonly program: Program;
  private readonly line: ExchangeLine;
  private readonly picks: PickValues;
  private readonly position: Position;
  private readonly endHull: Hull;

  constructor(program: Program, line: ExchangeLine, picks: PickValues, position: Position, endHull: Hull) {
    this.endHull = endHull;
    this.program = program;
    this.line = line;
    this.picks = picks;
    this.position = position;
    this.m = program.machine;
    this.hull = new Hull(program.keys);
    this.sums = new Float64Array(program.keys);
    const names = program.env.ruleSet.phrases;
    this.made = [names.map(() => true), names.map(() => true)];
  }

  /** Undefined where even one world cannot hold them all. */
  done(): Folded | undefined {
    const worlds = this.next.over ? merge(this.program, this.next.all) : this.next.all;
    if (!worlds) return undefined;
    const [red, blue] = this.made;
    const warned = { red: finite(this.warned[0]), blue: finite(this.warned[1]) };
    return { worlds, hull: this.hull, warned, made: { red, blue }, lost: false };
  }

  /** False where even each part for itself has too many ways. */
  world(world: World, exchange: CodedExchange): boolean {
    if (world.ended !== undefined) {
      this.sums.fill(0);
      this.hull.include(this.sums);
      this.warned.fill(0);
      this.next.add(world);
      return true;
    }
    if (!this.apart && this.together(world, exchange)) return true;
    this.apart = true;
    return this.inParts(world, exchange);
  }

  private together(world: World, exchange: CodedExchange): boolean {
    const { chooser } = this.m;
    chooser.restart();
    const found = new FoundStates(this.m);
    do {
      prepare(this.program, world, this.line, this.picks, this.position);
      const states = found.of(() => this.statesOf(exchange));
      if (!states || ++this.runs > MOST_RUNS) return false;
      this.m.state = states[states.length === 1 ? 0 : chooser.choose(states.length)] as Int32Array;
      scoreExchange(this.program);
      this.collect(world);
    } while (chooser.next());
    return true;
  }

  private inParts(world: World, exchange: CodedExchange): boolean {
    const { program, line, picks, position } = this;
    const found = foldParts(program, world, line, picks, position, exchange, this.endHull);
    if (!found) return false;
    this.hull.include(found.least);
    this.hull.include(found.most);
    for (const side of [0, 1] as const) {
      this.warned[side] = Math.min(this.warned[side], found.warned[side]);
      found.made[side].forEach((surely, i) => {
        if (!surely) this.made[side][i] = false;
      });
    }
    for (const next of found.worlds) this.next.add(next);
    return true;
  }

  private statesOf(exchange: CodedExchange): readonly Int32Array[] | undefined {
    if (this.states) return this.states;
    const { tables, choose } = this.program;
    const states = statesAtHalt(tables, exchange, choose, tables.all);
    if (!tables.all.readsMemory) this.states = states;
    return states;
  }

  private collect(world: World): void {
    const { m, sums, program } = this;
    sumSlots(m, sums);
    this.hull.include(sums);
    for (const side of [0, 1] as const) {
      this.warned[side] = Math.min(this.warned[side], m.warned[side] as number);
      program.made.forEach((accepted, i) => {
        if (!accepted(side)) this.made[side][i] = false;
      });
    }
    const next = grown(world, m);
    const byRule = ENDING_BY_RULE[m.ending];
    // A choice that the end needs belongs to the same run.
    const after = positionAfter(this.position, this.line);
    this.next.add(afterExchange(program, next, after, m.left, byRule, this.endHull));
  }
}

const finite = (n: number): number => (Number.isFinite(n) ? n : 0);
