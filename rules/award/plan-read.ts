/** What a draft says: the line that would be recorded, and what each chip shows. The scorer decides, not this file. */
import { laidOut } from "../language/explain-phrase.ts";
import type { Condition, Phrase, Rule } from "../language/tree.ts";
import type { Act, BoutSheet, Call, ExchangeLine } from "../record.ts";
import { other, type MannerOfExchange, type Side } from "../vocabulary.ts";
import { AFTERBLOW, type NeitherPress } from "./plan-neither.ts";
import { amountOf, holds, mayHold, outlook, type Outlook } from "./plan-probe.ts";
import { proposals } from "./plan-witness.ts";
import type { ChipKey, ChipPay } from "./plan-chips.ts";
import type { HitKey, PressPlan } from "./plan.ts";

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
  /** Whether it holds hangs on something that no press can say, such as a sealed choice. */
  readonly open?: true;
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

const asCondition = (phrase: Phrase): Condition => ({ is: "phrase", phrase });

function ruleAlternatives(rule: Rule): readonly (readonly Condition[])[] {
  const whens = (rule.when ?? []).map((phrase): readonly Condition[] => [asCondition(phrase)]);
  const ifs = rule.if ?? [];
  return (whens.length === 0 ? [[]] : whens).flatMap((when) =>
    (ifs.length === 0 ? [[]] : ifs).map((line) => when.concat(line)),
  );
}

/** What has to be there for a chip: one alternative for each line of "when" and of "if". */
function alternatives(draft: Draft, { from }: ChipKey): readonly (readonly Condition[])[] {
  const { rules, touches, phrases, marks } = draft.plan.scorer.ruleSet;
  if (from.is === "change") {
    const when = marks[from.index]?.changes[from.change]?.when;
    return when === undefined || when.is === "every" ? [] : [when.all];
  }
  if (from.is === "rule") {
    const rule = rules[from.index];
    return rule === undefined ? [] : ruleAlternatives(rule);
  }
  const phrase = (from.is === "touch" ? touches : phrases)[from.index]?.phrase;
  return phrase === undefined ? [] : [[asCondition(phrase)]];
}

/** The most that a judge may say; the spoken value is put right in the record. */
function callOf(draft: Draft, chip: ChipKey, one: Extract<Condition, { is: "call" }>): Call {
  const rule = draft.plan.scorer.ruleSet.rules[chip.from.index];
  const between = (rule?.pays ?? []).find((pay) => pay.sum.is === "between")?.sum;
  const value = between?.is === "between" ? { value: between.high } : {};
  return { call: one.call, for: one.for === "me" ? chip.side : other(chip.side), ...value };
}

/** A condition's facts laid over what is there, in every way; conditions without facts change nothing. */
function layCondition(
  draft: Draft,
  chip: ChipKey,
  laid: Laid,
  one: Condition,
  mayInvent: boolean,
): readonly Laid[] {
  const { plan, before } = draft;
  if (one.is === "call") return [{ ...laid, calls: [...laid.calls, callOf(draft, chip, one)] }];
  if (one.is !== "phrase") return [laid];
  const on = { set: plan.scorer.ruleSet, words: plan.probe.words, before, side: chip.side };
  const lines = proposals(laid.acts, laidOut(one.phrase, plan.probe.phrases), on, mayInvent);
  return lines.map((acts) => ({ acts, calls: laid.calls }));
}

/** Every way to lay a chip's facts over what is there. */
const layings = (draft: Draft, chip: ChipKey, start: Laid, mayInvent: boolean): readonly Laid[] =>
  alternatives(draft, chip).flatMap((conditions) =>
    conditions.reduce<readonly Laid[]>(
      (found, one) => found.flatMap((laid) => layCondition(draft, chip, laid, one, mayInvent)),
      [start],
    ),
  );

const isKeyed = (draft: Draft): boolean =>
  draft.presses.some((id) => hitKeyOf(draft.plan, id) !== undefined || isNeither(draft.plan, id));

interface Fit {
  readonly laid: Laid;
  /** False where the facts are there and something else, such as a sealed choice, is not known here. */
  readonly sure: boolean;
}

/** The first laying in which the chip's rule surely holds, else the first in which it may hold. */
function laidFor(draft: Draft, base: Base, start: Laid, chip: ChipKey): Fit | undefined {
  if (base.how === "no exchange") return undefined;
  const { plan, before } = draft;
  let possible: Laid | undefined;
  for (const laid of layings(draft, chip, start, !isKeyed(draft))) {
    const seen = outlook(plan.probe.scorer, before, lineOf(draft, base, laid));
    if (holds(seen, chip.probe, chip.side)) return { laid, sure: true };
    if (possible === undefined && mayHold(seen, chip.probe, chip.side)) possible = laid;
  }
  return possible === undefined ? undefined : { laid: possible, sure: false };
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

/** A hit is one of these by itself once a parry before it is reported. */
const AFTER_PARRY: ReadonlySet<string> = new Set(["riposte", "counter-riposte"]);

/** Whose actions of which kinds, and which manners, a judge may still report: the line stays open for them. */
function judgesKinds(acts: readonly Act[], offered: readonly Laid[]): readonly string[] {
  const words = offered.flatMap((laid) =>
    laid.acts.flatMap((act) => {
      const own = acts.filter((one) => one.by === act.by && one.end === act.end);
      const manners = (act.manners ?? []).filter((manner) =>
        own.every((one) => !one.manners?.includes(manner)),
      );
      const kind = act.kind ?? "attack";
      const follows = own.length > 0 && AFTER_PARRY.has(kind);
      const known = follows || own.some((one) => (one.kind ?? "attack") === kind);
      return [...(known ? [] : [act.by === "both" ? kind : `${act.by} ${kind}`]), ...manners];
    }),
  );
  return [...new Set(words)].sort();
}

interface Found {
  readonly chip: ChipKey;
  readonly state: ChipState;
  readonly pressed: boolean;
  readonly open?: true;
  /** The facts with which it would hold. */
  readonly laid?: Laid;
}

/** Lays the pressed chips over the keys, in the order of the presses; one that cannot be any more is left out. */
function withPressedChips(draft: Draft, base: Base): Laid {
  let laid: Laid = { acts: base.acts, calls: [] };
  for (const id of draft.presses) {
    const chip = chipKeyOf(draft.plan, id);
    if (chip !== undefined) laid = laidFor(draft, base, laid, chip)?.laid ?? laid;
  }
  return laid;
}

/** What is only counted is not asked of a fencer who was hit: few presses matter more than every count. */
const isAside = (chip: ChipKey, { acts }: Laid): boolean =>
  chip.from.is === "phrase" && hasHit(acts) && !acts.some((act) => act.end === "hit" && act.by === chip.side);

function find(draft: Draft, base: Base, laid: Laid, chip: ChipKey, seen: Outlook): Found {
  const { presses } = draft;
  const pressed = presses.includes(chip.id);
  if (holds(seen, chip.probe, chip.side)) return { chip, state: "lit", pressed, laid };
  const fit = laidFor(draft, base, laid, chip);
  if (fit === undefined || (!pressed && isAside(chip, laid))) return { chip, state: "hidden", pressed };
  const open = fit.sure ? {} : ({ open: true } as const);
  // Pressed, and all its facts are there: what it pays hangs on something that nobody can press.
  if (pressed) return { chip, state: "offered", pressed, laid: fit.laid, ...open };
  const inventsHit = !isKeyed(draft) && hasHit(fit.laid.acts);
  if (sameLaid(fit.laid, laid) || inventsHit) return { chip, state: "hidden", pressed };
  return { chip, state: presses.length === 0 ? "idle" : "offered", pressed, laid: fit.laid, ...open };
}

/** What the rule surely pays here to the one whom it pays, or undefined for nothing. */
function payNow(chip: ChipKey, seen: Outlook): Chip["now"] | undefined {
  const { pay } = chip;
  if (pay === undefined) return undefined;
  const { least, most } = amountOf(seen, chip.rule, pay.to, pay.unit);
  return least !== most || least === 0 ? undefined : { unit: pay.unit, amount: least, to: pay.to };
}

function shown(draft: Draft, base: Base, { chip, state, pressed, open, laid }: Found, here: Outlook): Chip {
  const { plan, before } = draft;
  const there =
    state === "lit" || laid === undefined ? here : outlook(plan.scorer, before, lineOf(draft, base, laid));
  const now = state === "hidden" ? undefined : payNow(chip, there);
  return { ...chip, state, pressed, ...(open ? { open } : {}), ...(now === undefined ? {} : { now }) };
}

/** Facts of chips that were offered and not pressed, split by who watches them. */
const waiting = (found: readonly Found[], judge: boolean): readonly Laid[] =>
  found.flatMap(({ chip, state, pressed, laid }) =>
    !pressed && state !== "lit" && laid !== undefined && chip.watchedByJudge === judge ? [laid] : [],
  );

/** Reads a draft once; drafts never change, so a second look costs nothing. */
export function readDraft(draft: Draft): Reading {
  const known = readings.get(draft);
  if (known !== undefined) return known;
  const { plan, before } = draft;
  const base = keyedActs(draft);
  const laid = withPressedChips(draft, base);
  const probed = outlook(plan.probe.scorer, before, lineOf(draft, base, laid));
  const found = plan.chips.map((chip) => find(draft, base, laid, chip, probed));
  const judged = base.how === "no exchange" ? [] : judgesKinds(laid.acts, waiting(found, true));
  const closed = { calls: laid.calls, acts: silence(laid.acts, waiting(found, false)) };
  const line = lineOf(draft, base, closed, judged.length > 0 ? judged : false);
  const here = outlook(plan.scorer, before, { ...line, open: false });
  const reading = { line, chips: found.map((one) => shown(draft, base, one, here)) };
  readings.set(draft, reading);
  return reading;
}
