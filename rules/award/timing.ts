/** Conditions on the clock: what is left at the halt, what is gone, how long the exchange took. */
import { lengthOf } from "../language/clock.ts";
import type { Condition } from "../language/tree.ts";
import type { Cut, Environment, Test } from "./environment.ts";
import { Unsupported } from "./refusal.ts";

type Of<K extends Condition["is"]> = Extract<Condition, { is: K }>;

export function timeIs(env: Environment, { seconds, cmp, what }: Of<"time">): Test {
  const m = env.machine;
  if (what === "left") {
    cut(env.timeCuts, { n: seconds, cmp, text: leftText(seconds, cmp) });
    return cmp === "or less" ? () => m.readLeft() <= seconds : () => m.readLeft() >= seconds;
  }
  const length = lengthOf(env.ruleSet.bout);
  if (length === undefined) throw new Unsupported(UNKNOWN_LENGTH);
  const left = length - seconds;
  const gone = `were ${String(seconds)} s ${cmp} gone?`;
  cut(env.timeCuts, { n: left, cmp: cmp === "or less" ? "or more" : "or less", text: gone });
  return cmp === "or less" ? () => m.readLeft() >= left : () => m.readLeft() <= left;
}

export function lastsFor(env: Environment, { seconds, cmp }: Of<"lasts">): Test {
  const m = env.machine;
  if (lengthOf(env.ruleSet.bout) === undefined) throw new Unsupported(UNKNOWN_LENGTH);
  cut(env.lengthCuts, { n: seconds, cmp, text: `did it last ${String(seconds)} s ${cmp}?` });
  return cmp === "or less" ? () => m.readLasted() <= seconds : () => m.readLasted() >= seconds;
}

function cut(cuts: Map<string, Cut>, one: Cut): void {
  const key = `${String(one.n)} ${one.cmp}`;
  if (!cuts.has(key)) cuts.set(key, one);
}

/** "were 30 s or less left?" */
export const leftText = (seconds: number, cmp: Cut["cmp"]): string =>
  `were ${String(seconds)} s ${cmp} left?`;

const UNKNOWN_LENGTH = 'How long is the bout? Write "ends: after 3 min" or "starts: 180 s are left".';
