/** Takes facts out of a fully recorded bout: what is left must never be scored as if the rest had not been. */
import type { Act, BoutSheet, ExchangeLine } from "../../rules/record.ts";
import type { Random } from "./random-bouts.ts";

type Way = (random: Random, line: ExchangeLine) => ExchangeLine | undefined;

/** Changes one action; undefined where none can be changed so. */
function change(
  random: Random,
  line: ExchangeLine,
  may: (act: Act) => boolean,
  to: (act: Act) => Act,
): ExchangeLine | undefined {
  const places = line.acts.flatMap((act, i) => (may(act) ? [i] : []));
  if (places.length === 0) return undefined;
  const at = random.pick(places);
  return { ...line, acts: line.acts.map((act, i) => (i === at ? to(act) : act)) };
}

const isStrike = ({ kind }: Act): boolean =>
  kind !== undefined && ["attack", "riposte", "counter-attack"].includes(kind);

/** Nothing that landed, or may have landed, goes unrecorded. */
const mayGo = ({ end }: Act): boolean => end !== "hit" && end !== "perhaps";

const withoutTime = ({ after: _, ...act }: Act): Act => act;

const WAYS: readonly Way[] = [
  // What stood first or last was not recorded, if it was no hit (S1).
  (_, line) =>
    line.acts[0] && mayGo(line.acts[0])
      ? { ...line, open: true, acts: line.acts.slice(1).map((act, i) => (i === 0 ? withoutTime(act) : act)) }
      : undefined,
  (_, line) => {
    const last = line.acts.at(-1);
    return last && mayGo(last) ? { ...line, open: true, acts: line.acts.slice(0, -1) } : undefined;
  },
  (_, line) => ({ ...line, open: true }),
  (random, line) =>
    change(
      random,
      line,
      ({ target }) => target !== undefined,
      ({ target: _, ...act }) => act,
    ),
  (random, line) =>
    change(
      random,
      line,
      ({ form, kind }) => form !== undefined && kind !== undefined,
      ({ form: _, ...act }) => act,
    ),
  // In a closed line a strike without its kind is an attack, and after one's own parry a riposte in any line (S2).
  (random, line) => {
    const afterParry = (act: Act): boolean => {
      const before = line.acts[line.acts.indexOf(act) - 1];
      return before?.kind === "parry" && before.by === act.by;
    };
    const less = change(
      random,
      line,
      (act) => isStrike(act) && act.form !== undefined && (act.kind === "riposte" || !afterParry(act)),
      ({ kind: _, ...act }) => act,
    );
    return less && { ...less, open: true };
  },
  (random, line) =>
    change(
      random,
      line,
      ({ end }) => end === "hit",
      (act) => ({ ...act, end: "perhaps" as const }),
    ),
  (random, line) =>
    change(
      random,
      line,
      (act) => isStrike(act) && act.end === undefined,
      (act) => ({ ...act, end: "perhaps" as const }),
    ),
  (random, line) => {
    const less = change(
      random,
      line,
      ({ end }) => end === "miss",
      ({ end: _, ...act }) => act,
    );
    return less && { ...less, open: true };
  },
  ({ chance }, { left: _, ...line }) => (chance(0.9) ? line : undefined),
];

/** Nobody measured how long after the action before it came, or how long it lasted. */
const WAYS_IN_TIME: readonly Way[] = [
  ...WAYS,
  ...Array.from(
    { length: 5 },
    (): Way => (random, line) => change(random, line, ({ after }) => after !== undefined, withoutTime),
  ),
  (random, line) =>
    change(
      random,
      line,
      (act) => act.for !== undefined,
      ({ for: _, ...act }) => act,
    ),
];

/** The same bout with some facts forgotten, and some seconds. */
export const forgetInTime = (random: Random, sheet: BoutSheet, times: number): BoutSheet =>
  forget(random, sheet, times, WAYS_IN_TIME);

/** The same bout with some facts forgotten. */
export function forget(random: Random, sheet: BoutSheet, times: number, ways = WAYS): BoutSheet {
  const lines = [...sheet];
  for (let i = 0; i < times && lines.length > 0; i++) {
    const at = random.below(lines.length);
    const line = lines[at];
    if (line?.type === "pick") lines.splice(at, 1);
    if (line?.type !== "exchange" || line.how === "no exchange") continue;
    const { picks, ...rest } = line;
    const less = picks && random.chance(0.3) ? rest : random.pick(ways)(random, line);
    if (less) lines[at] = less;
  }
  return lines;
}
