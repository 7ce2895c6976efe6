/** The canonical text of the bout's own sentences; what holds anyway is left out. */
import type { BoutRules, End, Start, Ties } from "./tree.ts";

/** What holds where a rule set says nothing. */
export const DEFAULT_BOUT: BoutRules = {
  ends: [],
  starts: [],
  clock: "stopped at the halt",
  halt: { on: "every hit" },
  ties: { is: "draw" },
  doubles: "score nothing",
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
      return `at ${points(end.n)}`;
    case "exchanges":
      return `after ${String(end.n)} exchanges`;
    case "minutes":
      return `after ${String(end.n)} min`;
    case "ahead":
      return `at ${points(end.n)} ahead`;
    case "doubles":
      return `at ${String(end.n)} doubles${end.bothLose === true ? ", both lose" : ""}`;
    case "team points":
      return `a team at ${points(end.n)}`;
  }
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
  return ties.is === "fewer" ? `fewer ${ties.mark}` : ties.is;
}

function printBonus({ countsTowardsTheWin: win, countsTowardsTheCap: cap }: BoutRules["bonus"]): string {
  if (win && cap) return "counts towards the win and the cap";
  if (win || cap) return `counts towards the ${win ? "win" : "cap"}`;
  return "stays apart";
}

const printHalt = (halt: BoutRules["halt"]): string =>
  halt.on === "target" ? `only on a hit to the ${halt.target}` : "on every hit";

function printAfterblows(afterblows: BoutRules["afterblows"]): string {
  if (afterblows.is !== "take off 1") return afterblows.is;
  return afterblows.leave === 1 ? "take off 1 but leave 1" : "take off 1";
}

function printAtTheEnd(atTheEnd: BoutRules["atTheEnd"]): string {
  if (atTheEnd === "stays apart") return "bonus stays apart";
  return `every ${String(atTheEnd.every)} bonus make ${points(atTheEnd.make)}, the rest is lost`;
}

const sentencesOf = (rules: BoutRules): readonly (readonly [string, string])[] => [
  ["clock", rules.clock],
  ["halt", printHalt(rules.halt)],
  ["ties", printTies(rules.ties)],
  ["doubles", rules.doubles],
  ["afterblows", printAfterblows(rules.afterblows)],
  ["simultaneous", rules.simultaneous],
  ["panel", rules.panel],
  ["limits", rules.limit === undefined ? "" : `${points(rules.limit)} a fencer`],
  ["at the end", printAtTheEnd(rules.atTheEnd)],
  ["bonus", printBonus(rules.bonus)],
];

/** Keys and sentences of a bout in their order; a list where the file has one. */
export function printBout(bout: BoutRules): readonly (readonly [string, string | readonly string[]])[] {
  const usual = new Map(sentencesOf(DEFAULT_BOUT));
  return [
    ...(bout.ends.length > 0 ? [["ends", bout.ends.map(printEnd)] as const] : []),
    ...(bout.starts.length > 0 ? [["starts", bout.starts.map(printStart)] as const] : []),
    ...sentencesOf(bout).filter(([key, text]) => usual.get(key) !== text),
  ];
}
