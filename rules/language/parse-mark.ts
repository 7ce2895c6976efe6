/** Marks (values that rules change) and picks (values from outside). */
import type { Cursor } from "./cursor.ts";
import { parseAll } from "./parse-condition.ts";
import { parseSeconds } from "./parse-phrase.ts";
import { parseTimes } from "./parse-quantity.ts";
import {
  KEEPERS,
  type Change,
  type Keeper,
  type Mark,
  type MarkStart,
  type Pick,
  type PickTime,
} from "./tree.ts";

/** What a mark is and who keeps it. */
export interface MarkKind {
  readonly is: Mark["is"];
  readonly for: Keeper;
  readonly roles?: readonly [string, string];
}

/** Longer ones first: "each fencer tonight" before "each fencer". */
const LONGEST_KEEPERS = [...KEEPERS].sort((a, b) => b.length - a.length);

export function parseMarkKind(c: Cursor): MarkKind {
  if (c.take("roles")) {
    const roles = parseRoles(c);
    return { is: "roles", for: c.needOneOf(LONGEST_KEEPERS), roles };
  }
  const is = c.needOneOf(["count", "flag", "set", "note", "token"]);
  if (is !== "token") c.need("for");
  else if (!c.take("for")) return { is, for: "the bout" };
  return { is, for: c.needOneOf(LONGEST_KEEPERS) };
}

/** "attacker and defender for": free words up to "and" and "for". */
function parseRoles(c: Cursor): readonly [string, string] {
  const wordsTo = (stop: string): string => {
    const words: string[] = [];
    while (!c.take(stop)) {
      const token = c.token();
      c.note({ kind: "name", of: "value", names: ["attacker", "defender"] });
      if (token === undefined || token.kind !== "word") return c.fail();
      words.push(token.text);
      c.at++;
    }
    return words.length > 0 ? words.join(" ") : c.fail();
  };
  return [wordsTo("and"), wordsTo("for")];
}

const HOLDERS = [
  "red",
  "blue",
  "the last loser",
  "the last winner",
  "the weaker",
  "the stronger",
  "nobody",
] as const;

export function parseMarkStart(c: Cursor): MarkStart {
  if (c.take("at")) return { at: c.take("the rank gap") ? "the rank gap" : c.needNumber() };
  if (c.take("with")) return { with: c.needOneOf(HOLDERS) };
  return { on: c.needOneOf(["on", "off"]) === "on" };
}

const ATTRIBUTES = [
  "blow",
  "form",
  "target",
  "opening",
  "action",
  "side",
  "guard",
  "hand",
  "fencer",
  "partner",
] as const;

export function parseChange(c: Cursor): Change {
  const from = c.at;
  const does = parseDeed(c);
  if (c.take("after every")) {
    const exchanges = c.needNumber();
    c.needOneOf(["exchanges", "exchange"]);
    return c.placed({ does, when: { is: "every", exchanges } }, from);
  }
  if (c.take("at the end of the bout")) {
    const all = c.take("when") ? parseAll(c) : [];
    return c.placed({ does, when: { is: "end of bout", all } }, from);
  }
  const eachTime = c.take("each time");
  if (!c.take("when") && !eachTime) c.fail();
  const when = { is: "conditions", all: parseAll(c) } as const;
  return c.placed(eachTime ? { does, when, eachTime } : { does, when }, from);
}

function parseDeed(c: Cursor): Change["does"] {
  const step = c.oneOf(["up", "down", "to"]);
  if (step) {
    const n = c.needNumber();
    return c.take("times") ? { is: step, n, times: parseTimes(c) } : { is: step, n };
  }
  const flag = c.oneOf(["on", "off"]);
  if (flag) return { is: flag };
  const memory = c.oneOf(["gains", "becomes"]);
  if (memory) return { is: memory, what: c.needOneOf(ATTRIBUTES) };
  if (c.take("passes to")) return { is: "passes", to: c.needOneOf(["me", "them", "nobody"]) };
  c.need("changes hands");
  return { is: "changes hands" };
}

export function parsePickBy(c: Cursor): Pick["by"] {
  const who = c.needOneOf(["each fencer", "the coach", "chance", "the judge", "the list"]);
  if (who !== "the coach" && who !== "chance") return who;
  return c.take("for each fencer") ? `${who} for each fencer` : who;
}

export function parsePickTime(c: Cursor): PickTime {
  if (c.take("every")) return { everySeconds: parseSeconds(c) };
  const side = c.needOneOf(["before", "after"]);
  if (side === "after" && c.take("every")) {
    const everyExchanges = c.needNumber();
    c.needOneOf(["exchanges", "exchange"]);
    return { everyExchanges };
  }
  const what = c.needOneOf(["the bout", "the evening", "each exchange"]);
  return { at: `${side} ${what}` };
}

export function parseSeenBy(c: Cursor): NonNullable<Pick["seenBy"]> {
  const seat = c.oneOf(["the table", "the coach", "the fencer"]);
  if (seat) return seat;
  const role = c.name(["role"]);
  return role ? { role: role.name } : c.fail();
}

export const parseShown = (c: Cursor): NonNullable<Pick["shown"]> => c.needOneOf(["at once", "at the end"]);
