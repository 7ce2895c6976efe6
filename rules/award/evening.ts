/**
 * What lasts longer than a bout: what stands after one, what the next one begins with, and what the rules at the end of
 * the evening pay.
 */
import type { RuleSet } from "../language/tree.ts";
import type { BoutSheet, SheetLine } from "../record.ts";
import type { Scorer } from "./scorer.ts";
import type { EveningEntry, Fencers } from "./entry.ts";
import { type EveningPaid, payEvening } from "./evening-end.ts";
import { entriesAfter, joined } from "./evening-entries.ts";
import { linesFor } from "./evening-lines.ts";
import { foldSheet } from "./sheet-fold.ts";

/** What stands after the sheet's last bout and lasts longer than it. The sheet's `bout` lines name the fencers. */
export function eveningAfter({ program }: Scorer, sheet: BoutSheet): readonly EveningEntry[] {
  return entriesAfter(program, sheet);
}

/** The lines that the next bout of these two begins with. What the rule set has no name for is left out. */
export function bringIn(
  ruleSet: RuleSet,
  entries: readonly EveningEntry[],
  fencers: Fencers,
): readonly SheetLine[] {
  return linesFor(ruleSet, entries, fencers);
}

/**
 * What stood before, with what stands after one more bout. Of what rings share (limits of the hall and of teams, a
 * team's points) the bout's own part is added, so bouts that were fenced at the same time may follow in any order; of all
 * else the later one stands.
 */
export function carryOn(
  before: readonly EveningEntry[],
  after: readonly EveningEntry[],
): readonly EveningEntry[] {
  return joined(before, after);
}

/** What the rules at the end of the evening pay these fencers; a team only where he fenced for one. */
export function eveningEnd(
  { program, ruleSet }: Scorer,
  entries: readonly EveningEntry[],
  fencers: readonly (string | { readonly fencer: string; readonly team?: string })[],
): EveningPaid {
  const paid = fencers.map((one) => {
    const { fencer, team } = typeof one === "string" ? { fencer: one, team: undefined } : one;
    const alone = { red: fencer, blue: "", ...(team === undefined ? {} : { redTeam: team }) };
    const { worlds, met } = foldSheet(program, linesFor(ruleSet, entries, alone));
    return payEvening(program, worlds, { fencers: alone, begun: false, met, seen: [[fencer, alone]] });
  });
  return {
    awards: paid.flatMap((one) => one?.awards ?? []),
    open: paid.flatMap((one) => one?.open ?? []),
  };
}
