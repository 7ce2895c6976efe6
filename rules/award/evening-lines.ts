/** The lines that the next bout of two fencers begins with. */
import type { RuleSet } from "../language/tree.ts";
import type { HadOf, SheetLine } from "../record.ts";
import { other, SIDES, type Side } from "../vocabulary.ts";
import { startsWithLast } from "./closing.ts";
import type { EveningEntry, Fencers } from "./entry.ts";
import { teamsOf } from "./fencers.ts";
import { isEachFencers } from "./fields.ts";
import { NOTHING, written } from "./mark-values.ts";
import type { MarkValue } from "./tally.ts";

interface Meeting {
  readonly ruleSet: RuleSet;
  readonly fencers: Fencers;
  readonly teams: readonly [string, string];
}

export function linesFor(
  ruleSet: RuleSet,
  entries: readonly EveningEntry[],
  fencers: Fencers,
): readonly SheetLine[] {
  const { red, blue, redTeam, blueTeam } = fencers;
  const meeting = { ruleSet, fencers, teams: teamsOf(fencers) };
  return [
    {
      type: "bout",
      red,
      blue,
      ...(redTeam === undefined ? {} : { redTeam }),
      ...(blueTeam === undefined ? {} : { blueTeam }),
    },
    ...lastLines(meeting, entries),
    ...entries.flatMap((entry) => lineOf(meeting, entry) ?? []),
  ];
}

/** Whose side an entry is on: a side, both ("shared"), or nobody's who fences here. */
function sideOf({ fencers, teams }: Meeting, { holder, whose }: EveningEntry): Side | "shared" | undefined {
  const names = [fencers.red, fencers.blue] as const;
  const of = (all: readonly string[], name: string): Side | undefined => SIDES[all.indexOf(name)];
  const same = (two: readonly string[], here: readonly string[]): boolean =>
    two.every((one) => here.includes(one)) && here.every((one) => two.includes(one));
  if ("fencer" in holder) return of(names, holder.fencer);
  if ("team" in holder) return of(teams, holder.team);
  if ("pair" in holder)
    return same(holder.pair, names) ? (whose === undefined ? "shared" : of(names, whose)) : undefined;
  if ("teams" in holder) {
    if (!same(holder.teams, teams)) return undefined;
    // A fencer of the match may have another name than his team.
    return whose === undefined ? "shared" : (of(names, whose) ?? of(teams, whose));
  }
  return "shared";
}

function lineOf(meeting: Meeting, entry: EveningEntry): SheetLine | undefined {
  const at = sideOf(meeting, entry);
  if (at === undefined) return undefined;
  const side = at === "shared" ? {} : { side: at };
  switch (entry.kind) {
    case "mark":
      return markLine(meeting, entry, side);
    case "pick":
      return pickLine(meeting, entry, side);
    case "had":
    case "counted":
    case "pointsOfMatch":
      return hadLine(meeting, entry, side);
    case "last":
      return undefined;
  }
}

type OfSide = { readonly side?: Side };

function markLine({ ruleSet, fencers }: Meeting, entry: EveningEntry, side: OfSide): SheetLine | undefined {
  const mark = ruleSet.marks.find(({ name }) => name === entry.name);
  const [value, ...or] = (entry.values ?? []).map((one) => asWritten(one, fencers, mark?.is ?? "note"));
  if (!mark || value === undefined || (value === NOTHING && or.length === 0)) return undefined;
  return { type: "mark", ...side, mark: mark.name, value, ...(or.length > 0 ? { or } : {}) };
}

/** Tokens are written by side where their holder fences. */
function asWritten(value: MarkValue, { red, blue }: Fencers, is: string): number | boolean | string {
  if (typeof value === "object") return written(value);
  if (is !== "token" && is !== "roles") return value === "" ? NOTHING : value;
  return value === red ? "red" : value === blue ? "blue" : value;
}

function pickLine({ ruleSet }: Meeting, entry: EveningEntry, side: OfSide): SheetLine | undefined {
  const pick = ruleSet.picks.find(({ name }) => name === entry.name);
  const [value, ...or] = (entry.values ?? []).filter((one) => typeof one === "string");
  if (!pick || value === undefined) return undefined;
  if (isEachFencers(pick) !== (side.side !== undefined)) return undefined;
  return { type: "pick", ...side, pick: pick.name, value, ...(or.length > 0 ? { or } : {}) };
}

function hadLine({ ruleSet }: Meeting, entry: EveningEntry, side: OfSide): SheetLine | undefined {
  const { name, span, scope } = entry;
  const of: HadOf = entry.of ?? "points";
  if (!span || scope === undefined || (span.least === 0 && span.most === 0)) return undefined;
  if (name !== undefined) {
    const limits = ruleSet.rules.find((rule) => rule.name === name)?.atMost ?? [];
    if (!limits.some((limit) => limit.scope === scope && limit.of === of)) return undefined;
  }
  const rule = name === undefined ? {} : { rule: name };
  return { type: "had", ...side, ...rule, least: span.least, most: span.most, of, scope };
}

/** Who begins with the tokens of the last loser or the last winner, where the last bouts of the two say it. */
function lastLines(meeting: Meeting, entries: readonly EveningEntry[]): readonly SheetLine[] {
  const lastOf = (side: Side): readonly MarkValue[] =>
    entries.find((entry) => entry.kind === "last" && sideOf(meeting, entry) === side)?.values ?? ["neither"];
  return meeting.ruleSet.marks.flatMap((mark): SheetLine[] => {
    const { starts } = mark;
    if (!startsWithLast(starts) || starts === undefined || !("with" in starts)) return [];
    const wanted = starts.with === "the last loser" ? "lost" : "won";
    const holders = new Set<Side>();
    for (const side of SIDES)
      for (const mine of lastOf(side))
        for (const theirs of lastOf(other(side))) {
          if ((mine === wanted) === (theirs === wanted)) return [];
          holders.add(mine === wanted ? side : other(side));
        }
    const [value, ...or] = [...holders];
    if (value === undefined) return [];
    return [{ type: "mark", mark: mark.name, value, ...(or.length > 0 ? { or } : {}) }];
  });
}
