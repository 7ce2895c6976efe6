/** Values from outside that nobody has said: picks, and marks that an evening would bring in. */
import type { Mark, Pick } from "../language/tree.ts";
import { type SheetLine, WEAKER, type Weaker } from "../record.ts";
import { SIDES, type Side } from "../vocabulary.ts";
import { isEachFencers, markPlace, pickPlace } from "./fields.ts";
import type { Program } from "./program.ts";
import { sideOf } from "./question-words.ts";
import type { Candidate } from "./candidate.ts";
import type { FoldedExchange, SheetFold } from "./sheet-fold.ts";
import type { Answer, Question } from "./tally.ts";
import { startsByStrength, weakerPlace } from "./weaker.ts";

export interface ValueCandidate {
  readonly id: string;
  readonly text: string;
  readonly answers: readonly Answer[];
  readonly ask: Question["ask"];
  /** Lines to put before the bout's own, one list for each value, to see what hangs on it. */
  readonly sheets: readonly (readonly SheetLine[])[];
}

export function valueCandidates(program: Program, fold: SheetFold): readonly ValueCandidate[] {
  const { env } = program;
  const picks = env.ruleSet.picks.filter(isForTheBout).flatMap((pick) => {
    const place = pickPlace(env, pick);
    const sides: readonly (Side | undefined)[] = isEachFencers(pick) ? SIDES : [undefined];
    return sides.flatMap((side, i) =>
      isUnknown(fold, place.index + i) ? [aboutPick(pick, side, fold)] : [],
    );
  });
  const marks = env.ruleSet.marks.flatMap((mark) => {
    // Asked as who the weaker is.
    if (startsByStrength(mark)) return [];
    const { index, each } = markPlace(env, mark);
    const sides: readonly (Side | undefined)[] = each ? SIDES : [undefined];
    return sides.flatMap((side, i) => (isUnknown(fold, index + i) ? [aboutMark(program, mark, side)] : []));
  });
  const place = weakerPlace(env);
  const weaker = place >= 0 && isUnknown(fold, place) ? [aboutTheWeaker(fold)] : [];
  return [...weaker, ...picks, ...marks];
}

const WEAKER_LABELS: Readonly<Record<Weaker, string>> = { red: "Red", blue: "Blue", nobody: "Nobody" };

/** An answer is written into an exchange, so before the first there is none to give. */
function aboutTheWeaker({ exchanges }: SheetFold): ValueCandidate {
  return {
    id: "weaker",
    text: "Who is the weaker?",
    answers:
      exchanges.length === 0
        ? []
        : WEAKER.map((side) => ({ label: WEAKER_LABELS[side], facts: [{ fact: "weaker", side }] })),
    ask: "table",
    sheets: WEAKER.map((side) => [{ type: "weaker", side }]),
  };
}

/** One value for the whole bout or evening; others are asked for exchange by exchange. */
const isForTheBout = ({ when }: Pick): boolean =>
  "at" in when && when.at !== "before each exchange" && when.at !== "after each exchange";

/** Picks of one exchange, or of some, whose value there nobody has said. */
export function exchangePicks(program: Program, one: FoldedExchange): readonly Candidate[] {
  const { env } = program;
  return env.ruleSet.picks
    .filter((pick) => !isForTheBout(pick))
    .flatMap((pick) => {
      const { index } = pickPlace(env, pick);
      const sides: readonly (Side | undefined)[] = isEachFencers(pick) ? SIDES : [undefined];
      return sides.flatMap((side, i): Candidate[] => {
        if (one.picks.some(({ field, value }) => field === index + i && value === value)) return [];
        const whose = side === undefined ? "the" : `${sideOf(side)}'s`;
        return [
          {
            id: `pick/${pick.name}/${side ?? ""}`,
            text: `what was ${whose} ${pick.name}?`,
            answers: pick.from.map(({ text }) => answer(pick, side, text)),
            ask: whoPicks(pick, side),
            wholeSheet: true,
          },
        ];
      });
    });
}

/** Not said in some world as some exchange began, or different in different worlds. */
function isUnknown(fold: SheetFold, index: number): boolean {
  // Where an exchange's own picks say it, it does not matter that it was not known before.
  const open = fold.exchanges.filter(
    ({ picks }) => !picks.some(({ field, value }) => field === index && !Number.isNaN(value)),
  );
  const worlds = [...open.flatMap(({ before }) => before), ...fold.worlds];
  const first = worlds[0]?.mem[index];
  return worlds.some(({ mem }) => mem[index] !== mem[index] || mem[index] !== first);
}

function aboutPick(pick: Pick, side: Side | undefined, fold: SheetFold): ValueCandidate {
  const whose = side === undefined ? "the" : `${sideOf(side)}'s`;
  const lines = pick.from.map(({ text }): SheetLine => ({
    type: "pick",
    pick: pick.name,
    value: text,
    ...(side === undefined ? {} : { side }),
  }));
  const ask = whoPicks(pick, side);
  const open = ask === "table" || ask === "coach" || ask === "judge";
  const hasExchanges = fold.exchanges.length > 0;
  return {
    id: `pick/${pick.name}/${side ?? ""}`,
    text: `What is ${whose} ${pick.name}?`,
    answers: open && hasExchanges ? pick.from.map(({ text }) => answer(pick, side, text)) : [],
    ask,
    sheets: lines.map((line) => [line]),
  };
}

const answer = (pick: Pick, side: Side | undefined, value: string): Answer => ({
  label: value,
  facts: [{ fact: "pick", pick: pick.name, value, ...(side === undefined ? {} : { side }) }],
});

function whoPicks(pick: Pick, side: Side | undefined): Question["ask"] {
  if (pick.seenBy === "the table") return "table";
  switch (pick.by) {
    case "each fencer":
      return side ?? "table";
    case "the coach":
    case "the coach for each fencer":
      return "coach";
    case "the judge":
      return "judge";
    case "chance":
    case "chance for each fencer":
    case "the list":
      return "table";
  }
}

function aboutMark({ env }: Program, mark: Mark, side: Side | undefined): ValueCandidate {
  const field = env.fields.all[markPlace(env, mark).index];
  const values = field?.domain ?? [];
  const whose = side === undefined ? "the" : `${sideOf(side)}'s`;
  const isHeld = mark.is === "token" || mark.is === "roles";
  const text = isHeld
    ? `Who has the ${mark.name} to begin with?`
    : `What is ${whose} ${mark.name} to begin with?`;
  return {
    id: `mark/${mark.name}/${side ?? ""}`,
    text,
    answers: [],
    ask: "table",
    sheets: values.map((value) => [
      {
        type: "mark",
        mark: mark.name,
        value: isHeld ? (["nobody", "red", "blue"][value] ?? "nobody") : value,
        ...(side === undefined ? {} : { side }),
      },
    ]),
  };
}
