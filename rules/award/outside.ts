/** Points that no exchange gives, with their sentences: head starts and penalty hits. */
import { type Pair, type Side, SIDES } from "../vocabulary.ts";
import { receiverOf } from "./penalties.ts";
import type { Program } from "./program.ts";
import type { SheetFold } from "./sheet-fold.ts";
import { weakerPlace } from "./weaker.ts";
import type { Award, OpenAward } from "./tally.ts";
import { amountText, sideWord } from "./trace.ts";
import type { World } from "./worlds.ts";

export const HEAD_START = "head start";

/** What a fencer starts with, where it is known. */
export function headStartAwards(
  program: Program,
  { headStart, exchanges, worlds }: SheetFold,
): readonly Award[] {
  if (!headStart) return [];
  const weaker = knownWeaker(program, exchanges[0]?.before ?? worlds);
  return SIDES.flatMap((to): Award[] => {
    const { least, most } = headStart[to];
    if (least !== most || least === 0) return [];
    const who =
      weaker === undefined ? "" : `${sideWord(to)} is the ${weaker === to ? "weaker" : "stronger"}: `;
    const sentence = `Head start: ${who}${amountText(least, "points")}.`;
    return [{ exchange: 0, to, rule: HEAD_START, unit: "points", amount: least, sentence }];
  });
}

/** What a fencer may start with, until somebody says who the weaker is. */
export const openHeadStarts = ({ headStart }: SheetFold): readonly OpenAward[] =>
  SIDES.flatMap((to): OpenAward[] => {
    const span = headStart?.[to];
    if (!span || span.least === span.most) return [];
    return [{ exchange: 0, to, rule: HEAD_START, unit: "points", span }];
  });

function knownWeaker({ env }: Program, worlds: readonly World[]): Side | undefined {
  const place = weakerPlace(env);
  const first = worlds[0]?.mem[place];
  const known = first !== undefined && worlds.every(({ mem }) => mem[place] === first);
  return known ? SIDES[first - 1] : undefined;
}

export function penaltyAwards(program: Program, { said, exchanges }: SheetFold): readonly Award[] {
  return said.flatMap(({ at, penalty }): Award[] => {
    if (!penalty) return [];
    const to = receiverOf(program, penalty);
    const against = to === penalty ? "against" : "to";
    const sentence = `Penalty hit against ${sideWord(penalty)}: 1 point ${against} ${sideWord(to)}.`;
    const exchange = exchanges[at - 1]?.line.no ?? 0;
    return [{ exchange, to, rule: "penalty", unit: "points", amount: 1, sentence }];
  });
}

/** A score after what was said of it outright. */
export function applySaid(program: Program, said: SheetFold["said"], points: Pair<number>): Pair<number> {
  let now = points;
  for (const { set, penalty } of said) {
    if (set) now = { red: set.red, blue: set.blue };
    if (!penalty) continue;
    const to = receiverOf(program, penalty);
    now = { ...now, [to]: now[to] + 1 };
  }
  return now;
}

export const warningsSaid = ({ said }: SheetFold, side: Side): number =>
  said.filter(({ warning }) => warning === side).length;
