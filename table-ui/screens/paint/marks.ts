/** From what a seat may see of an exchange to what the thread shows of it. */
import type { Penalty, Side } from "../../../engine/index.ts";
import type { AwardOnView, BoutOnView, ExchangeOnView } from "../../wire/views.ts";
import type { State } from "./shapes.ts";

export interface Leaf {
  readonly bonus: number;
  readonly state: State;
}

/** What one fencer has from an exchange. Points are the net of all its awards and may be a loss. */
export interface Voice {
  readonly points: number;
  readonly openPoints: number;
  readonly leaves: readonly Leaf[];
}

export type Knot = "knot" | "double" | "no exchange" | "under way" | "sealed";

export interface Mark {
  readonly id: string;
  readonly knot: Knot;
  readonly red: Voice;
  readonly blue: Voice;
  readonly penalty?: { readonly side: Side; readonly penalty: Penalty };
  readonly putRight?: boolean;
  /** Being entered at the table: outlines only. */
  readonly wet?: boolean;
  readonly afterTheEnd?: boolean;
}

const SILENT: Voice = { points: 0, openPoints: 0, leaves: [] };

/** The exchange that is being fenced: a hollow ring with nothing on it yet. */
export const underWay: Mark = { id: "under way", knot: "under way", red: SILENT, blue: SILENT };

/** Dashed only where something is undecided: settled and still open amounts of one award stand apart. */
function voice(awards: readonly AwardOnView[], side: Side, wet: boolean): Voice {
  const own = awards.filter((award) => award.to === side);
  const points = own.filter((award) => award.unit === "points");
  const leaves: Leaf[] = [];
  for (const award of own) {
    if (award.unit !== "bonus") continue;
    if (award.amount !== 0) leaves.push({ bonus: award.amount, state: wet ? "wet" : "settled" });
    const open = (award.open ?? award.amount) - award.amount;
    if (open !== 0) leaves.push({ bonus: open, state: "open" });
  }
  const sum = points.reduce((total, award) => total + award.amount, 0);
  const most = points.reduce((total, award) => total + (award.open ?? award.amount), 0);
  return { points: sum, openPoints: most - sum, leaves };
}

/** The mark of one exchange; `wet` for the table's draft. */
export function markOf(exchange: Omit<ExchangeOnView, "sentence" | "no">, wet = false): Mark {
  const { id, how, awards, penalty, putRight, sealed, afterTheEnd } = exchange;
  return {
    id,
    knot: sealed ? "sealed" : how === "double" ? "double" : how === "no exchange" ? "no exchange" : "knot",
    red: voice(awards, "red", wet),
    blue: voice(awards, "blue", wet),
    ...(penalty && { penalty }),
    ...(putRight !== undefined && { putRight: true }),
    ...(wet && { wet }),
    ...(afterTheEnd && { afterTheEnd }),
  };
}

/** The exchanges of a bout in their order. */
export const exchangesOf = (bout: BoutOnView): readonly ExchangeOnView[] =>
  bout.order.map((id) => bout.exchanges[id]).filter((exchange) => exchange !== undefined);

/** All marks of a bout, the exchange under way included while it goes on. */
export function marksOf(bout: BoutOnView): readonly Mark[] {
  const marks = exchangesOf(bout).map((exchange) => markOf(exchange));
  const goesOn = bout.stage !== "ended" && bout.stage !== "called" && bout.stage !== "checked";
  return goesOn ? [...marks, underWay] : marks;
}
