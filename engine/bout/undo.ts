/** Taking back the latest recording, correction or penalty: the inverse of each, applied by one more event. */
import type { SheetLine } from "../../rules/index.ts";
import type { Bout, BoutExchange, Undoable } from "./bout.ts";
import { indexOf, insertAt, removeAt, withExchange } from "./exchanges.ts";

function putBack(
  exchange: BoutExchange,
  before: Pick<BoutExchange, "record" | "putRight" | "ruled">,
): BoutExchange {
  const { record: _record, putRight: _putRight, ruled: _ruled, ...rest } = exchange;
  return { ...rest, ...before };
}

function putBackRemoved(bout: Bout, undo: Undoable & { readonly undo: "remove" }): Bout {
  const back = insertAt(bout, undo.at, undo.before);
  const pick = (each: Bout["picks"][number], index: number) => ({
    ...each,
    before: undo.picks[index] ?? each.before,
  });
  const penalty = (each: Bout["penalties"][number], index: number) => ({
    ...each,
    afterExchange: undo.penalties[index] ?? each.afterExchange,
  });
  return { ...back, picks: back.picks.map(pick), penalties: back.penalties.map(penalty) };
}

const onTheOtherSide = <T extends { readonly side?: "red" | "blue" }>(each: T): T =>
  each.side === undefined ? each : { ...each, side: each.side === "red" ? "blue" : "red" };

const holderSwapped = <V extends string | number | boolean>(value: V): V | "red" | "blue" =>
  value === "red" ? "blue" : value === "blue" ? "red" : value;

/** A line that was brought in, about the same persons on the other sides; a token's holder is a person too. */
function lineSwapped(line: SheetLine): SheetLine {
  switch (line.type) {
    case "bout": {
      const { red, blue, redTeam, blueTeam } = line;
      return {
        type: "bout",
        ...(blue === undefined ? {} : { red: blue }),
        ...(red === undefined ? {} : { blue: red }),
        ...(blueTeam === undefined ? {} : { redTeam: blueTeam }),
        ...(redTeam === undefined ? {} : { blueTeam: redTeam }),
      };
    }
    case "score":
      return { type: "score", red: line.blue, blue: line.red };
    case "mark": {
      const or = line.or === undefined ? {} : { or: line.or.map(holderSwapped) };
      return onTheOtherSide({ ...line, value: holderSwapped(line.value), ...or });
    }
    case "weaker":
      return { ...line, side: holderSwapped(line.side) };
    case "pick":
    case "had":
    case "granted":
    case "left-handed":
    case "penalty":
      return onTheOtherSide(line);
    default:
      return line;
  }
}

/** Who was Red is Blue: the persons, and what belongs to a person rather than to a side. */
export function swapped(bout: Bout): Bout {
  const { score, picks, marks, roster, lines, after } = bout.brings;
  return {
    ...bout,
    red: bout.blue,
    blue: bout.red,
    picks: bout.picks.map(onTheOtherSide),
    confirmed: bout.confirmed.map((each) => (each === "red" ? "blue" : "red")),
    brings: {
      ...(score === undefined ? {} : { score: { red: score.blue, blue: score.red } }),
      ...(picks === undefined ? {} : { picks: picks.map(onTheOtherSide) }),
      ...(marks === undefined ? {} : { marks: marks.map(onTheOtherSide) }),
      ...(roster === undefined ? {} : { roster: roster.map(lineSwapped) }),
      ...(lines === undefined ? {} : { lines: lines.map(lineSwapped) }),
      ...(after === undefined ? {} : { after }),
    },
  };
}

/** The bout without the step; `version` is that of the event that made it. A step that is not known changes nothing. */
export function takeBack(bout: Bout, version: number): Bout {
  const pile = bout.undoable ?? [];
  const undo = pile.find((each) => each.version === version);
  if (undo === undefined) return bout;
  const rest: Bout = { ...bout, undoable: pile.filter((each) => each !== undo) };
  switch (undo.undo) {
    case "add": {
      const at = indexOf(rest, undo.exchange);
      if (at < 0) return rest;
      // The last one is to be recorded anew: a card for the next one stays with the next one.
      const isLast = at === rest.exchanges.length - 1;
      const ahead = rest.picks.filter((pick) => pick.ahead === true && pick.before === at + 2);
      const back = removeAt(rest, at);
      if (!isLast || ahead.length === 0) return back;
      const picks = back.picks.map((pick) => (pick.ahead === true ? { ...pick, before: at + 2 } : pick));
      return { ...back, picks, underWay: true };
    }
    case "change":
      return withExchange(rest, undo.exchange, (exchange) => putBack(exchange, undo.before));
    case "remove":
      return putBackRemoved(rest, undo);
    case "swap":
      return swapped(rest);
    case "rule set":
      return { ...rest, ruleSet: undo.before };
    case "facts":
      return withExchange(rest, undo.exchange, (exchange) => ({
        ...exchange,
        given: exchange.given.filter((given) => given.version !== version),
      }));
    case "penalty":
      return { ...rest, penalties: rest.penalties.filter((each) => each.version !== version) };
  }
}
