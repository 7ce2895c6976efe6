/** Notes and sets read inside an exchange: as it began, with what its earlier actions have put into them. */
import type { Change, Mark } from "../language/tree.ts";
import { ofThisExchange } from "../language/walk.ts";
import { allOf } from "./conditions.ts";
import { PLAIN } from "./context.ts";
import type { Environment, MomentReader, Test } from "./environment.ts";
import { markPlace } from "./fields.ts";
import { owner } from "./joined.ts";
import type { SideIndex } from "./machine.ts";
import { capture, changeAsksTouch, joined, union } from "./marks.ts";
import type { Accepts } from "./pattern.ts";
import { Unsupported } from "./refusal.ts";
import { namesPayment } from "./tokens.ts";

interface Remembering {
  readonly phrases: readonly Accepts[];
  readonly rest: Test;
  readonly captured: (side: SideIndex, state: Int32Array) => number;
}

/** Changes that name a payment, or what a touch is worth, come when the exchange is over: no moment in it sees them. */
function isInside({ does, when }: Change): boolean {
  if (does.is !== "gains" && does.is !== "becomes") return false;
  return (
    when.is === "conditions" && !namesPayment(when.all) && !when.all.flatMap(ofThisExchange).some(isLate)
  );
}
const isLate = (one: Parameters<typeof ofThisExchange>[0]): boolean =>
  changeAsksTouch({ does: { is: "on" }, when: { is: "conditions", all: [one] } });

const SIDES: readonly SideIndex[] = [0, 1];

export function momentOf(env: Environment, mark: Mark): MomentReader {
  return env.as(owner.mark(mark.name), () => {
    const changes = mark.changes.filter(isInside).map((change) => remembering(env, mark, change));
    const { index, each } = markPlace(env, mark);
    return (field, state) => {
      let found = 0;
      for (const side of each ? [(field - index) as SideIndex] : SIDES)
        for (const { phrases, rest, captured } of changes)
          if (phrases.every((one) => stands(env, one, side, state)) && rest(side))
            found = joined(mark, found, captured(side, state));
      if (mark.is === "set") return union(env.machine.read(field), found);
      return found > 0 ? found : env.machine.read(field);
    };
  });
}

function remembering(env: Environment, mark: Mark, { when }: Change): Remembering {
  const all = when.is === "conditions" ? when.all : [];
  const phrases = all.flatMap((one) => (one.is === "phrase" ? [one.phrase] : []));
  const others = all.filter((one) => one.is !== "phrase");
  if (others.flatMap(ofThisExchange).some((one) => one.is === "phrase"))
    throw new Unsupported(
      `"${mark.name} at that moment" cannot be read: its change asks for what has not happened yet at that moment.`,
    );
  return {
    phrases: phrases.map((phrase) => env.add(phrase)),
    rest: allOf(env, others, PLAIN),
    captured: capture(env, mark, phrases[0]),
  };
}

function stands({ layout }: Environment, { tests }: Accepts, side: SideIndex, state: Int32Array): boolean {
  return tests.some(({ word, mask }) => ((state[side * layout.words + word] as number) & mask) !== 0);
}
