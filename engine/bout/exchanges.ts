/** Changes to a bout's list of exchanges, and what moves with them: picks and penalties that stand between two. */
import type { ExchangeId } from "../ids.ts";
import type { Bout, BoutExchange, Undoable } from "./bout.ts";

type Undo = Undoable extends infer U ? (U extends Undoable ? Omit<U, "version"> : never) : never;

/** Puts one step on the pile that "Undo" takes from. */
export const undoable = (bout: Bout, version: number, undo: Undo): Bout => ({
  ...bout,
  undoable: [...(bout.undoable ?? []), { ...undo, version } as Undoable],
});

export const indexOf = (bout: Bout, id: ExchangeId): number =>
  bout.exchanges.findIndex((exchange) => exchange.id === id);

/** Changes one exchange; a bout without it stays as it is. */
export const withExchange = (
  bout: Bout,
  id: ExchangeId,
  change: (exchange: BoutExchange) => BoutExchange,
): Bout => ({
  ...bout,
  exchanges: bout.exchanges.map((exchange) => (exchange.id === id ? change(exchange) : exchange)),
});

/** Puts an exchange at an index; what stood behind it moves back by one. */
export function insertAt(bout: Bout, at: number, exchange: BoutExchange): Bout {
  const exchanges = [...bout.exchanges.slice(0, at), exchange, ...bout.exchanges.slice(at)];
  return {
    ...bout,
    exchanges,
    picks: bout.picks.map((pick) => (pick.before > at + 1 ? { ...pick, before: pick.before + 1 } : pick)),
    penalties: bout.penalties.map((each) =>
      each.afterExchange > at ? { ...each, afterExchange: each.afterExchange + 1 } : each,
    ),
  };
}

/** Takes an exchange out; what stood behind it moves up by one. */
export function removeAt(bout: Bout, at: number): Bout {
  return {
    ...bout,
    exchanges: bout.exchanges.filter((_, index) => index !== at),
    picks: bout.picks.map((pick) => (pick.before > at + 1 ? { ...pick, before: pick.before - 1 } : pick)),
    penalties: bout.penalties.map((each) =>
      each.afterExchange > at ? { ...each, afterExchange: each.afterExchange - 1 } : each,
    ),
  };
}
