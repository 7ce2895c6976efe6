/** A phrase in plain words: as a command ("Parry a cut, then land a riposte") or as what happens ("you parry"). */
import { asThing, FULL, listed, takesObject, verbPhrase, words, type Tone } from "./explain-words.ts";
import type { Alike, Choice, Doing, Owner, Phrase, Ref, Step, Subject } from "./tree.ts";

/** The rule set's own phrases by name, for "I make the NAME". */
export type Phrases = ReadonlyMap<string, Phrase>;

const TURNED_SUBJECT: Readonly<Record<Subject, Subject>> = {
  I: "they",
  they: "I",
  either: "either",
  both: "both",
};
const TURNED_OWNER: Partial<Record<Owner, Owner>> = {
  my: "their",
  their: "my",
  "my team's": "their team's",
  "their team's": "my team's",
};

const turnRef = <T extends object>(one: T | Ref | Alike): T | Ref | Alike =>
  "ref" in one ? { ...one, owner: TURNED_OWNER[one.owner] ?? one.owner } : one;
const turnChoices = <T extends object>(choices: readonly Choice<T>[]): readonly Choice<T>[] =>
  choices.map((choice) => ({ ...choice, any: choice.any.map((one) => turnRef(one)) }));

function turnDoing(doing: Doing): Doing {
  return {
    ...doing,
    ...(doing.with ? { with: turnChoices(doing.with) } : {}),
    ...(doing.to ? { to: turnChoices(doing.to) } : {}),
    ...(doing.from ? { from: turnChoices(doing.from) } : {}),
  };
}

/** The same phrase seen by the other fencer. */
export function turned(phrase: Phrase): Phrase {
  const steps = phrase.steps.map((step) => ({
    ...step,
    subject: TURNED_SUBJECT[step.subject],
    doing: "make" in step.doing ? step.doing : turnDoing(step.doing),
  }));
  return { ...phrase, steps };
}

/** A phrase with every "make the NAME" laid out; a forbidden one keeps its name, as it has no single action. */
export function laidOut(phrase: Phrase, phrases: Phrases): Phrase {
  let first = phrase.first ?? false;
  const steps = phrase.steps.flatMap((step, at) => {
    if (!("make" in step.doing) || step.never) return [step];
    const named = phrases.get(step.doing.make);
    if (named === undefined || step.subject === "either" || step.subject === "both") return [step];
    const inner = laidOut(step.subject === "I" ? named : turned(named), phrases);
    if (at === 0 && inner.first) first = true;
    const [opening, ...rest] = inner.steps;
    return opening === undefined ? [] : [{ ...opening, link: step.link }, ...rest];
  });
  return first ? { first, steps } : { steps };
}

const SUBJECTS: Readonly<Record<Subject, string>> = {
  I: "you",
  they: "they",
  either: "you or they",
  both: "you both",
};

/**
 * The verb of a step; "them" in a verb ("drive them out") is the reader when the opponent does it. A bare "hit" without
 * its "with a thrust" would promise more than is paid: only named actions, and what merely opens, are shortened.
 */
function stepVerb(step: Step, tone: Tone, opens = false): string {
  if ("make" in step.doing) return `${step.doing.make === "cue" ? "give" : "make"} the ${step.doing.make}`;
  const named = (step.doing.kinds?.length ?? 0) > 0;
  const verb = verbPhrase(step.doing, named || opens ? tone : { ...tone, detail: 0 });
  return step.subject === "they" ? verb.replace(/\bthem\b/, "you") : verb;
}

const clause = (step: Step, tone: Tone, opens = false): string =>
  `${SUBJECTS[step.subject]} ${stepVerb(step, tone, opens)}`;

const isBareHit = (doing: Step["doing"]): boolean =>
  !("make" in doing) &&
  doing.result === "hit" &&
  Object.keys(doing).every((key) => key === "result" || isEmpty(doing, key));
const isEmpty = (doing: Doing, key: string): boolean => {
  const value = Object.entries(doing).find(([name]) => name === key)?.[1] as unknown;
  return value === undefined || value === false || (Array.isArray(value) && value.length === 0);
};

/** "they hit": a phrase that says no more than that the reader was hit. */
export const isBeingHit = (phrase: Phrase): boolean => {
  const [step] = phrase.steps;
  return (
    phrase.steps.length === 1 && step?.subject === "they" && step.never !== true && isBareHit(step.doing)
  );
};

/** What must not happen, and where: "they do not parry in between". */
function forbidden(steps: readonly Step[], at: number): string {
  const step = steps[at];
  if (step === undefined) return "";
  const verb = stepVerb(step, { detail: 0, familiar: false });
  const who =
    step.subject === "either" ? `neither of you ${verb}s` : `${SUBJECTS[step.subject]} do not ${verb}`;
  const said = words(who, gapText(step));
  const before = steps.slice(0, at).filter((one) => !one.never);
  const after = steps.slice(at + 1).filter((one) => !one.never);
  if (before.length === 0) return `${said} first`;
  const last = before[before.length - 1];
  const next = after[0];
  if (next === undefined) return `${said} after that`;
  if (before.length === 1 && after.length === 1) return `${said} in between`;
  return `${said} after ${clause(last ?? step, FULL)} and before ${clause(next, FULL)}`;
}

const gapText = ({ gap }: Step): string =>
  gap === undefined ? "" : `${gap.is === "within" ? "within" : "after at least"} ${String(gap.seconds)} s`;

function join(step: Step): string {
  const { link } = step;
  const when = step.gap === undefined ? "" : `${gapText(step)} `;
  if (link === "at once") return `, and at once ${when}`;
  return link === "next" ? `, and next of all ${when}` : `, then ${when}`;
}

export interface SaidPhrase {
  /** Without a capital and without a full stop. */
  readonly text: string;
  /** True where the text is a command to the reader. */
  readonly command: boolean;
}

function bansOf(steps: readonly Step[], tone: Tone, command: boolean): string {
  if (tone.detail > 0) {
    const last = steps[steps.length - 1];
    return last?.never && last.subject === "they" && isBareHit(last.doing) ? " and stay unhit" : "";
  }
  const bans = steps.flatMap((step, at) => (step.never ? [forbidden(steps, at)] : []));
  if (bans.length === 0) return "";
  if (bans.length === 1 && bans[0] === UNHIT_AFTER) {
    return command ? ", and do not be hit after that" : ", and you are not hit after that";
  }
  return command ? `, as long as ${listed(bans, "and")}` : `, and ${listed(bans, "and")}`;
}
const UNHIT_AFTER = "they do not hit after that";

/** What happens, with both fencers named: "they cut to the head, then you parry". */
export function asStatement(phrase: Phrase, phrases: Phrases, tone: Tone = FULL): string {
  const { steps, first } = laidOut(phrase, phrases);
  const parts: string[] = [];
  let subject: Subject | undefined;
  steps.forEach((step) => {
    if (step.never) return;
    const bridge = parts.length === 0 ? "" : join(step);
    // The subject is not repeated while one fencer goes on: "you parry, then hit".
    const said = step.subject === subject ? stepVerb(step, tone) : clause(step, tone);
    parts.push(`${bridge}${said}${parts.length === 0 && first ? " as the first action" : ""}`);
    subject = step.subject;
  });
  if (parts.length === 0) {
    return listed(
      steps.map((step) =>
        step.subject === "either"
          ? `neither of you ${stepVerb(step, tone)}s`
          : `${SUBJECTS[step.subject]} do not ${stepVerb(step, tone)}`,
      ),
      "and",
    );
  }
  return parts.join("") + bansOf(steps, tone, false);
}

/**
 * What the reader should do. A phrase that ends with the opponent's action cannot be commanded, and is then told as
 * what happens.
 */
export function asCommand(phrase: Phrase, phrases: Phrases, tone: Tone = FULL): SaidPhrase {
  const laid = laidOut(phrase, phrases);
  const steps = laid.steps.filter((step) => !step.never);
  const last = steps[steps.length - 1];
  if (last === undefined || last.subject !== "I") {
    return { text: asStatement(phrase, phrases, tone), command: false };
  }
  const named = namedCue(phrase, laid, tone);
  if (named !== undefined) return { text: named, command: true };
  const parts = commandParts(steps, tone, laid.first ?? false);
  return { text: parts + bansOf(laid.steps, tone, true), command: true };
}

/** "give the cue, a descending cut to the head": a named phrase that is one offensive action. */
function namedCue(phrase: Phrase, laid: Phrase, tone: Tone): string | undefined {
  const [step] = phrase.steps;
  const [act] = laid.steps;
  if (step === undefined || act === undefined || !("make" in step.doing) || "make" in act.doing)
    return undefined;
  if (phrase.steps.length !== 1 || laid.steps.length !== 1) return undefined;
  const thing = asThing(act.doing, { ...tone, familiar: false });
  if (thing === undefined) return undefined;
  return tone.detail > 2
    ? stepVerb(step, tone)
    : `${stepVerb(step, tone)}${tone.familiar ? ":" : ","} ${thing}`;
}

/** Commands drop the "and": "parry, at once hit". */
const commandLink = (step: Step): string => join(step).replace(/^, and /u, ", ");

function commandParts(steps: readonly Step[], tone: Tone, first: boolean): string {
  let text = "";
  let when = "";
  for (let at = 0; at < steps.length; at += 1) {
    const step = steps[at];
    if (step === undefined) continue;
    const next = steps[at + 1];
    const alone = step.gap === undefined ? "" : `${gapText(step)} `;
    const bridge = text === "" ? alone : commandLink(step);
    const opening = first && at === 0 ? " as the first action" : "";
    const merged = next === undefined ? undefined : parryOf(step, next, tone);
    if (merged !== undefined && next !== undefined) {
      text += `${bridge}${merged}${opening}`;
      at += 1;
    } else if (step.subject === "I") text += `${bridge}${stepVerb(step, tone)}${opening}`;
    else if (text === "") {
      when += `${when === "" ? "when " : join(step)}${clause(step, tone, true)}${opening}`;
    } else if (tone.detail < 3)
      text += `${bridge}${step.subject === "they" ? "let them" : SUBJECTS[step.subject]} ${stepVerb(step, tone)}`;
  }
  return when === "" ? text : words(`${when},`, text);
}

/** "parry a cut to the head (at once)", from their cut and the reader's parry. */
function parryOf(theirs: Step, mine: Step, tone: Tone): string | undefined {
  if (theirs.subject !== "they" || mine.subject !== "I") return undefined;
  // One thought has no room for seconds, nor for what may not stand between.
  if (mine.gap !== undefined || mine.link === "next") return undefined;
  if ("make" in theirs.doing || "make" in mine.doing || !takesObject(mine.doing)) return undefined;
  const thing = asThing(theirs.doing, tone);
  if (thing === undefined) return undefined;
  const atOnce = mine.link === "at once" && tone.detail < 2 ? "at once" : "";
  if (tone.detail > 2) return stepVerb(mine, tone);
  const bare = { ...mine, doing: { kinds: mine.doing.kinds ?? [] } };
  const manners = (mine.doing.manners ?? []).map((one) => words(one.not ? "not" : "", one.manner));
  return words(stepVerb(bare, tone), thing, ...(tone.detail === 0 ? manners : []), atOnce);
}
