/**
 * The press plan: what the table has to be asked for under one rule set, and nothing more. Targets that the rule set
 * does not tell apart share a key; every rule that needs more than a hit has a chip; what follows from other presses
 * is never asked.
 */
import type { Act } from "../record.ts";
import type { Pair, Side } from "../vocabulary.ts";
import type { Scorer } from "./scorer.ts";
import { chipsOf, type ChipKey } from "./plan-chips.ts";
import { hitKeys, keyedTouches, type HitClass } from "./plan-keys.ts";
import { neitherKeys, type NeitherKey } from "./plan-neither.ts";
import { probeOf, type Probe } from "./plan-probe.ts";

/** One press that says who hit, and what. */
export interface HitKey {
  /** "red:head"; stable for one rule set. */
  readonly id: string;
  readonly side: Side;
  /** "Head", "Arm, leg", "Head cut", "Hit", "Elsewhere". */
  readonly label: string;
  /** The targets that share this key; empty where the rule set does not ask where a hit lands. */
  readonly targets: readonly string[];
  /** Points of a plain hit with this key, in points of the bout's score. */
  readonly worth: number;
  /** The hit that the press records. Of several targets the first stands for all: the rule set cannot tell them apart. */
  readonly act: Act;
}

export interface PressPlan {
  readonly scorer: Scorer;
  readonly hits: Pair<readonly HitKey[]>;
  readonly neither: readonly NeitherKey[];
  readonly chips: readonly ChipKey[];
  /** For the reducer: says which rules follow from a line, whatever they pay. */
  readonly probe: Probe;
}

const keysFor = (side: Side, classes: readonly HitClass[]): readonly HitKey[] =>
  classes.map((one) => ({
    id: `${side}:${one.id}`,
    side,
    label: one.label,
    targets: one.targets,
    worth: one.worth,
    act: { by: side, ...one.attributes, end: "hit" },
  }));

/** The fewest keys that still let the table say everything this rule set asks, the dearest first. */
export function pressPlan(scorer: Scorer): PressPlan {
  const probe = probeOf(scorer);
  const { classes, blowsOnKeys } = hitKeys(scorer);
  const hits = { red: keysFor("red", classes), blue: keysFor("blue", classes) };
  return {
    scorer,
    hits,
    neither: neitherKeys(
      scorer,
      probe,
      hits.red.map((key) => key.act),
    ),
    chips: chipsOf(scorer, probe, keyedTouches(scorer, blowsOnKeys)),
    probe,
  };
}
