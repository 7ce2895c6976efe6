/** Phrases: that they ask for something that can happen. */
import type { Checking } from "./checking.ts";
import { checkCounted, checkLikes, checkTimes } from "./check-in-time.ts";
import { NOT_BOTH, OF_STRIKES, UNAIMED } from "./common.ts";
import * as say from "./faults-check.ts";
import { printPhrase, printStep } from "./print-phrase.ts";
import { sameName } from "./tokens.ts";
import type { Change, Doing, Phrase, Pick, Ref, RuleSet, Step } from "./tree.ts";
import { ofThisExchange, refsOf, visit, type Holder } from "./walk.ts";
import type { Words } from "./words.ts";

const MOST_STEPS = 6;

export function checkPhrases(checking: Checking): void {
  checkCounted(checking);
  visit(checking.ruleSet, {
    phrase(phrase, holder) {
      checkSteps(checking, phrase, holder);
      for (const step of phrase.steps) {
        const { doing } = step;
        if ("make" in doing) checkMake(checking, step, doing.make);
        else {
          checkSense(checking, step, doing);
          checkLikes(checking, phrase, step, doing);
          for (const { ref, slot } of refsOf(doing)) checkRef(checking, ref, slot, step);
        }
      }
    },
  });
}

/** How many actions a phrase asks for, with the phrases that it makes laid out. */
function countSteps(ruleSet: RuleSet, phrase: Phrase, depth = 0): number {
  let count = 0;
  for (const { never, doing } of phrase.steps) {
    if (never === true) continue;
    const made = "make" in doing ? ruleSet.phrases.find(({ name }) => name === doing.make) : undefined;
    count += made && depth < MOST_STEPS ? countSteps(ruleSet, made.phrase, depth + 1) : 1;
  }
  return count;
}

/** [P2] A phrase of "never" alone would hold in an empty exchange. */
function checkSteps({ ruleSet, envelope }: Checking, phrase: Phrase, holder: Holder): void {
  const place = envelope.placeOf(phrase, holder);
  const count = countSteps(ruleSet, phrase);
  if (count === 0) {
    const first = phrase.steps[0];
    const positive = first ? printStep({ link: first.link, subject: first.subject, doing: first.doing }) : "";
    envelope.fault(say.nothingHappens(printPhrase(phrase), positive), place);
  }
  if (count > MOST_STEPS) envelope.fault(say.tooManySteps(count), place);
  for (const step of phrase.steps) {
    if (step.never !== true) continue;
    if (step.link === "at once") envelope.fault(say.neverAtOnce(), envelope.placeOf(step, phrase));
    if (step.link === "next") envelope.fault(say.neverNext(), envelope.placeOf(step, phrase));
  }
  checkTimes(envelope, phrase);
}

function checkMake({ ruleSet, envelope }: Checking, step: Step, make: string): void {
  const place = envelope.placeOf(step);
  const made = ruleSet.phrases.find(({ name }) => name === make);
  if (step.subject === "both") envelope.fault(say.makeWithBoth(make), place);
  else if (step.never === true && made !== undefined && made.phrase.steps.length > 1)
    envelope.fault(say.neverMake(make), place);
}

const isOffence = (words: Words, kind: string): boolean => words.named(kind, "action")?.offence === true;

/** Asks for something that no action can be: a warning, since a coach may mean it yet. */
function checkSense({ envelope, names }: Checking, step: Step, doing: Doing): void {
  const { words } = names;
  const warn = (message: ReturnType<typeof say.notOfBoth>): void =>
    envelope.warn(message, envelope.placeOf(step));
  const kinds = doing.kinds ?? [];
  const [kind] = kinds;
  const noStrike = kind !== undefined && kinds.every((one) => !isOffence(words, one) && one !== "feint");
  const manners = (doing.manners ?? []).filter(({ not }) => not !== true).map(({ manner }) => manner);
  for (const manner of manners) {
    if (step.subject === "both" && NOT_BOTH.has(manner)) warn(say.notOfBoth(manner));
    else if (noStrike && OF_STRIKES.has(manner)) warn(say.onlyOfStrikes(manner, kind));
    const excluded = manners.find(
      (other) => words.named(manner, "manner")?.excludes?.includes(other) === true,
    );
    if (excluded !== undefined && manner < excluded) warn(say.exclude(manner, excluded));
  }
  if (noStrike && doing.result === "hit") warn(say.noStrikeNoHit(kind));
  const unaimed = kind !== undefined && kinds.every((one) => UNAIMED.has(one));
  if (unaimed && doing.to !== undefined) warn(say.unaimed(kind, "target"));
  if (unaimed && doing.with?.some(({ any }) => any.some((one) => "blow" in one || "form" in one)) === true)
    warn(say.unaimed(kind, "blow"));
}

const SLOT_CLASSES = {
  with: ["blow", "form", "direction", "edge", "hand", "footwork", "action"],
  to: ["target"],
  from: ["side", "guard"],
} as const;
const SLOT_ATTRIBUTES = {
  with: ["blow", "form", "hand", "action"],
  to: ["target", "opening"],
  from: ["side", "guard"],
} as const;

type Slot = keyof typeof SLOT_CLASSES;

/** Payments, and the end of the bout, come when no action is left that could read the mark. */
const comesInside = ({ when }: Change): boolean =>
  when.is === "conditions" &&
  !when.all.flatMap(ofThisExchange).some((one) => one.is === "rule pays" || one.is === "outcome");

/** A value from outside must be able to be what its slot needs. */
function checkRef(checking: Checking, ref: Ref, slot: Slot, step: Step): void {
  const { ruleSet, envelope, names } = checking;
  const place = envelope.placeOf(ref, step);
  const pick = ruleSet.picks.find(({ name }) => name === ref.ref);
  if (pick) {
    const wrong = unfit(pick, slot, names.words);
    if (pick.from.length > 0 && wrong.length === pick.from.length)
      envelope.fault(say.notInSlot(pick.name, slot, wrong.slice(0, 3).join(", ")), place);
    else if (wrong.length > 0) envelope.warn(say.someNotInSlot(pick.name, slot, wrong), place);
    return;
  }
  const mark = ruleSet.marks.find(({ name }) => name === ref.ref);
  if (mark && ref.atThatMoment === true && !mark.changes.some(comesInside))
    envelope.warn(say.noMoment(ref.ref), place);
  for (const { does } of mark?.changes ?? []) {
    if (does.is !== "gains" && does.is !== "becomes") continue;
    if (!(SLOT_ATTRIBUTES[slot] as readonly string[]).includes(does.what)) {
      envelope.fault(say.notInSlot(ref.ref, slot, `the ${does.what}`), place);
      return;
    }
  }
}

/** Values of a pick that no action in that slot can have. */
function unfit(pick: Pick, slot: Slot, words: Words): readonly string[] {
  const has = (text: string): boolean =>
    SLOT_CLASSES[slot].some((one) => words.named(text, one) !== undefined);
  return pick.from
    .filter(({ text, blow, target }) => {
      if (blow !== undefined || target !== undefined) return slot === "from";
      if (has(text)) return false;
      // "descending cut": every word of it by itself.
      return slot !== "with" || !sameName(text).split(" ").every(has);
    })
    .map(({ text }) => text);
}
