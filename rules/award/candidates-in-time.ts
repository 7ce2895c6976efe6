/** What nobody has said about the seconds between the actions of an exchange: how long after one did the next come? */
import type { Phrase } from "../language/tree.ts";
import type { Act, ExchangeLine } from "../record.ts";
import { SIDES } from "../vocabulary.ts";
import { msOf } from "./ages.ts";
import { actId } from "./lines.ts";
import type { FlatPhrase } from "./pattern.ts";
import type { Program } from "./program.ts";
import type { Answer } from "./tally.ts";
import * as say from "./question-words.ts";
import { stepOn } from "./witness.ts";

/** How long after the action before it one of them came. */
interface TimeQuestion {
  readonly id: string;
  readonly text: string;
  readonly answers: readonly Answer[];
}

/** Where an answer changes: within this many milliseconds or later, or before them or from them on. */
interface Border {
  readonly at: number;
  readonly is: "within" | "after";
}

interface Asked {
  readonly borders: Border[];
  /** Other seconds that nobody said count too, so that a number is asked for, up to this. */
  upTo: number;
}

/** At most this many numbers are offered as answers. */
const MOST_NUMBERS = 6;

export function timeQuestions(
  program: Program,
  line: ExchangeLine,
  phrases: readonly Phrase[],
): readonly TimeQuestion[] {
  const { acts } = line;
  const missing = acts.flatMap(({ after }, i) => (i > 0 && after === undefined ? [i] : []));
  if (missing.length === 0) return [];
  const asked = new Map<number, Asked>();
  for (const phrase of phrases)
    for (const flat of program.env.flat(phrase))
      for (const span of spansOf(flat))
        gather(
          acts,
          missing,
          span,
          (step, i) => SIDES.some((side) => stepOn(program, line, i, step, side).may),
          asked,
        );
  return [...asked].map(([i, one]) => ({
    id: `${actId(line, i)}/after`,
    text: `how long after ${say.itsName(line, i - 1)} did ${say.itsName(line, i)} come?`,
    answers: one.upTo < 0 ? bands(line, i, one.borders) : numbers(line, i, one.upTo),
  }));
}

type Step = FlatPhrase["steps"][number];

/** A time, and the two steps between which it is measured. */
interface Measured {
  readonly from: Step;
  readonly to: Step;
  readonly border: Border;
}

function spansOf({ steps }: FlatPhrase): readonly Measured[] {
  return steps.flatMap((to, i): readonly Measured[] => {
    const from = steps.slice(0, i).findLast(({ never }) => !never);
    return to.gap && from ? [{ from, to, border: { at: msOf(to.gap.seconds), is: to.gap.is } }] : [];
  });
}

/** Which seconds decide this time, from any action that may be the one step to any later one that may be the other. */
function gather(
  acts: readonly Act[],
  missing: readonly number[],
  { from: first, to: last, border: { at, is } }: Measured,
  mayBe: (step: Step, i: number) => boolean,
  asked: Map<number, Asked>,
): void {
  for (let from = 0; from < acts.length; from++)
    for (let to = from + 1; to < acts.length; to++) {
      if (!mayBe(first, from) || !mayBe(last, to)) continue;
      const unknown = missing.filter((i) => i > from && i <= to);
      let left = at;
      for (let i = from + 1; i <= to; i++) left -= msOf(acts[i]?.after ?? 0);
      if (left < 0 || (left === 0 && is === "after")) break;
      for (const i of unknown) {
        const one = asked.get(i) ?? { borders: [], upTo: -1 };
        asked.set(i, one);
        if (unknown.length > 1) one.upTo = Math.max(one.upTo, left);
        else if (!one.borders.some((border) => border.at === left && border.is === is))
          one.borders.push({ at: left, is });
      }
    }
}

function answer(line: ExchangeLine, i: number, label: string, ms: number): Answer {
  const value = String(ms / 1000);
  return { label, facts: [{ fact: "attribute", act: actId(line, i), key: "after", value }] };
}

const text = (ms: number): string => `${String(ms / 1000)} s`;

/** "within 2 s", "later"; with more borders all that lies between them. */
function bands(line: ExchangeLine, i: number, borders: readonly Border[]): readonly Answer[] {
  const sorted = [...borders].sort((a, b) => a.at - b.at || (a.is === "after" ? -1 : 1));
  const answers: Answer[] = [];
  for (let n = 0; n <= sorted.length; n++) {
    const [low, high] = [sorted[n - 1], sorted[n]];
    const until = high && (high.is === "within" ? `within ${text(high.at)}` : `less than ${text(high.at)}`);
    const since = low && (low.is === "within" ? `more than ${text(low.at)}` : `${text(low.at)} or more`);
    const label = since === undefined ? until : until === undefined ? since : `${since}, ${until}`;
    const last = sorted.length === 1 && low !== undefined ? "later" : (label ?? "");
    answers.push(answer(line, i, last, between(low, high)));
  }
  return answers;
}

/** Milliseconds that stand for all between two borders. */
function between(low: Border | undefined, high: Border | undefined): number {
  if (high?.is === "within") return high.at;
  if (low?.is === "after") return low.at;
  const from = low?.at ?? 0;
  return high ? Math.floor((from + high.at) / 2) : from + 1000;
}

/** Where it takes several numbers to know: each in full seconds, or steps of them. */
function numbers(line: ExchangeLine, i: number, upTo: number): readonly Answer[] {
  const step = Math.max(1, Math.ceil(upTo / 1000 / MOST_NUMBERS)) * 1000;
  const answers: Answer[] = [];
  for (let ms = 0; ms < upTo + step; ms += step)
    answers.push(answer(line, i, ms === 0 ? "at once" : text(ms), ms));
  return [...answers, answer(line, i, "later", upTo + 2 * step)];
}
