/** Which recorded actions a phrase matched: found by trying, for sentences and questions only. */
import type { Phrase } from "../language/tree.ts";
import type { Act, ExchangeLine } from "../record.ts";
import type { Side } from "../vocabulary.ts";
import { coded } from "./run.ts";
import type { FlatPhrase } from "./pattern.ts";
import type { Program } from "./program.ts";

export interface Witness {
  readonly acts: readonly Act[];
  readonly indexes: readonly number[];
}

/** Whether an action may be, and surely is, what a step asks, for one fencer as "I". */
export function stepOn(
  program: Program,
  line: ExchangeLine,
  index: number,
  step: FlatPhrase["steps"][number],
  side: Side,
): { may: boolean; must: boolean } {
  const { env, coder } = program;
  const predicate = env.stepTest(step.doing).predicate;
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
  return { may: may && fits, must: must && may && fits };
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
    const find = (how: "must" | "may"): number[] | undefined =>
      match(program, line, flat, { steps, how }, side, line.acts.length - 1, steps.length - 1);
    const indexes = find("must") ?? find("may");
    if (indexes) return { indexes, acts: indexes.map((i) => line.acts[i] as Act) };
  }
  return undefined;
}

function match(
  program: Program,
  line: ExchangeLine,
  flat: FlatPhrase,
  wish: { readonly steps: FlatPhrase["steps"]; readonly how: "must" | "may" },
  side: Side,
  last: number,
  step: number,
): number[] | undefined {
  const wanted = wish.steps[step];
  if (!wanted) return [];
  for (let i = last; i >= step; i--) {
    if (!stepOn(program, line, i, wanted, side)[wish.how]) continue;
    if (step === 0 && flat.first && i > 0) continue;
    const before = match(program, line, flat, wish, side, i - 1, step - 1);
    if (!before || (wanted.link === "at once" && before.at(-1) !== i - 1)) continue;
    return [...before, i];
  }
  return undefined;
}
