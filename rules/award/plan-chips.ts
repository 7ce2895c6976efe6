/** The chips of a press plan: rules, touches that a hit key cannot say, and what marks and the report need to know. */
import { isJudged } from "../language/explain-facts.ts";
import { laidOut, turned } from "../language/explain-phrase.ts";
import { explainBriefly, type ExplainedPay } from "../language/explain.ts";
import { happening, ruleShort } from "../language/explain-rule.ts";
import { capital } from "../language/explain-words.ts";
import type { Change, Doing, Phrase, Rule, Step } from "../language/tree.ts";
import { other, SIDES, type Side, type Unit } from "../vocabulary.ts";
import type { Scorer } from "./scorer.ts";
import { changeProbe, phraseProbe, touchProbe, type Probe } from "./plan-probe.ts";

/** A change of a mark, and a phrase that the report counts, pay nothing but need their facts all the same. */
export type ChipSource =
  | { readonly is: "rule" | "touch" | "phrase"; readonly index: number }
  | { readonly is: "change"; readonly index: number; readonly change: number };

export interface ChipPay {
  readonly unit: Unit;
  readonly amount: number;
}

/** A theme, or a touch that a hit key alone cannot say, for one side. */
export interface ChipKey {
  /** "red:rule:0", "blue:touch:1". */
  readonly id: string;
  /** Name of the rule; "touch" for a touch, the mark's or the phrase's name where nothing is paid. */
  readonly rule: string;
  /** The name under which the probe tries it. */
  readonly probe: string;
  readonly side: Side;
  /** The coach's name for the rule where it fits a chip, else its short line. */
  readonly label: string;
  /** The fuller line: "Parry the cut, then land your riposte". */
  readonly short: string;
  /** What it pays the first time and to whom; missing where the rule only annuls, doubles, ends or warns. */
  readonly pay?: ChipPay & { readonly to: Side };
  /** True where a named judge watches something that it needs. */
  readonly watchedByJudge: boolean;
  /** What stands behind it, with its place in the rule set. */
  readonly from: ChipSource;
}

const LABEL = 30;

const asRule = (name: string, phrase: Phrase): Rule => ({
  name,
  when: [phrase],
  pays: [{ sum: { is: "numbers", numbers: [1], unit: "points" }, to: "me" }],
});

function chipPay(pay: ExplainedPay | undefined, side: Side): ChipKey["pay"] | undefined {
  if (pay === undefined) return undefined;
  return { unit: pay.unit, amount: pay.amount, to: pay.to === "them" ? other(side) : side };
}

/** Rules at the end are settled without the table, and so are those that hold in every exchange. */
const isPressed = (rule: Rule): boolean =>
  rule.at === undefined && (rule.when !== undefined || rule.if !== undefined || rule.pays !== undefined);

function ruleChips(scorer: Scorer, probe: Probe): readonly ChipKey[] {
  const { ruleSet } = scorer;
  const explained = explainBriefly(ruleSet).rules;
  return ruleSet.rules.flatMap((rule, index) => {
    if (!isPressed(rule)) return [];
    return SIDES.map((side): ChipKey => {
      const pay = chipPay(explained[index]?.pays[0], side);
      return {
        id: `${side}:rule:${index}`,
        rule: rule.name,
        probe: rule.name,
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

/** A line that says a phrase: short where an honest short one exists, else in full. */
function phraseLabel(phrase: Phrase, probe: Probe, most?: number): string {
  const rule = asRule("", phrase);
  return ruleShort(rule, probe.phrases, most) || happening(rule, probe.phrases);
}

function touchChips(scorer: Scorer, probe: Probe, keyed: ReadonlySet<number>): readonly ChipKey[] {
  return scorer.ruleSet.touches.flatMap((touch, index) => {
    if (keyed.has(index)) return [];
    return SIDES.map((side): ChipKey => ({
      id: `${side}:touch:${index}`,
      rule: "touch",
      probe: touchProbe(index),
      side,
      label: phraseLabel(touch.phrase, probe, LABEL),
      short: phraseLabel(touch.phrase, probe),
      pay: { unit: "points", amount: touch.worth, to: side },
      watchedByJudge: false,
      from: { is: "touch", index },
    }));
  });
}

/** Does a step ask for more than the hit keys and the double and afterblow keys say? */
const asksForMore = (doing: Doing): boolean =>
  doing.result !== "hit" ||
  (doing.kinds ?? []).some((kind) => kind !== "afterblow") ||
  (doing.with?.length ?? 0) > 0 ||
  (doing.from?.length ?? 0) > 0 ||
  (doing.manners ?? []).some((one) => one.manner !== "cleanly");

const needsChip = (phrase: Phrase): boolean =>
  phrase.steps.some((step) => "make" in step.doing || asksForMore(step.doing));

/** "I or they parry" as the chip of one fencer. */
const ofOne = (phrase: Phrase): Phrase => ({
  ...phrase,
  steps: phrase.steps.map((step): Step => (step.subject === "either" ? { ...step, subject: "I" } : step)),
});

const phraseOf = (change: Change): Phrase | undefined => {
  if (change.when.is === "every") return undefined;
  const found = change.when.all.find((one) => one.is === "phrase" && needsChip(one.phrase));
  return found?.is === "phrase" ? found.phrase : undefined;
};

type Own = Pick<ChipKey, "id" | "from" | "probe"> & { readonly label?: string };

function unpaid(side: Side, name: string, phrase: Phrase, probe: Probe, own: Own): ChipKey {
  return {
    rule: name,
    side,
    label: phraseLabel(ofOne(phrase), probe, LABEL),
    short: phraseLabel(ofOne(phrase), probe),
    watchedByJudge: false,
    ...own,
  };
}

function changeChips(scorer: Scorer, probe: Probe, covered: Covered): readonly ChipKey[] {
  return scorer.ruleSet.marks.flatMap((mark, index) =>
    mark.changes.flatMap((change, place) => {
      const phrase = phraseOf(change);
      if (phrase === undefined || covered(phrase)) return [];
      return SIDES.map((side) =>
        unpaid(side, mark.name, phrase, probe, {
          id: `${side}:change:${index}:${place}`,
          probe: changeProbe(index, place),
          from: { is: "change", index, change: place },
        }),
      );
    }),
  );
}

/** Phrases that the report counts, where no rule's chip says the same: the cue, the attempt, the success. */
function phraseChips(scorer: Scorer, probe: Probe, covered: Covered): readonly ChipKey[] {
  return scorer.ruleSet.phrases.flatMap(({ name, phrase }, index) => {
    if (!needsChip(laidOut(phrase, probe.phrases)) || covered(phrase)) return [];
    return SIDES.map((side) =>
      unpaid(side, name, phrase, probe, {
        id: `${side}:phrase:${index}`,
        probe: phraseProbe(index),
        label: capital(name),
        from: { is: "phrase", index },
      }),
    );
  });
}

/** Is there a chip already that says this phrase, of this fencer or of the other? */
type Covered = (phrase: Phrase) => boolean;

function coveredBy(scorer: Scorer, probe: Probe): Covered {
  const key = (phrase: Phrase): string => JSON.stringify(laidOut(phrase, probe.phrases));
  const said = new Set<string>();
  for (const rule of scorer.ruleSet.rules) {
    if (!isPressed(rule)) continue;
    for (const phrase of rule.when ?? [])
      said.add(key(phrase)).add(key(turned(laidOut(phrase, probe.phrases))));
  }
  return (phrase) => {
    const known = said.has(key(phrase));
    said.add(key(phrase)).add(key(turned(laidOut(phrase, probe.phrases))));
    return known;
  };
}

/** Every chip: rules in the order of the file, then touches, then what pays nothing; Red before Blue. */
export function chipsOf(scorer: Scorer, probe: Probe, keyed: ReadonlySet<number>): readonly ChipKey[] {
  const covered = coveredBy(scorer, probe);
  return [
    ...ruleChips(scorer, probe),
    ...touchChips(scorer, probe, keyed),
    ...changeChips(scorer, probe, covered),
    ...phraseChips(scorer, probe, covered),
  ];
}
