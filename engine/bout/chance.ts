/**
 * Chance that can be checked. A seed is committed to (its SHA-256) before anything is drawn, and shown when the bout has
 * ended; each draw follows from the seed, the pick, the side and the number of the draw, so that anybody can draw again.
 *
 * The draw: SHA-256 of "seed|pick|side|no|try" (side "red", "blue" or "bout"; no and try from 1), its first 48 bits as a
 * whole number; a number at or above the largest multiple of the values' count is passed over (the next try), so that
 * every value is equally likely; else its remainder is the value's place in the rule set's list.
 */
import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, utf8ToBytes } from "@noble/hashes/utils.js";
import type { Pick, RuleSet, Side } from "../../rules/index.ts";
import type { BoutEvent } from "./events.ts";

/** One draw: the first of a pick (and side) in a bout is number 1. */
export interface Draw {
  readonly pick: string;
  readonly side?: Side;
  readonly no: number;
}

/** What is said before the first draw: 64 hex digits, the SHA-256 of the seed. */
export const commitmentOf = (seed: string): string => bytesToHex(sha256(utf8ToBytes(seed)));

const SPACE = 2 ** 48;

/** The place, from 0, of the drawn value among `size` values. `size` is at least 1. */
export function drawnPlace(seed: string, { pick, side, no }: Draw, size: number): number {
  const fair = SPACE - (SPACE % size);
  for (let attempt = 1; ; attempt++) {
    const bytes = sha256(utf8ToBytes([seed, pick, side ?? "bout", no, attempt].join("|")));
    const number = bytes.subarray(0, 6).reduce((sum, byte) => sum * 256 + byte, 0);
    if (number < fair) return number % size;
  }
}

/** The drawn value as the rule set writes it; undefined for a pick without values. */
export const drawnValue = (seed: string, { from }: Pick, draw: Draw): string | undefined =>
  from.length === 0 ? undefined : from[drawnPlace(seed, draw, from.length)]?.text;

export const isByChance = (pick: Pick): boolean => pick.by.startsWith("chance");

/** What the check of one draw says. "unknown": it cannot be drawn again, and the sentence says why. */
export interface DrawChecked extends Draw {
  readonly value: string;
  readonly is: "right" | "wrong" | "unknown";
  readonly sentence: string;
}

/** Under which draws of one pick are counted. */
export const drawKey = (pick: string, side: Side | undefined): string => `${side ?? "bout"}/${pick}`;

interface Seeds {
  readonly committed: string[];
  readonly shown: Map<number, string>;
  /** A shown seed is not the one that was committed to. */
  readonly broken: Set<number>;
}

type PickSet = Extract<BoutEvent, { readonly type: "PickSet" }>;
type Checked = Omit<DrawChecked, keyof Draw | "value">;

const BY_HAND = "It was drawn by hand, from cards.";
const unknown = (sentence: string): Checked => ({ is: "unknown", sentence });
const wrong = (sentence: string): Checked => ({ is: "wrong", sentence });

function checked(event: PickSet, ruleSet: RuleSet | undefined, { shown, broken }: Seeds): Checked {
  const { pick, side, value, drawn } = event;
  if (drawn?.how === "on the tablet") return unknown("The table drew it while the hall was out of reach.");
  if (drawn?.how !== "from the seed") return unknown(BY_HAND);
  if (broken.has(drawn.seed)) return wrong("The seed that was shown is not the one that was committed to.");
  const seed = shown.get(drawn.seed);
  if (seed === undefined) return unknown("Its seed has not been shown.");
  const rule = ruleSet?.picks.find((each) => each.name === pick);
  if (rule === undefined) return unknown("Its rule set is not at hand.");
  const draw = { pick, no: drawn.no, ...(side === undefined ? {} : { side }) };
  const right = drawnValue(seed, rule, draw);
  if (right === value) return { is: "right", sentence: `Drawn again, it is "${value}".` };
  return wrong(`Drawn again, it is "${right ?? "nothing"}" and not "${value}".`);
}

/** Values of chance that were written down with an exchange, or answered for one: cards on the table. */
function saidByHand(event: BoutEvent, ruleSet: RuleSet | undefined): readonly DrawChecked[] {
  const said: readonly { readonly pick: string; readonly side?: Side; readonly value: string }[] =
    event.type === "FactsGiven"
      ? event.facts.flatMap((fact) => (fact.fact === "pick" ? [fact] : []))
      : "record" in event
        ? Object.entries(event.record.picks ?? {}).map(([pick, value]) => ({ pick, value }))
        : [];
  return said.flatMap(({ pick, side, value }) => {
    const rule = ruleSet?.picks.find(({ name }) => name === pick);
    if (rule === undefined || !isByChance(rule)) return [];
    return [{ pick, ...(side === undefined ? {} : { side }), no: 0, value, ...unknown(BY_HAND) }];
  });
}

/**
 * Draws every value of a bout again from the seeds that were shown: one line for each draw by chance, in their order. A
 * draw that was made twice under one number, or out of turn, is wrong too. `ruleSets` finds a rule set by its hash.
 */
export function checkDraws(
  events: readonly BoutEvent[],
  ruleSets: (hash: string) => RuleSet | undefined,
): readonly DrawChecked[] {
  const seeds: Seeds = { committed: [], shown: new Map(), broken: new Set() };
  for (const event of events) {
    if (event.type === "SeedCommitted") seeds.committed.push(event.commitment);
    if (event.type !== "SeedShown") continue;
    seeds.shown.set(event.no, event.seed);
    if (commitmentOf(event.seed) !== seeds.committed[event.no - 1]) seeds.broken.add(event.no);
  }
  const found: DrawChecked[] = [];
  const counted = new Map<string, number>();
  let committed = 0;
  let hash = "";
  for (const event of events) {
    if (event.type === "SeedCommitted") committed++;
    if (event.type === "BoutCalled" || event.type === "RuleSetChanged") hash = event.ruleSet;
    found.push(...saidByHand(event, ruleSets(hash)));
    if (event.type !== "PickSet" || event.drawn === undefined) continue;
    const { pick, side, value, drawn } = event;
    const key = drawKey(pick, side);
    const due = (counted.get(key) ?? 0) + 1;
    const from = drawn.how === "from the seed" ? drawn : undefined;
    if (from !== undefined) counted.set(key, due);
    const no = from?.no ?? 0;
    let said = checked(event, ruleSets(hash), seeds);
    if (from !== undefined && from.seed > committed)
      said = wrong("Nobody had committed to its seed before it.");
    else if (from !== undefined && no !== due)
      said = wrong(`It says that it is draw ${no}, and it was draw ${due}.`);
    found.push({ pick, ...(side === undefined ? {} : { side }), no, value, ...said });
  }
  return found;
}
