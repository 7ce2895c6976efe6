/** Scores one exchange in one world: the machine holds the world and the phrases at the halt, the passes do the rest. */
import { HOW, type Machine, POINTS, BONUS } from "./machine.ts";
import type { MarkRunner, Stage } from "./marks.ts";
import type { Pass } from "./passes.ts";
import type { Program } from "./program.ts";

/** Runs every pass; afterwards the machine's slots are the awards and `now` is the next exchange's memory. */
export function scoreExchange(program: Program): void {
  const { machine: m } = program;
  m.now.set(m.mem);
  m.begin();
  changeMarks(program, "before");
  run(m, program.passes);
  changeMarks(program, "after");
  keep(program, m.how !== HOW["no exchange"]);
}

/** "every 3 bonus make 1 point, the rest is lost": before anybody has won. */
export function scoreConversion(program: Program): void {
  const { machine: m, kept, own, env } = program;
  m.now.set(m.mem);
  m.begin();
  const { atTheEnd } = env.ruleSet.bout;
  if (atTheEnd !== "stays apart")
    for (let side = 0; side < 2; side++) {
      const bonus = m.read(kept.bonus + side);
      const points = Math.floor(Math.max(0, bonus) / atTheEnd.every) * atTheEnd.make;
      if (bonus !== 0) m.award(own.conversion, side, side, BONUS, -bonus, 1);
      if (points !== 0) m.award(own.conversion, side, side, POINTS, points, 1);
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
  run(m, program.endPasses);
  changeMarks(program, "end after");
  keep(program, false);
}

function changeMarks({ machine: m, marks }: Program, stage: Stage): void {
  for (let i = 0; i < marks.length; i++) if (m.part?.marks[i] !== 0) (marks[i] as MarkRunner)(stage);
}

function run(m: Machine, passes: readonly Pass[]): void {
  for (let i = 0; i < passes.length; i++) {
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
  if (counts) keepLast(program);
  for (let i = 0; i < m.now.length; i++) if (m.now[i] !== m.now[i]) m.now[i] = m.mem[i] as number;
}

function add(m: Machine, field: number, n: number): void {
  if (n !== 0) m.now[field] = m.readNow(field) + n;
}

/** What "in the last exchange" will read. */
function keepLast({ machine: m, kept }: Program): void {
  if (kept.lastHow >= 0) m.now[kept.lastHow] = m.how;
  const { part } = m;
  for (const { index, phrase, accepted } of kept.lastPhrases) {
    if (part && !part.lasts.has(phrase)) continue;
    for (const side of m.sides) m.now[index + side] = accepted(side) ? 1 : 0;
  }
  for (const { index, rule } of kept.lastPaid) {
    if (part?.rules[rule] === 0) continue;
    for (const side of m.sides)
      m.now[index + side] = m.sum(rule, side, POINTS) !== 0 || m.sum(rule, side, BONUS) !== 0 ? 1 : 0;
  }
}
