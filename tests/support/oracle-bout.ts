/** The oracle's bout: what doubles and afterblows do to two touches, whose afterblows count, and how a bout ends. */
import type { RuleSet } from "../../rules/language/tree.ts";
import type { BoutRules, Ties } from "../../rules/language/tree-bout.ts";
import type { Act, ExchangeLine } from "../../rules/record.ts";
import { other, SIDES, type Side } from "../../rules/vocabulary.ts";

type Sides<T> = Record<Side, T>;

const lands = ({ end }: Act): boolean => end === "hit";
export const isLate = ({ acts }: ExchangeLine, side: Side): boolean =>
  acts.some((act) => act.kind === "afterblow" && lands(act) && (act.by === side || act.by === "both"));

/** Whether this fencer's afterblows count: roles that begin with a side and change hands after so many exchanges. */
export function mayLandLate({ bout, marks }: RuleSet, side: Side, fenced: number): boolean {
  const { onlyOf } = bout.afterblows;
  const mark = marks.find(({ roles }) => onlyOf !== undefined && roles?.includes(onlyOf) === true);
  if (onlyOf === undefined || !mark?.roles) return true;
  let first: Side = mark.starts && "with" in mark.starts && mark.starts.with === "blue" ? "blue" : "red";
  for (const { when } of mark.changes)
    if (when.is === "every" && Math.floor(fenced / when.exchanges) % 2 === 1) first = other(first);
  return (onlyOf === mark.roles[0] ? first : other(first)) === side;
}

/** What the two touches are worth in the end; `doubles` counts this exchange too. */
export function settledTouches(
  { bout }: RuleSet,
  line: ExchangeLine,
  worth: Sides<number>,
  doubles: number,
  counts: Sides<boolean>,
): { touch: Sides<number>; off: number } {
  const none = { red: 0, blue: 0 };
  if (line.how === "simultaneous")
    return { touch: bout.simultaneous === "both score" ? worth : none, off: 0 };
  if (line.how === "double")
    switch (bout.doubles.is) {
      case "both score":
        return { touch: worth, off: 0 };
      case "the difference scores": {
        const red = worth.red > worth.blue ? worth.red - worth.blue : 0;
        const blue = worth.blue > worth.red ? worth.blue - worth.red : 0;
        return { touch: { red, blue }, off: 0 };
      }
      case "score nothing":
        return { touch: none, off: 0 };
      case "1 off each":
        return { touch: none, off: doubles % (bout.doubles.every ?? 1) === 0 ? 1 : 0 };
    }
  const touch = { ...worth };
  const late = SIDES.filter((side) => isLate(line, side));
  for (const side of late) if (!counts[side]) touch[side] = 0;
  const counting = late.filter((side) => counts[side]);
  const [second] = counting;
  if (counting.length !== 1 || second === undefined) return { touch, off: 0 };
  const after = touch[second];
  const first = other(second);
  const { afterblows } = bout;
  const leaves = (less: number, leave: number): number =>
    touch[first] - less >= leave ? touch[first] - less : Math.min(touch[first], leave);
  if (afterblows.is === "both score") return { touch, off: 0 };
  touch[second] = afterblows.is === "half to the second" ? after / 2 : 0;
  if (afterblows.is === "annul the hit") touch[first] = 0;
  if (afterblows.is === "take off 1") touch[first] = leaves(1, afterblows.leave);
  if (afterblows.is === "the difference scores") touch[first] = leaves(after, afterblows.leave);
  return { touch, off: 0 };
}

/** All that has happened in a bout so far. */
export interface Come {
  readonly points: Sides<number>;
  readonly bonus: Sides<number>;
  /** Of each fencer, by the name in the sentence: marks, bonus, warnings, penalties. */
  readonly counts: Readonly<Record<string, Sides<number>>>;
  readonly lines: readonly ExchangeLine[];
}

/** The end is reached by the score, the number of exchanges or of doubles. */
export function isAtAnEnd({ ends, bonus: { countsTowardsTheCap } }: BoutRules, come: Come): boolean {
  const has = (side: Side): number => come.points[side] + (countsTowardsTheCap ? come.bonus[side] : 0);
  const apart = Math.abs(has("red") - has("blue"));
  return ends.some((end) => {
    if (end.is === "points")
      return SIDES.some((side) => has(side) >= end.n) && (end.ahead === undefined || apart >= end.ahead);
    if (end.is === "bonus") return SIDES.some((side) => come.bonus[side] >= end.n);
    if (end.is === "ahead") return apart >= end.n;
    if (end.is === "exchanges") return come.lines.length >= end.n;
    return end.is === "doubles" && doublesIn(come) >= end.n;
  });
}

const doublesIn = ({ lines }: Come): number => lines.filter(({ how }) => how === "double").length;

/** How it ends by score, "tie" where more fencing decides. */
export function endingOf(bout: BoutRules, come: Come): string {
  const both = bout.ends.some((end) => end.is === "doubles" && end.bothLose && doublesIn(come) >= end.n);
  if (both) return "both lose";
  if (bout.wins === "nobody") return "no winner";
  const better = (side: Side): boolean => {
    const [mine, theirs] = [side, other(side)];
    const bonus = come.bonus[mine] - come.bonus[theirs];
    const points = come.points[mine] - come.points[theirs];
    if (bout.wins === "who has more bonus") return bonus > 0;
    const sign = bout.wins === "who has fewer points against" ? -1 : 1;
    return sign * points + (bout.bonus.countsTowardsTheWin ? bonus : 0) > 0;
  };
  const winner = SIDES.find(better) ?? decider(bout.ties, come);
  return winner === "red" || winner === "blue" ? `${winner} wins` : winner;
}

function decider(ties: Ties, come: Come): Side | "draw" | "tie" {
  if (ties.is === "fewer" || ties.is === "more") {
    const { red, blue } = come.counts[ties.mark] as Sides<number>;
    if (red === blue) return ties.otherwise ? decider(ties.otherwise, come) : "draw";
    return red > blue === (ties.is === "more") ? "red" : "blue";
  }
  if (ties.is !== "who hit first" && ties.is !== "who hit last") return ties.is === "draw" ? "draw" : "tie";
  const hits = come.lines
    .filter(({ how }) => how === undefined)
    .flatMap(({ acts }) => acts)
    .filter(lands);
  const decides = ties.is === "who hit first" ? hits[0] : hits.at(-1);
  return decides === undefined || decides.by === "both" ? "draw" : decides.by;
}
