/** What the roster knows of two fencers and a bout needs: left-handers, teams, who is the weaker, the gap in rank. */
import type { RuleSet, SheetLine, Side } from "../../rules/index.ts";
import { SIDES } from "../../rules/index.ts";
import type { PersonId } from "../ids.ts";
import type { FencerHere, Meet } from "./events.ts";

export const fencerIn = (meet: Meet, person: PersonId): FencerHere | undefined =>
  meet.fencers.find((each) => each.person === person);

/** Which of two is the less, where both are known and differ. */
function lesser(red: number | undefined, blue: number | undefined): Side | undefined {
  if (red === undefined || blue === undefined || red === blue) return undefined;
  return red < blue ? "red" : "blue";
}

/** Who is the weaker: by rating, else by grade; undefined where they are equal or nobody knows: the table is asked. */
export const weakerOf = (red: FencerHere | undefined, blue: FencerHere | undefined): Side | undefined =>
  lesser(red?.rating, blue?.rating) ?? lesser(red?.grade, blue?.grade);

/** How many grades lie between them; undefined where a grade is not known. */
export const rankGap = (red: FencerHere | undefined, blue: FencerHere | undefined): number | undefined =>
  red?.grade === undefined || blue?.grade === undefined ? undefined : Math.abs(red.grade - blue.grade);

const asksForTheWeaker = ({ bout, marks }: RuleSet): boolean =>
  bout.starts.some((start) => start.is === "head start") ||
  marks.some(
    ({ starts }) =>
      starts !== undefined &&
      "with" in starts &&
      (starts.with === "the weaker" || starts.with === "the stronger"),
  );

/** The lines that a bout of these two begins with, as far as the roster knows. */
export function rosterLines(
  ruleSet: RuleSet,
  meet: Meet,
  { red, blue }: { readonly red: PersonId; readonly blue: PersonId },
): readonly SheetLine[] {
  const pair = { red: fencerIn(meet, red), blue: fencerIn(meet, blue) };
  const left = SIDES.filter((side) => pair[side]?.leftHanded === true);
  const weaker = weakerOf(pair.red, pair.blue);
  const gap = rankGap(pair.red, pair.blue);
  const gaps =
    gap === undefined
      ? []
      : ruleSet.marks.filter(
          ({ starts }) => starts !== undefined && "at" in starts && starts.at === "the rank gap",
        );
  return [
    ...left.map((side): SheetLine => ({ type: "left-handed", side })),
    ...(weaker === undefined || !asksForTheWeaker(ruleSet)
      ? []
      : [{ type: "weaker", side: weaker } as const]),
    ...gaps.map(({ name }): SheetLine => ({ type: "mark", mark: name, value: gap ?? 0 })),
  ];
}
