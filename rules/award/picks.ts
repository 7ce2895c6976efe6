/** Which value each pick has in each exchange: values from outside hold for a bout, an exchange, or some exchanges. */
import type { Pick } from "../language/tree.ts";
import type { ExchangeLine, SheetLine } from "../record.ts";
import { SIDES, type Side } from "../vocabulary.ts";
import type { Environment } from "./environment.ts";
import { isEachFencers, pickPlace } from "./fields.ts";

/** For one exchange: fields to set; NaN where a new value was drawn that nobody has said. */
export type PickValues = readonly { readonly field: number; readonly value: number }[];

interface Entry {
  readonly value: string;
  /** The index of the exchange line that it stands before, or in (`inLine`). */
  readonly at: number;
  readonly inLine: boolean;
}

/** One list for each exchange line of one bout, and what `tonight` picks are known to be at its start. */
export function pickValues(env: Environment, lines: readonly SheetLine[]): readonly PickValues[] {
  const exchanges = lines.filter((line): line is ExchangeLine => line.type === "exchange");
  const perExchange: { field: number; value: number }[][] = exchanges.map(() => []);
  for (const pick of env.ruleSet.picks) {
    const place = pickPlace(env, pick);
    const sides: readonly (Side | undefined)[] = isEachFencers(pick) ? SIDES : [undefined];
    sides.forEach((side, i) => {
      const entries = entriesOf(lines, pick, side);
      const said = periodsOf(pick, exchanges, entries);
      const periods = pick.by === "the list" ? inTurn(pick, said) : said;
      let before = -1;
      exchanges.forEach((_, at) => {
        const period = periods[at] as Period;
        const value =
          period.value === undefined ? -1 : pick.from.findIndex((one) => one.text === period.value);
        if (value >= 0) perExchange[at]?.push({ field: place.index + i, value });
        // Within one period an unknown value stays the same unknown value.
        else if (at > 0 && period.id !== before)
          perExchange[at]?.push({ field: place.index + i, value: Number.NaN });
        before = period.id;
      });
    });
  }
  return perExchange;
}

function entriesOf(lines: readonly SheetLine[], pick: Pick, side: Side | undefined): readonly Entry[] {
  const entries: Entry[] = [];
  let at = 0;
  for (const line of lines) {
    if (line.type === "exchange") {
      const value = (side && line.picks?.[`${side} ${pick.name}`]) ?? line.picks?.[pick.name];
      if (value !== undefined) entries.push({ value, at, inLine: true });
      at++;
    } else if (
      line.type === "pick" &&
      line.pick === pick.name &&
      (line.side === side || line.side === undefined)
    )
      // Of several that are left none is said: they are set where the bout begins.
      entries.push({ value: line.or ? "" : line.value, at, inLine: false });
  }
  return entries;
}

interface Period {
  readonly id: number;
  readonly value: string | undefined;
}

function periodsOf(
  pick: Pick,
  exchanges: readonly ExchangeLine[],
  entries: readonly Entry[],
): readonly Period[] {
  const { when } = pick;
  if ("everyExchanges" in when) return blocks(pick, when.everyExchanges, exchanges, entries);
  if ("everySeconds" in when) return untilTheNext(exchanges, entries);
  if (when.at === "before each exchange" || when.at === "after each exchange")
    return each(exchanges, entries);
  const value = entries.at(-1)?.value;
  return exchanges.map(() => ({ id: 0, value }));
}

/** One value of the list after another, then again from the first; where something else is written, that holds. */
function inTurn({ from }: Pick, periods: readonly Period[]): readonly Period[] {
  return periods.map(({ id, value }) => ({ id, value: value ?? from[id % from.length]?.text }));
}

/** A value of one exchange: written in its line, before it, or, for the last one, after it. */
function each(exchanges: readonly ExchangeLine[], entries: readonly Entry[]): readonly Period[] {
  const last = exchanges.length - 1;
  return exchanges.map((_, at) => {
    const own = entries.filter((one) => one.at === at);
    const after = at === last ? entries.filter((one) => one.at > last) : [];
    return { id: at, value: [...own, ...after].at(-1)?.value };
  });
}

/** A card holds from the next "Fence!" until another is drawn. */
function untilTheNext(exchanges: readonly ExchangeLine[], entries: readonly Entry[]): readonly Period[] {
  return exchanges.map((_, at) => {
    const before = entries.filter((one) => one.at <= at);
    return { id: before.length, value: before.at(-1)?.value };
  });
}

/** A value for every n exchanges; with turns several are drawn together and taken in turn. */
function blocks(
  pick: Pick,
  n: number,
  exchanges: readonly ExchangeLine[],
  entries: readonly Entry[],
): readonly Period[] {
  let fenced = 0;
  const blockOf = exchanges.map(({ how }) => {
    const block = Math.floor(fenced / n);
    if (how !== "no exchange") fenced++;
    return block;
  });
  const turns = pick.turns ?? 0;
  const drawn = new Map<number, string>();
  for (const { value, at } of entries) {
    const block = blockOf[Math.min(at, blockOf.length - 1)] ?? 0;
    if (turns === 0) drawn.set(block, value);
    else {
      const free = Array.from({ length: turns }, (_, turn) => turn).find((turn) => !drawn.has(turn));
      drawn.set(free ?? block % turns, value);
    }
  }
  return blockOf.map((block) => {
    const id = turns === 0 ? block : block % turns;
    return { id, value: drawn.get(id) };
  });
}
