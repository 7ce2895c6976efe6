/** The canonical text of marks and picks. */
import type { MarkKind } from "./parse-mark.ts";
import { printAll, printTimes } from "./print-condition.ts";
import type { Change, Mark, MarkStart, Pick, PickTime } from "./tree.ts";

export function printMarkKind(mark: MarkKind | Mark): string {
  if (mark.is === "roles") return `roles ${(mark.roles ?? ["", ""]).join(" and ")} for ${mark.for}`;
  if (mark.is === "token" && mark.for === "the bout") return "a token";
  return `a ${mark.is} for ${mark.for}`;
}

export function printMarkStart(start: MarkStart): string {
  if ("at" in start) return `at ${String(start.at)}`;
  if ("on" in start) return start.on ? "on" : "off";
  return `with ${start.with}`;
}

function printDeed(does: Change["does"]): string {
  switch (does.is) {
    case "up":
    case "down":
    case "to":
      return `${does.is} ${String(does.n)}${does.times ? ` ${printTimes(does.times)}` : ""}`;
    case "gains":
    case "becomes":
      return `${does.is} the ${does.what}`;
    case "passes":
      return `passes to ${does.to}`;
    case "on":
    case "off":
    case "changes hands":
      return does.is;
  }
}

export function printChange(change: Change): string {
  const deed = printDeed(change.does);
  const { when } = change;
  if (when.is === "every") return `${deed} after every ${String(when.exchanges)} exchanges`;
  if (when.is === "end of bout")
    return `${deed} at the end of the bout${when.all.length > 0 ? ` when ${printAll(when.all)}` : ""}`;
  return `${deed} ${change.eachTime === true ? "each time" : "when"} ${printAll(when.all)}`;
}

export function printPickTime(time: PickTime): string {
  if ("at" in time) return time.at;
  if ("everySeconds" in time) return `every ${String(time.everySeconds)} s`;
  return `after every ${String(time.everyExchanges)} exchanges`;
}

export const printSeenBy = (seenBy: NonNullable<Pick["seenBy"]>): string =>
  typeof seenBy === "string" ? seenBy : `the ${seenBy.role}`;
