/** Picks: that their values can be drawn when they say. */
import type { Checking } from "./checking.ts";
import { listHasNoTurn, tooFewToDraw, turnsNeedExchanges } from "./faults-pick.ts";
import { notWhole } from "./faults-check.ts";
import type { Pick } from "./tree.ts";

export function checkPicks({ ruleSet, envelope }: Checking): void {
  for (const pick of ruleSet.picks) {
    const place = envelope.placeOf(pick);
    const wrong = timeOf(pick) ?? turnsOf(pick);
    if (wrong !== undefined) envelope.fault(wrong, place);
  }
}

const isCount = (n: number): boolean => Number.isInteger(n) && n >= 1;

function timeOf({ name, by, when }: Pick): ReturnType<typeof notWhole> | undefined {
  if ("everyExchanges" in when && !isCount(when.everyExchanges))
    return notWhole(`"after every ${String(when.everyExchanges)} exchanges"`);
  if ("everySeconds" in when && !isCount(when.everySeconds))
    return notWhole(`"every ${String(when.everySeconds)} s"`);
  const within = "everyExchanges" in when || ("at" in when && when.at.endsWith("each exchange"));
  return by === "the list" && !within ? listHasNoTurn(name) : undefined;
}

/** Several are drawn together, out of more, and then taken in turn. */
function turnsOf({ name, from, when, turns }: Pick): ReturnType<typeof notWhole> | undefined {
  if (turns === undefined) return undefined;
  if (!("everyExchanges" in when)) return turnsNeedExchanges(name);
  return isCount(turns) && turns >= 2 && turns <= from.length
    ? undefined
    : tooFewToDraw(name, turns, from.length);
}
