/** A tally as text that every version of Garland writes alike: what was paid, for what, and how it ended. No wording. */
import type { Tally } from "../../engine/index.ts";

type Both = { readonly red: number; readonly blue: number };

const both = ({ red, blue }: Both): string => `${red} to ${blue}`;

/** The lines of one tally; rule names stand as the rule set has them. */
export function tallyText(tally: Tally): string {
  const awards = tally.awards.map(
    ({ exchange, to, rule, unit, amount }) => `  ${exchange}: ${to} ${amount} ${unit}, ${rule}`,
  );
  const figures = [
    `points ${both(tally.points)}`,
    `bonus ${both(tally.bonus)}`,
    `warned ${both(tally.warned)}`,
    `doubles ${tally.doubles}`,
    `open ${tally.open}`,
    `ended ${tally.ended ?? "not"}`,
  ];
  return [figures.join(", "), ...awards].join("\n");
}
