/** Conditions on the clock: what is left at the halt, what is gone, how long the exchange took. */
import { lengthOf } from "../language/clock.ts";
import type { Condition } from "../language/tree.ts";
import type { Environment, Test } from "./environment.ts";
import { Unsupported } from "./refusal.ts";

type Of<K extends Condition["is"]> = Extract<Condition, { is: K }>;

export function timeIs(env: Environment, { seconds, cmp, what }: Of<"time">): Test {
  const m = env.machine;
  if (what === "left") {
    env.seconds.add(seconds);
    return cmp === "or less" ? () => m.readLeft() <= seconds : () => m.readLeft() >= seconds;
  }
  const length = lengthOf(env.ruleSet.bout);
  if (length === undefined) throw new Unsupported(UNKNOWN_LENGTH);
  const left = length - seconds;
  env.seconds.add(left);
  env.gone.add(seconds);
  return cmp === "or less" ? () => m.readLeft() >= left : () => m.readLeft() <= left;
}

export function lastsFor(env: Environment, { seconds, cmp }: Of<"lasts">): Test {
  const m = env.machine;
  if (lengthOf(env.ruleSet.bout) === undefined) throw new Unsupported(UNKNOWN_LENGTH);
  env.lengths.add(seconds);
  return cmp === "or less" ? () => m.readLasted() <= seconds : () => m.readLasted() >= seconds;
}

const UNKNOWN_LENGTH = 'How long is the bout? Write "ends: after 3 min" or "starts: 180 s are left".';
