/** "in the last exchange ...", "in 2 or more of the last 3 exchanges ...": what is kept of exchanges that are over. */
import type { Condition } from "../language/tree.ts";
import { type Compile, type Context, within } from "./context.ts";
import type { Environment, KeptCondition, Test } from "./environment.ts";
import { owner } from "./joined.ts";
import { HOW } from "./machine.ts";
import type { World } from "./worlds.ts";

type Last = Extract<Condition, { is: "last" }>;

/** What an exchange has shown is asked when it is over: what it paid in the end. */
const OVER: Context = { when: [], atTheEnd: false, afterPayment: true, inChange: true };

/** [P7] Exchanges that the bout has not had do not count, whatever is asked of them. */
export function compileLast(env: Environment, c: Last, context: Context, compile: Compile): Test {
  const m = env.machine;
  const isNot = c.what.is === "not";
  const [shown, isOthers] = asMine(c.what.is === "not" ? c.what.what : c.what);
  const exchanges = c.of?.exchanges ?? 1;
  const { fields } = keep(env, shown, exchanges, compile);
  /** The number of the latest exchange that is over; a "no exchange" has none. */
  const latest = (): number => (context.atTheEnd || m.how === HOW["no exchange"] ? m.number : m.number - 1);
  const count = (side: 0 | 1): number => {
    let n = 0;
    const last = latest();
    for (let no = last; no > 0 && no > last - exchanges; no--) {
      const whose = isOthers ? 1 - side : side;
      const held = m.read((fields[(no - 1) % fields.length] as number) + whose) === 1;
      if (held !== isNot) n++;
    }
    return n;
  };
  const { of } = c;
  return of ? (side) => within(count(side), of.amount) : (side) => count(side) === 1;
}

/** What is asked of the other fencer is kept as his own, so that one ring serves both ways of asking. */
function asMine(c: Condition): readonly [shown: Condition, isOthers: boolean] {
  if (c.is === "rule pays") return [{ is: c.is, rule: c.rule, who: "me" }, c.who === "them"];
  if (c.is === "outcome" && c.who === "they") return [{ ...c, who: "I" }, true];
  return c.is === "call" && c.for === "them" ? [{ ...c, for: "me" }, true] : [c, false];
}

/** A bout that was taken over in its middle: nobody here knows what its exchanges have shown. */
export function withoutEarlier({ env }: { readonly env: Environment }, world: World): World {
  const mem = world.mem.slice();
  for (const { fields } of env.kept.values())
    for (const index of fields) mem.fill(Number.NaN, index, index + 2);
  return { ...world, mem };
}

/** A ring of fields, one pair for each exchange that somebody looks back to; one for everybody who asks the same. */
function keep(env: Environment, shown: Condition, exchanges: number, compile: Compile): KeptCondition {
  const key = JSON.stringify(shown);
  let kept = env.kept.get(key);
  if (!kept) {
    const id = env.kept.size;
    const made = { id, condition: shown, fields: [] as number[], test: (): boolean => false };
    env.kept.set(key, made);
    const test = env.as(owner.kept(id), () => compile(env, shown, OVER));
    kept = { ...made, test };
    env.kept.set(key, kept);
  }
  while (kept.fields.length < exchanges) {
    const name = `kept ${String(kept.id)} ${String(kept.fields.length)}`;
    kept.fields.push(env.fields.pair(name, "bout", { domain: [0, 1] }));
  }
  return kept;
}
