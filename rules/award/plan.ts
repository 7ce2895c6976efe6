/**
 * The press plan: what the table has to be asked for under one rule set, and nothing more. Targets that the rule set
 * does not tell apart share a key; every rule that needs more than a hit has a chip; what follows from other presses
 * is never asked.
 */
import { explain, type ExplainedPay } from "../language/explain.ts";
import { isJudged } from "../language/explain-facts.ts";
import { ruleShort } from "../language/explain-rule.ts";
import type { Rule } from "../language/tree.ts";
import type { Act } from "../record.ts";
import { other, SIDES, type Pair, type Side, type Unit } from "../vocabulary.ts";
import type { Scorer } from "./compile.ts";
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

export interface ChipPay {
  readonly unit: Unit;
  readonly amount: number;
}

/** A theme, or a touch that a hit key alone cannot say, for one side. */
export interface ChipKey {
  /** "red:rule:0", "blue:touch:1". */
  readonly id: string;
  /** Name of the rule; "touch" for a touch. */
  readonly rule: string;
  readonly side: Side;
  /** The coach's name for the rule where it fits a chip, else its short line. */
  readonly label: string;
  /** The fuller line: "Parry the cut, then land your riposte". */
  readonly short: string;
  /** What it pays the first time and to whom; missing where the rule only annuls, doubles, ends or warns. */
  readonly pay?: ChipPay & { readonly to: Side };
  /** True where a named judge watches something that it needs. */
  readonly watchedByJudge: boolean;
  /** The place of its rule or touch in the rule set. */
  readonly from: { readonly is: "rule" | "touch"; readonly index: number };
}

export interface PressPlan {
  readonly scorer: Scorer;
  readonly hits: Pair<readonly HitKey[]>;
  readonly neither: readonly NeitherKey[];
  readonly chips: readonly ChipKey[];
  /** For the reducer: says which rules follow from a line, whatever they pay. */
  readonly probe: Probe;
}

const LABEL = 30;

function chipPay(pay: ExplainedPay | undefined, side: Side): ChipKey["pay"] | undefined {
  if (pay === undefined) return undefined;
  return { unit: pay.unit, amount: pay.amount, to: pay.to === "them" ? other(side) : side };
}

/** Rules at the end of the bout or evening are settled without the table. */
const isPressed = (rule: Rule): boolean => rule.at === undefined;

function ruleChips(scorer: Scorer, probe: Probe): readonly ChipKey[] {
  const { ruleSet } = scorer;
  const explained = explain(ruleSet).rules;
  return ruleSet.rules.flatMap((rule, index) => {
    if (!isPressed(rule)) return [];
    return SIDES.map((side): ChipKey => {
      const pay = chipPay(explained[index]?.pays[0], side);
      return {
        id: `${side}:rule:${index}`,
        rule: rule.name,
        side,
        label: rule.name.length <= LABEL ? rule.name : ruleShort(rule, probe.phrases, LABEL),
        short: explained[index]?.short ?? rule.name,
        ...(pay === undefined ? {} : { pay }),
        watchedByJudge: isJudged(rule, ruleSet, probe.phrases),
        from: { is: "rule", index },
      };
    });
  });
}

function touchChips(scorer: Scorer, probe: Probe, keyed: ReadonlySet<number>): readonly ChipKey[] {
  return scorer.ruleSet.touches.flatMap((touch, index) => {
    if (keyed.has(index)) return [];
    const asRule: Rule = {
      name: "Touch",
      when: [touch.phrase],
      pays: [{ sum: { is: "numbers", numbers: [touch.worth], unit: "points" }, to: "me" }],
    };
    return SIDES.map((side): ChipKey => ({
      id: `${side}:touch:${index}`,
      rule: "touch",
      side,
      label: ruleShort(asRule, probe.phrases, LABEL),
      short: ruleShort(asRule, probe.phrases),
      pay: { unit: "points", amount: touch.worth, to: side },
      watchedByJudge: false,
      from: { is: "touch", index },
    }));
  });
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
    chips: [...ruleChips(scorer, probe), ...touchChips(scorer, probe, keyedTouches(scorer, blowsOnKeys))],
    probe,
  };
}
