/** Phrases in time: that a time has something to be measured from, and a likeness something to be compared with. */
import type { Checking } from "./checking.ts";
import type { Envelope } from "./envelope.ts";
import * as say from "./faults-check.ts";
import { printAlike, printGap } from "./print-phrase.ts";
import type { Alike, Doing, Likeness, Phrase, Step } from "./tree.ts";

const isAsked = ({ never }: Step): boolean => never !== true;

export function checkTimes(envelope: Envelope, phrase: Phrase): void {
  phrase.steps.forEach((step, i) => {
    const { gap, never } = step;
    if (!gap) return;
    const place = envelope.placeOf(step, phrase);
    if (!phrase.steps.slice(0, i).some(isAsked)) envelope.fault(say.timeOfNothing(printGap(gap)), place);
    else if (never === true && gap.is === "after") envelope.fault(say.neverAfter(gap.seconds), place);
  });
}

/** Whether the "never" at its end holds for a time only. */
function endsInTime({ steps }: Phrase): boolean {
  const last = steps.findLastIndex(isAsked);
  return steps.slice(last + 1).some(({ gap }) => gap !== undefined);
}

/** What follows each last action cannot follow those that only a time takes away again. */
export function checkCounted({ ruleSet, envelope }: Checking): void {
  const refuse = (what: string, phrase: Phrase, holder: object): void => {
    if (endsInTime(phrase)) envelope.fault(say.nothingToCount(what), envelope.placeOf(phrase, holder));
  };
  for (const rule of ruleSet.rules) {
    const pays = rule.pays ?? [];
    const each = pays.some(({ eachTime }) => eachTime === true);
    const spans = pays.find(({ forEachFullSeconds }) => forEachFullSeconds !== undefined);
    for (const phrase of rule.when ?? [])
      if (each) refuse('"each time"', phrase, rule);
      else if (spans) refuse(`"for each full ${String(spans.forEachFullSeconds)} s"`, phrase, rule);
  }
  for (const mark of ruleSet.marks)
    for (const change of mark.changes) {
      const remembers = change.does.is === "gains" || change.does.is === "becomes";
      if (change.when.is === "every" || (!remembers && change.eachTime !== true)) continue;
      const what = remembers ? `What "${mark.name}" remembers` : '"each time"';
      for (const one of change.when.all) if (one.is === "phrase") refuse(what, one.phrase, change);
    }
}

const SLOTS: Readonly<Record<Likeness, "with" | "to" | "from">> = {
  blow: "with",
  form: "with",
  hand: "with",
  target: "to",
  opening: "to",
  side: "from",
  guard: "from",
};

export function checkLikes({ envelope }: Checking, phrase: Phrase, step: Step, doing: Doing): void {
  const place = envelope.placeOf(step, phrase);
  const { seconds, upTo } = doing;
  if (seconds !== undefined && upTo !== undefined && seconds > upTo)
    envelope.warn(say.upToLess(seconds, upTo), place);
  // The exchange opens with it, or the fencer does.
  const opens = phrase.first === true && phrase.steps[0] === step;
  for (const slot of ["with", "to", "from"] as const)
    for (const one of likesIn(doing, slot)) {
      if (SLOTS[one.what] !== slot) envelope.fault(say.likeNotInSlot(slot, one.what), place);
      else if (opens || (doing.begin === true && one.theirs !== true))
        envelope.warn(say.likeNothing(printAlike(one)), place);
    }
}

const likesIn = (doing: Doing, slot: "with" | "to" | "from"): readonly Alike[] =>
  (doing[slot] ?? []).flatMap(({ any }) => any.flatMap((one) => ("alike" in one ? [one] : [])));
