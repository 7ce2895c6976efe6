/** Whether a recorded action has in common with an earlier one what a step asks: for sentences and questions. */
import type { ExchangeLine } from "../record.ts";
import type { DynamicChoice } from "./doing.ts";
import type { LikeTest } from "./likes.ts";
import type { Program } from "./program.ts";
import { coded } from "./run.ts";

interface Perhaps {
  readonly may: boolean;
  readonly must: boolean;
}

const SURELY: Perhaps = { may: true, must: true };
const PERHAPS: Perhaps = { may: true, must: false };
const NOT: Perhaps = { may: false, must: false };

/** Choices that name a pick or a mark are left to the scoring: perhaps they hold. */
export function likeChoicesOn(
  program: Program,
  line: ExchangeLine,
  index: number,
  choices: readonly DynamicChoice[],
): Perhaps {
  let all = SURELY;
  for (const choice of choices) {
    if (choice.likes.length === 0) continue;
    const one = choiceOn(program, line, index, choice);
    all = { may: all.may && one.may, must: all.must && one.must };
  }
  return all;
}

function choiceOn(
  program: Program,
  line: ExchangeLine,
  index: number,
  { but, words, refs, likes }: DynamicChoice,
): Perhaps {
  const parts = likes.map((test) => likeOn(program, line, index, test));
  if (words >= 0) parts.push(predicateOn(program, line, index, words));
  if (refs.length > 0) parts.push(PERHAPS);
  const any = { may: parts.some(({ may }) => may), must: parts.some(({ must }) => must) };
  return but ? { may: !any.must, must: !any.may } : any;
}

function predicateOn(program: Program, line: ExchangeLine, index: number, predicate: number): Perhaps {
  const { coder } = program;
  const codes = coded(program, line).ways.flatMap(({ acts }) => acts[index]?.codes ?? []);
  const holds = codes.map((code) => coder.signatures[Math.floor(code / 3)]?.[predicate] === 1);
  return { may: holds.includes(true), must: holds.length > 0 && !holds.includes(false) };
}

/** Both acting counts as either: what is told of them is the same. */
function likeOn(program: Program, line: ExchangeLine, index: number, test: LikeTest): Perhaps {
  const { likes } = program.env.doings;
  const { said } = coded(program, line);
  const by = line.acts[index]?.by;
  for (let i = index - 1; i >= 0; i--) {
    const before = line.acts[i]?.by;
    if (before !== "both" && by !== "both" && (before === by) === test.theirs) continue;
    const strike = predicateOn(program, line, i, likes.strike);
    if (!strike.may) continue;
    if (!strike.must) return PERHAPS;
    const verdict = likes.verdict(test.what, said[i]?.[test.what] ?? 0, said[index]?.[test.what] ?? 0);
    if (verdict === "open") return PERHAPS;
    return verdict === (test.another ? "another" : "the same") ? SURELY : NOT;
  }
  return NOT;
}
