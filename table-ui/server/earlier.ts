/** What corrections of earlier bouts have moved of what a bout brought in; worked out anew only when a bout has changed. */
import { movedByEarlier, type Bout } from "../../engine/index.ts";
import type { Shelf } from "./shelf.ts";
import type { Streams } from "./streams.ts";

/** The sentences for a bout; none for one that nothing has moved. */
export type Earlier = (bout: string) => readonly string[];

const NONE: readonly string[] = [];

export function openEarlier(streams: Streams, shelf: Shelf): Earlier {
  const known = new Map<
    string,
    { readonly on: readonly unknown[]; settled: number; readonly said: readonly string[] }
  >();
  const bouts = (id: string): Bout | undefined => streams.bout(id)?.bout;
  return (id) => {
    const bout = bouts(id);
    const after = bout?.brings.after ?? [];
    if (bout === undefined || after.length === 0) return NONE;
    const settled = streams.settledChanges;
    // What it was brought, and by whom it is fenced: its own exchanges change nothing of it.
    const own = [bout.brings, bout.ruleSet, bout.red, bout.blue];
    const before = known.get(id);
    const sameOwn = before !== undefined && own.every((each, at) => each === before.on[at]);
    if (sameOwn && before.settled === settled) return before.said;
    const on = [...own, ...after.map(bouts)];
    if (sameOwn && before.on.every((each, at) => each === on[at])) {
      before.settled = settled;
      return before.said;
    }
    const said = movedByEarlier(bout, bouts, shelf.scorers);
    known.set(id, { on, settled, said });
    return said;
  };
}
