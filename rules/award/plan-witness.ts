/**
 * The actions that a phrase needs, laid over the actions that are there already. A witness only proposes lines; whether
 * a rule holds in one of them is left to the scorer.
 */
import type {
  Alike,
  Blow,
  Choice,
  Doing,
  Manner,
  Phrase,
  Pick,
  Place,
  Ref,
  RuleSet,
  Step,
} from "../language/tree.ts";
import type { Words } from "../language/words.ts";
import type { Act, BoutSheet } from "../record.ts";
import { other, type Side } from "../vocabulary.ts";
import { excludedBy } from "./attributes.ts";

export interface Witnessing {
  readonly set: RuleSet;
  readonly words: Words;
  /** What was drawn or chosen so far, as the table knows it. */
  readonly before: BoutSheet;
  /** The fencer who is "I". */
  readonly side: Side;
}

/** No phrase needs more proposals than this before one of them holds. */
const MOST_PROPOSALS = 16;

type Known = { -readonly [K in keyof Act]: Act[K] };

const subjectsOf = (step: Step, side: Side): readonly Act["by"][] => {
  switch (step.subject) {
    case "I":
      return [side];
    case "they":
      return [other(side)];
    case "either":
      return [side, other(side)];
    case "both":
      return ["both"];
  }
};

/** The value of a pick as it stands, or undefined while nobody has chosen. */
function pickNow(ref: Ref, on: Witnessing): Pick["from"][number] | undefined {
  const whose = ref.owner === "my" ? on.side : ref.owner === "their" ? other(on.side) : undefined;
  const line = on.before.findLast(
    (one) =>
      one.type === "pick" &&
      one.pick === ref.ref &&
      (whose === undefined || one.side === undefined || one.side === whose),
  );
  if (line === undefined || line.type !== "pick") return undefined;
  const pick = on.set.picks.find((one) => one.name === ref.ref);
  return pick?.from.find((value) => value.text === line.value);
}

/** A key of an act takes a value if it is free or has it already. */
function take(
  act: Known,
  key: "form" | "blow" | "direction" | "edge" | "hand" | "footwork" | "kind" | "target",
  value: string,
): boolean {
  if (act.not?.includes(value)) return false;
  if (act[key] !== undefined) return act[key] === value;
  act[key] = value;
  return true;
}

const BLOW_KEYS = ["direction", "edge", "form", "blow", "hand", "footwork", "kind"] as const;

function takeBlow(act: Known, blow: Blow): boolean {
  return BLOW_KEYS.every((key) => {
    const value = blow[key];
    return value === undefined || take(act, key, value);
  });
}

/** Words that a pick's value stands for, put on the act under the key of their class. */
function takeValue(act: Known, value: Pick["from"][number], words: Words): boolean {
  if (value.blow !== undefined && !take(act, "blow", value.blow)) return false;
  if (value.target !== undefined && !take(act, "target", value.target)) return false;
  if (value.blow !== undefined || value.target !== undefined) return true;
  const word = words.find(value.text)[0];
  if (word === undefined) return true;
  switch (word.class) {
    case "action":
      return take(act, "kind", word.name);
    case "form":
    case "blow":
    case "direction":
    case "edge":
    case "hand":
    case "footwork":
    case "target":
      return take(act, word.class, word.name);
    case "side":
    case "guard":
      act.from = [...(act.from ?? []), word.name];
      return true;
    case "manner":
    case "call":
      return true;
  }
}

const addNot = (act: Known, words: readonly string[]): void => {
  act.not = [...new Set([...(act.not ?? []), ...words])];
};

/** Takes the first of a choice that the act can be; "anything but" is written as "not". */
function takeChoice<T extends object>(
  act: Known,
  choice: Choice<T>,
  on: Witnessing,
  one: { readonly put: (act: Known, value: T) => boolean; readonly name: (value: T) => readonly string[] },
): boolean {
  if (choice.but) {
    addNot(
      act,
      choice.any.flatMap((value) => ("ref" in value || "alike" in value ? [] : one.name(value))),
    );
    return true;
  }
  return choice.any.some((value) => {
    // Nothing to write: what it is like is asked afterwards, where nobody said it.
    if ("alike" in value) return true;
    const attempt: Known = { ...act };
    const drawn = "ref" in value ? pickNow(value, on) : undefined;
    const taken =
      "ref" in value ? drawn === undefined || takeValue(attempt, drawn, on.words) : one.put(attempt, value);
    if (taken) Object.assign(act, attempt);
    return taken;
  });
}

const BLOW = {
  put: takeBlow,
  name: (blow: Blow): readonly string[] => {
    const word = blow.blow ?? blow.direction ?? blow.edge ?? blow.hand ?? blow.footwork ?? blow.form;
    return word === undefined ? [] : [word];
  },
};
const TARGET = {
  put: (act: Known, value: { readonly target: string }): boolean => take(act, "target", value.target),
  name: (value: { readonly target: string }): readonly string[] => [value.target],
};
const placeName = (place: Place): string => ("side" in place ? place.side : place.guard);
const PLACE = {
  put: (act: Known, place: Place): boolean => {
    const name = placeName(place);
    if (!(act.from ?? []).includes(name)) act.from = [...(act.from ?? []), name];
    return true;
  },
  name: (place: Place): readonly string[] => [placeName(place)],
};

/** "cleanly" follows from the keys; a manner that excludes one that is there cannot be added. */
function takeManners(act: Known, manners: readonly Manner[], words: Words): boolean {
  return manners.every(({ manner, not }) => {
    const has = act.manners ?? [];
    if (manner === "cleanly") return true;
    if (not) addNot(act, [manner]);
    else if (has.some((one) => excludedBy(words, one).includes(manner))) return false;
    else if (!has.includes(manner)) act.manners = [...has, manner];
    return true;
  });
}

const isOffence = (kind: string, words: Words): boolean => words.named(kind, "action")?.offence === true;

/** A kind fits a recorded hit only if it is one that can land. */
function takeKind(act: Known, doing: Doing, words: Words): boolean {
  const kinds = doing.kinds ?? [];
  if (kinds.length === 0) return !doing.offence || act.kind === undefined || isOffence(act.kind, words);
  if (act.kind !== undefined) return kinds.includes(act.kind);
  const struck =
    act.end !== undefined || act.form !== undefined || act.blow !== undefined || act.target !== undefined;
  const kind = kinds.find((one) => !struck || isOffence(one, words));
  if (kind === undefined) return false;
  act.kind = kind;
  return true;
}

function takeResult(act: Known, doing: Doing): boolean {
  if (doing.result === undefined) return true;
  if (act.end !== undefined) return act.end === doing.result;
  if (doing.result === "hit") return false;
  act.end = doing.result;
  return true;
}

/** The act with everything that the step asks of it, or undefined where it cannot be that. */
function fitted(act: Act, step: Step, on: Witnessing): Act | undefined {
  if ("make" in step.doing || !subjectsOf(step, on.side).includes(act.by)) return undefined;
  const { doing } = step;
  const known: Known = { ...act };
  const fits =
    takeResult(known, doing) &&
    takeKind(known, doing, on.words) &&
    (doing.with ?? []).every((choice) => takeChoice(known, choice, on, BLOW)) &&
    (doing.to ?? []).every((choice) => takeChoice(known, choice, on, TARGET)) &&
    (doing.from ?? []).every((choice) => takeChoice(known, choice, on, PLACE)) &&
    takeManners(known, doing.manners ?? [], on.words);
  if (!fits) return undefined;
  if (doing.seconds !== undefined && (known.for ?? 0) < doing.seconds) known.for = doing.seconds;
  if (doing.upTo !== undefined && (known.for ?? doing.upTo) > doing.upTo) return undefined;
  if (doing.upTo !== undefined) known.for ??= doing.upTo;
  return known;
}

/** A new act for a step; a strike of no known kind is an attack. */
function made(step: Step, on: Witnessing): Act | undefined {
  if ("make" in step.doing) return undefined;
  const [by] = subjectsOf(step, on.side);
  if (by === undefined) return undefined;
  const start: Act = step.doing.result === "hit" ? { by, end: "hit" } : { by };
  const act = fitted(start, step, on);
  if (act === undefined) return undefined;
  const bare = act.kind === undefined && act.form === undefined && act.blow === undefined;
  return bare && (step.doing.offence || act.end !== undefined) && act.end !== "hit"
    ? { ...act, kind: "attack" }
    : act;
}

/** Places of the acts that each step takes, in order; undefined for a step that is new. */
type Matching = readonly (number | undefined)[];

function matchings(
  steps: readonly Step[],
  acts: readonly Act[],
  on: Witnessing,
  from = 0,
): readonly Matching[] {
  const [step, ...rest] = steps;
  if (step === undefined) return [[]];
  const found: Matching[] = [];
  for (let at = from; at < acts.length; at += 1) {
    const act = acts[at];
    if (act === undefined || fitted(act, step, on) === undefined) continue;
    for (const tail of matchings(rest, acts, on, at + 1)) found.push([at, ...tail]);
  }
  for (const tail of matchings(rest, acts, on, from)) found.push([undefined, ...tail]);
  return found;
}

const taken = (matching: Matching): number => matching.filter((at) => at !== undefined).length;

const isHit = (step: Step): boolean => !("make" in step.doing) && step.doing.result === "hit";

/** Nobody parries the hit that has landed: what the fencer who was hit did, he did before. */
const wasHit = (acts: readonly Act[], by: Act["by"]): boolean =>
  acts.some((act) => act.end === "hit" && act.by !== by);

/** New acts stand just before the next act they lead to, else just after the last one that led to them. */
function laid(
  steps: readonly Step[],
  acts: readonly Act[],
  matching: Matching,
  on: Witnessing,
): readonly Act[] | undefined {
  const inserted = new Map<number, Act[]>();
  const changed = [...acts];
  let last: number | undefined;
  for (const [index, step] of steps.entries()) {
    const at = matching[index];
    const act = at === undefined ? made(step, on) : fitted(changed[at] ?? { by: on.side }, step, on);
    if (act === undefined) return undefined;
    if (at !== undefined) {
      changed[at] = act;
      last = at;
      continue;
    }
    const next = matching.slice(index + 1).find((one) => one !== undefined);
    const place = next ?? (last === undefined ? 0 : last + 1);
    inserted.set(place, [...(inserted.get(place) ?? []), act]);
  }
  const all: Act[] = [];
  for (let at = 0; at <= changed.length; at += 1) {
    const added = inserted.get(at) ?? [];
    if (added.some((act) => wasHit(all, act.by))) return undefined;
    all.push(...added);
    const act = changed[at];
    if (act !== undefined) all.push(act);
  }
  return all;
}

/** "I hit another target" needs an earlier strike of that fencer, or of the other, with which it is compared. */
function withEarlier(steps: readonly Step[]): readonly Step[] {
  const [first] = steps;
  if (first === undefined || "make" in first.doing) return steps;
  const { subject, doing } = first;
  const items = [...(doing.with ?? []), ...(doing.to ?? []), ...(doing.from ?? [])];
  const like = items
    .filter(({ but }) => but !== true)
    .flatMap<object>(({ any }) => any)
    .find((one) => "alike" in one) as Alike | undefined;
  if (like === undefined || (subject !== "I" && subject !== "they")) return steps;
  const who = like.theirs === true ? (subject === "I" ? "they" : "I") : subject;
  return [{ link: "start", subject: who, doing: { offence: true } }, ...steps];
}

/**
 * Lines of acts in which the phrase may hold, those with the fewest new acts first. A hit is never invented once a hit
 * key was pressed: the keys say who hit.
 */
export function proposals(
  acts: readonly Act[],
  phrase: Phrase,
  on: Witnessing,
  mayInventHits: boolean,
): readonly (readonly Act[])[] {
  const steps = withEarlier(phrase.steps.filter((step) => !step.never));
  return [...matchings(steps, acts, on)]
    .filter(
      (matching) =>
        mayInventHits || steps.every((step, index) => !isHit(step) || matching[index] !== undefined),
    )
    .sort((a, b) => taken(b) - taken(a))
    .slice(0, MOST_PROPOSALS)
    .flatMap((matching) => {
      const line = laid(steps, acts, matching, on);
      return line === undefined ? [] : [line];
    });
}
