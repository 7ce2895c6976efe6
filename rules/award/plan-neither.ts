/** The presses that belong to neither side: double, no exchange, afterblow, simultaneous, where the rule set uses them. */
import { phrasesOfRule } from "../language/explain-facts.ts";
import { phrasesOfSet } from "../language/explain.ts";
import type { Condition, RuleSet } from "../language/tree.ts";
import type { Act, BoutSheet, ExchangeLine } from "../record.ts";
import { SIDES, UNITS, type MannerOfExchange } from "../vocabulary.ts";
import type { Scorer } from "./scorer.ts";
import { outlook, type Probe } from "./plan-probe.ts";
import { keyOf } from "./keys.ts";

export const NEITHER_PRESSES = ["double", "no exchange", "afterblow", "simultaneous"] as const;
export type NeitherPress = (typeof NEITHER_PRESSES)[number];

/** A press that belongs to neither side. */
export interface NeitherKey {
  readonly id: NeitherPress;
  /** "Double", "No exchange". */
  readonly label: string;
}

const LABELS: Readonly<Record<NeitherPress, string>> = {
  double: "Double",
  "no exchange": "No exchange",
  afterblow: "Afterblow",
  simultaneous: "Simultaneous",
};

/** The hit of the second fencer after the first one's. */
export const AFTERBLOW = "afterblow";

function conditionsOf(set: RuleSet): readonly Condition[] {
  const rules = set.rules.flatMap((rule) => [
    ...(rule.if ?? []).flat(),
    ...(rule.unless ?? []).flat(),
    ...(rule.pays ?? []).flatMap((pay) => pay.if ?? []),
  ]);
  const changes = set.marks.flatMap((mark) =>
    mark.changes.flatMap((change) => (change.when.is === "every" ? [] : change.when.all)),
  );
  return [...rules, ...changes];
}

const asks = (set: RuleSet, how: MannerOfExchange): boolean =>
  conditionsOf(set).some((one) => one.is === "exchange" && one.how === how);

const asksForAfterblow = (set: RuleSet): boolean => {
  const phrases = phrasesOfSet(set);
  return set.rules.some((rule) =>
    phrasesOfRule(rule, phrases).some((phrase) =>
      phrase.steps.some((step) => !("make" in step.doing) && (step.doing.kinds ?? []).includes(AFTERBLOW)),
    ),
  );
};

/** Everything that a line gives, for comparing two lines; a double's own awards belong to the touches. */
function gist(scorer: Scorer, line: ExchangeLine): string {
  const { program, ruleSet } = scorer;
  const { hull } = outlook(scorer, NO_SHEET, line);
  const rules = keyOf(ruleSet.rules.length, 0, 0);
  const own = (from: Float64Array): readonly number[] =>
    SIDES.flatMap((_, side) =>
      UNITS.map((_unit, unit) =>
        [program.own.touch, program.own.double].reduce(
          (n, one) => n + (from[keyOf(one, side, unit)] ?? 0),
          0,
        ),
      ),
    );
  const all = [hull.least, hull.most].map((from) => [...from.slice(0, rules), ...own(from)].join(" "));
  return all.join(" | ");
}
const NO_SHEET: BoutSheet = [];

/** Do a double and an afterblow of the same two hits ever score differently? */
function afterblowDiffers(scorer: Scorer, probe: Probe, hits: readonly Act[]): boolean {
  return hits.some((first) =>
    hits.some((second) => {
      const red: Act = { ...first, by: "red" };
      const blue: Act = { ...second, by: "blue" };
      const double: ExchangeLine = { type: "exchange", no: 1, how: "double", acts: [red, blue], open: false };
      const after: ExchangeLine = {
        type: "exchange",
        no: 1,
        acts: [red, { ...blue, kind: AFTERBLOW }],
        open: false,
      };
      return (
        gist(scorer, double) !== gist(scorer, after) ||
        gist(probe.scorer, double) !== gist(probe.scorer, after)
      );
    }),
  );
}

/** Whichever of the four this rule set can tell apart; double and no exchange always. */
export function neitherKeys(scorer: Scorer, probe: Probe, hits: readonly Act[]): readonly NeitherKey[] {
  const set = scorer.ruleSet;
  const countsDoubles = set.bout.ends.some((end) => end.is === "doubles") || asks(set, "double");
  const afterblow = countsDoubles || asksForAfterblow(set) || afterblowDiffers(scorer, probe, hits);
  const simultaneous = set.bout.simultaneous !== "score nothing" || asks(set, "simultaneous");
  const used: readonly NeitherPress[] = [
    "double",
    "no exchange",
    ...(afterblow ? (["afterblow"] as const) : []),
    ...(simultaneous ? (["simultaneous"] as const) : []),
  ];
  return used.map((id) => ({ id, label: LABELS[id] }));
}
