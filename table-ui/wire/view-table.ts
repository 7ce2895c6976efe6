/** The table's page: the bout's events, for the tablet runs the same engine over them, and votes as a count only. */
import type { BoutEvent } from "../../engine/index.ts";
import type { RuleSet } from "../../rules/index.ts";
import type { BoutOnFile, Hall, Sitting } from "./hall.ts";
import { nameFor } from "./names.ts";
import { seatedBout } from "./view-bout.ts";
import { nextOn, seenBy } from "./view-wall.ts";
import type { TableView } from "./views.ts";

type AtTable = Sitting & { kind: "table" };

/** Trees as JSON text; a view is drawn at every event, a tree never changes. */
const trees = new WeakMap<RuleSet, string>();

function treeOf(ruleSet: RuleSet): string {
  const known = trees.get(ruleSet) ?? JSON.stringify(ruleSet);
  trees.set(ruleSet, known);
  return known;
}

/** [W39] Rule sets that the tablet may need: those on the shelf, and every one that the bout ever had. */
function ruleSetsFor(
  hall: Hall,
  file: BoutOnFile | undefined,
): Pick<Required<TableView>, "ruleSetTexts" | "ruleSetTrees"> {
  const used = (file?.events ?? []).flatMap(({ data }) => ("ruleSet" in data ? [data.ruleSet] : []));
  const hashes = new Set([...hall.meet.shelf.map(({ ruleSet }) => ruleSet), ...used]);
  const known = [...hashes].flatMap((hash) => hall.ruleSet(hash) ?? []);
  return {
    ruleSetTexts: Object.fromEntries(known.map(({ hash, text }) => [hash, text])),
    ruleSetTrees: Object.fromEntries(known.map(({ hash, ruleSet }) => [hash, treeOf(ruleSet)])),
  };
}

/** Lines of a person's notes that concern gear: "Gear: lent mask, check the bib." */
export function gearNotes(notes: string): string | undefined {
  const found = notes.split("\n").flatMap((line) => /^gear:\s*(.+)$/i.exec(line.trim())?.[1] ?? []);
  return found.length === 0 ? undefined : found.join(" ");
}

function gearOf(hall: Hall, file: BoutOnFile): TableView["gear"] {
  const of = (person: string): string | undefined => gearNotes(hall.person(person)?.notes ?? "");
  const red = of(file.bout.red);
  const blue = of(file.bout.blue);
  if (red === undefined && blue === undefined) return undefined;
  return { ...(red === undefined ? {} : { red }), ...(blue === undefined ? {} : { blue }) };
}

/** [W6] How many have voted on the exchange under vote, where there is one. */
export function votesOn(hall: Hall, file: BoutOnFile, underVote: string | undefined): TableView["votes"] {
  const exchange = file.bout.exchanges.find(({ id }) => id === underVote);
  if (exchange === undefined) return {};
  const judges = hall.judges(file.bout.ring).filter(({ referee }) => !referee);
  const voted = new Set(exchange.votes.map(({ by }) => by.seat));
  const cast = judges.filter(({ seat }) => voted.has(seat)).length;
  return { exchange: exchange.id, cast, seats: judges.length };
}

export function tableView(hall: Hall, sitting: AtTable): TableView {
  const ring = hall.meet.rings.find(({ id }) => id === sitting.ring);
  const file = ring?.bout === undefined ? undefined : hall.bout(ring.bout);
  const seated = file && seatedBout(hall, file, sitting);
  const next = nextOn(hall, sitting.ring, sitting);
  const gear = file && gearOf(hall, file);
  const earlier = file === undefined ? [] : hall.earlier(file.bout.id);
  const events: Record<string, BoutEvent> = {};
  const commands: Record<string, string> = {};
  for (const { version, data, command } of seated?.seen.events ?? []) {
    events[String(version)] = data;
    commands[String(version)] = command;
  }
  return {
    ...seenBy(hall, sitting),
    kind: "table",
    ring: sitting.ring,
    ringName: ring?.name ?? sitting.ring,
    ...(ring?.pen === undefined ? {} : { pen: { device: ring.pen.device, epoch: ring.pen.epoch } }),
    names: file
      ? { red: nameFor(hall, file.bout.red, sitting), blue: nameFor(hall, file.bout.blue, sitting) }
      : { red: "", blue: "" },
    ...(file === undefined ? {} : { boutId: file.bout.id }),
    ...(seated === undefined ? {} : { ruleSetText: seated.ruleSet.text }),
    ...ruleSetsFor(hall, file),
    events,
    commands,
    votes: file ? votesOn(hall, file, seated?.seen.underVote) : {},
    ...(next === undefined ? {} : { next }),
    ...(earlier.length === 0 ? {} : { earlier }),
    ...(gear === undefined ? {} : { gear }),
  };
}
