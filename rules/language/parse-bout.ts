/** The bout's own sentences: how it ends, starts, and what doubles and afterblows do. */
import type { Cursor } from "./cursor.ts";
import { parseSeconds } from "./parse-phrase.ts";
import {
  PANELS,
  WINS,
  type Afterblows,
  type BoutRules,
  type Doubles,
  type End,
  type Start,
  type Ties,
} from "./tree-bout.ts";

export function parseEnd(c: Cursor): End {
  const from = c.at;
  return c.placed(endAt(c), from);
}

function endAt(c: Cursor): End {
  if (c.take("after")) {
    const n = c.needNumber();
    const unit = c.needOneOf(["exchanges", "exchange", "min", "minutes", "minute"]);
    return { is: unit.startsWith("exchange") ? "exchanges" : "minutes", n };
  }
  const team = c.take("team");
  c.need("at");
  if (team) return { is: "team points", numbers: parseRising(c) };
  const n = c.needNumber();
  if (c.take("doubles") || c.take("double")) {
    if (!c.comma()) return { is: "doubles", n };
    c.need("both lose");
    return { is: "doubles", n, bothLose: true };
  }
  if (c.take("bonus")) return { is: "bonus", n };
  c.needOneOf(["points", "point"]);
  if (c.take("ahead")) return { is: "ahead", n };
  if (!c.take("and")) return { is: "points", n };
  const ahead = c.needNumber();
  c.need("ahead");
  return { is: "points", n, ahead };
}

/** "5, 10, then 15 points", of the bouts of a relay. */
function parseRising(c: Cursor): readonly number[] {
  const numbers = [c.needNumber()];
  for (;;) {
    const comma = c.comma();
    const last = c.take("then");
    if (!comma && !last) break;
    numbers.push(c.needNumber());
    if (last) break;
  }
  c.needOneOf(["points", "point"]);
  return numbers;
}

export function parseStart(c: Cursor): Start {
  const from = c.at;
  return c.placed(startAt(c), from);
}

function startAt(c: Cursor): Start {
  if (c.take("blades engaged")) return { is: "blades engaged" };
  if (c.token()?.kind === "number") {
    const seconds = parseSeconds(c);
    c.need("are left");
    return { is: "time left", seconds };
  }
  if (c.take("the stronger stands on the back line")) return { is: "back line" };
  const who = c.needOneOf(["the weaker", "the stronger"]);
  c.need("has");
  if (c.token()?.kind === "number") {
    const points = c.needNumber();
    c.needOneOf(["points", "point"]);
    return { is: "head start", who, points };
  }
  const mark = c.name(["mark"]) ?? c.fail();
  c.need("in points");
  return { is: "head start", who, points: { mark: mark.name } };
}

export const parseClock = (c: Cursor): BoutRules["clock"] => c.needOneOf(["stopped at the halt", "running"]);

export function parseHalt(c: Cursor): BoutRules["halt"] {
  if (c.take("on every hit")) return { on: "every hit" };
  c.need("only on a hit to");
  return { on: "target", target: (c.word(["target"]) ?? c.fail()).name };
}

export function parseTies(c: Cursor): Ties {
  if (c.token()?.kind === "number") {
    const n = parseSeconds(c);
    c.need("more");
    return { is: "more seconds", n };
  }
  const is = c.oneOf(["fewer", "more"]);
  if (is !== undefined) {
    const mark = c.name(["mark"])?.name ?? c.needOneOf(TIE_COUNTS);
    const comma = c.comma();
    if (c.take("then")) return { is, mark, otherwise: parseTies(c) };
    if (comma) c.fail();
    return { is, mark };
  }
  return { is: c.needOneOf(PLAIN_TIES) };
}

const TIE_COUNTS = ["bonus", "warnings", "penalties"] as const;
const PLAIN_TIES = [
  "draw",
  "sudden death",
  "priority minute",
  "judges' choice",
  "who hit first",
  "who hit last",
] as const;

export const parseWins = (c: Cursor): BoutRules["wins"] => c.needOneOf(WINS);

export function parseDoubles(c: Cursor): Doubles {
  const is = c.needOneOf(["score nothing", "both score", "the difference scores", "1 off each"]);
  if (is !== "1 off each" || !c.take("at every")) return { is };
  const every = c.needNumber();
  c.needOneOf(["doubles", "double"]);
  return { is, every };
}

export const parseSimultaneous = (c: Cursor): BoutRules["simultaneous"] =>
  c.needOneOf(["score nothing", "both score"]);

export function parseAfterblows(c: Cursor): Afterblows {
  const policy = afterblowsAt(c);
  if (!c.comma()) return policy;
  c.need("only of");
  return { ...policy, onlyOf: (c.name(["role"]) ?? c.fail()).name };
}

function afterblowsAt(c: Cursor): Afterblows {
  const less = c.oneOf(["take off 1", "the difference scores"]);
  if (less !== undefined) return { is: less, leave: c.take("but leave 1") ? 1 : 0 };
  const is = c.needOneOf(["both score", "score nothing", "annul the hit", "half to the second"]);
  if (is === "half to the second" && c.take("(")) c.need("2 to 1)");
  return { is };
}

export const parsePanel = (c: Cursor): BoutRules["panel"] => c.needOneOf(PANELS);

export function parseTeamLimit(c: Cursor): number {
  const n = c.needNumber();
  c.needOneOf(["points", "point"]);
  c.need("fencer");
  return n;
}

export function parseAtTheEnd(c: Cursor): BoutRules["atTheEnd"] {
  if (c.take("bonus stays apart")) return "stays apart";
  c.need("every");
  const every = c.needNumber();
  c.need("bonus");
  c.needOneOf(["make", "makes"]);
  const make = c.needNumber();
  c.needOneOf(["points", "point"]);
  c.comma();
  const rest = c.needOneOf(["the rest is lost", "the rest stays"]) === "the rest stays" ? "stays" : "is lost";
  return { every, make, rest };
}

/** "stays apart", "counts towards the win", "counts towards the cap", or both in one sentence. */
export function parseBonus(c: Cursor): BoutRules["bonus"] {
  if (c.take("stays apart")) return { countsTowardsTheWin: false, countsTowardsTheCap: false };
  c.need("counts towards");
  const first = c.needOneOf(["the win", "the cap"]);
  const both = c.take("and") && (c.take("counts towards"), c.needOneOf(["the win", "the cap"]) !== undefined);
  return {
    countsTowardsTheWin: both || first === "the win",
    countsTowardsTheCap: both || first === "the cap",
  };
}
