/** Four exchanges that every coach asks about first: it works, it fails, a plain hit, both hit. As bout sheets. */
import { draftLine, draftStart, press, printSheet, type PressPlan } from "../../../rules/index.ts";

export interface Typical {
  readonly words: string;
  readonly sheet: string;
}

/** Made from the press plan itself, so that they fit any rule set. */
export function typicalExchanges(plan: PressPlan): readonly Typical[] {
  const entered = (words: string, ...ids: readonly (string | undefined)[]): readonly Typical[] => {
    const pressed = ids.reduce(
      (draft, id) => (id === undefined ? draft : press(draft, id)),
      draftStart(plan),
    );
    if (pressed.presses.length === 0) return [];
    return [{ words, sheet: printSheet([draftLine(pressed, 1)]) }];
  };
  const red = plan.hits.red[0]?.id;
  const blue = plan.hits.blue[0]?.id;
  const [chip] = plan.chips;
  const other = plan.chips.find((each) => each.side === "red" && each.rule !== chip?.rule);
  const both = plan.neither.find((key) => key.id === "double")?.id;
  return [
    ...entered(chip === undefined ? "Red hits." : `Red hits; ${chip.label.toLowerCase()}.`, red, chip?.id),
    ...(other === undefined ? [] : entered(`No hit counts; ${other.label.toLowerCase()}.`, other.id)),
    ...entered("Blue hits, and nothing more.", blue),
    ...entered("Both hit at once.", both, red, blue),
  ];
}
