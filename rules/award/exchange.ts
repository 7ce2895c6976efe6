/** Scores one exchange in one world: the machine holds the world and the phrases at the halt, the passes do the rest. */
import { HOW, type Machine, POINTS, BONUS } from "./machine.ts";
import { keepHits } from "./level.ts";
import type { MarkRunner, Stage } from "./marks.ts";
import { countsAgainst } from "./passes-bout.ts";
import type { Pass } from "./passes.ts";
import type { Program } from "./program.ts";

/** Runs every pass; afterwards the machine's slots are the awards and `now` is the next exchange's memory. */
export function scoreExchange(program: Program): void {
  const { machine: m } = program;
  m.now.set(m.mem);
  m.begin();
  changeMarks(program, "before");
  const touches = runTouches(program);
  run(m, program.passes, touches);
  changeMarks(program, "after");
  keep(program, m.how !== HOW["no exchange"]);
}

/** "every 3 bonus make 1 point, the rest is lost", or stays: before anybody has won. */
export function scoreConversion(program: Program): void {
  const { machine: m, kept, own, env } = program;
  m.now.set(m.mem);
  m.begin();
  const { atTheEnd } = env.ruleSet.bout;
  // Like a touch, a point that bonus makes is written to the other where points count against.
  const against = countsAgainst(env) ? 1 : 0;
  if (atTheEnd !== "stays apart")
    for (let side = 0; side < 2; side++) {
      const bonus = m.read(kept.bonus + side);
      const full = Math.floor(Math.max(0, bonus) / atTheEnd.every);
      const spent = atTheEnd.rest === "stays" ? full * atTheEnd.every : bonus;
      if (spent !== 0) m.award(own.conversion, side, side, BONUS, -spent, 1);
      if (full !== 0) m.award(own.conversion, side, side ^ against, POINTS, full * atTheEnd.make, 1);
    }
  keep(program, false);
}

/** The end of the bout: what was held, the conversion, marks, then the rules that wait for the end. */
export function scoreEnd(program: Program): void {
  const { machine: m, holding } = program;
  m.now.set(m.mem);
  m.begin();
  holding?.release();
  changeMarks(program, "end");
  run(m, program.endPasses, 0);
  changeMarks(program, "end after");
  keep(program, false);
}

/** The end of the evening, for the one fencer who stands on Red's side. */
export function scoreEvening({ machine: m, eveningPasses }: Program): void {
  m.now.set(m.mem);
  m.begin();
  run(m, eveningPasses, 0);
}

function changeMarks({ machine: m, marks }: Program, stage: Stage): void {
  for (let i = 0; i < marks.length; i++) if (m.part?.marks[i] !== 0) (marks[i] as MarkRunner)(stage);
}

const OF_TOUCHES: readonly string[] = ["touches", "doubles", "afterblows"];

/** Where marks ask what the touches are worth, those passes come before the marks; how many passes have run. */
function runTouches(program: Program): number {
  if (!program.marksAskTouch) return 0;
  const { machine: m, passes } = program;
  const others = passes.findIndex(({ name }) => !OF_TOUCHES.includes(name));
  const touches = others < 0 ? passes.length : others;
  run(m, passes.slice(0, touches), 0);
  for (const side of BOTH) m.touch[side] = m.sum(program.own.touch, side, POINTS);
  changeMarks(program, "touched");
  return touches;
}

function run(m: Machine, passes: readonly Pass[], from: number): void {
  for (let i = from; i < passes.length; i++) {
    const pass = passes[i] as Pass;
    pass.run();
    if (m.watch) m.watch(pass.name);
  }
}

/** Carries on what later exchanges read. */
function keep(program: Program, counts: boolean): void {
  const { machine: m, kept } = program;
  for (let slot = 0; slot < m.count; slot++) {
    const field = m.unit[slot] === POINTS ? kept.points : kept.bonus;
    if (field >= 0) add(m, field + (m.to[slot] as number), m.amount[slot] as number);
  }
  for (let i = 0; i < kept.fired.length; i++) {
    const { rule, field } = kept.fired[i] as Program["kept"]["fired"][number];
    if (m.fired[rule * 2] === 1) add(m, field, 1);
    if (m.fired[rule * 2 + 1] === 1) add(m, field + 1, 1);
  }
  if (kept.warnings >= 0) for (const side of BOTH) add(m, kept.warnings + side, m.warned[side] as number);
  if (counts) keepLast(program);
  if (counts && program.level) keepHits(m, program.level);
  for (let i = 0; i < m.now.length; i++) if (m.now[i] !== m.now[i]) m.now[i] = m.mem[i] as number;
}

function add(m: Machine, field: number, n: number): void {
  if (n !== 0) m.now[field] = m.readNow(field) + n;
}

const BOTH = [0, 1] as const;

/** What "in the last exchange" will read. */
function keepLast({ machine: m, kept }: Program): void {
  const { part } = m;
  for (const { id, fields, test } of kept.conditions) {
    if (part && !part.kept.has(id)) continue;
    const index = fields[(m.number - 1) % fields.length] as number;
    for (const side of m.sides) m.now[index + side] = test(side) ? 1 : 0;
  }
}
