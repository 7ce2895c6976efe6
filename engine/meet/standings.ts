/**
 * Ranking in a pool: victories by bouts, then hits scored minus hits received (the indicator), then hits scored, then lot.
 * Source: sport fencing's published competition rules (from memory); two alike here share their place until the lot.
 */
import type { Ending } from "../../rules/index.ts";
import type { PersonId } from "../ids.ts";

export interface PoolResult {
  readonly red: PersonId;
  readonly blue: PersonId;
  readonly points: { readonly red: number; readonly blue: number };
  readonly ending: Ending;
}

export interface Standing {
  readonly place: number;
  readonly person: PersonId;
  readonly bouts: number;
  readonly victories: number;
  readonly scored: number;
  readonly received: number;
  /** Hits scored minus hits received; over a complete pool the indicators sum to 0. */
  readonly indicator: number;
}

type Row = Omit<Standing, "place">;

function won(side: "red" | "blue", ending: Ending): boolean {
  return side === "red"
    ? ending === "red wins" || ending === "blue forfeits"
    : ending === "blue wins" || ending === "red forfeits";
}

function rowOf(person: PersonId, results: readonly PoolResult[]): Row {
  let bouts = 0;
  let victories = 0;
  let scored = 0;
  let received = 0;
  for (const { red, blue, points, ending } of results) {
    // A stopped bout is closed without loss.
    if (ending === "stopped" || (red !== person && blue !== person)) continue;
    const side = red === person ? "red" : "blue";
    // "No winner" is neither won nor lost nor drawn: only its hits count.
    if (ending !== "no winner") bouts++;
    if (won(side, ending)) victories++;
    scored += points[side];
    received += points[side === "red" ? "blue" : "red"];
  }
  return { person, bouts, victories, scored, received, indicator: scored - received };
}

const ratio = (row: Row): number => (row.bouts === 0 ? 0 : row.victories / row.bouts);

const compare = (a: Row, b: Row): number =>
  ratio(b) - ratio(a) || b.indicator - a.indicator || b.scored - a.scored;

/** The pool's ranking, best first; those whom only the lot can part have the same place. */
export function standings(people: readonly PersonId[], results: readonly PoolResult[]): readonly Standing[] {
  const rows = people.map((person) => rowOf(person, results)).sort(compare);
  const placed = (row: Row): Standing => ({
    place: 1 + rows.filter((other) => compare(other, row) < 0).length,
    ...row,
  });
  return rows.map(placed);
}
