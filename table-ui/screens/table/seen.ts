/** The tablet paints its own bout with the same view that the server would send, so both always say the same. */
import { emptyMeet, type Bout } from "../../../engine/index.ts";
import { explain } from "../../../rules/index.ts";
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

export function seenAtTable(
  bout: Bout,
  view: TableView,
  rules: RuleSetInUse,
  now: number,
): BoutOnView | undefined {
  const onFile = { ...rules, explained: explain(rules.ruleSet) };
  // `names` says who was called Red at first; a swap of the fencers swaps the ids in the bout only.
  const called = Object.values(view.events).find((event) => event.type === "BoutCalled");
  const names = new Map([
    [called?.red ?? bout.red, view.names.red],
    [called?.blue ?? bout.blue, view.names.blue],
  ]);
  const hall = {
    now,
    since: now,
    meet: { ...emptyMeet, rings: [{ id: bout.ring, name: view.ringName ?? view.ring }] },
    bout: () => ({ bout, events: [] }),
    ruleSet: (hash: string) => (hash === rules.hash ? onFile : undefined),
    scorers: (hash: string) => (hash === rules.hash ? rules.scorer : undefined),
    person: (id: string) => person(id, names.get(id) ?? id),
    judges: () => [],
    seats: () => [],
  };
  return boutOnView(hall, { bout, events: [] }, { kind: "table", seat: view.seat, ring: view.ring });
}
