/** When a pick's next value is due, and who says it: for the table's page, and for draws that come too early. */
import type { Pick, RuleSet, Side } from "../../rules/index.ts";
import { SIDES } from "../../rules/index.ts";
import type { Millis } from "../ids.ts";
import type { Bout } from "./bout.ts";
import { clockAt, clockFor } from "./clock.ts";

/** One pick of one fencer, or of the bout. */
export interface PickDue {
  readonly pick: string;
  readonly side?: Side;
  /** now: due, and nobody has said it. later: not yet. done: nothing more is due. listed: the list says it. */
  readonly due: "now" | "later" | "done" | "listed";
  /** By the list: the value that holds for the exchange that comes next. */
  readonly value?: string;
  /** "Next card after exchange 4." */
  readonly sentence: string;
}

const NAME: { readonly [S in Side]: string } = { red: "Red", blue: "Blue" };

export const isForEachFencer = (pick: Pick): boolean => pick.by.endsWith("each fencer");

/** Exchanges that were fenced: a "no exchange" is none. */
function fencedBefore(bout: Bout, index: number): number {
  const { tally, exchanges } = bout;
  return exchanges.slice(0, index).filter(({ id, record }) => {
    const scored = tally.exchanges.find((each) => each.id === id);
    return (scored === undefined ? record.how : scored.how) !== "no exchange";
  }).length;
}

/** How long has been fenced in the bout's own time, in milliseconds. */
export function fencedMs(bout: Bout, ruleSet: RuleSet, now: Millis): number {
  const shown = clockAt(bout.clock, now);
  if (bout.clock.counts === "up") return shown;
  return Math.max(0, clockFor(ruleSet.bout, bout.clock.since).leftMs - shown);
}

interface Asked {
  readonly bout: Bout;
  readonly ruleSet: RuleSet;
  readonly pick: Pick;
  readonly side: Side | undefined;
  readonly now: Millis;
}
type Said = Omit<PickDue, "pick" | "side">;

const chosenIn = ({ bout, pick, side }: Asked): Bout["picks"] =>
  bout.picks.filter((each) => each.pick === pick.name && each.side === side);

function whoSays({ pick, side }: Asked): string {
  switch (pick.by) {
    case "each fencer":
      return side === undefined ? "each fencer chooses it" : `${NAME[side]} chooses it`;
    case "the coach":
    case "the coach for each fencer":
      return "the coach says it";
    case "chance":
    case "chance for each fencer":
      return "draw it";
    case "the judge":
      return "the judge says it";
    case "the list":
      return "the list says it";
  }
}

const nameIn = ({ pick, side }: Asked): string =>
  side === undefined ? pick.name : `${NAME[side]}'s ${pick.name}`;
const isDue = (asked: Asked): Said => ({
  due: "now",
  sentence: `${capital(nameIn(asked))} is due now: ${whoSays(asked)}.`,
});
const isLater = (asked: Asked, when: string): Said => ({
  due: "later",
  sentence: `Next ${nameIn(asked)} ${when}.`,
});
const isDone = (asked: Asked, when: string): Said => ({
  due: "done",
  sentence: `${capital(nameIn(asked))} is said, ${when}.`,
});

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** One value for the whole bout or evening. */
function once(asked: Asked, at: string): Said {
  const { bout, pick, side } = asked;
  const brought =
    bout.brings.picks?.some((each) => each.pick === pick.name && each.side === side) === true ||
    bout.brings.lines?.some(
      (line) => line.type === "pick" && line.pick === pick.name && line.side === side,
    ) === true;
  if (brought || chosenIn(asked).length > 0)
    return isDone(asked, at.endsWith("evening") ? "for the whole evening" : "for the whole bout");
  if (at.startsWith("after") && bout.stage !== "ended") return isLater(asked, at);
  return isDue(asked);
}

function eachExchange(asked: Asked, after: boolean): Said {
  const { bout, pick, side } = asked;
  const last = bout.exchanges.at(-1);
  if (after) {
    if (last === undefined) return isLater(asked, "after exchange 1");
    const said =
      chosenIn(asked).some((each) => each.on === last.id) ||
      last.record.picks?.[side === undefined ? pick.name : `${side} ${pick.name}`] !== undefined;
    return said ? isLater(asked, `after exchange ${bout.exchanges.length + 1}`) : isDue(asked);
  }
  const next = bout.exchanges.length + 1;
  if (bout.stage === "ended") return isDone(asked, "the bout is over");
  if (bout.stage === "fencing") return isLater(asked, `before exchange ${next + 1}`);
  const said = chosenIn(asked).some((each) => each.before === next && each.on === undefined);
  return said ? isLater(asked, `before exchange ${next + 1}`) : isDue(asked);
}

/** "every 3 exchanges": blocks of that many fenced ones; with turns so many are drawn together at first. */
function everyExchanges(asked: Asked, n: number): Said {
  const { bout, pick } = asked;
  const chosen = chosenIn(asked);
  if (pick.turns !== undefined) {
    if (chosen.length >= pick.turns) return isDone(asked, `${pick.turns} that are taken in turn`);
    const due = isDue(asked);
    return { ...due, sentence: `${due.sentence} ${chosen.length} of ${pick.turns} so far.` };
  }
  const fenced = fencedBefore(bout, bout.exchanges.length);
  const block = Math.floor(fenced / n);
  const said = chosen.some((each) => Math.floor(fencedBefore(bout, each.before - 1) / n) === block);
  const left = (block + 1) * n - fenced;
  return said
    ? isLater(asked, `after ${left === 1 ? "one more exchange" : `${left} more exchanges`}`)
    : isDue(asked);
}

function everySeconds(asked: Asked, n: number): Said {
  const { bout, ruleSet, now } = asked;
  const fenced = fencedMs(bout, ruleSet, now) / 1000;
  const had = chosenIn(asked).length;
  if (had * n <= fenced) {
    const due = isDue(asked);
    return { ...due, sentence: `${due.sentence} It holds from the next "Fence!".` };
  }
  return isLater(asked, `in ${Math.ceil(had * n - fenced)} s of fencing; it holds from the next "Fence!"`);
}

/** Values in the order of the list, one a period, then again from the first: nobody has to say them. */
function listed(asked: Asked): Said {
  const { bout, ruleSet, pick, now } = asked;
  const { when } = pick;
  const at = (period: number): string => pick.from[period % Math.max(1, pick.from.length)]?.text ?? "";
  const said = (period: number, then: string): Said => ({
    due: "listed",
    value: at(period),
    sentence: `${capital(pick.name)} is ${at(period)}${then === "" ? "" : `; ${at(period + 1)} ${then}`}.`,
  });
  if ("everyExchanges" in when) {
    const fenced = fencedBefore(bout, bout.exchanges.length);
    const period = Math.floor(fenced / when.everyExchanges);
    const left = (period + 1) * when.everyExchanges - fenced;
    return said(period, `after ${left === 1 ? "one more exchange" : `${left} more exchanges`}`);
  }
  if ("everySeconds" in when) {
    const fenced = fencedMs(bout, ruleSet, now) / 1000;
    const period = Math.floor(fenced / when.everySeconds);
    const left = Math.ceil((period + 1) * when.everySeconds - fenced);
    return said(period, `in ${left} s of fencing, from the next "Fence!"`);
  }
  return when.at.endsWith("each exchange")
    ? said(bout.exchanges.length, `for exchange ${bout.exchanges.length + 2}`)
    : said(0, "");
}

/** When one pick is due in a bout as it stands. */
export function dueOf(asked: Asked): PickDue {
  const { pick, side } = asked;
  const base = { pick: pick.name, ...(side === undefined ? {} : { side }) };
  if (pick.by === "the list") return { ...base, ...listed(asked) };
  const { when } = pick;
  if ("everyExchanges" in when) return { ...base, ...everyExchanges(asked, when.everyExchanges) };
  if ("everySeconds" in when) return { ...base, ...everySeconds(asked, when.everySeconds) };
  if (when.at.endsWith("each exchange"))
    return { ...base, ...eachExchange(asked, when.at.startsWith("after")) };
  return { ...base, ...once(asked, when.at) };
}

/** When each pick of the rule set is due; one entry for each fencer where each has one. */
export const picksDue = (bout: Bout, ruleSet: RuleSet, now: Millis): readonly PickDue[] =>
  ruleSet.picks.flatMap((pick) => {
    const sides: readonly (Side | undefined)[] = isForEachFencer(pick) ? SIDES : [undefined];
    return sides.map((side) => dueOf({ bout, ruleSet, pick, side, now }));
  });
