/** Rule sets and sheets as text, for tests that read like the rule book. */
import { compile, type Scorer } from "../../rules/award/compile.ts";
import { scoreBout } from "../../rules/award/score.ts";
import type { Tally } from "../../rules/award/tally.ts";
import { formatFaults } from "../../rules/language/faults.ts";
import { readSheet } from "../../rules/language/sheet.ts";
import type { BoutSheet } from "../../rules/record.ts";
import { ruleSetOf } from "./random-bouts.ts";

export function scorerOf(text: string): Scorer {
  return compile(ruleSetOf(`name: Test\n${text}`));
}

export function sheetOf(scorer: Scorer, bout: string): BoutSheet {
  const read = readSheet(bout, scorer.ruleSet);
  if (!read.ok) throw new Error(formatFaults(read.faults));
  return read.value;
}

export const tallyOf = (scorer: Scorer, bout: string): Tally => scoreBout(scorer, sheetOf(scorer, bout));

/** "points 1-0 bonus 2-0" */
export const result = ({ points, bonus }: Tally): string =>
  `points ${String(points.red)}-${String(points.blue)} bonus ${String(bonus.red)}-${String(bonus.blue)}`;

export const scoreOf = (text: string, bout: string): string => result(tallyOf(scorerOf(text), bout));
