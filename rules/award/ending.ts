/** The end of a bout in one world: whether it has come, who has won, and what is paid then. */
import type { Ending, Pair } from "../vocabulary.ts";
import { scoreConversion, scoreEnd } from "./exchange.ts";
import { MATCH_BOUTS, TEAM_POINTS } from "./fields.ts";
import { readLevel } from "./level.ts";
import { type BoutStanding, whetherOver } from "./over.ts";
import type { Program } from "./program.ts";
import { enter, grown, type Position, standAtTheEnd, sumSlots } from "./run.ts";
import type { Hull, World } from "./worlds.ts";

export type ByRule = BoutStanding["byRule"];

/** By the machine's number of how a rule ended the bout. */
export const ENDING_BY_RULE: readonly ByRule[] = [
  undefined,
  "both lose",
  "blue wins",
  "red wins",
  "by score",
];

/** Reads the score where the rule set keeps it, else the world's bounds; NaN where they do not say. Settles what it reads. */
function standingOf(program: Program, world: World, { fenced, doubles }: Position): BoutStanding {
  const { kept, level, machine: m } = program;
  const value = (field: number, at: number): number =>
    field >= 0
      ? m.read(field)
      : world.least[at] === world.most[at]
        ? (world.least[at] as number)
        : Number.NaN;
  const pair = (field: number, at: number): Pair<number> => ({
    red: value(field, at),
    blue: value(field < 0 ? field : field + 1, at + 1),
  });
  return {
    points: pair(kept.points, 0),
    bonus: pair(kept.bonus, 2),
    exchanges: fenced,
    doubles,
    ...(level ? readLevel(m, level) : {}),
    ...teamsOf(program),
  };
}

/** What the teams had before this bout; only in a relay. */
function teamsOf({ env, machine: m }: Program): Pick<BoutStanding, "teams"> {
  const red = env.fields.find(TEAM_POINTS, 0)?.index;
  const bouts = env.fields.find(MATCH_BOUTS)?.index;
  if (red === undefined || bouts === undefined) return {};
  return { teams: { before: { red: m.read(red), blue: m.read(red + 1) }, bout: m.read(bouts) + 1 } };
}

/** The world after this exchange, ended if the bout is over in it. */
export function afterExchange(
  program: Program,
  world: World,
  position: Position,
  left: number | undefined,
  byRule: ByRule,
  hull: Hull,
): World {
  const { bout } = program.env.ruleSet;
  if (bout.ends.length === 0 && byRule === undefined) return world;
  enter(program, world);
  const standing = standingOf(program, world, position);
  const over = whetherOver(bout, {
    ...standing,
    ...(left === undefined || Number.isNaN(left) ? {} : { left }),
    ...(byRule === undefined ? {} : { byRule }),
  });
  const settled = { ...world, mem: program.machine.mem.slice() };
  return over === null || over === "tie"
    ? settled
    : endWorld(program, settled, position, hull, byRule, undefined);
}

/** Scores the end of the bout in one world: conversion, then the winner, then the rules that wait for it. */
export function endWorld(
  program: Program,
  world: World,
  position: Position,
  hull: Hull,
  byRule: ByRule,
  said: Ending | undefined,
): World {
  const { machine: m, keys } = program;
  const total = new Float64Array(keys);
  const part = new Float64Array(keys);
  standAtTheEnd(program, position);
  enter(program, world);
  scoreConversion(program);
  sumSlots(m, total);
  const converted = grown(world, m);
  enter(program, converted);
  const ended = said ?? endingOf(program, converted, position, byRule);
  m.winner = WINNERS[ended];
  scoreEnd(program);
  sumSlots(m, part);
  hull.include(total.map((n, i) => n + (part[i] as number)));
  return { ...grown(converted, m), ended };
}

export const WINNERS: Readonly<Record<Ending, number>> = {
  "red wins": 0,
  "blue forfeits": 0,
  "blue wins": 1,
  "red forfeits": 1,
  draw: 2,
  "both lose": 3,
  "no winner": 2,
  stopped: 2,
};

/** Who has won by score; where a world does not keep the score, every ending that its bounds allow. */
function endingOf(program: Program, world: World, position: Position, byRule: ByRule): Ending {
  const { bout } = program.env.ruleSet;
  const standing = standingOf(program, world, position);
  const { red, blue } = standing.points;
  if (!Number.isNaN(red) && !Number.isNaN(blue)) {
    const over = whetherOver(bout, { ...standing, called: true, ...(byRule ? { byRule } : {}) });
    return over === null || over === "tie" ? "draw" : over;
  }
  if (byRule !== undefined && byRule !== "by score") return byRule;
  const at = (bounds: Float64Array, side: number): number => bounds[side] as number;
  const { least, most } = world;
  const possible: Ending[] = [];
  if (at(most, 0) > at(least, 1)) possible.push("red wins");
  if (at(most, 1) > at(least, 0)) possible.push("blue wins");
  if (at(most, 0) >= at(least, 1) && at(most, 1) >= at(least, 0)) possible.push("draw");
  return possible[program.machine.chooser.choose(possible.length)] as Ending;
}
