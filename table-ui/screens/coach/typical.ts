/** Four exchanges that every coach asks about first: it works, it fails, a plain hit, both hit. As bout sheets. */
import {
  draftLine,
  draftStart,
  press,
  printSheet,
  type Draft,
  type PressPlan,
} from "../../../rules/index.ts";

export interface Typical {
  readonly words: string;
  readonly sheet: string;
}

/** The draft after these presses; undefined unless every one of them took. */
function pressed(plan: PressPlan, ids: readonly string[]): Draft | undefined {
  const draft = ids.reduce(press, draftStart(plan));
  return ids.length > 0 && ids.every((id) => draft.presses.includes(id)) ? draft : undefined;
}

/** Everybody saw it: as an example it waits for no judge, so the line is closed. */
const told = (words: string, draft: Draft | undefined): readonly Typical[] =>
  draft === undefined ? [] : [{ words, sheet: printSheet([{ ...draftLine(draft, 1), open: false }]) }];

/** Red's dearest theme that goes with a hit; of two that pay the same, the first of the file. */
function works(plan: PressPlan): readonly Typical[] {
  const dearest = plan.chips
    .filter((chip) => chip.side === "red" && chip.from.is === "rule" && chip.pay?.to === "red")
    .sort((a, b) => (b.pay?.amount ?? 0) - (a.pay?.amount ?? 0));
  for (const chip of dearest) {
    const draft = plan.hits.red
      .map((hit) => pressed(plan, [hit.id, chip.id]))
      .find((each) => each !== undefined);
    if (draft !== undefined) return told(`Red hits; ${chip.label.toLowerCase()}.`, draft);
  }
  const [hit] = plan.hits.red;
  return hit === undefined ? [] : told("Red hits.", pressed(plan, [hit.id]));
}

/** What Red can do without a hit: the attempt where the rule set names one, else the first theme that needs none. */
function fails(plan: PressPlan): readonly Typical[] {
  const reds = plan.chips.filter((chip) => chip.side === "red");
  const named = reds.filter((chip) => chip.from.is === "phrase" && chip.rule === "attempt");
  for (const chip of [...named, ...reds]) {
    const draft = pressed(plan, [chip.id]);
    if (draft === undefined || draftLine(draft, 1).acts.some((act) => act.end === "hit")) continue;
    return told(`Nobody hits; Red: ${chip.label.toLowerCase()}.`, draft);
  }
  return [];
}

/** Made from the press plan itself, so that they fit any rule set. */
export function typicalExchanges(plan: PressPlan): readonly Typical[] {
  const red = plan.hits.red[0]?.id;
  const blue = plan.hits.blue[0]?.id;
  return [
    ...works(plan),
    ...fails(plan),
    ...(blue === undefined ? [] : told("Blue hits, and nothing more.", pressed(plan, [blue]))),
    ...(red === undefined || blue === undefined
      ? []
      : told("Both hit at once.", pressed(plan, ["double", red, blue]))),
  ];
}
