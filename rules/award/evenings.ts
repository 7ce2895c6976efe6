/** What a whole sheet says that its bouts need from the beginning: its fencers, and the picks that hold all evening. */
import type { Pick } from "../language/tree.ts";
import type { SheetLine } from "../record.ts";
import { SIDES } from "../vocabulary.ts";
import type { Fencers } from "./entry.ts";
import { fencersOf, Met, NAMELESS } from "./fencers.ts";
import { isEachFencers } from "./fields.ts";
import { parkingKey } from "./follow.ts";
import { fencersIn } from "./mark-values.ts";
import type { Program } from "./program.ts";
import type { Parked } from "./worlds.ts";

export interface Evenings {
  readonly met: Met;
  /** For each evening of the sheet the picks that hold all evening, as they are kept. */
  readonly picks: readonly Parked[];
  /** Which evening it is. */
  at: number;
}

export const isTonight = ({ when }: Pick): boolean =>
  "at" in when && (when.at === "before the evening" || when.at === "after the evening");

/** A pick may be written in a later bout than those that it concerned, and settles what it left open there too (S16). */
export function eveningsOf({ env }: Program, lines: readonly SheetLine[]): Evenings {
  const met = new Met();
  const evenings: Map<string, readonly number[]>[] = [new Map()];
  let fencers: Fencers = NAMELESS;
  for (const side of SIDES) met.number(fencers[side]);
  for (const line of lines) {
    if (line.type === "evening") evenings.push(new Map());
    else if (line.type === "bout") {
      fencers = fencersOf(line);
      for (const side of SIDES) met.number(fencers[side]);
    } else if (line.type === "mark") {
      const mark = env.ruleSet.marks.find(({ name }) => name === line.mark);
      for (const value of mark ? [line.value, ...(line.or ?? [])] : [])
        for (const name of fencersIn(mark as NonNullable<typeof mark>, value)) addName(met, name);
    } else if (line.type === "pick") {
      const pick = env.ruleSet.picks.find(({ name }) => name === line.pick);
      if (pick && isTonight(pick)) say(evenings.at(-1) ?? new Map(), pick, line, fencers);
    }
  }
  return { met, picks: evenings, at: 0 };
}

/** "R" and "nobody" are no names. */
function addName(met: Met, name: string): void {
  if (!/^(r|b|red|blue|nobody|nothing)$/iu.test(name)) met.number(met.as(name));
}

function say(
  into: Map<string, readonly number[]>,
  pick: Pick,
  line: Extract<SheetLine, { type: "pick" }>,
  fencers: Fencers,
): void {
  const values = [line.value, ...(line.or ?? [])]
    .map((value) => pick.from.findIndex(({ text }) => text === value))
    .filter((value) => value >= 0);
  if (values.length === 0) return;
  const base = `pick ${pick.name}`;
  if (!isEachFencers(pick)) into.set(parkingKey(base, { holder: { hall: true } }), values);
  else
    for (const side of SIDES)
      if (line.side === undefined || line.side === side)
        into.set(parkingKey(base, { holder: { fencer: fencers[side] } }), values);
}
