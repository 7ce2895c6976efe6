/** How many exchanges the garland makes room for. */
import type { Scorer } from "../../rules/index.ts";
import type { Bout } from "./bout.ts";

const AT_FIRST = 12;
const GROWS_BY = 6;

/** The rule set's number of exchanges; where it names none, 12 and then 6 more whenever they are full. */
export function plannedExchanges(bout: Bout, scorer: Scorer | undefined): number {
  const fenced = bout.exchanges.length;
  const ends = scorer?.ruleSet.bout.ends.find((end) => end.is === "exchanges");
  const planned = ends?.n ?? AT_FIRST;
  return fenced <= planned ? planned : planned + GROWS_BY * Math.ceil((fenced - planned) / GROWS_BY);
}
