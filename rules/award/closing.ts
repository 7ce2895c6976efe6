/** A bout is over, or left: what it adds to what lasts longer than it. */
import type { MarkStart } from "../language/tree.ts";
import { SIDES, type Side } from "../vocabulary.ts";
import type { Fencers } from "./entry.ts";
import { MATCH_BOUTS, MATCH_POINTS, TEAM_POINTS } from "./fields.ts";
import { LAST, LAST_BASE, parkingKey, setValues, valuesOf } from "./follow.ts";
import type { Field } from "./memory.ts";
import type { Program } from "./program.ts";
import { TONIGHT } from "./quantity.ts";
import type { Parked, World } from "./worlds.ts";

const WINS: Readonly<Record<string, Side | undefined>> = {
  "red wins": "red",
  "blue wins": "blue",
  "red forfeits": "blue",
  "blue forfeits": "red",
};

const lastKey = (fencer: string): string => parkingKey(LAST_BASE, { holder: { fencer } });

/** The bout's own counts, added to those of the evening and of the match. A bout that nobody ended has no winner. */
export function closeBout(program: Program, world: World, fencers: Fencers): World {
  const { fields, ruleSet } = program.env;
  const mem = world.mem.slice();
  const candidates = new Map(world.candidates);
  const winner = WINS[world.ended ?? ""];
  const add = (field: Field | undefined, more: readonly number[]): void => {
    if (!field) return;
    const sums = valuesOf(world, field).flatMap((a) => more.map((b) => a + b));
    setValues(mem, candidates, field.index, [...new Set(sums)]);
  };
  const had = (field: Field | undefined): readonly number[] => (field ? valuesOf(world, field) : [0]);
  SIDES.forEach((side, i) => {
    const at = i as 0 | 1;
    for (const what of TONIGHT) {
      const more =
        what === "bouts" ? [1] : what === "wins" ? [winner === side ? 1 : 0] : had(fields.find(what, at));
      add(fields.find(`tonight ${what}`, at), more);
    }
    add(fields.find(MATCH_POINTS, at), had(fields.find("points", at)));
    add(fields.find(TEAM_POINTS, at), had(fields.find("points", at)));
  });
  add(fields.find(MATCH_BOUTS), [1]);
  const { candidates: _, parked, ...rest } = world;
  return {
    ...rest,
    mem,
    ...(candidates.size > 0 ? { candidates } : {}),
    ...withLast(
      ruleSet.marks.some((mark) => startsWithLast(mark.starts)),
      parked,
      fencers,
      winner,
    ),
  };
}

function withLast(
  asked: boolean,
  before: Parked | undefined,
  fencers: Fencers,
  winner: Side | undefined,
): { parked?: Parked } {
  if (!asked) return before ? { parked: before } : {};
  const parked = new Map(before);
  for (const side of SIDES)
    parked.set(lastKey(fencers[side]), [
      winner === undefined ? LAST.neither : winner === side ? LAST.won : LAST.lost,
    ]);
  return { parked };
}

export const startsWithLast = (starts: MarkStart | undefined): boolean =>
  starts !== undefined &&
  "with" in starts &&
  (starts.with === "the last loser" || starts.with === "the last winner");

/**
 * Who begins with a token of the last loser (or winner): the one of the two whose last bout tonight was lost; 1 Red,
 * 2 Blue. Where both lost theirs, or neither, nobody has said it.
 */
export function lastHolders(
  parked: Parked,
  fencers: Fencers,
  who: "the last loser" | "the last winner",
): readonly number[] | undefined {
  const wanted = who === "the last loser" ? LAST.lost : LAST.won;
  const of = (side: Side): readonly number[] => parked.get(lastKey(fencers[side])) ?? [LAST.neither];
  const found = new Set<number>();
  for (const red of of("red"))
    for (const blue of of("blue")) {
      if ((red === wanted) === (blue === wanted)) return undefined;
      found.add(red === wanted ? 1 : 2);
    }
  return [...found];
}
