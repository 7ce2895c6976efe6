/** The bout's own sentences: how it ends, starts, and what doubles and afterblows do. */
import type { Cursor } from "./cursor.ts";
import { parseSeconds } from "./parse-phrase.ts";
import { PANELS, type Afterblows, type BoutRules, type End, type Start, type Ties } from "./tree.ts";

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
  const n = c.needNumber();
  if (!team && (c.take("doubles") || c.take("double"))) {
    if (!c.comma()) return { is: "doubles", n };
    c.need("both lose");
    return { is: "doubles", n, bothLose: true };
  }
  c.needOneOf(["points", "point"]);
  if (team) return { is: "team points", n };
  return { is: c.take("ahead") ? "ahead" : "points", n };
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
  if (c.take("fewer")) return { is: "fewer", mark: (c.name(["mark"]) ?? c.fail()).name };
  return { is: c.needOneOf(["draw", "sudden death", "priority minute", "judges' choice"]) };
}

export const parseDoubles = (c: Cursor): BoutRules["doubles"] =>
  c.needOneOf(["score nothing", "both score", "1 off each"]);

export const parseSimultaneous = (c: Cursor): BoutRules["simultaneous"] =>
  c.needOneOf(["score nothing", "both score"]);

export function parseAfterblows(c: Cursor): Afterblows {
  if (c.take("take off 1")) return { is: "take off 1", leave: c.take("but leave 1") ? 1 : 0 };
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
  c.need("the rest is lost");
  return { every, make };
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
