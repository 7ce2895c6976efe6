/** Where picks and marks live in a bout's memory. */
import type { Mark, Owner, Pick } from "../language/tree.ts";
import type { Environment } from "./environment.ts";
import type { Life } from "./memory.ts";
import type { SideIndex } from "./machine.ts";
import { Unsupported } from "./refusal.ts";

/** The first field, Red's where each fencer has one; Blue's is the next. */
export interface Place {
  readonly index: number;
  readonly each: boolean;
}

const LIFE: Readonly<Record<Mark["for"], Life>> = {
  "each fencer": "bout",
  "the bout": "bout",
  "each exchange": "exchange",
  "each fencer in each exchange": "exchange",
  "each fencer tonight": "fencer",
  "each team tonight": "team",
  "each pair tonight": "pair",
  "the hall": "hall",
};
const EACH: readonly Mark["for"][] = [
  "each fencer",
  "each fencer in each exchange",
  "each fencer tonight",
  "each team tonight",
];

/** Found in each exchange anew, so it is read with this exchange's changes in it (P6). */
export const isOfExchange = (mark: Mark): boolean => LIFE[mark.for] === "exchange";

/** Who holds a token or the first of two roles. */
export const NOBODY = 0;
/** Somebody who does not fence in this bout; only of what goes from bout to bout. */
export const ANOTHER = 3;
export const holder = (side: SideIndex): number => side + 1;

/**
 * What two teams carry from bout to bout of their match tonight: a fencer's points, a team's points, and how many bouts;
 * each only where the rule set asks.
 */
export const MATCH_POINTS = "match points";
export const TEAM_POINTS = "team points";
export const MATCH_BOUTS = "match bouts";

/** A rank gap that nobody has said is taken to be at most this. */
const WIDEST_GAP = 5;

export function markPlace(env: Environment, mark: Mark): Place {
  const life = mark.is === "token" || mark.is === "roles" ? lifeOfHeld(mark) : LIFE[mark.for];
  const options = startOf(mark);
  const each = EACH.includes(mark.for) && mark.is !== "token" && mark.is !== "roles";
  return each
    ? { index: env.fields.pair(`mark ${mark.name}`, life, options), each }
    : { index: env.fields.field(`mark ${mark.name}`, life, options).index, each };
}

/** What one of two has is kept by both of them together. */
function lifeOfHeld(mark: Mark): Life {
  if (mark.for === "each fencer tonight") return "pair";
  return mark.for === "each team tonight" ? "teams" : LIFE[mark.for];
}

function startOf(mark: Mark): { initial: number; domain: readonly number[] } {
  const { starts } = mark;
  if (starts === undefined) return { initial: 0, domain: [0] };
  if ("on" in starts) return { initial: starts.on ? 1 : 0, domain: [0, 1] };
  if ("at" in starts)
    return starts.at === "the rank gap"
      ? { initial: Number.NaN, domain: Array.from({ length: WIDEST_GAP + 1 }, (_, i) => i) }
      : { initial: starts.at, domain: [starts.at] };
  switch (starts.with) {
    case "red":
      return { initial: 1, domain: [1] };
    case "blue":
      return { initial: 2, domain: [2] };
    case "nobody":
      return { initial: NOBODY, domain: [NOBODY] };
    case "the weaker":
    case "the stronger":
    case "the last loser":
    case "the last winner":
      return { initial: Number.NaN, domain: [NOBODY, 1, 2] };
  }
}

const EACH_PICK: readonly Pick["by"][] = [
  "each fencer",
  "the coach for each fencer",
  "chance for each fencer",
];
export const isEachFencers = (pick: Pick): boolean => EACH_PICK.includes(pick.by);

export function pickPlace(env: Environment, pick: Pick): Place {
  const domain = pick.from.map((_, i) => i);
  const { when } = pick;
  const tonight = "at" in when && (when.at === "before the evening" || when.at === "after the evening");
  const options = { initial: Number.NaN, domain };
  const each = isEachFencers(pick);
  const name = `pick ${pick.name}`;
  return each
    ? { index: env.fields.pair(name, tonight ? "fencer" : "bout", options), each }
    : { index: env.fields.field(name, tonight ? "hall" : "bout", options).index, each };
}

/** The field that an owner names, for one fencer as "I". */
export function owned(place: Place, owner: Owner, name: string): (side: SideIndex) => number {
  const { index, each } = place;
  if (!each) return () => index;
  if (owner === "their" || owner === "their team's") return (side) => index + 1 - side;
  if (owner === "the")
    throw new Unsupported(`Each fencer has a "${name}": say "my ${name}" or "their ${name}".`);
  return (side) => index + side;
}
