/** Phrases and rule sets of one phrase by chance. */
import { type Random, RULE_SETS } from "./random-bouts.ts";
import type { Alike, Doing, Phrase, RuleSet, Step } from "../../rules/language/tree.ts";

const DOINGS: readonly Doing[] = [
  { kinds: ["parry"] },
  { kinds: ["feint"] },
  { kinds: ["void", "bind"] },
  { kinds: ["withdraw"] },
  { offence: true },
  { offence: true, with: [{ any: [{ form: "cut" }] }] },
  { offence: true, to: [{ any: [{ target: "head" }, { target: "leg" }] }] },
  { offence: true, to: [{ but: true, any: [{ target: "head" }] }], result: "miss" },
  { result: "hit" },
  { result: "hit", with: [{ any: [{ form: "thrust" }] }] },
  { kinds: ["riposte"], result: "hit" },
  { result: "hit", manners: [{ manner: "cleanly" }] },
  { begin: true, offence: true },
  { begin: true, kinds: ["feint", "parry"] },
  {},
];

/** Any phrase that the grammar allows, sense or nonsense. */
export function randomPhrase(random: Random): Phrase {
  const steps: Step[] = [];
  const positives = 1 + random.below(4);
  for (let made = 0; made < positives; made++) {
    const nevers = random.chance(0.25) ? 1 + random.below(2) : 0;
    for (let i = 0; i < nevers; i++)
      steps.push({ ...randomStep(random, steps.length === 0 ? "start" : "then"), never: true });
    const mayBeAtOnce = steps.length > 0 && nevers === 0;
    const link = steps.length === 0 ? "start" : mayBeAtOnce && random.chance(0.35) ? "at once" : "then";
    steps.push(randomStep(random, link));
  }
  if (random.chance(0.2)) steps.push({ ...randomStep(random, "then"), never: true });
  const first = steps[0]?.never !== true && random.chance(0.2);
  return first ? { first, steps } : { steps };
}

const randomStep = (random: Random, link: Step["link"]): Step => ({
  link,
  subject: random.pick(["I", "I", "they", "they", "either", "both"] as const),
  doing: random.pick(DOINGS),
});

/** A rule set of random phrases, each paying a half each time and one once. */
export function randomRuleSet(random: Random): RuleSet {
  const [base] = RULE_SETS;
  const rules = Array.from({ length: 8 }, (_, i) => ({
    name: `Rule ${String(i)}`,
    when: Array.from({ length: 1 + random.below(2) }, () => randomPhrase(random)),
    pays: [
      {
        sum: { is: "numbers" as const, numbers: [0.5], unit: "bonus" as const },
        to: "me" as const,
        eachTime: true,
      },
      { sum: { is: "numbers" as const, numbers: [1], unit: "points" as const }, to: "them" as const },
    ],
  }));
  return { ...(base as RuleSet), name: "Random", phrases: [], touches: [], rules };
}

const GAPS = [0, 0.5, 1, 1.5, 2, 4] as const;

/** A random phrase in which some steps come in time, next of all, or are like an earlier action. */
function randomTimedPhrase(random: Random): Phrase {
  const phrase = randomPhrase(random);
  let asked = false;
  const steps = phrase.steps.map((step): Step => {
    const mayBeTimed = asked && random.chance(0.4);
    if (step.never !== true) asked = true;
    const gap = {
      is: step.never === true || random.chance(0.6) ? ("within" as const) : ("after" as const),
      seconds: random.pick(GAPS),
    };
    const isNext = step.link === "then" && step.never !== true && random.chance(0.3);
    const { doing } = step;
    const alike: Alike = {
      alike: random.pick(["the same", "another"] as const),
      what: "target",
      ...(random.chance(0.3) ? { theirs: true } : {}),
    };
    const but = random.chance(0.2) ? { but: true } : {};
    const withTarget =
      "make" in doing || doing.to !== undefined || random.chance(0.7)
        ? doing
        : { ...doing, to: [{ ...but, any: [alike] }] };
    return {
      ...step,
      ...(isNext ? { link: "next" as const } : {}),
      ...(mayBeTimed ? { gap } : {}),
      doing: withTarget,
    };
  });
  // Where each time counts, a "never" that ends in time is refused.
  const last = steps.findLastIndex(({ never }) => never !== true);
  return { ...phrase, steps: steps.map((step, i) => (i > last ? withoutGap(step) : step)) };
}

const withoutGap = ({ gap: _, ...step }: Step): Step => step;

/** Like randomRuleSet, and some rules pay once for phrases that end with "within N s they never ...". */
export function randomTimedRuleSet(random: Random): RuleSet {
  const base = randomRuleSet(random);
  const rules = base.rules.map((rule, i) => {
    const when = (rule.when ?? []).map(() => randomTimedPhrase(random));
    if (i % 3 !== 0) return { ...rule, when };
    const [first] = when as [Phrase, ...Phrase[]];
    const never: Step = {
      link: "then",
      gap: { is: "within", seconds: random.pick(GAPS) },
      subject: random.pick(["I", "they"] as const),
      never: true,
      doing: random.pick(DOINGS),
    };
    const pays = (rule.pays ?? []).map(({ eachTime: _, ...pay }) => pay);
    return { ...rule, when: [{ ...first, steps: [...first.steps, never] }], pays };
  });
  return { ...base, name: "Random in time", rules };
}
