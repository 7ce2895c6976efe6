/** What a coach should think about before the evening. Warnings never block a rule set. */
import type { Checking } from "./checking.ts";
import { isHard } from "./common.ts";
import * as say from "./faults-check.ts";
import { printStep } from "./print-phrase.ts";
import type { Phrase, Rule, Step } from "./tree.ts";
import { isAction, visit } from "./walk.ts";

const MOST_THEMES = 3;

export function warn(checking: Checking): void {
  warnAttack(checking);
  warnMisses(checking);
  warnThemes(checking);
  warnWatchers(checking);
  warnGroups(checking);
  warnScoring(checking);
}

/** Said once a rule set: every further place has the same cure. */
function warnAttack({ ruleSet, envelope }: Checking): void {
  let said = false;
  visit(ruleSet, {
    phrase(phrase, holder) {
      for (const step of phrase.steps) {
        if (said || !isAction(step)) continue;
        const bare = step.doing.kinds?.length === 1 && step.doing.kinds[0] === "attack";
        if (!bare) continue;
        envelope.warn(say.asksOften(), envelope.placeOf(step, holder));
        said = true;
      }
    },
  });
}

/** The last action that a phrase asks for, through the phrases that it makes; undefined where it is not by "I". */
function lastByMe(checking: Checking, phrase: Phrase, depth = 0): Step | undefined {
  const step = phrase.steps.findLast(({ never }) => never !== true);
  if (step === undefined || step.subject !== "I" || depth > 6) return undefined;
  const { doing } = step;
  if (!("make" in doing)) return step;
  const made = checking.ruleSet.phrases.find(({ name }) => name === doing.make);
  return made && lastByMe(checking, made.phrase, depth + 1);
}

/** A strike that pays though it misses; giving the cue is meant so where a later "they" answers it, which is not here. */
function warnMisses(checking: Checking): void {
  const { ruleSet, envelope, names } = checking;
  for (const rule of ruleSet.rules) {
    const pays = rule.pays?.some(
      ({ sum, to }) => to === "me" && (sum.is !== "numbers" || sum.numbers.some((n) => n > 0)),
    );
    if (pays !== true || needsHit(rule) || givesCue(checking, rule)) continue;
    for (const phrase of rule.when ?? []) {
      const step = lastByMe(checking, phrase);
      if (step === undefined || !isAction(step) || step.doing.result !== undefined) continue;
      const kinds = step.doing.kinds ?? [];
      const strikes =
        kinds.length > 0 && kinds.every((kind) => names.words.named(kind, "action")?.offence === true);
      const lands = kinds.includes("afterblow");
      if ((strikes && !lands) || step.doing.offence === true)
        envelope.warn(say.paysMisses(printStep({ ...step, link: "start" })), envelope.placeOf(phrase, rule));
    }
  }
}

/** "if: I hit": misses are excluded there. */
const needsHit = (rule: Rule): boolean =>
  rule.if?.some((line) =>
    line.some(
      (one) =>
        one.is === "phrase" &&
        one.phrase.steps.some(
          (step) => step.subject === "I" && isAction(step) && step.doing.result === "hit",
        ),
    ),
  ) === true;

/** A rule that pays one strike alone, the very strike that another rule answers, pays for giving the cue. */
function givesCue({ ruleSet }: Checking, rule: Rule): boolean {
  const [phrase, ...more] = rule.when ?? [];
  const [step, ...others] = phrase?.steps ?? [];
  if (step === undefined || more.length > 0 || others.length > 0) return false;
  const wanted = JSON.stringify(step.doing);
  const answers = [
    ...ruleSet.phrases.map((one) => one.phrase),
    ...ruleSet.rules.flatMap((one) => one.when ?? []),
  ];
  return answers.some(
    ({ steps }) =>
      steps[0]?.subject === "they" && steps.length > 1 && JSON.stringify(steps[0].doing) === wanted,
  );
}

/** Rules of one group are one theme. */
function warnThemes({ ruleSet, envelope }: Checking): void {
  const themes = new Map<string, Rule>();
  for (const rule of ruleSet.rules) {
    const bonus = rule.pays?.some(({ sum }) => sum.is === "what pays them" || sum.unit === "bonus") === true;
    const key = rule.bestOf === undefined ? `rule ${rule.name}` : `group ${rule.bestOf}`;
    if (bonus && !themes.has(key)) themes.set(key, rule);
  }
  const fourth = [...themes.values()][MOST_THEMES];
  if (fourth) envelope.warn(say.manyThemes(themes.size), envelope.placeOf(fourth));
}

function warnWatchers({ ruleSet, envelope }: Checking): void {
  for (const rule of ruleSet.rules) {
    if (rule.watch !== undefined && rule.watch.is !== "table") continue;
    const hard = (rule.when ?? []).flatMap(({ steps }) =>
      steps
        .filter(isAction)
        .flatMap((step) => (step.doing.manners ?? []).filter(({ manner }) => isHard(manner))),
    )[0];
    if (hard) envelope.warn(say.noWatcher(hard.manner), envelope.placeOf(rule));
  }
}

function warnGroups({ ruleSet, envelope }: Checking): void {
  const groups = new Map<string, Rule[]>();
  for (const rule of ruleSet.rules)
    if (rule.bestOf !== undefined) groups.set(rule.bestOf, [...(groups.get(rule.bestOf) ?? []), rule]);
  for (const [group, [first, second]] of groups)
    if (first && second === undefined) envelope.warn(say.aloneInGroup(group), envelope.placeOf(first));
}

function warnScoring({ ruleSet, envelope }: Checking): void {
  if (ruleSet.touches.length === 0 && envelope.faults.length === 0) {
    const place = envelope.placeOf(ruleSet);
    if (ruleSet.rules.length === 0) envelope.fault(say.nothingAtAll(), place);
    else envelope.warn(say.nothingScores(), place);
  }
  for (const mark of ruleSet.marks)
    if (mark.changes.length === 0 && mark.starts === undefined)
      envelope.warn(say.neverChanges(mark.name), envelope.placeOf(mark));
}
