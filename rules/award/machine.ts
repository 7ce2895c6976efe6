/**
 * The one mutable workspace of a compiled rule set: the world that is being scored, the exchange as it went, and the
 * awards as the passes change them. Closures read it; nothing is allocated while an exchange is scored.
 */
import type { Call } from "../record.ts";
import type { Part } from "./part.ts";
import { Chooser, type Field, type Fields } from "./memory.ts";

export type SideIndex = 0 | 1;

const BOTH: readonly SideIndex[] = [0, 1];

/** How the exchange was called, as a number. */
export const HOW = { plain: 0, double: 1, simultaneous: 2, "no exchange": 3 } as const;

export const POINTS = 0;
export const BONUS = 1;

/** Awards beside the rules' own: what a touch is worth and the bout's own sentences. */
export const OWN_AWARDS = ["touch", "double", "conversion"] as const;

export class Machine {
  readonly chooser = new Chooser();
  private readonly fields: Fields;
  /** As the exchange began. */
  mem: Float64Array = new Float64Array(0);
  /** With this exchange's changes in it; NaN where it is as it began and not yet read. */
  now: Float64Array = new Float64Array(0);
  /** Phrases at the halt. */
  state: Int32Array = new Int32Array(0);
  how = 0;
  /** Seconds left at the halt; NaN unknown, until a condition needs it. */
  left = Number.NaN;
  /** Seconds that the rule set's conditions tell apart; one of each kind. */
  leftCandidates: readonly number[] = [];
  /** Seconds that the exchange took by the clock; NaN unknown, until a condition needs it. */
  lasted = Number.NaN;
  /** Lengths that the rule set's conditions tell apart; one of each kind. */
  lengthCandidates: readonly number[] = [];
  calls: readonly Call[] = [];
  /** How many exchanges were fenced, this one included; "no exchange" does not count. */
  number = 0;
  /** Doubles before this exchange. */
  doubles = 0;
  /** The exchange after which the bout is over by number; 0 where there is no such sentence. */
  lastNumber = 0;
  /** While the end of the bout is scored: 0 Red won, 1 Blue won, 2 nobody; else -1. */
  winner = -1;

  /** Numbers of Red and Blue among the fencers of the evening. */
  here: readonly [number, number] = [0, 1];
  /** Whether rings that share limits with this one are waited for, or taken to leave everything to it. */
  hall: "alone" | "waits" | "grants" = "alone";
  /** What the hall has granted, by exchange, rule and fencer. */
  granted: ReadonlyMap<string, number> = new Map();
  /** The number that the line of this exchange has; 0 at the end of the bout. */
  exchange = 0;

  // Award slots: one for each sum that a rule pays.
  count = 0;
  readonly rule: Int32Array;
  readonly to: Int32Array;
  /** Which of the rule's sums. */
  readonly sumNumber: Int32Array;
  readonly unit: Int32Array;
  readonly by: Int32Array;
  readonly times: Int32Array;
  readonly amount: Float64Array;

  // Effects that fired: rule, the fencer who is "I", and which of the rule's effects.
  effects = 0;
  readonly effectRule: Int32Array;
  readonly effectSide: Int32Array;
  readonly effectNumber: Int32Array;

  /** What the touches were worth before any rule, for changes that come after all of them. */
  readonly touch = new Float64Array(2);
  readonly warned = new Int32Array(2);
  readonly retired = new Int32Array(2);
  /** 0 nothing; else 1 both lose, 2 Red loses, 3 Blue loses, 4 by score. */
  ending = 0;
  /** For each rule and fencer: whether it fired in this exchange, and paid. */
  readonly fired: Uint8Array;
  private readonly firing: Int32Array;
  private firings = 0;
  readonly paid: Uint8Array;
  /** The one part of the rule set that is scored; undefined for all of it. */
  part: Part | undefined = undefined;
  /** Who is tried as "I". */
  sides: readonly SideIndex[] = BOTH;
  /** Values that a field may have in this world where they are fewer than its domain. */
  candidates: ReadonlyMap<number, readonly number[]> | undefined = undefined;
  /** Called after each pass while an exchange is being explained; never while it is only scored. */
  watch: ((pass: string) => void) | undefined = undefined;

  constructor(fields: Fields, rules: number, slots: number, effects: number) {
    this.fields = fields;
    this.rule = new Int32Array(slots);
    this.to = new Int32Array(slots);
    this.sumNumber = new Int32Array(slots);
    this.unit = new Int32Array(slots);
    this.by = new Int32Array(slots);
    this.times = new Int32Array(slots);
    this.amount = new Float64Array(slots);
    this.effectRule = new Int32Array(effects);
    this.effectSide = new Int32Array(effects);
    this.effectNumber = new Int32Array(effects);
    this.fired = new Uint8Array(rules * 2);
    this.firing = new Int32Array(rules * 2);
    // The touches and the bout's own awards come after the rules.
    this.paid = new Uint8Array((rules + OWN_AWARDS.length) * 2);
  }

  /** A field as the exchange began; an unknown one is settled by a choice, and stays so in this world. */
  read(index: number): number {
    const value = this.mem[index] as number;
    return value === value ? value : this.settle(index);
  }

  private settle(index: number): number {
    const domain = this.candidates?.get(index) ?? (this.fields.all[index] as Field).domain;
    const value = domain[this.chooser.choose(domain.length)] as number;
    this.mem[index] = value;
    return value;
  }

  readNow(index: number): number {
    const value = this.now[index] as number;
    if (value === value) return value;
    const settled = this.read(index);
    this.now[index] = settled;
    return settled;
  }

  /** Seconds left at the halt; where nobody said, every value that a condition could tell apart. */
  readLeft(): number {
    if (this.left !== this.left)
      this.left = this.leftCandidates[this.chooser.choose(this.leftCandidates.length)] as number;
    return this.left;
  }

  /** How long the exchange took; where the clock was not written at both ends, every length that a condition tells apart. */
  readLasted(): number {
    if (this.lasted !== this.lasted)
      this.lasted = this.lengthCandidates[this.chooser.choose(this.lengthCandidates.length)] as number;
    return this.lasted;
  }

  look(part: Part | undefined): void {
    this.part = part;
    this.sides = part?.sides ?? BOTH;
  }

  begin(): void {
    for (let i = 0; i < this.firings; i++) this.fired[this.firing[i] as number] = 0;
    for (let slot = 0; slot < this.count; slot++)
      this.paid[(this.rule[slot] as number) * 2 + (this.to[slot] as number)] = 0;
    this.firings = 0;
    this.count = 0;
    this.effects = 0;
    this.ending = 0;
    this.warned[0] = this.warned[1] = 0;
    this.retired[0] = this.retired[1] = 0;
  }

  fire(rule: number, side: SideIndex): void {
    const at = rule * 2 + side;
    this.fired[at] = 1;
    this.firing[this.firings++] = at;
  }

  award(
    rule: number,
    by: number,
    to: number,
    unit: number,
    amount: number,
    times: number,
    sumNumber = 0,
  ): void {
    const slot = this.count++;
    this.sumNumber[slot] = sumNumber;
    this.rule[slot] = rule;
    this.by[slot] = by;
    this.to[slot] = to;
    this.unit[slot] = unit;
    this.amount[slot] = amount;
    this.times[slot] = times;
    this.paid[rule * 2 + to] = 1;
  }

  effect(rule: number, side: number, which: number): void {
    const at = this.effects++;
    this.effectRule[at] = rule;
    this.effectSide[at] = side;
    this.effectNumber[at] = which;
  }

  /** What a rule (or every rule: -1) pays a fencer in this unit as it now stands. */
  sum(rule: number, to: number, unit: number): number {
    let sum = 0;
    for (let slot = 0; slot < this.count; slot++)
      if (this.to[slot] === to && this.unit[slot] === unit && (rule < 0 || this.rule[slot] === rule))
        sum += this.amount[slot] as number;
    return sum;
  }
}
