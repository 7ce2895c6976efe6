/** What waits for the other rings: awards of limits that they fill too, which are certain but for the hall's answer. */
import type { BoutSheet } from "../record.ts";
import { SIDES, UNITS } from "../vocabulary.ts";
import { keyOfAward } from "./award-keys.ts";
import { keyOf } from "./keys.ts";
import { sharedByRings } from "./limits.ts";
import type { Program } from "./program.ts";
import type { CompiledRule } from "./rules.ts";
import { foldSheet, type FoldedExchange, type SheetFold } from "./sheet-fold.ts";
import { stepsOfExchange } from "./steps.ts";
import type { Claim, OpenAward } from "./tally.ts";
import type { Hull } from "./worlds.ts";

export interface Waiting {
  readonly claim: Claim;
  /** What hangs on the answer. */
  readonly stake: readonly OpenAward[];
}

/** The same sheet, as it would be if the hall granted all that it has not answered; nothing where no ring shares. */
export function ifAllGranted(program: Program, sheet: BoutSheet): SheetFold | undefined {
  const bout = sheet.slice(sheet.reduce((at, { type }, i) => (type === "bout" ? i : at), 0));
  return bout.some(({ type }) => type === "hall") ? foldSheet(program, sheet, "grants") : undefined;
}

export function waitingFor(
  program: Program,
  fold: SheetFold,
  granted: SheetFold | undefined,
  open: readonly OpenAward[],
): readonly Waiting[] {
  if (!granted) return [];
  const numbers = fold.exchanges.map(({ line }) => line.no);
  const hullOf = (award: OpenAward): Hull | undefined =>
    award.exchange === 0 ? granted.end : granted.exchanges[numbers.indexOf(award.exchange)]?.folded.hull;
  // Open only because the hall has not answered.
  const certain = open.filter((award) => {
    const hull = hullOf(award);
    const key = keyOfAward(program, award);
    return hull !== undefined && hull.least[key] === hull.most[key];
  });
  const claims = [
    ...fold.exchanges.flatMap((one, i) => claimsIn(program, one, granted.exchanges[i]?.folded.hull)),
    ...(fold.someEnded && granted.someEnded ? claimsAt(program, 0, fold.end, granted.end, () => 1) : []),
  ];
  return claims.map((claim, i) => ({
    claim,
    stake: certain.filter((award) => claimOf(claims, award) === i),
  }));
}

/** An award's own claim, or the first one that it could have followed from. */
function claimOf(claims: readonly Claim[], { exchange, rule, to }: OpenAward): number {
  const own = claims.findIndex((one) => one.exchange === exchange && one.rule === rule && one.to === to);
  return own >= 0 ? own : 0;
}

function claimsIn(program: Program, one: FoldedExchange, granted: Hull | undefined): readonly Claim[] {
  const world = one.before.find(({ ended }) => ended === undefined);
  if (!granted || !world) return [];
  const times = (key: number): number =>
    stepsOfExchange(program, world, one.line, one.picks, one.position).get(key)?.at(-1)?.times ?? 1;
  return claimsAt(program, one.line.no, one.folded.hull, granted, times);
}

function claimsAt(
  program: Program,
  exchange: number,
  open: Hull,
  granted: Hull,
  times: (key: number) => number,
): readonly Claim[] {
  return program.rules.flatMap((rule) => {
    const limit = sharedByRings(rule.rule);
    if (!limit) return [];
    return SIDES.flatMap((to, side): Claim[] => {
      const key = keysOf(rule, side, limit.of).find(
        (one) => open.least[one] !== open.most[one] && granted.least[one] === granted.most[one],
      );
      if (key === undefined || granted.least[key] === 0) return [];
      const n = limit.of === "times" ? times(key) : Math.abs(granted.least[key] as number);
      return [{ exchange, to, rule: rule.rule.name, of: limit.of, n }];
    });
  });
}

const keysOf = ({ number }: CompiledRule, side: number, of: Claim["of"]): readonly number[] =>
  UNITS.flatMap((unit, u) => (of === "times" || of === unit ? [keyOf(number, side, u)] : []));
