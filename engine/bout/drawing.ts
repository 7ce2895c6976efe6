/** Draws by chance: the seed is committed to first, each draw follows from it, and it is shown when the bout has ended. */
import type { Pick, RuleSet, Side } from "../../rules/index.ts";
import type { Bout } from "./bout.ts";
import { commitmentOf, drawKey, drawnValue, isByChance } from "./chance.ts";
import { after } from "./decision.ts";
import type { Around, Case, Decision } from "./decision.ts";
import type { BoutEvent } from "./events.ts";
import {
  drawnTooEarly,
  noSuchPick,
  notByChance,
  onlyTheServerDraws,
  pickNeedsFencer,
  pickOfTheBout,
} from "./refusals.ts";
import { dueOf, isForEachFencer } from "./schedule.ts";

type Seeds = (no: number) => string;

/** The seed that may be drawn from now: the last one committed to, not yet shown, and the very one at hand. */
function seedInUse(bout: Bout, seeds: Seeds): { readonly no: number; readonly seed: string } | undefined {
  const all = bout.chance?.seeds ?? [];
  const last = all.at(-1);
  if (last === undefined || last.seed !== undefined) return undefined;
  const seed = seeds(all.length);
  return commitmentOf(seed) === last.commitment ? { no: all.length, seed } : undefined;
}

/** The next seed is committed to. A server that has lost its secret commits anew; the old seed is never shown. */
function commit({ bout, base }: Around, seeds: Seeds): BoutEvent {
  const no = (bout.chance?.seeds.length ?? 0) + 1;
  return { ...base, type: "SeedCommitted", no, commitment: commitmentOf(seeds(no)) };
}

export function drawPick(current: Case<"DrawPick">): Decision {
  const { bout, command, base, scorer, given } = current;
  const { pick: name, side } = command;
  const pick = scorer?.ruleSet.picks.find((each) => each.name === name);
  if (scorer === undefined || pick === undefined) return noSuchPick(name);
  if (!isByChance(pick)) return notByChance(name, pick.by);
  if (isForEachFencer(pick) !== (side !== undefined))
    return side === undefined ? pickNeedsFencer(name) : pickOfTheBout(name);
  const due = dueOf({ bout, ruleSet: scorer.ruleSet, pick, side, now: base.at });
  if (due.due !== "now") return drawnTooEarly(due.sentence);
  if (given.seeds === undefined) return onlyTheServerDraws;
  const inUse = seedInUse(bout, given.seeds);
  if (inUse !== undefined) return [drawn(current, pick, side, inUse)];
  const committed = commit(current, given.seeds);
  const next = { ...current, bout: after(current, committed) };
  const fresh = seedInUse(next.bout, given.seeds);
  return fresh === undefined ? onlyTheServerDraws : [committed, drawn(next, pick, side, fresh)];
}

function drawn(
  { bout, base }: Around,
  pick: Pick,
  side: Side | undefined,
  { no: seed, seed: secret }: { readonly no: number; readonly seed: string },
): BoutEvent {
  const whose = side === undefined ? {} : { side };
  const no = (bout.chance?.drawn[drawKey(pick.name, side)] ?? 0) + 1;
  const value = drawnValue(secret, pick, { pick: pick.name, no, ...whose }) ?? "";
  return {
    ...base,
    type: "PickSet",
    pick: pick.name,
    value,
    ...whose,
    ...holdsFrom(bout, pick),
    drawn: { how: "from the seed", seed, no },
  };
}

/** A card that changes every so many seconds holds from the next "Fence!" only, never for the exchange under way. */
export function holdsFrom(bout: Bout, pick: Pick | undefined): { readonly before?: number } {
  if (pick === undefined || !("everySeconds" in pick.when)) return {};
  return { before: bout.exchanges.length + 1 + (bout.underWay === true ? 1 : 0) };
}

const ENDS: ReadonlySet<BoutEvent["type"]> = new Set<BoutEvent["type"]>([
  "BoutEnded",
  "BoutStopped",
  "BoutForfeited",
]);

const draws = (ruleSet: RuleSet | undefined): boolean => ruleSet?.picks.some(isByChance) === true;

/**
 * What a decision means for chance: a bout whose rule set draws commits to a seed as it is called, as the rule set changes
 * or as it is reopened; a bout that has ended shows the seed that it drew from. A tablet has no seeds and adds nothing.
 */
export function withChance(current: Around, events: readonly BoutEvent[]): readonly BoutEvent[] {
  const { seeds } = current.given;
  if (seeds === undefined || !events.some(({ type }) => MATTERS.has(type))) return events;
  const bout = events.reduce((before, event) => after({ ...current, bout: before }, event), current.bout);
  return [...events, ...chanceAfter({ ...current, bout }, seeds)];
}

const MATTERS: ReadonlySet<BoutEvent["type"]> = new Set<BoutEvent["type"]>([
  ...ENDS,
  "RuleSetChanged",
  "BoutReopened",
  "Undone",
]);

/** What follows for chance from a bout as it stands. */
export function chanceAfter(current: Around, seeds: Seeds): readonly BoutEvent[] {
  const { bout, base, scorers } = current;
  const inUse = seedInUse(bout, seeds);
  if (bout.stage === "ended")
    return inUse === undefined ? [] : [{ ...base, type: "SeedShown", no: inUse.no, seed: inUse.seed }];
  return inUse === undefined && draws(scorers(bout.ruleSet)?.ruleSet) ? [commit(current, seeds)] : [];
}
