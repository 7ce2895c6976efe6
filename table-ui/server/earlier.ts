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
    { readonly on: readonly (Bout | undefined)[]; readonly said: readonly string[] }
  >();
  const bouts = (id: string): Bout | undefined => streams.bout(id)?.bout;
  return (id) => {
    const bout = bouts(id);
    const after = bout?.brings.after ?? [];
    if (bout === undefined || after.length === 0) return NONE;
    const on = [bout, ...after.map(bouts)];
    const before = known.get(id);
    if (before?.on.length === on.length && before.on.every((each, at) => each === on[at])) return before.said;
    const said = movedByEarlier(bout, bouts, shelf.scorers);
    known.set(id, { on, said });
    return said;
  };
}
