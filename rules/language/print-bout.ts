/** The canonical text of the bout's own sentences; what holds anyway is left out. */
import type { Afterblows, BoutRules, Doubles, End, Start, Ties } from "./tree-bout.ts";

/** What holds where a rule set says nothing. */
export const DEFAULT_BOUT: BoutRules = {
  ends: [],
  wins: "who has more points",
  starts: [],
  clock: "stopped at the halt",
  halt: { on: "every hit" },
  ties: { is: "draw" },
  doubles: { is: "score nothing" },
  afterblows: { is: "both score" },
  simultaneous: "score nothing",
  panel: "the referee decides",
  atTheEnd: "stays apart",
  bonus: { countsTowardsTheWin: false, countsTowardsTheCap: false },
};

const points = (n: number): string => `${String(n)} ${n === 1 ? "point" : "points"}`;

function printEnd(end: End): string {
  switch (end.is) {
    case "points":
      return `at ${points(end.n)}${end.ahead === undefined ? "" : ` and ${String(end.ahead)} ahead`}`;
    case "bonus":
      return `at ${String(end.n)} bonus`;
    case "exchanges":
      return `after ${String(end.n)} exchanges`;
    case "minutes":
      return `after ${String(end.n)} min`;
    case "ahead":
      return `at ${points(end.n)} ahead`;
    case "doubles":
      return `at ${String(end.n)} doubles${end.bothLose === true ? ", both lose" : ""}`;
    case "team points":
      return `a team at ${rising(end.numbers)}`;
  }
}

/** "5, 10, then 15 points". */
function rising(numbers: readonly number[]): string {
  const last = points(numbers[numbers.length - 1] ?? 0);
  return numbers.length < 2 ? last : `${numbers.slice(0, -1).map(String).join(", ")}, then ${last}`;
}

function printStart(start: Start): string {
  switch (start.is) {
    case "blades engaged":
      return start.is;
    case "back line":
      return "the stronger stands on the back line";
    case "time left":
      return `${String(start.seconds)} s are left`;
    case "head start": {
      const { points: had } = start;
      return `${start.who} has ${typeof had === "number" ? points(had) : `the ${had.mark} in points`}`;
    }
  }
}

function printTies(ties: Ties): string {
  if (ties.is === "more seconds") return `${String(ties.n)} s more`;
  if (ties.is !== "fewer" && ties.is !== "more") return ties.is;
  return `${ties.is} ${ties.mark}${ties.otherwise ? `, then ${printTies(ties.otherwise)}` : ""}`;
}

function printBonus({ countsTowardsTheWin: win, countsTowardsTheCap: cap }: BoutRules["bonus"]): string {
  if (win && cap) return "counts towards the win and the cap";
  if (win || cap) return `counts towards the ${win ? "win" : "cap"}`;
  return "stays apart";
}

const printHalt = (halt: BoutRules["halt"]): string =>
  halt.on === "target" ? `only on a hit to the ${halt.target}` : "on every hit";

function printAfterblows(afterblows: Afterblows): string {
  const leave = "leave" in afterblows && afterblows.leave === 1 ? " but leave 1" : "";
  return `${afterblows.is}${leave}${afterblows.onlyOf === undefined ? "" : `, only of the ${afterblows.onlyOf}`}`;
}

const printDoubles = ({ is, every }: Doubles): string =>
  every === undefined ? is : `${is} at every ${String(every)} doubles`;

function printAtTheEnd(atTheEnd: BoutRules["atTheEnd"]): string {
  if (atTheEnd === "stays apart") return "bonus stays apart";
  return `every ${String(atTheEnd.every)} bonus make ${points(atTheEnd.make)}, the rest ${atTheEnd.rest}`;
}

/** Every sentence of a bout by its key; "" where nothing is said. */
export const printBoutSentences = (rules: BoutRules) => ({
  ends: rules.ends.map(printEnd),
  starts: rules.starts.map(printStart),
  wins: rules.wins,
  clock: rules.clock,
  halt: printHalt(rules.halt),
  ties: printTies(rules.ties),
  doubles: printDoubles(rules.doubles),
  afterblows: printAfterblows(rules.afterblows),
  simultaneous: rules.simultaneous,
  panel: rules.panel,
  limits: rules.limit === undefined ? "" : `${points(rules.limit)} a fencer`,
  "at the end": printAtTheEnd(rules.atTheEnd),
  bonus: printBonus(rules.bonus),
});
