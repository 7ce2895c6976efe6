/** What nobody has said about an exchange that some phrase asks: one candidate for each question to be tried. */
import type { Doing, Phrase } from "../language/tree.ts";
import type { Act, Call, ExchangeLine } from "../record.ts";
import { SIDES, type Side } from "../vocabulary.ts";
import { type AttributeClass, propagate } from "./attributes.ts";
import { type Candidate, storeOf, yesNo } from "./candidate.ts";
import { secondsLeft } from "./clock-questions.ts";
import { timeQuestions } from "./candidates-in-time.ts";
import { isCompared, remembering } from "./remembered-questions.ts";
import { secondsAttribute, upToAttribute } from "./doing.ts";
import { type Formula, truth } from "./formula.ts";
import { leftHandersIn } from "./hands.ts";
import { knownOfUnrecorded, opennessOf } from "./known.ts";
import { actId } from "./lines.ts";
import type { FlatPhrase } from "./pattern.ts";
import type { Program } from "./program.ts";
import type { Answer, Fact } from "./tally.ts";
import * as say from "./question-words.ts";

type Step = FlatPhrase["steps"][number];

/** Every candidate of an exchange, each once. */
export function candidatesOf(
  program: Program,
  line: ExchangeLine,
  phrases: readonly Phrase[],
): readonly Candidate[] {
  const found = new Map<string, Candidate>();
  const add = (candidate: Candidate): void => {
    if (!found.has(candidate.id)) found.set(candidate.id, candidate);
  };
  line.acts.forEach((act, i) => {
    if (act.end === "perhaps") add(landed(line, i));
  });
  for (const phrase of phrases)
    for (const flat of program.env.flat(phrase))
      flat.steps.forEach((step, at) => {
        line.acts.forEach((act, i) => {
          if (mayAct(step, act)) for (const one of aboutAct(program, line, i, step.doing)) add(one);
        });
        for (const side of SIDES) {
          for (const one of missing(program, line, flat, at, side)) add(one);
        }
      });
  for (const one of timeQuestions(program, line, phrases)) add(one);
  for (const one of remembering(program, line)) add(one);
  for (const one of earlierStrikes(program, line)) add(one);
  const { timeCuts, lengthCuts } = program.env;
  // Where exchanges are asked how long they took, the whole sheet is needed to ask.
  const clock =
    line.left === undefined && lengthCuts.size === 0 ? secondsLeft([...timeCuts.values()]) : undefined;
  if (clock) add(clock);
  for (const one of valuesOfCalls(program, line)) add(one);
  return [...found.values()];
}

/** Either fencer may be "I", so any single fencer may be the subject. */
const mayAct = (step: Step, act: Act): boolean => step.subject !== "both" || act.by === "both";

function landed(line: ExchangeLine, i: number): Candidate {
  const act = actId(line, i);
  return {
    id: `${act}/landed`,
    text: `did ${say.itsName(line, i)} land?`,
    answers: yesNo([{ fact: "end", act, end: "hit" }], [{ fact: "end", act, end: "no hit" }]),
  };
}

type AttributeFact = Extract<Fact, { fact: "attribute" }>;

function aboutAct(program: Program, line: ExchangeLine, i: number, doing: Doing): readonly Candidate[] {
  const store = storeOf(program, line, i);
  const act = actId(line, i);
  const name = say.itsName(line, i);
  const unknown = (formula: Formula): boolean => truth(formula, store) === undefined;
  const found: Candidate[] = [];
  const ask = (key: AttributeFact["key"], value: string, text: string): void => {
    const fact: AttributeFact = { fact: "attribute", act, key, value };
    found.push({ id: `${act}/${key}/${value}`, text, answers: yesNo([fact], [{ ...fact, not: true }]) });
  };
  const { attributes } = program.env.doings;
  for (const { key, value, wordClass } of wordsOf(program, doing))
    if (unknown(attributes.word(value, wordClass))) ask(key, value, say.wasIt(name, key, value));
  for (const { manner } of doing.manners ?? [])
    if (manner !== "cleanly" && unknown(attributes.manner(manner)))
      ask("manner", manner, say.wasIt(name, "manner", manner));
  if (doing.offence === true && unknown(attributes.offence()))
    ask("kind", "attack", `was ${name} an attack?`);
  const { seconds, upTo, result } = doing;
  if (seconds !== undefined && unknown(attributes.is(secondsAttribute(seconds), ["yes"]))) {
    const lasted = (n: number): Fact => ({ fact: "attribute", act, key: "for", value: String(n) });
    const text = `did ${name} last ${String(seconds)} s or more?`;
    found.push({ id: `${act}/for/${String(seconds)}`, text, answers: yesNo([lasted(seconds)], [lasted(0)]) });
  }
  if (upTo !== undefined && unknown(attributes.is(upToAttribute(upTo), ["yes"]))) {
    const lasted = (n: number): Fact => ({ fact: "attribute", act, key: "for", value: String(n) });
    const text = `did ${name} last ${String(upTo)} s or less?`;
    found.push({
      id: `${act}/up to/${String(upTo)}`,
      text,
      answers: yesNo([lasted(upTo)], [lasted(upTo + 1)]),
    });
  }
  if (result !== undefined && result !== "hit" && unknown(attributes.is("end", [result])))
    found.push({
      id: `${act}/end/${result}`,
      text: result === "miss" ? `did ${name} miss?` : `did ${name} fall short?`,
      answers: yesNo(
        [{ fact: "end", act, end: result }],
        [{ fact: "attribute", act, key: "end", value: result, not: true }],
      ),
    });
  return found;
}

interface AskedWord {
  readonly key: AttributeFact["key"];
  readonly value: string;
  readonly wordClass: AttributeClass;
}

/** A strike or a feint that may have come before the first that was recorded, where actions are compared. */
function earlierStrikes(program: Program, line: ExchangeLine): readonly Candidate[] {
  if (program.env.doings.likes.compared.length === 0 || line.acts.length === 0) return [];
  return SIDES.flatMap((by): readonly Candidate[] => {
    const own = line.acts.filter((act) => (act.by === by || act.by === "both") && isCompared(program, act));
    const mayBe = [STRIKE, FEINT].filter((doing) => mayBeMissing(program, line, by, doing));
    // With two of them the later has its earlier one.
    if (own.length > 1 || mayBe.length === 0) return [];
    const kinds = [STRIKE, FEINT].flatMap((doing) => kindsOf(program, doing));
    const silence: Fact = { fact: "nothing else", kinds, ...(line.open === true ? { by } : {}) };
    const happened = mayBe.map((doing): Fact => {
      return { fact: "happened", act: actOf(doing, by, undefined), before: actId(line, 0) };
    });
    const answers = happened.map((fact, n): Answer => {
      return { label: mayBe[n] === STRIKE ? "A strike" : "A feint", facts: [fact] };
    });
    return [
      {
        id: `${by}/before/strike or feint`,
        text: `did ${say.sideOf(by)} strike or feint${say.placeOf(line, false)}?`,
        answers: [...answers, { label: "No", facts: [silence] }],
        contrast: [...happened.map((fact) => [fact, silence]), [silence]],
      },
    ];
  });
}

const STRIKE: Doing = { offence: true };
const FEINT: Doing = { kinds: ["feint"] };

/** The words that a step asks of an action, those of its picks included. */
function wordsOf({ env }: Program, doing: Doing): readonly AskedWord[] {
  const words: AskedWord[] = [];
  const add = (key: AskedWord["key"], wordClass: AttributeClass, value: string | undefined): void => {
    if (value !== undefined) words.push({ key, value, wordClass });
  };
  for (const kind of doing.kinds ?? []) add("kind", "action", kind);
  const picked = (name: string, classes: readonly AttributeClass[]): void => {
    const values = env.ruleSet.picks.find((pick) => pick.name === name)?.from ?? [];
    for (const { text, blow, target } of values) {
      const plain = blow === undefined && target === undefined;
      for (const value of plain ? [text] : [blow, target].filter((one) => one !== undefined))
        for (const wordClass of classes)
          if (env.doings.attributes.lookup.named(value, wordClass)) add(KEYS[wordClass], wordClass, value);
    }
  };
  for (const one of (doing.with ?? []).flatMap(({ any }) => any)) {
    if ("ref" in one) picked(one.ref, ["blow", "form", "hand", "footwork", "action", "target"]);
    else if (!("alike" in one)) {
      for (const key of ["direction", "edge", "form", "blow", "hand", "footwork"] as const)
        add(key, key, one[key]);
      add("kind", "action", one.kind);
    }
  }
  for (const one of (doing.to ?? []).flatMap(({ any }) => any))
    if ("ref" in one) picked(one.ref, ["target"]);
    else if ("target" in one) add("target", "target", one.target);
  for (const one of (doing.from ?? []).flatMap(({ any }) => any))
    if ("ref" in one) picked(one.ref, ["guard", "side"]);
    else if ("side" in one) add("from", "side", one.side);
    else if ("guard" in one) add("from", "guard", one.guard);
  return words;
}

const KEYS: Readonly<Record<AttributeClass, AskedWord["key"]>> = {
  action: "kind",
  form: "form",
  blow: "blow",
  direction: "direction",
  edge: "edge",
  hand: "hand",
  footwork: "footwork",
  target: "target",
  side: "from",
  guard: "from",
};

/** An action that may have happened unrecorded: before the first action or after the last (S1). */
function missing(
  program: Program,
  line: ExchangeLine,
  { steps }: FlatPhrase,
  at: number,
  i: Side,
): readonly Candidate[] {
  const { doing, subject } = steps[at] as Step;
  if (doing.result === "hit") return [];
  const by: Act["by"] = subject === "both" ? "both" : subject === "they" ? (i === "red" ? "blue" : "red") : i;
  if (!mayBeMissing(program, line, by, doing)) return [];
  // A phrase of one step does not care where, unless it looks back at what was done before.
  const looksBack = program.env.stepTest(doing).choices.some(({ likes }) => likes.length > 0);
  const isAnywhere = line.acts.length === 0 || (steps.length === 1 && !looksBack);
  const places = isAnywhere ? [undefined] : [false, true];
  return places.map((after) => missingAt(program, line, doing, by, after));
}

function missingAt(
  program: Program,
  line: ExchangeLine,
  doing: Doing,
  by: Act["by"],
  after: boolean | undefined,
): Candidate {
  const before = after === true || line.acts.length === 0 ? undefined : actId(line, 0);
  // In a line with a list of what may be missing the silence is both fencers'.
  const alone = by !== "both" && line.open === true;
  const silence: Fact = { fact: "nothing else", kinds: kindsOf(program, doing), ...(alone ? { by } : {}) };
  const happened = (kind: string | undefined): Fact => ({
    fact: "happened",
    act: actOf(doing, by, kind),
    ...(before === undefined ? {} : { before }),
  });
  const named = doing.kinds && doing.kinds.length > 1 ? doing.kinds : [undefined];
  const yes = named.map((kind): Answer => {
    const label = kind === undefined ? "Yes" : kind.charAt(0).toUpperCase() + kind.slice(1);
    return { label, facts: [happened(kind)] };
  });
  const what = say.didWhat(actOf(doing, by, undefined), doing.kinds);
  const place = after === undefined ? "" : say.placeOf(line, after);
  return {
    id: `${by}/${after === undefined ? "" : after ? "after/" : "before/"}${what}`,
    text: `did ${say.sideOf(by)} ${what}${place}?`,
    answers: [...yes, { label: "No", facts: [silence] }],
    // Whether it matters there: one such action and no other, against none at all.
    contrast: [...named.map((kind) => [happened(kind), silence]), [silence]],
  };
}

function mayBeMissing(program: Program, line: ExchangeLine, by: Act["by"], doing: Doing): boolean {
  const { doings } = program.env;
  const formula = doings.predicates.formulas[program.env.stepTest(doing).predicate] as Formula;
  return knownOfUnrecorded(doings.attributes, opennessOf(line), by, leftHandersIn(line)).some(
    ({ store, written }) => {
      const open = propagate(doings.attributes, store, written);
      return open !== undefined && truth(formula, open) !== false;
    },
  );
}

/** The plainest action that the step would take. */
function actOf(doing: Doing, by: Act["by"], wanted: string | undefined): Act {
  const kind = wanted ?? doing.kinds?.[0];
  const act: { -readonly [K in keyof Act]: Act[K] } = { by };
  if (kind !== undefined) act.kind = kind;
  for (const { any, but } of doing.with ?? []) {
    const [first] = any;
    if (but !== true && first && !("ref" in first) && !("alike" in first)) {
      const { kind: own, ...words } = first;
      Object.assign(act, words, own === undefined ? {} : { kind: own });
    }
  }
  for (const { any, but } of doing.to ?? []) {
    const [first] = any;
    if (but !== true && first && "target" in first) act.target = first.target;
  }
  for (const { any, but } of doing.from ?? []) {
    const [first] = any;
    if (but !== true && first && "side" in first) act.from = [first.side];
    else if (but !== true && first && "guard" in first) act.from = [first.guard];
  }
  const manners = (doing.manners ?? []).filter(({ not }) => not !== true).map(({ manner }) => manner);
  const nots = (doing.manners ?? []).filter(({ not }) => not === true).map(({ manner }) => manner);
  if (manners.length > 0) act.manners = manners;
  if (nots.length > 0) act.not = nots;
  if (doing.seconds !== undefined) act.for = doing.seconds;
  if (doing.result !== undefined) act.end = doing.result;
  const isOffence = doing.offence === true || doing.result !== undefined;
  if (isOffence && act.kind === undefined && act.form === undefined && act.blow === undefined)
    act.kind = "attack";
  return act;
}

/** Every kind of action that the step could be; only offences miss or fall short. */
function kindsOf({ env }: Program, doing: Doing): readonly string[] {
  const { attributes } = env.doings;
  if (doing.kinds && doing.kinds.length > 0)
    return [
      ...new Set(doing.kinds.flatMap((kind) => attributes.constraint(kind, "action").get("kind") ?? [kind])),
    ];
  const isOffence = doing.offence === true || doing.result !== undefined;
  return attributes.lookup
    .all("action")
    .filter((word) => !isOffence || word.offence === true)
    .map((word) => word.name);
}

/** Only a second judge's own seat can answer it. */
function awaited({ rules }: Program["env"], call: Call): readonly Candidate[] {
  if (!rules.some(({ watch }) => watch?.is === "second judge")) return [];
  const { awaits: _, ...plain } = call;
  const value = call.value === undefined ? "" : `${String(call.value)} for `;
  const text = `does a second judge assent to ${value}${say.sideOf(call.for)}'s ${call.call}?`;
  const given: Fact = { fact: "call", call: { ...plain, assent: "judge" } };
  const id = `assent/${call.call}/${call.for}`;
  return [{ id, text, answers: [], ask: "judge", contrast: [[given], [{ fact: "call", call: plain }]] }];
}

/** A call whose value nobody has written. */
function valuesOfCalls({ env }: Program, line: ExchangeLine): readonly Candidate[] {
  return (line.calls ?? []).flatMap((call): readonly Candidate[] => {
    if (call.awaits === true) {
      const asked = awaited(env, call);
      if (asked.length > 0) return asked;
    }
    if (call.value !== undefined) return [];
    const spans = env.rules.flatMap((rule) =>
      (rule.pays ?? []).flatMap(({ sum }) => (sum.is === "between" ? [sum] : [])),
    );
    const low = Math.min(...spans.map((sum) => sum.low));
    const high = Math.max(...spans.map((sum) => sum.high));
    if (spans.length === 0) return [];
    const answers = Array.from({ length: Math.floor(high - low) + 1 }, (_, n): Answer => {
      const value = low + n;
      return { label: String(value), facts: [{ fact: "call", call: { ...call, value } }] };
    });
    const text = `how much does the judge give ${say.sideOf(call.for)} for ${call.call}?`;
    return [{ id: `call/${call.call}/${call.for}`, text, answers }];
  });
}
