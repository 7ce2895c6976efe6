/**
 * What lasts longer than a bout: what a bout that is called brings in from the earlier ones, and what a correction of one
 * of these has moved since. What came in is never changed in silence: it is said, and the referee decides.
 */
import { bringIn, carryOn, eveningAfter } from "../../rules/index.ts";
import type { EveningEntry, RuleSet, SheetLine } from "../../rules/index.ts";
import type { Bout } from "../bout/bout.ts";
import type { BroughtIn } from "../bout/commands.ts";
import type { Scorers } from "../bout/scoring.ts";
import { sheetOf } from "../bout/scoring.ts";
import type { BoutId, Millis } from "../ids.ts";
import { EVENING_MS, sharesLimits } from "./claims.ts";
import type { Meet, PlannedBout } from "./events.ts";
import { fencerIn, rosterLines } from "./roster.ts";

type Bouts = (id: BoutId) => Bout | undefined;
type Fencers = Parameters<typeof bringIn>[2];

/** The two of a bout and their teams, as a relay names them, else as the roster does. Ids serve as names. */
function fencersOf(meet: Meet, planned: Pick<PlannedBout, "red" | "blue" | "redTeam" | "blueTeam">): Fencers {
  const { red, blue } = planned;
  const redTeam = planned.redTeam ?? fencerIn(meet, red)?.team;
  const blueTeam = planned.blueTeam ?? fencerIn(meet, blue)?.team;
  return {
    red,
    blue,
    ...(redTeam === undefined ? {} : { redTeam }),
    ...(blueTeam === undefined ? {} : { blueTeam }),
  };
}

/** Its fencers as the bout itself knows them. */
function fencersIn(bout: Bout): Fencers {
  const line = bout.brings.roster?.find((each) => each.type === "bout");
  const { redTeam, blueTeam } = line ?? {};
  return {
    red: bout.red,
    blue: bout.blue,
    ...(redTeam === undefined ? {} : { redTeam }),
    ...(blueTeam === undefined ? {} : { blueTeam }),
  };
}

const boutLine = (fencers: Fencers): SheetLine => ({ type: "bout", ...fencers });

/** The bout's sheet with its fencers' names, and with other lines for those that it brought in. */
function sheetWith(
  bout: Bout,
  scorers: Scorers,
  lines: readonly SheetLine[] | undefined,
): readonly SheetLine[] {
  const roster = bout.brings.roster ?? [boutLine(fencersIn(bout))];
  const brings = { ...bout.brings, roster, ...(lines === undefined ? {} : { lines }) };
  return sheetOf({ ...bout, brings }, scorers(bout.ruleSet));
}

/** What a limit that rings share has given already is the hall's to count, not the bout's. */
const isHalls = (line: SheetLine, ruleSet: RuleSet): boolean =>
  line.type === "had" &&
  line.rule !== undefined &&
  (line.scope === "hall" || line.scope === "team") &&
  sharesLimits({ ...ruleSet, rules: ruleSet.rules.filter(({ name }) => name === line.rule) });

const linesFrom = (
  ruleSet: RuleSet,
  entries: readonly EveningEntry[],
  fencers: Fencers,
): readonly SheetLine[] =>
  bringIn(ruleSet, entries, fencers).filter((line) => line.type !== "bout" && !isHalls(line, ruleSet));

/** Tonight's bouts that have ended, in the order in which they were called. */
const endedBefore = (meet: Meet, bouts: Bouts, at: Millis): readonly Bout[] =>
  meet.called.flatMap(({ bout, calledAt = at }) => {
    const found = bouts(bout);
    return found?.stage === "ended" && at - calledAt < EVENING_MS ? [found] : [];
  });

/** Works out what bouts left, each as it would be had it brought in what its own earlier bouts leave now. */
class Evening {
  private readonly left = new Map<BoutId, readonly EveningEntry[]>();
  private readonly bouts: Bouts;
  private readonly scorers: Scorers;

  constructor(bouts: Bouts, scorers: Scorers) {
    this.bouts = bouts;
    this.scorers = scorers;
  }

  /** What stands after these bouts. */
  after(ids: readonly BoutId[]): readonly EveningEntry[] {
    return ids.reduce<readonly EveningEntry[]>((before, id) => carryOn(before, this.leftBy(id)), []);
  }

  /** What this bout would bring in now from the bouts that it followed; undefined where it brought in nothing. */
  linesNow(bout: Bout): readonly SheetLine[] | undefined {
    const ruleSet = this.scorers(bout.ruleSet)?.ruleSet;
    const { after, lines } = bout.brings;
    if (ruleSet === undefined || after === undefined) return lines;
    return linesFrom(ruleSet, this.after(after), fencersIn(bout));
  }

  private leftBy(id: BoutId): readonly EveningEntry[] {
    const known = this.left.get(id);
    if (known !== undefined) return known;
    const bout = this.bouts(id);
    const scorer = bout && this.scorers(bout.ruleSet);
    const left =
      bout === undefined || scorer === undefined
        ? []
        : eveningAfter(scorer, sheetWith(bout, this.scorers, this.linesNow(bout)));
    this.left.set(id, left);
    return left;
  }
}

/** What a planned bout brings in as it is called: who fences, what the roster knows, and what tonight's bouts left. */
export function bringsOf(
  planned: PlannedBout,
  ruleSet: RuleSet,
  around: { readonly meet: Meet; readonly bouts: Bouts; readonly scorers: Scorers; readonly at: Millis },
): BroughtIn {
  const { meet, bouts, scorers, at } = around;
  const fencers = fencersOf(meet, planned);
  const after = endedBefore(meet, bouts, at).map(({ id }) => id);
  const entries = new Evening(bouts, scorers).after(after);
  return {
    roster: [
      boutLine(fencers),
      ...rosterLines(ruleSet, meet, planned),
      ...(sharesLimits(ruleSet) ? [{ type: "hall" } as const] : []),
    ],
    lines: linesFrom(ruleSet, entries, fencers),
    after,
  };
}

const VALUES = ["value", "or", "least", "most"] as const;

/** What a line is about, without what it says of it. */
function aboutOf(line: SheetLine): string {
  const about = Object.entries(line).filter(([key]) => !VALUES.some((value) => value === key));
  return JSON.stringify(about.sort(([a], [b]) => (a < b ? -1 : 1)));
}

const SCOPES = {
  bout: "in this bout",
  pair: "against this partner tonight",
  team: "of the team tonight",
  evening: "tonight",
  hall: "of the hall tonight",
  match: "in this match",
  "team match": "of the team in this match",
} as const;

const NAME = { red: "Red", blue: "Blue" } as const;

/** "Red's streak", "Red's bonus from "Riposte" tonight"; undefined for a line of another kind. */
function thing(line: SheetLine): string | undefined {
  if (line.type !== "mark" && line.type !== "pick" && line.type !== "had") return undefined;
  const whose = line.side === undefined ? "The" : `${NAME[line.side]}'s`;
  if (line.type === "mark") return `${whose} ${line.mark}`;
  if (line.type === "pick") return `${whose} ${line.pick}`;
  const from = line.rule === undefined ? "" : ` from "${line.rule}"`;
  return `${whose} ${line.of}${from} ${SCOPES[line.scope]}`;
}

function valueIn(line: SheetLine | undefined): string {
  if (line?.type === "had")
    return line.least === line.most ? String(line.least) : `${line.least} to ${line.most}`;
  if (line?.type !== "mark" && line?.type !== "pick") return "nothing";
  const value = line.value === true ? "on" : line.value === false ? "off" : String(line.value);
  return value === "" ? "nothing" : [value, ...(line.or ?? []).map(String)].join(" or ");
}

/** A choice that not everybody may see is not told to everybody either. */
const isSealed = (line: SheetLine, ruleSet: RuleSet | undefined): boolean =>
  line.type === "pick" && ruleSet?.picks.find(({ name }) => name === line.pick)?.seenBy !== undefined;

/** One sentence for each thing that came into a bout otherwise than the earlier bouts, as they stand now, would bring it. */
export function movedByEarlier(bout: Bout, bouts: Bouts, scorers: Scorers): readonly string[] {
  const { lines, after } = bout.brings;
  if (lines === undefined || after === undefined || after.length === 0) return [];
  const now = new Evening(bouts, scorers).linesNow(bout) ?? [];
  const was = new Map(lines.map((line) => [aboutOf(line), line]));
  const is = new Map(now.map((line) => [aboutOf(line), line]));
  return [...new Set([...was.keys(), ...is.keys()])].flatMap((about) => {
    const [before, later] = [was.get(about), is.get(about)];
    const line = before ?? later ?? ({ type: "hall" } as const);
    const what = isSealed(line, scorers(bout.ruleSet)?.ruleSet) ? undefined : thing(line);
    if (what === undefined || valueIn(before) === valueIn(later)) return [];
    return [
      `${what} came into this bout as ${valueIn(before)}; an earlier bout was put right since, and it would be ${valueIn(later)}.`,
    ];
  });
}
