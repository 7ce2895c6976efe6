/** What decides a level bout, kept from exchange to exchange: the counts that are compared, and who hit first and last. */
import type { Phrase, Step } from "../language/tree.ts";
import { type Pair, SIDES } from "../vocabulary.ts";
import type { Environment, Test } from "./environment.ts";
import { holder, markPlace, NOBODY } from "./fields.ts";
import { owner } from "./joined.ts";
import { HOW, type Machine, type SideIndex } from "./machine.ts";
import { atLast, comparedWhenLevel, type WhenLevel } from "./over.ts";

export interface Level {
  /** Red's field; Blue's is the next. */
  readonly counts: readonly { readonly name: string; readonly index: number }[];
  readonly hits: readonly Hits[];
}

/** The bout's first hit, or its last: who landed it, in one field. */
interface Hits {
  readonly which: "firstHit" | "lastHit";
  readonly index: number;
  /** In this exchange that fencer's hit came first, or last. */
  readonly landed: Test;
}

const hit = { result: "hit" } as const;
const mine = (link: Step["link"]): Step => ({ link, subject: "I", doing: hit });
const theirsNever = (link: Step["link"]): Step => ({ link, subject: "they", never: true, doing: hit });
const FIRST: Phrase = { steps: [theirsNever("start"), mine("then")] };
const LAST: Phrase = { steps: [mine("start"), theirsNever("then")] };

/** The names that end a bout's fields of hits. */
export const HIT_FIELDS = ["first hit", "last hit"] as const;

/** Compile-time: makes the fields. Undefined where a level bout compares nothing. */
export function compileLevel(env: Environment): Level | undefined {
  const { ties, wins } = env.ruleSet.bout;
  if (wins === "nobody") return undefined;
  const counts = comparedWhenLevel(ties).map((name) => ({ name, index: countField(env, name) }));
  const last = atLast(ties).is;
  const hits =
    last === "who hit first"
      ? [hitsOf(env, "firstHit", "first hit", FIRST)]
      : last === "who hit last"
        ? [hitsOf(env, "lastHit", "last hit", LAST)]
        : [];
  return counts.length + hits.length === 0 ? undefined : { counts, hits };
}

function countField(env: Environment, name: string): number {
  const mark = env.ruleSet.marks.find((one) => one.name === name);
  return mark ? markPlace(env, mark).index : env.fields.pair(name, "bout");
}

function hitsOf(
  env: Environment,
  which: Hits["which"],
  name: (typeof HIT_FIELDS)[number],
  phrase: Phrase,
): Hits {
  const { index } = env.fields.field(name, "bout", { initial: NOBODY, domain: [NOBODY, 1, 2] });
  return { which, index, landed: env.as(owner.hits, () => env.accepted(phrase)) };
}

/** After an exchange: a double is neither's, nor is what both land together. */
export function keepHits(m: Machine, { hits }: Level): void {
  if (m.part?.hits === false || m.how !== HOW.plain) return;
  for (const { which, index, landed } of hits) {
    const red = landed(0);
    if (red === landed(1)) continue;
    const side: SideIndex = red ? 0 : 1;
    if (which === "lastHit" || m.readNow(index) === NOBODY) m.now[index] = holder(side);
  }
}

/** What decides in the world that the machine holds. */
export const readLevel = (m: Machine, level: Level): WhenLevel => levelFrom(level, (index) => m.read(index));

/** What decides in all of these worlds alike; where they differ it is as if nobody knew. */
export const settledLevel = (level: Level, worlds: readonly Float64Array[]): WhenLevel =>
  levelFrom(level, (index) => {
    const value = worlds[0]?.[index] ?? Number.NaN;
    return worlds.every((mem) => mem[index] === value) ? value : Number.NaN;
  });

function levelFrom({ counts, hits }: Level, read: (index: number) => number): WhenLevel {
  const compared = counts.flatMap(({ name, index }): [string, Pair<number>][] => {
    const [red, blue] = [read(index), read(index + 1)];
    return Number.isNaN(red) || Number.isNaN(blue) ? [] : [[name, { red, blue }]];
  });
  const landed = hits.flatMap(({ which, index }) => {
    const side = SIDES[read(index) - 1];
    return side === undefined ? [] : [[which, side] as const];
  });
  return { counts: Object.fromEntries(compared), ...Object.fromEntries(landed) };
}
