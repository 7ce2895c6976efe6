/** Who the weaker of the two is: where it is kept, and what the lines of a bout say of it. */
import type { Mark, RuleSet } from "../language/tree.ts";
import type { SheetLine, Weaker } from "../record.ts";
import type { Environment } from "./environment.ts";
import { holder, NOBODY } from "./fields.ts";

export const headStarts = ({ bout }: RuleSet) => bout.starts.filter((start) => start.is === "head start");

/** Whether this mark is with the weaker or the stronger of the two as the bout begins. */
export const startsByStrength = ({ starts }: Mark): boolean =>
  starts !== undefined &&
  "with" in starts &&
  (starts.with === "the weaker" || starts.with === "the stronger");

/** Compile-time: the place of who the weaker is, where anything hangs on it. Nobody has said it until a line does. */
export function keepWeaker({ ruleSet, fields }: Environment): void {
  if (headStarts(ruleSet).length > 0 || ruleSet.marks.some(startsByStrength))
    fields.field("weaker", "bout", { initial: Number.NaN, domain: [NOBODY, holder(0), holder(1)] });
}

export const weakerPlace = ({ fields }: Environment): number => fields.find("weaker")?.index ?? -1;

/** Who the weaker is in the bout of these lines, wherever in it that stands; the last word counts. */
export function weakerIn(lines: readonly SheetLine[]): Weaker | undefined {
  const said = (line: SheetLine): Weaker | undefined =>
    line.type === "weaker" ? line.side : line.type === "exchange" ? line.weaker : undefined;
  return lines.reduce<Weaker | undefined>((who, line) => said(line) ?? who, undefined);
}
