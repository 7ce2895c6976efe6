/**
 * The slow and obvious scorer: phrases by trying every way, effects one after the other on a list of awards. It shares
 * nothing with rules/award but the tree, and knows only bouts in which every fact was recorded.
 */
import type { Condition, Effect, Phrase, Rule, RuleSet } from "../../rules/language/tree.ts";
import type { BoutSheet, ExchangeLine } from "../../rules/record.ts";
import { other, SIDES, type Side, type Unit } from "../../rules/vocabulary.ts";
import { Ways } from "./oracle-ways.ts";

export interface OracleAward {
  readonly exchange: number;
  readonly to: Side;
  readonly rule: string;
  readonly unit: Unit;
  readonly amount: number;
}

interface Slot {
  readonly rule: string;
  readonly by: Side;
  to: Side;
  readonly unit: Unit;
  amount: number;
}

type Sides<T> = Record<Side, T>;
const both = <T>(make: (side: Side) => T): Sides<T> => ({ red: make("red"), blue: make("blue") });

/** Awards that are not 0, in no order that means anything. */
export function oracle(ruleSet: RuleSet, sheet: BoutSheet): readonly OracleAward[] {
  const scorer = new Oracle(ruleSet);
  for (const line of sheet) if (line.type === "exchange") scorer.exchange(line);
  return scorer.awards;
}

class Oracle extends Ways {
  readonly awards: OracleAward[] = [];
  private readonly points = both(() => 0);
  private readonly bonus = both(() => 0);
  private readonly fired = new Map<string, number>();
  private readonly had = new Map<string, number>();
  private readonly held = new Map<string, number>();
  private marks: Record<string, Sides<number>> = {};
  private now: Record<string, Sides<number>> = {};
  private last: { line: ExchangeLine; paid: readonly string[] } | undefined;
  private line: ExchangeLine = { type: "exchange", no: 0, acts: [], open: false };
  private slots: Slot[] = [];
  private fenced = 0;
  private over = false;

  constructor(ruleSet: RuleSet) {
    super(ruleSet);
    for (const mark of ruleSet.marks) this.marks[mark.name] = both(() => 0);
  }

  exchange(line: ExchangeLine): void {
    if (this.over) return;
    if (line.how === "no exchange") return;
    this.line = line;
    this.fenced++;
    this.slots = [];
    this.now = this.changed(this.marks, false);
    this.touches();
    const effects = this.rules();
    this.bestOf();
    this.effects(effects);
    this.caps();
    this.floors();
    this.count();
    this.hold(effects);
    this.book(effects);
  }

  // ---- phrases ----

  private any(phrases: readonly Phrase[], me: Side): boolean {
    return phrases.some((phrase) => this.ends(phrase, this.line, me).length > 0);
  }

  // ---- conditions ----

  private holds(c: Condition, me: Side): boolean {
    const lead = this.points[me] - this.points[other(me)];
    switch (c.is) {
      case "phrase":
        return this.any([c.phrase], me);
      case "last":
        if (!this.last) return false;
        return typeof c.what === "string"
          ? this.last.line.how === c.what
          : this.ends(c.what, this.last.line, me).length > 0;
      case "exchange":
        return (this.line.how === c.how) !== (c.not === true);
      case "level":
        return lead === 0;
      case "lead":
        return (c.who === "I") === (c.how === "ahead") ? lead > 0 : lead < 0;
      case "time left":
        return c.cmp === "or less" ? (this.line.left ?? 0) <= c.seconds : (this.line.left ?? 0) >= c.seconds;
      case "rule pays": {
        const to = c.who === "me" ? me : other(me);
        if (c.last) return this.last?.paid.includes(`${c.rule} ${to}`) === true;
        return this.slots.some((slot) => slot.rule === c.rule && slot.to === to && slot.amount !== 0);
      }
      case "mark": {
        const values = (c.now ? this.now : this.marks)[c.mark] as Sides<number>;
        const mine = values[c.owner === "their" ? other(me) : me];
        if (typeof c.than === "string") {
          const theirs = values[other(me)];
          return c.than === "more than theirs"
            ? mine > theirs
            : c.than === "less than theirs"
              ? mine < theirs
              : mine === theirs;
        }
        const { n, cmp } = c.than;
        return cmp === "exactly" ? mine === n : cmp === "or more" ? mine >= n : mine <= n;
      }
      default:
        throw new Error(`the oracle knows nothing of "${c.is}"`);
    }
  }

  private all(line: readonly Condition[], me: Side): boolean {
    return line.every((one) => this.holds(one, me));
  }

  /** Marks after this exchange's changes: those that name a payment, or those that do not. */
  private changed(from: Record<string, Sides<number>>, payments: boolean): Record<string, Sides<number>> {
    const next: Record<string, Sides<number>> = {};
    for (const mark of this.ruleSet.marks) {
      const value = (me: Side): number => {
        let sum = 0;
        let to: number | undefined;
        const tried = mark.for === "the bout" ? SIDES : [me];
        for (const { when, does } of mark.changes) {
          if (when.is !== "conditions" || !("n" in does)) continue;
          if (when.all.some((one) => one.is === "rule pays") !== payments) continue;
          if (!tried.some((side) => this.all(when.all, side))) continue;
          if (does.is === "to") to = Math.min(to ?? does.n, does.n);
          else sum += does.is === "up" ? does.n : -does.n;
        }
        return to ?? (from[mark.name] as Sides<number>)[me] + sum;
      };
      next[mark.name] = both(value);
    }
    return next;
  }

  // ---- effects ----

  private touches(): void {
    const { doubles, afterblows, simultaneous } = this.ruleSet.bout;
    for (const side of SIDES) {
      const worths = this.ruleSet.touches
        .filter(({ phrase }) => this.any([phrase], side))
        .map(({ worth }) => worth);
      if (worths.length > 0) this.pay("touch", side, side, "points", Math.max(...worths));
    }
    const isDouble = this.line.how === "double";
    if (
      (isDouble && doubles !== "both score") ||
      (this.line.how === "simultaneous" && simultaneous !== "both score")
    )
      this.slots = [];
    if (isDouble && doubles === "1 off each")
      for (const side of SIDES) this.pay("double", side, side, "points", -1);
    if (isDouble || afterblows.is === "both score") return;
    const late = (side: Side): boolean =>
      this.line.acts.some(
        ({ by, kind, end }) => kind === "afterblow" && end === "hit" && (by === side || by === "both"),
      );
    for (const side of SIDES) {
      if (!late(side) || late(other(side))) continue;
      for (const slot of this.slots) {
        if (afterblows.is === "half to the second")
          slot.amount = slot.to === side ? slot.amount / 2 : slot.amount;
        else if (slot.to === side) slot.amount = 0;
        else if (afterblows.is === "annul the hit") slot.amount = 0;
        else if (afterblows.is === "take off 1")
          slot.amount = Math.min(slot.amount, Math.max(afterblows.leave, slot.amount - 1));
      }
    }
  }

  private pay(rule: string, by: Side, to: Side, unit: Unit, amount: number): void {
    if (amount !== 0) this.slots.push({ rule, by, to, unit, amount });
  }

  private rules(): { rule: Rule; by: Side; effect: Effect }[] {
    const effects: { rule: Rule; by: Side; effect: Effect }[] = [];
    const askers = (rule: Rule): boolean =>
      [...(rule.if ?? []), ...(rule.unless ?? [])].flat().some((c) => c.is === "rule pays" && !c.last);
    const order = [...this.ruleSet.rules].sort((a, b) => Number(askers(a)) - Number(askers(b)));
    for (const rule of order)
      for (const me of SIDES) {
        const meant = rule.when === undefined || this.any(rule.when, me);
        const needs = rule.if === undefined || rule.if.some((line) => this.all(line, me));
        const spared = rule.unless?.some((line) => this.all(line, me)) === true;
        if (!meant || !needs || spared) continue;
        for (const pay of rule.pays ?? []) this.paySum(rule, pay, me);
        for (const effect of rule.does ?? []) effects.push({ rule, by: me, effect });
        this.firing.push(`${rule.name} ${me}`);
      }
    return effects;
  }
  private firing: string[] = [];

  private paySum(rule: Rule, pay: NonNullable<Rule["pays"]>[number], me: Side): void {
    if (pay.sum.is !== "numbers" || (pay.if && !this.all(pay.if, me))) return;
    const { numbers, unit } = pay.sum;
    let amount = numbers[Math.min(this.fired.get(`${rule.name} ${me}`) ?? 0, numbers.length - 1)] ?? 0;
    if (pay.times) {
      const values = (pay.times.now ? this.now : this.marks)[pay.times.mark] as Sides<number>;
      amount *= values[pay.times.owner === "their" ? other(me) : me];
    }
    if (pay.eachTime)
      amount *= new Set((rule.when ?? []).flatMap((phrase) => this.ends(phrase, this.line, me))).size;
    this.pay(rule.name, me, pay.to === "them" ? other(me) : me, unit, amount);
  }

  private bestOf(): void {
    const worth = (name: string, me: Side): number =>
      this.slots
        .filter(({ rule, by }) => rule === name && by === me)
        .reduce((sum, { amount }) => sum + amount, 0);
    for (const group of new Set(this.ruleSet.rules.map(({ bestOf }) => bestOf)))
      for (const me of SIDES) {
        if (group === undefined) continue;
        const fired = this.ruleSet.rules
          .filter((rule) => rule.bestOf === group && this.firing.includes(`${rule.name} ${me}`))
          .sort((a, b) => worth(b.name, me) - worth(a.name, me) || (a.name < b.name ? -1 : 1));
        for (const { name } of fired.slice(1))
          for (const slot of this.slots) if (slot.rule === name && slot.by === me) slot.amount = 0;
      }
  }

  private effects(effects: readonly { rule: Rule; by: Side; effect: Effect }[]): void {
    const touched = (rule: Rule, whose: Side, what: string): Slot[] =>
      this.slots.filter((slot) => slot.rule !== rule.name && slot.to === whose && what.includes(slot.unit));
    for (const { rule, by, effect } of effects)
      if (effect.is === "annul")
        for (const slot of touched(rule, effect.whose === "my" ? by : other(by), effect.what))
          slot.amount = 0;
    for (const { rule, by, effect } of effects)
      if (effect.is === "multiply")
        for (const slot of touched(rule, effect.whose === "my" ? by : other(by), effect.what))
          slot.amount *= effect.by;
    const turns = effects
      .filter(({ effect }) => effect.is === "turn over")
      .flatMap(({ rule, by }) => touched(rule, by, "bonus"));
    for (const slot of new Set(turns)) slot.to = other(slot.to);
  }

  private caps(): void {
    for (const rule of this.ruleSet.rules)
      for (const limit of rule.atMost ?? [])
        for (const side of SIDES) {
          const mine = this.slots.filter(
            (slot) => slot.rule === rule.name && slot.to === side && slot.amount !== 0,
          );
          const had =
            limit.scope === "exchange" ? 0 : (this.had.get(`${rule.name} ${limit.of} ${side}`) ?? 0);
          if (limit.of === "times") {
            if (had >= limit.n) for (const slot of mine) slot.amount = 0;
            continue;
          }
          let over =
            mine
              .filter(({ unit }) => unit === limit.of)
              .reduce((sum, { amount }) => sum + Math.abs(amount), 0) - Math.max(0, limit.n - had);
          for (const slot of mine.filter(({ unit }) => unit === limit.of).reverse()) {
            if (over <= 0) break;
            const less = Math.min(over, Math.abs(slot.amount));
            slot.amount -= Math.sign(slot.amount) * less;
            over -= less;
          }
        }
  }

  private floors(): void {
    for (const rule of this.ruleSet.rules)
      for (const slot of this.slots) {
        if (rule.notBelow === undefined || slot.rule !== rule.name || slot.amount >= 0) continue;
        const total = this.slots
          .filter(({ to, unit }) => to === slot.to && unit === slot.unit)
          .reduce((sum, { amount }) => sum + amount, this[slot.unit][slot.to]);
        slot.amount = Math.min(0, slot.amount + Math.max(0, rule.notBelow - total));
      }
  }

  private hold(effects: readonly { rule: Rule; by: Side; effect: Effect }[]): void {
    const loses = (side: Side): boolean =>
      this.ruleSet.rules.some((rule) =>
        (rule.does ?? []).some(
          (effect) => effect.is === "hold" && effect.lostIf && this.any([effect.lostIf], side),
        ),
      );
    const before = new Map(this.held);
    this.held.clear();
    for (const { rule, by, effect } of effects)
      if (effect.is === "hold")
        for (const slot of this.slots) {
          if (slot.rule === rule.name || slot.to !== by || slot.unit !== "bonus" || slot.rule === "touch")
            continue;
          const key = `${slot.rule}|${by}`;
          this.held.set(key, (this.held.get(key) ?? 0) + slot.amount);
          slot.amount = 0;
        }
    for (const [key, amount] of before) {
      const [rule, side] = key.split("|") as [string, Side];
      if (!loses(side)) this.pay(rule, side, side, "bonus", amount);
    }
  }

  /** What caps have given; before anything is held back. */
  private count(): void {
    for (const { rule, to, unit, amount } of this.slots) {
      if (amount === 0) continue;
      const times = this.ruleSet.rules
        .find(({ name }) => name === rule)
        ?.atMost?.some(({ of }) => of === "times");
      const key = times ? `${rule} times ${to}` : `${rule} ${unit} ${to}`;
      this.had.set(key, (this.had.get(key) ?? 0) + (times ? 1 : Math.abs(amount)));
    }
  }

  private book(effects: readonly { effect: Effect }[]): void {
    const sums = new Map<string, OracleAward>();
    const paid: string[] = [];
    for (const { rule, to, unit, amount } of this.slots) {
      if (amount === 0) continue;
      this[unit][to] += amount;
      paid.push(`${rule} ${to}`);
      const key = `${rule} ${to} ${unit}`;
      sums.set(key, {
        exchange: this.line.no,
        to,
        rule,
        unit,
        amount: (sums.get(key)?.amount ?? 0) + amount,
      });
    }
    this.awards.push(...[...sums.values()].filter(({ amount }) => amount !== 0));
    for (const key of this.firing) this.fired.set(key, (this.fired.get(key) ?? 0) + 1);
    this.firing = [];
    const now = this.now;
    this.marks = this.changed(now, true);
    this.last = { line: this.line, paid };
    this.over =
      effects.some(({ effect }) => effect.is === "end the bout") ||
      this.ruleSet.bout.ends.some(
        (end) =>
          (end.is === "points" && SIDES.some((side) => this.points[side] >= end.n)) ||
          (end.is === "ahead" && Math.abs(this.points.red - this.points.blue) >= end.n) ||
          (end.is === "exchanges" && this.fenced >= end.n),
      );
  }
}
