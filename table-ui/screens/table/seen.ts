/** The tablet paints its own bout with the same view that the server would send, so both always say the same. */
import { emptyMeet, type Bout, type BoutEvent } from "../../../engine/index.ts";
import { explainBriefly } from "../../../rules/index.ts";
import { boutOnView } from "../../wire/view-bout.ts";
import type { BoutOnView, TableView } from "../../wire/views.ts";
import type { RuleSetInUse } from "./station.ts";

const person = (id: string, name: string) => ({
  id,
  name,
  shortName: name,
  notes: "",
  consents: [],
  erased: false,
});

/** Whether the fencers stand swapped in these events: an even number of swaps, or one that was taken back, is none. */
function isSwapped(events: TableView["events"]): boolean {
  const swaps = new Set<string>();
  const inOrder = Object.entries(events).sort(([a], [b]) => Number(a) - Number(b));
  for (const [version, event] of inOrder as readonly (readonly [string, BoutEvent])[]) {
    if (event.type === "FencersSwapped") swaps.add(version);
    if (event.type === "Undone") swaps.delete(String(event.version));
  }
  return swaps.size % 2 === 1;
}

export function seenAtTable(
  bout: Bout,
  view: TableView,
  rules: RuleSetInUse,
  now: number,
): BoutOnView | undefined {
  const text = view.ruleSetTexts?.[rules.hash] ?? "";
  const onFile = { ...rules, text, explained: explainBriefly(rules.ruleSet) };
  // `names` says who is Red after the view's events; a swap that still waits here swaps the ids in the bout only.
  const called = Object.values(view.events).find((event) => event.type === "BoutCalled");
  const { red, blue } = called ?? bout;
  const [first, second] = isSwapped(view.events) ? [blue, red] : [red, blue];
  const names = new Map([
    [first, view.names.red],
    [second, view.names.blue],
  ]);
  const hall = {
    now,
    since: now,
    meet: { ...emptyMeet, rings: [{ id: bout.ring, name: view.ringName ?? view.ring }] },
    bout: () => ({ bout, events: [] }),
    ruleSet: (hash: string) => (hash === rules.hash ? onFile : undefined),
    scorers: (hash: string) => (hash === rules.hash ? rules.scorer : undefined),
    person: (id: string) => person(id, names.get(id) ?? id),
    earlier: () => view.earlier ?? [],
    judges: () => [],
    seats: () => [],
    standing: { state: "sound" } as const,
  };
  return boutOnView(hall, { bout, events: [] }, { kind: "table", seat: view.seat, ring: view.ring });
}
