/** Tokens and roles change hands inside an exchange, in the order of the actions (P10). */
import type { Change, Condition, Mark, Phrase } from "../language/tree.ts";
import { type Environment, freshFor, type Test } from "./environment.ts";
import { ANOTHER, holder, markPlace, NOBODY } from "./fields.ts";
import type { SideIndex } from "./machine.ts";
import { type Accepts, refuseFading } from "./pattern.ts";
import { asksTouch } from "./quantity.ts";
import { Unsupported } from "./refusal.ts";
import type { Hook } from "./tables.ts";
import { ofThisExchange } from "../language/walk.ts";

const SIDES: readonly SideIndex[] = [0, 1];

/** A change whose place in the exchange counts: one phrase that ends with something done, and nothing known only at the halt. */
export function isLive(change: Change): boolean {
  if (change.when.is !== "conditions" || namesPayment(change.when.all)) return false;
  const { all } = change.when;
  const phrases = all.flatMap(ofThisExchange).flatMap((one) => (one.is === "phrase" ? [one.phrase] : []));
  if (phrasesOf(all).length !== phrases.length || all.flatMap(ofThisExchange).some(asksTouch)) return false;
  return phrases.length === 1 && phrases[0]?.steps.at(-1)?.never !== true;
}

const phrasesOf = (all: readonly Condition[]): Phrase[] =>
  all.flatMap((one) => (one.is === "phrase" ? [one.phrase] : []));

/** Changes that name a payment come last, and no "now" reads them (P10). */
export const namesPayment = (all: readonly Condition[]): boolean =>
  all
    .flatMap(ofThisExchange)
    .some(
      (one) =>
        (one.is === "rule pays" && one.last !== true) || (one.is === "outcome" && one.what === "score"),
    );

/** Compiles the conditions beside a change's phrase. */
export type Rest = (all: readonly Condition[]) => Test;

interface LiveChange {
  readonly accepts: Accepts;
  readonly rest: Test;
  /** Who holds it afterwards; undefined for "changes hands". */
  readonly to: ((side: SideIndex) => number) | undefined;
}

function liveChanges(env: Environment, mark: Mark, compile: Rest): readonly LiveChange[] {
  return mark.changes.filter(isLive).map((change) => {
    const all = change.when.is === "conditions" ? change.when.all : [];
    const phrase = phrasesOf(all)[0] as Phrase;
    const { does } = change;
    return {
      accepts: env.add(phrase),
      rest: compile(all.filter((one) => one.is !== "phrase")),
      to: does.is === "passes" ? (side) => receiver(does.to, side) : undefined,
    };
  });
}

/** Who holds what passes, with this fencer as "I". */
export const receiver = (to: "me" | "them" | "nobody", side: SideIndex): number =>
  to === "nobody" ? NOBODY : holder(to === "me" ? side : ((1 - side) as SideIndex));

/** What passes to two at once passes to neither; NOBODY is a receiver like the fencers. -1: it stays. */
export function passesTo(receivers: readonly number[]): number {
  const [first] = receivers;
  return first !== undefined && receivers.every((one) => one === first) ? first : -1;
}

/** Bit of a roles slot: changed already, and roles change at most once an exchange. */
const LOCKED = 4;

/** The slot that holds the token while an exchange runs; undefined where nothing in an exchange moves it. */
export function holderSlot(env: Environment, mark: Mark, compile: Rest): number | undefined {
  const known = env.holderSlots.get(mark.name);
  if (known !== undefined || !mark.changes.some(isLive)) return known;
  const { index } = markPlace(env, mark);
  const changes = liveChanges(env, mark, compile);
  const once = mark.is === "roles";
  const first = env.hook({
    slots: 1,
    readsMemory: true,
    start: (state, slot) => {
      state[slot] = env.machine.read(index);
    },
    build: (slot, words) => ({ after: move(changes, once, slot, words) }),
  });
  env.holderSlots.set(mark.name, first);
  return first;
}

function move(changes: readonly LiveChange[], once: boolean, slot: number, words: number): Hook["after"] {
  return ({ state, fresh }) => {
    const before = state[slot] as number;
    if (once && (before & LOCKED) !== 0) return;
    let flips = false;
    const receivers: number[] = [];
    for (const change of changes) {
      const sides = SIDES.filter(
        (side) => freshFor(change.accepts.tests, fresh, words, side) && change.rest(side),
      );
      if (sides.length === 0) continue;
      if (!change.to) flips = true;
      else receivers.push(...sides.map(change.to));
    }
    const to = passesTo(receivers);
    const held = before & 3;
    const after = to >= 0 ? to : flips && held !== NOBODY && held !== ANOTHER ? 3 - held : held;
    if (to >= 0 || flips) state[slot] = once ? after | LOCKED : after;
  };
}

export const heldIn = (slotValue: number): number => slotValue & 3;

/** Whether some match of the rule's phrases had the token with whom it is wanted just before its last step. */
export function tokenMoment(
  env: Environment,
  mark: Mark,
  wanted: (side: SideIndex) => number,
  when: readonly Phrase[],
  compile: Rest,
): Test {
  if (when.length === 0)
    throw new Unsupported('"at that moment" needs a "when": the moment of which action?');
  const { index } = markPlace(env, mark);
  const accepts = when.map((phrase) => env.add(phrase));
  for (const one of accepts) refuseFading(one, '"at that moment"');
  const token = holderSlot(env, mark, compile);
  const first = env.hook({
    slots: 2,
    before: true,
    readsMemory: true,
    start: () => undefined,
    build: (slot, words) => ({
      after: ({ state, fresh, kept }) => {
        for (const side of SIDES) {
          if (!accepts.some(({ tests }) => freshFor(tests, kept, words, side))) state[slot + side] = 0;
          if (accepts.some(({ tests }) => freshFor(tests, fresh, words, side))) {
            const held =
              token === undefined ? env.machine.read(index) : heldIn(state[env.slot(token)] as number);
            state[slot + side]! |= 1 << held;
          }
        }
      },
    }),
  });
  return (side) => ((env.machine.state[env.slot(first) + side] as number) & (1 << wanted(side))) !== 0;
}
