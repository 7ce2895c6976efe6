/** What a draft says: the line that would be recorded, and what each chip shows. The scorer decides, not this file. */
import { laidOut } from "../language/explain-phrase.ts";
import type { Condition, Phrase, Rule } from "../language/tree.ts";
import type { Act, BoutSheet, Call, ExchangeLine } from "../record.ts";
import { other, type MannerOfExchange, type Side } from "../vocabulary.ts";
import { AFTERBLOW, type NeitherPress } from "./plan-neither.ts";
import { holding, lastOf, touchProbe } from "./plan-probe.ts";
import { proposals } from "./plan-witness.ts";
import type { ChipKey, ChipPay, HitKey, PressPlan } from "./plan.ts";
import type { ScoredExchange } from "./tally.ts";

export interface Draft {
  readonly plan: PressPlan;
  /** What stands on the sheet already: picks, marks and exchanges; chips and pay are read after it. */
  readonly before: BoutSheet;
  /** Seconds on the clock at the halt. */
  readonly left?: number;
  /** Ids of hit keys, neither keys and chips, in the order of the presses that still hold. */
  readonly presses: readonly string[];
}

export const CHIP_STATES = ["lit", "offered", "idle", "hidden"] as const;
/**
 * lit: it follows from what was pressed. offered: a press would make it so. idle: nothing was pressed yet, and it can be
 * earned without a hit. hidden: it cannot be in this exchange.
 */
export type ChipState = (typeof CHIP_STATES)[number];

export interface Chip extends ChipKey {
  readonly state: ChipState;
  /** Pressed by hand, and so released by a second press. */
  readonly pressed: boolean;
  /** What it pays in this exchange, caps and repeats counted; missing where it cannot be or pays nothing. */
  readonly now?: ChipPay & { readonly to: Side };
}

export const hitKeyOf = (plan: PressPlan, id: string): HitKey | undefined =>
  [...plan.hits.red, ...plan.hits.blue].find((key) => key.id === id);
const chipKeyOf = (plan: PressPlan, id: string): ChipKey | undefined =>
  plan.chips.find((chip) => chip.id === id);
export const isNeither = (plan: PressPlan, id: string): id is NeitherPress =>
  plan.neither.some((key) => key.id === id);

interface Base {
  readonly how?: MannerOfExchange;
  readonly acts: readonly Act[];
}

const bareHit = (by: Side): Act => ({ by, end: "hit" });

/** What the keys alone say: who hit where, in the order of the presses. */
function keyedActs(draft: Draft): Base {
  const { plan, presses } = draft;
  if (presses.includes("no exchange")) return { how: "no exchange", acts: [] };
  const hits = presses.flatMap((id) => hitKeyOf(plan, id)?.act ?? []);
  const [first, second] = hits;
  if (presses.includes("afterblow")) {
    if (first === undefined || first.by === "both") return { acts: [] };
    return { acts: [first, { ...(second ?? bareHit(other(first.by))), kind: AFTERBLOW }] };
  }
  const both = presses.includes("double") || presses.includes("simultaneous") || second !== undefined;
  if (!both) return { acts: hits };
  const of = (side: Side): Act => hits.find((act) => act.by === side) ?? bareHit(side);
  return { how: presses.includes("simultaneous") ? "simultaneous" : "double", acts: [of("red"), of("blue")] };
}

interface Laid {
  readonly acts: readonly Act[];
  readonly calls: readonly Call[];
}

interface Reading {
  readonly line: ExchangeLine;
  readonly chips: readonly Chip[];
}
const readings = new WeakMap<Draft, Reading>();

const nextNo = (before: BoutSheet): number => before.filter((line) => line.type === "exchange").length + 1;

function lineOf(draft: Draft, base: Base, laid: Laid, open: ExchangeLine["open"] = false): ExchangeLine {
  return {
    type: "exchange",
    no: nextNo(draft.before),
    ...(base.how === undefined ? {} : { how: base.how }),
    acts: laid.acts,
    open,
    ...(draft.left === undefined ? {} : { left: draft.left }),
    ...(laid.calls.length === 0 ? {} : { calls: laid.calls }),
  };
}

/** What has to be there for a chip: one alternative for each line of "when" and of "if". */
function alternatives(draft: Draft, chip: ChipKey): readonly (readonly Condition[])[] {
  const { ruleSet } = draft.plan.scorer;
  const asCondition = (phrase: Phrase): Condition => ({ is: "phrase", phrase });
  if (chip.from.is === "touch") {
    const touch = ruleSet.touches[chip.from.index];
    return touch === undefined ? [] : [[asCondition(touch.phrase)]];
  }
  const rule: Rule | undefined = ruleSet.rules[chip.from.index];
  if (rule === undefined) return [];
  const whens = (rule.when ?? []).map((phrase) => [asCondition(phrase)]);
  const ifs = rule.if ?? [];
  return (whens.length === 0 ? [[]] : whens).flatMap((when) =>
    (ifs.length === 0 ? [[]] : ifs).map((line) => [...when, ...line]),
  );
}

/** The most that a judge may say; the spoken value is put right in the record. */
function callOf(draft: Draft, chip: ChipKey, one: Extract<Condition, { is: "call" }>): Call {
  const rule = draft.plan.scorer.ruleSet.rules[chip.from.index];
  const between = (rule?.pays ?? []).find((pay) => pay.sum.is === "between")?.sum;
  const value = between?.is === "between" ? { value: between.high } : {};
  return { call: one.call, for: one.for === "me" ? chip.side : other(chip.side), ...value };
}

/** Every way to lay a chip's facts over what is there. */
function layings(draft: Draft, chip: ChipKey, start: Laid, mayInventHits: boolean): readonly Laid[] {
  const { plan, before } = draft;
  const on = { set: plan.scorer.ruleSet, words: plan.probe.words, before, side: chip.side };
  return alternatives(draft, chip).flatMap((conditions) => {
    let found: readonly Laid[] = [start];
    for (const one of conditions) {
      if (one.is === "call")
        found = found.map((laid) => ({ ...laid, calls: [...laid.calls, callOf(draft, chip, one)] }));
      if (one.is !== "phrase") continue;
      const phrase = laidOut(one.phrase, plan.probe.phrases);
      found = found.flatMap((laid) =>
        proposals(laid.acts, phrase, on, mayInventHits).map((acts) => ({ ...laid, acts })),
      );
    }
    return found;
  });
}

const probeName = (chip: ChipKey): string =>
  chip.from.is === "touch" ? touchProbe(chip.from.index) : chip.rule;

const isKeyed = (draft: Draft): boolean =>
  draft.presses.some((id) => hitKeyOf(draft.plan, id) !== undefined || isNeither(draft.plan, id));

/** The first laying in which the chip's rule surely holds. */
function laidFor(draft: Draft, base: Base, start: Laid, chip: ChipKey): Laid | undefined {
  if (base.how === "no exchange") return undefined;
  const { plan, before } = draft;
  return layings(draft, chip, start, !isKeyed(draft)).find((laid) =>
    holding(plan.probe, before, lineOf(draft, base, laid))[chip.side].has(probeName(chip)),
  );
}

const hasHit = (acts: readonly Act[]): boolean => acts.some((act) => act.end === "hit");
const sameLaid = (a: Laid, b: Laid): boolean => JSON.stringify(a) === JSON.stringify(b);

const TELLING = ["blow", "direction", "edge", "hand", "footwork", "form"] as const;

/** The table looked and did not press: of the hits that are there it says "not this blow" (S4). */
function silence(acts: readonly Act[], offered: readonly Laid[]): readonly Act[] {
  return acts.map((act, at) => {
    const words = offered.flatMap((laid) => {
      const there = laid.acts.length === acts.length ? laid.acts[at] : undefined;
      const key = TELLING.find((one) => there?.[one] !== undefined && act[one] === undefined);
      const word = key === undefined ? undefined : there?.[key];
      return word === undefined ? [] : [word];
    });
    return words.length === 0 ? act : { ...act, not: [...new Set([...(act.not ?? []), ...words])] };
  });
}

/** Kinds and manners that a judge may still report, so that the line stays open for them. */
function judgesKinds(acts: readonly Act[], offered: readonly Laid[]): readonly string[] {
  const kinds = offered.flatMap((laid) =>
    laid.acts
      .filter((act) => !acts.some((own) => own.by === act.by && own.kind === act.kind && own.end === act.end))
      .map((act) => act.kind ?? "attack"),
  );
  return [...new Set(kinds)].sort();
}

interface Found {
  readonly chip: ChipKey;
  readonly state: ChipState;
  readonly pressed: boolean;
  /** The facts with which it would hold. */
  readonly laid?: Laid;
}

/** Lays the pressed chips over the keys, in the order of the presses; one that cannot be any more is left out. */
function withPressedChips(draft: Draft, base: Base): Laid {
  let laid: Laid = { acts: base.acts, calls: [] };
  for (const id of draft.presses) {
    const chip = chipKeyOf(draft.plan, id);
    if (chip !== undefined) laid = laidFor(draft, base, laid, chip) ?? laid;
  }
  return laid;
}

function find(draft: Draft, base: Base, laid: Laid): readonly Found[] {
  const { plan, before, presses } = draft;
  const held = holding(plan.probe, before, lineOf(draft, base, laid));
  const keyed = isKeyed(draft);
  return plan.chips.map((chip): Found => {
    const pressed = presses.includes(chip.id);
    if (held[chip.side].has(probeName(chip))) return { chip, state: "lit", pressed, laid };
    const possible = laidFor(draft, base, laid, chip);
    const adds = possible !== undefined && !sameLaid(possible, laid);
    if (!adds || (!keyed && hasHit(possible.acts))) return { chip, state: "hidden", pressed };
    return { chip, state: presses.length === 0 ? "idle" : "offered", pressed, laid: possible };
  });
}

/** What the rule pays here to the one whom it pays, or undefined for nothing. */
function payNow(chip: ChipKey, exchange: ScoredExchange | undefined): Chip["now"] | undefined {
  const { pay } = chip;
  if (pay === undefined) return undefined;
  const amount = (exchange?.awards ?? [])
    .filter((one) => one.rule === chip.rule && one.to === pay.to && one.unit === pay.unit)
    .reduce((sum, one) => sum + one.amount, 0);
  return amount === 0 ? undefined : { unit: pay.unit, amount, to: pay.to };
}

/** Reads a draft once; drafts never change, so a second look costs nothing. */
export function readDraft(draft: Draft): Reading {
  const known = readings.get(draft);
  if (known !== undefined) return known;
  const { plan, before } = draft;
  const base = keyedActs(draft);
  const laid = withPressedChips(draft, base);
  const found = find(draft, base, laid);
  const waiting = (judge: boolean): readonly Laid[] =>
    found.flatMap((one) =>
      (one.state === "offered" || one.state === "idle") && one.chip.watchedByJudge === judge && one.laid
        ? [one.laid]
        : [],
    );
  const judged = base.how === "no exchange" ? [] : judgesKinds(laid.acts, waiting(true));
  const line = lineOf(
    draft,
    base,
    { ...laid, acts: silence(laid.acts, waiting(false)) },
    judged.length > 0 ? judged : false,
  );
  const here = lastOf(plan.scorer, before, line);
  const chips = found.map((one): Chip => {
    const there =
      one.state === "lit" || one.laid === undefined
        ? here
        : lastOf(plan.scorer, before, lineOf(draft, base, one.laid));
    const now = one.state === "hidden" ? undefined : payNow(one.chip, there);
    return { ...one.chip, state: one.state, pressed: one.pressed, ...(now === undefined ? {} : { now }) };
  });
  const reading = { line, chips };
  readings.set(draft, reading);
  return reading;
}
