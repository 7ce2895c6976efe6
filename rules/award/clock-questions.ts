/** What the clock showed at a halt where nobody wrote it: asked as finely as the rule set's conditions tell seconds apart. */
import { lengthOf } from "../language/clock.ts";
import type { ExchangeLine } from "../record.ts";
import type { Candidate } from "./candidate.ts";
import type { Cut } from "./environment.ts";
import type { Program } from "./program.ts";
import type { Answer } from "./tally.ts";
import { leftText } from "./timing.ts";

/** Where the condition that is named first holds, the answer is yes. */
export function secondsLeft(cuts: readonly Cut[]): Candidate | undefined {
  const sorted = distinct(cuts);
  const [only] = sorted;
  if (only === undefined) return undefined;
  const id = `left/${sorted.map(({ n }) => String(n)).join("/")}`;
  if (sorted.length > 1) return { id, text: "how many seconds were left?", answers: intervals(sorted) };
  const { n, cmp, text } = only;
  const answers = [answer("Yes", n), answer("No", cmp === "or less" ? n + 1 : Math.max(0, n - 1))];
  return { id, text, answers };
}

/** In the order of the clock; what always holds tells nothing apart. */
function distinct(cuts: readonly Cut[]): readonly Cut[] {
  const found = new Map<string, Cut>();
  for (const cut of cuts)
    if (cut.n > 0 || (cut.n === 0 && cut.cmp === "or less")) {
      const key = `${String(cut.n)} ${cut.cmp}`;
      if (!found.has(key)) found.set(key, cut);
    }
  return [...found.values()].sort((a, b) => a.n - b.n || (a.cmp === "or more" ? -1 : 1));
}

const answer = (label: string, seconds: number): Answer => ({ label, facts: [{ fact: "left", seconds }] });

/** One answer for each span of seconds between two cuts, with a number of seconds that lies in it. */
function intervals(cuts: readonly Cut[]): readonly Answer[] {
  return [...cuts, undefined].map((upper, i) => {
    const lower = cuts[i - 1];
    const label = [lower && above(lower), upper && below(upper)]
      .filter((one) => one !== undefined)
      .join(", ");
    return answer(label, between(lower, upper));
  });
}

const above = ({ n, cmp }: Cut): string =>
  cmp === "or more" ? `${String(n)} s or more` : `more than ${String(n)} s`;
const below = ({ n, cmp }: Cut): string =>
  cmp === "or less" ? `${String(n)} s or less` : `less than ${String(n)} s`;

function between(lower: Cut | undefined, upper: Cut | undefined): number {
  if (lower?.cmp === "or more") return lower.n;
  if (upper?.cmp === "or less") return upper.n;
  if (upper === undefined) return (lower?.n ?? 0) + 1;
  if (lower === undefined) return Math.max(0, upper.n - 1);
  return lower.n + 1 < upper.n ? lower.n + 1 : (lower.n + upper.n) / 2;
}

export interface ClockQuestion {
  readonly candidate: Candidate;
  /** Clocks to try, for this halt and those after it that nobody wrote either. */
  readonly trials: readonly ReadonlyMap<ExchangeLine, number>[];
}

/** Where exchanges are asked how long they took, a halt's clock counts for two of them. */
export function clockQuestion(
  { env }: Program,
  lines: readonly ExchangeLine[],
  at: number,
): ClockQuestion | undefined {
  const line = lines[at];
  if (line === undefined || line.left !== undefined) return undefined;
  const before = at === 0 ? lengthOf(env.ruleSet.bout) : lines[at - 1]?.left;
  const next = lines[at + 1]?.left;
  const lengths = [...env.lengthCuts.values()];
  const own =
    before === undefined
      ? []
      : lengths.map(({ n, cmp, text }): Cut => ({ n: before - n, cmp: opposite(cmp), text }));
  const nexts =
    next === undefined
      ? []
      : lengths.map(({ n, cmp }): Cut => ({ n: next + n, cmp, text: leftText(next + n, cmp) }));
  const candidate = secondsLeft([...env.timeCuts.values(), ...own, ...nexts]);
  if (candidate === undefined) return undefined;
  const run = lines.slice(at + 1);
  const known = run.findIndex(({ left }) => left !== undefined);
  const unknown = known < 0 ? run : run.slice(0, known);
  const values = candidate.answers.flatMap(({ facts }) =>
    facts.flatMap((fact) => (fact.fact === "left" ? [fact.seconds] : [])),
  );
  const tried = unknown.length === 0 ? [0] : intervals(distinct(lengths)).flatMap(secondsOf);
  const trials = values.flatMap((seconds) =>
    tried.map(
      (each) =>
        new Map([
          [line, seconds] as const,
          ...unknown.map((one, k) => [one, Math.max(0, seconds - each * (k + 1))] as const),
        ]),
    ),
  );
  return { candidate, trials };
}

const secondsOf = ({ facts }: Answer): readonly number[] =>
  facts.flatMap((fact) => (fact.fact === "left" ? [fact.seconds] : []));

const opposite = (cmp: Cut["cmp"]): Cut["cmp"] => (cmp === "or less" ? "or more" : "or less");
