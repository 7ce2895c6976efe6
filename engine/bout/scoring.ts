/** From a bout to its tally: the sheet that is scored, and the scorer's answer. */
import type { BoutSheet, ExchangeLine, Scorer, SheetLine, Tally } from "../../rules/index.ts";
import { withAssents } from "./assents.ts";
import type { Bout, BoutExchange } from "./bout.ts";
import type { BroughtIn } from "./commands.ts";
import type { TallyStamp } from "./events.ts";
import { resolveExchange } from "./panel.ts";
import type { Worth } from "./panel.ts";
import { sideOf } from "./rights.ts";
import { isSame } from "./same.ts";

/** Where a rule set's scorer is found by its hash; undefined where this device does not have it. */
export type Scorers = (hash: string) => Scorer | undefined;

const none = { red: 0, blue: 0 };
const noSpan = { red: { least: 0, most: 0 }, blue: { least: 0, most: 0 } };

/** A tally in which nothing has happened: a bout whose rule set is not at hand shows this. */
export const EMPTY_TALLY: Tally = {
  points: none,
  bonus: none,
  span: { points: noSpan, bonus: noSpan },
  open: 0,
  questions: [],
  ended: null,
  doubles: 0,
  warned: none,
  marks: {},
  awards: [],
  exchanges: [],
  claims: [],
};

type Brought = { readonly [K in "marks" | "picks"]: NonNullable<BroughtIn[K]>[number] };
const markLine = (mark: Brought["marks"]): SheetLine => ({ type: "mark", ...mark });
const pickLine = ({ pick, side, value }: Brought["picks"]): SheetLine =>
  side === undefined ? { type: "pick", pick, value } : { type: "pick", side, pick, value };

function broughtIn(bout: Bout): readonly SheetLine[] {
  const { score, picks, marks, roster, lines } = bout.brings;
  return [
    ...(roster ?? []),
    ...(lines ?? []),
    ...(score === undefined ? [] : [{ type: "score", ...score } as const]),
    ...(marks ?? []).map(markLine),
    ...(picks ?? []).map(pickLine),
  ];
}

const picksBefore = (bout: Bout, no: number): readonly SheetLine[] =>
  bout.picks.filter((pick) => pick.on === undefined && pick.before === no).map(pickLine);

function exchangeLine(
  bout: Bout,
  exchange: BoutExchange,
  no: number,
  worth: Worth | undefined,
): ExchangeLine {
  const line = withAssents(
    bout,
    exchange,
    resolveExchange(exchange, bout.panel ?? "the referee decides", worth, (by) => sideOf(bout, by)),
  );
  const drawn = bout.picks
    .filter((pick) => pick.on === exchange.id)
    .map(({ pick, side, value }) => [side === undefined ? pick : `${side} ${pick}`, value]);
  if (drawn.length === 0) return { ...line, no };
  return { ...line, no, picks: { ...line.picks, ...Object.fromEntries(drawn) } };
}

/** The hall's answers, in the numbers that the exchanges have now; an exchange that was removed has none. */
function grantedLines(bout: Bout, at: (exchange: BoutExchange["id"]) => boolean): readonly SheetLine[] {
  return (bout.granted ?? []).flatMap(({ exchange, person, rule, n }): readonly SheetLine[] => {
    const no = exchange === "end" ? 0 : bout.exchanges.findIndex(({ id }) => id === exchange) + 1;
    if (!at(exchange) || (no === 0 && exchange !== "end")) return [];
    const side = person === bout.red ? "red" : "blue";
    return [{ type: "granted", exchange: no, side, rule, n }];
  });
}

/** A penalty hit is one point to the other; a warning counts where the rule set counts warnings. */
const penaltiesAfter = (bout: Bout, no: number): readonly SheetLine[] =>
  bout.penalties
    .filter((each) => each.penalty !== "out" && each.afterExchange === no)
    .filter((each) => each.penalty !== "warning" || bout.warningsApart !== true)
    .map(({ side, penalty }) => ({ type: penalty === "warning" ? "warning" : "penalty", side }));

/** Who the weaker is was answered in an exchange; a sheet has a line of its own for it. */
function weakerApart(line: SheetLine): readonly SheetLine[] {
  if (line.type !== "exchange" || line.weaker === undefined) return [line];
  const { weaker: side, ...rest } = line;
  return [{ type: "weaker", side }, rest];
}

function endLine(bout: Bout): readonly SheetLine[] {
  if (bout.stage !== "ended") return [];
  return bout.endedBy === "word" && bout.ending !== undefined
    ? [{ type: "end", ending: bout.ending }]
    : [{ type: "end" }];
}

/**
 * The sheet that is scored: what the evening brought in, then picks, exchanges as the panel settles them and penalty
 * hits in their order, and the end once the bout has ended. The scorer is needed only where the panel asks what an
 * exchange would be worth.
 */
export function sheetOf(bout: Bout, scorer?: Scorer): BoutSheet {
  const worth: Worth | undefined =
    scorer === undefined
      ? undefined
      : (line) => {
          const { points } = scorer.score([{ ...line, no: 1 }]);
          return points.red + points.blue;
        };
  const lines: SheetLine[] = [...broughtIn(bout), ...penaltiesAfter(bout, 0)];
  bout.exchanges.forEach((exchange, index) => {
    const no = index + 1;
    lines.push(
      ...picksBefore(bout, no),
      exchangeLine(bout, exchange, no, worth),
      ...penaltiesAfter(bout, no),
    );
  });
  const last = bout.exchanges.length;
  const later = bout.picks.filter((pick) => pick.before > last).map((pick) => pick.before);
  for (const no of [...new Set(later)].sort((a, b) => a - b)) lines.push(...picksBefore(bout, no));
  return [...lines.flatMap(weakerApart), ...grantedLines(bout, () => true), ...endLine(bout)];
}

interface Scored {
  readonly sheet: BoutSheet;
  readonly tally: Tally;
}

/** A sheet is scored when a command is decided and again when its events are taken in; rings take turns. */
const KEPT = 6;
const latest = new WeakMap<Scorer, readonly Scored[]>();

/** The bout's tally under its rule set; the empty one where that is not at hand. */
export function tallyOf(bout: Bout, scorer: Scorer | undefined): Tally {
  if (scorer === undefined) return EMPTY_TALLY;
  const sheet = sheetOf(bout, scorer);
  const kept = latest.get(scorer) ?? [];
  const before = kept.find((each) => isSame(each.sheet, sheet));
  if (before !== undefined) return before.tally;
  const tally = scorer.score(sheet);
  latest.set(scorer, [{ sheet, tally }, ...kept.slice(0, KEPT - 1)]);
  return tally;
}

/** The settled figures that an event carries, so that a later version can be compared with them. */
export const stampOf = ({ points, bonus, open }: Tally): TallyStamp => ({ points, bonus, open });
