/**
 * Left-handers. The words of the schools are written for two right-handers; what a word says of sides and openings turns
 * to its mirror image with the hand that it is named from. Which of the two fencers strikes with the left is an attribute
 * of every action, so that a rule asks the same of everybody: a zornhau comes from the striker's strong side.
 */
import type { Turning, Word } from "../language/lexicon.ts";
import type { Act, ExchangeLine } from "../record.ts";
import { other, type Side, SIDES } from "../vocabulary.ts";

/** The attribute, and its values: which of the striker and the other is left-handed. */
export const LEFT_HANDERS = "left-handers";
export const HANDS = ["neither", "the striker", "the other", "both"] as const;
export type Hands = (typeof HANDS)[number];

const MIRROR: Readonly<Record<string, string>> = {
  right: "left",
  left: "right",
  "upper left": "upper right",
  "upper right": "upper left",
  "lower left": "lower right",
  "lower right": "lower left",
};
const mirrored = (values: readonly string[]): readonly string[] =>
  values.map((value) => MIRROR[value] ?? value);

/** What turns a word's sides and openings: a forehand or a backhand turns with the striker unless the lexicon says else. */
export const turningOf = (word: Word | undefined): Turning | undefined =>
  word?.turns ?? (word?.stroke === undefined ? undefined : "with the striker");

/** What a word allows of one attribute when these fencers are left-handed; `values` are what it allows of right-handers. */
function turned(values: readonly string[], turning: Turning, hands: Hands): readonly string[] {
  const strikerIsLeft = hands === "the striker" || hands === "both";
  const otherIsLeft = hands === "the other" || hands === "both";
  switch (turning) {
    case "with the striker":
      return strikerIsLeft ? mirrored(values) : values;
    case "with the other":
      return otherIsLeft ? mirrored(values) : values;
    case "unclear":
      return strikerIsLeft ? [...new Set([...values, ...mirrored(values)])] : values;
  }
}

const isTurning = (attribute: string): boolean => attribute === "side" || attribute === "opening";

/** The values that some of these hands allow. */
export function allowed(
  attribute: string,
  values: readonly string[],
  turning: Turning | undefined,
  hands: readonly Hands[],
): readonly string[] {
  if (turning === undefined || !isTurning(attribute)) return values;
  return [...new Set(hands.flatMap((one) => turned(values, turning, one)))];
}

interface Turned {
  readonly hands: readonly Hands[];
  readonly values: readonly string[];
}

/** What a word allows of one attribute, for every hand; one entry where the hands make no difference. */
export function everyHand(
  attribute: string,
  values: readonly string[],
  turning: Turning | undefined,
): readonly Turned[] {
  if (turning === undefined || !isTurning(attribute)) return [{ hands: HANDS, values }];
  const groups = new Map<string, { hands: Hands[]; values: readonly string[] }>();
  for (const hands of HANDS) {
    const here = turned(values, turning, hands);
    const key = [...here].sort().join();
    const group = groups.get(key);
    if (group) group.hands.push(hands);
    else groups.set(key, { hands: [hands], values: here });
  }
  return [...groups.values()];
}

const handsOfOne = (by: Side, left: readonly Side[]): Hands => {
  const [striker, theOther] = [left.includes(by), left.includes(other(by))];
  if (striker) return theOther ? "both" : "the striker";
  return theOther ? "the other" : "neither";
};

/** The hands of an action; where both act with different hands it is either's. */
export function handsOf(by: Act["by"], left: readonly Side[]): readonly Hands[] {
  if (by !== "both") return [handsOfOne(by, left)];
  return [...new Set(SIDES.map((side) => handsOfOne(side, left)))];
}

const NOBODY: readonly Side[] = [];
/** Who strikes with the left in the bout of this line. */
export const leftHandersIn = (line: ExchangeLine): readonly Side[] => line.leftHanded ?? NOBODY;
