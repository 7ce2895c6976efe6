/** Which recorded actions a phrase matched: found by trying, for sentences and questions only. */
import type { Phrase } from "../language/tree.ts";
import type { Act, ExchangeLine } from "../record.ts";
import type { Side } from "../vocabulary.ts";
import { msOf } from "./ages.ts";
import { likeChoicesOn } from "./like-choices.ts";
import { coded } from "./run.ts";
import type { FlatPhrase } from "./pattern.ts";
import type { Program } from "./program.ts";

export interface Witness {
  readonly acts: readonly Act[];
  readonly indexes: readonly number[];
  /** The steps that they were. */
  readonly steps: FlatPhrase["steps"];
}

type Step = FlatPhrase["steps"][number];

/** Whether an action may be, and surely is, what a step asks, for one fencer as "I". */
export function stepOn(
  program: Program,
  line: ExchangeLine,
  index: number,
  step: FlatPhrase["steps"][number],
  side: Side,
): { may: boolean; must: boolean } {
  const { env, coder } = program;
  const { predicate, choices } = env.stepTest(step.doing);
  const likes = likeChoicesOn(program, line, index, choices);
  let may = false;
  let must = true;
  for (const way of coded(program, line).ways)
    for (const code of way.acts[index]?.codes ?? []) {
      const is = coder.signatures[Math.floor(code / 3)]?.[predicate] === 1;
      if (is) may = true;
      else must = false;
    }
  const act = line.acts[index] as Act;
  const mine = act.by === "both" || act.by === side;
  const theirs = act.by === "both" || act.by !== side;
  const fits =
    step.subject === "I"
      ? mine
      : step.subject === "they"
        ? theirs
        : step.subject === "either" || (mine && theirs);
  return { may: may && fits && likes.may, must: must && may && fits && likes.must };
}

/** The latest match among the recorded actions; undefined where an unrecorded one would be needed. */
export function witness(
  program: Program,
  line: ExchangeLine,
  phrase: Phrase,
  side: Side,
): Witness | undefined {
  for (const flat of program.env.flat(phrase)) {
    const steps = flat.steps.filter((step) => !step.never);
    // What surely matched is told before what only may have.
    const find = (how: How): number[] | undefined =>
      match({ program, line, flat, steps, how, side }, line.acts.length - 1, steps.length - 1);
    const indexes = find("must") ?? find("may");
    if (indexes) return { indexes, acts: indexes.map((i) => line.acts[i] as Act), steps };
  }
  return undefined;
}

type How = "must" | "may";

interface Wish {
  readonly program: Program;
  readonly line: ExchangeLine;
  readonly flat: FlatPhrase;
  readonly steps: FlatPhrase["steps"];
  readonly how: How;
  readonly side: Side;
}

/** `following`: the place of the step after this one. */
function match(wish: Wish, last: number, step: number, following?: number): number[] | undefined {
  const wanted = wish.steps[step];
  if (!wanted) return [];
  const { program, line, flat, how, side } = wish;
  for (let i = last; i >= step; i--) {
    if (!stepOn(program, line, i, wanted, side)[how]) continue;
    if (step === 0 && flat.first && i > 0) continue;
    if (wanted.doing.begin === true && !isOwnFirst(wish, i)) continue;
    if (isForbidden(wish, step, i, following ?? line.acts.length)) continue;
    if (step === 0 && isForbidden(wish, -1, -1, i)) continue;
    if (following !== undefined && !follows(wish, wish.steps[step + 1] as Step, i, following)) continue;
    const before = match(wish, i - 1, step - 1, i);
    if (before) return [...before, i];
  }
  return undefined;
}

/** "begin": that fencer has done nothing before it. */
function isOwnFirst({ line }: Wish, at: number): boolean {
  const by = (line.acts[at] as Act).by;
  return !line.acts.slice(0, at).some((act) => act.by === "both" || by === "both" || act.by === by);
}

/** Whether what "never" forbids behind this step surely stands between two places; a step of -1 is the exchange's start. */
function isForbidden({ program, line, flat, side }: Wish, step: number, from: number, to: number): boolean {
  let positive = -1;
  for (const one of flat.steps) {
    if (!one.never) positive++;
    else if (positive === step && one.gap === undefined)
      for (let i = from + 1; i < to; i++) if (stepOn(program, line, i, one, side).must) return true;
  }
  return false;
}

/** Whether a step's action comes at once, next or in time after the one of the step before. */
function follows({ line, how, side }: Wish, { link, gap, subject }: Step, from: number, to: number): boolean {
  const between = line.acts.slice(from + 1, to);
  if (link === "at once" && between.length > 0) return false;
  const acts = (by: Act["by"]): boolean => by === "both" || (by === side) === (subject === "I");
  const isBoth = subject === "either" || subject === "both";
  if (link === "next" && between.some(({ by }) => isBoth || acts(by))) return false;
  if (!gap) return true;
  const since = line.acts.slice(from + 1, to + 1);
  const known = since.reduce((sum, { after = 0 }) => sum + msOf(after), 0);
  const isOpen = since.some(({ after }) => after === undefined);
  if (gap.is === "after") return known >= msOf(gap.seconds) || (isOpen && how === "may");
  return known <= msOf(gap.seconds) && (!isOpen || how === "may");
}
