/** The end of the evening: every fencer of it is "I" once, and there is no "they". */
import { UNITS } from "../vocabulary.ts";
import { beginBout } from "./between.ts";
import { closeBout } from "./closing.ts";
import type { Fencers } from "./entry.ts";
import { scoreEvening } from "./exchange.ts";
import type { Met } from "./fencers.ts";
import { park } from "./follow.ts";
import { keyOf } from "./keys.ts";
import type { Program } from "./program.ts";
import { enter, standAtTheEnd, sumSlots } from "./run.ts";
import type { EveningAward, OpenEveningAward } from "./tally.ts";
import { amountText } from "./trace.ts";
import { Hull, type World } from "./worlds.ts";

export interface EveningPaid {
  readonly awards: readonly EveningAward[];
  readonly open: readonly OpenEveningAward[];
}

interface LastBout {
  readonly fencers: Fencers;
  readonly begun: boolean;
  readonly met: Met;
  /** Everybody of the evening, with a bout of his, for the team. */
  readonly seen: readonly (readonly [fencer: string, bout: Fencers])[];
}

const NO_ONE = "";

export function payEvening(
  program: Program,
  worlds: readonly World[],
  last: LastBout,
): EveningPaid | undefined {
  if (!program.env.ruleSet.rules.some(({ at }) => at === "the end of the evening")) return undefined;
  const awards: EveningAward[] = [];
  const open: OpenEveningAward[] = [];
  for (const [fencer, bout] of last.seen) {
    const team = bout.red === fencer ? bout.redTeam : bout.blueTeam;
    const alone = { red: fencer, blue: NO_ONE, ...(team === undefined ? {} : { redTeam: team }) };
    tell(program, fencer, hullOf(program, worlds, last, alone), awards, open);
  }
  return { awards, open };
}

/** What the fencer is paid in every world. */
function hullOf(program: Program, worlds: readonly World[], last: LastBout, alone: Fencers): Hull {
  const { machine: m, keys } = program;
  const hull = new Hull(keys);
  const sums = new Float64Array(keys);
  m.here = [last.met.number(alone.red), last.met.number(alone.blue)];
  for (const world of worlds) {
    const closed = last.begun ? closeBout(program, world, last.fencers) : world;
    const own = beginBout(program, park(program, closed, last.fencers, last.met), alone, last.met);
    m.chooser.restart();
    do {
      standAtTheEnd(program, { fenced: 0, doubles: 0 });
      enter(program, own);
      scoreEvening(program);
      sumSlots(m, sums);
      hull.include(sums);
    } while (m.chooser.next());
  }
  return hull;
}

function tell(
  program: Program,
  fencer: string,
  hull: Hull,
  awards: EveningAward[],
  open: OpenEveningAward[],
): void {
  for (const rule of program.env.ruleSet.rules.filter(({ at }) => at === "the end of the evening")) {
    const number = program.rules.findIndex((one) => one.rule === rule);
    UNITS.forEach((unit, u) => {
      const key = keyOf(number, 0, u);
      const [least, most] = [hull.least[key] as number, hull.most[key] as number];
      if (least === 0 && most === 0) return;
      if (least !== most) open.push({ fencer, rule: rule.name, unit, span: { least, most } });
      else
        awards.push({
          fencer,
          rule: rule.name,
          unit,
          amount: least,
          sentence: `${rule.name}: ${fencer} at the end of the evening: ${amountText(least, unit)}.`,
        });
    });
  }
}
