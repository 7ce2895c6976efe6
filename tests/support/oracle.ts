/**
 * The slow and obvious scorer: phrases by trying every way, effects one after the other on a list of awards. It shares
 * nothing with rules/award but the tree, and knows only bouts in which every fact was recorded.
 */
import type { Effect, Limit, Rule, RuleSet } from "../../rules/language/tree.ts";
import type { BoutSheet, ExchangeLine } from "../../rules/record.ts";
import { other, SIDES, type Side, type Unit } from "../../rules/vocabulary.ts";
import { type Come, endingOf, isAtAnEnd, mayLandLate, settledTouches } from "./oracle-bout.ts";
import { both, namesPayment, type Slot, Standing } from "./oracle-standing.ts";

export interface OracleAward {
  readonly exchange: number;
  readonly to: Side;
  readonly rule: string;
  readonly unit: Unit;
  readonly amount: number;
}

interface Fired<E extends Effect = Effect> {
  readonly rule: Rule;
  readonly by: Side;
  readonly effect: E;
}

/** Awards that are not 0, in no order that means anything. */
export const oracle = (ruleSet: RuleSet, sheet: BoutSheet): readonly OracleAward[] =>
  fenced(ruleSet, sheet).awards;

/** How the bout ends: by itself, or by score when the sheet is over. */
export const oracleEnding = (
  ruleSet: RuleSet,
  sheet: BoutSheet,
): { readonly over: boolean; readonly how: string } => fenced(ruleSet, sheet).ending();

function fenced(ruleSet: RuleSet, sheet: BoutSheet): Oracle {
  const scorer = new Oracle(ruleSet);
  for (const line of sheet)
    if (line.type === "exchange") scorer.exchange(line);
    else if (line.type === "penalty") scorer.penalty(line.side);
    else if (line.type === "warning") scorer.warning(line.side);
  return scorer;
}

class Oracle extends Standing {
  readonly awards: OracleAward[] = [];
  private readonly fired = new Map<string, number>();
  private readonly had = new Map<string, number>();
  private held: { rule: string; side: Side; amount: number; waits: number; by: Fired }[] = [];
  private over = false;

  warning(side: Side): void {
    if (!this.over) this.warnings[side]++;
  }

  /** A penalty hit is the other's point. */
  penalty(against: Side): void {
    if (this.over) return;
    this.penalties[against]++;
    this.points[this.ruleSet.bout.wins === "who has fewer points against" ? against : other(against)]++;
    this.over = this.isReached();
  }

  exchange(line: ExchangeLine): void {
    if (this.over) return;
    if (line.how === "no exchange") {
      this.clock = line.left ?? 0;
      return;
    }
    this.line = line;
    this.slots = [];
    this.touches();
    this.touch = both((side) => this.dueFrom("touch", side));
    this.now = this.changed(this.marks, false);
    const effects = this.rules();
    this.bestOf();
    this.onceForBoth();
    this.effects(effects);
    this.written();
    this.caps();
    this.floors();
    this.limit();
    this.count();
    this.hold(effects);
    this.book(effects);
  }

  // ---- effects ----

  private touches(): void {
    const worth = both((side) => {
      const worths = this.ruleSet.touches.filter(({ phrase }) => this.any([phrase], side));
      return worths.length === 0 ? 0 : Math.max(...worths.map((touch) => touch.worth));
    });
    const doubles = [...this.past, { line: this.line }].filter(({ line }) => line.how === "double").length;
    const counts = both((side) => mayLandLate(this.ruleSet, side, this.past.length));
    const { touch, off } = settledTouches(this.ruleSet, this.line, worth, doubles, counts);
    for (const side of SIDES) this.pay("touch", side, side, "points", touch[side]);
    for (const side of SIDES) this.pay("double", side, side, "points", -off);
  }

  private pay(rule: string, by: Side, to: Side, unit: Unit, amount: number, sum = 0): void {
    if (amount !== 0) this.slots.push({ rule, by, to, unit, amount, sum });
  }

  private rules(): Fired[] {
    const effects: Fired[] = [];
    for (const rule of asksLast(this.ruleSet.rules))
      for (const me of SIDES) {
        const meant = rule.when === undefined || this.any(rule.when, me);
        const needs = rule.if === undefined || rule.if.some((line) => this.all(line, me));
        const spared = rule.unless?.some((line) => this.all(line, me)) === true;
        if (!meant || !needs || spared) continue;
        (rule.pays ?? []).forEach((pay, i) => this.paySum(rule, pay, me, i));
        for (const effect of rule.does ?? []) effects.push({ rule, by: me, effect });
        this.firing.push(`${rule.name} ${me}`);
      }
    return effects;
  }
  private firing: string[] = [];

  private paySum(rule: Rule, pay: NonNullable<Rule["pays"]>[number], me: Side, sum: number): void {
    if (pay.sum.is !== "numbers" || (pay.if && !this.all(pay.if, me))) return;
    const { numbers, unit } = pay.sum;
    let amount = numbers[Math.min(this.fired.get(`${rule.name} ${me}`) ?? 0, numbers.length - 1)] ?? 0;
    if (pay.times) amount *= Math.max(0, this.sumOf(pay.times.quantity, pay.times.now === true, me));
    if (pay.eachTime)
      amount *= new Set((rule.when ?? []).flatMap((phrase) => this.ends(phrase, this.line, me))).size;
    const theirs = pay.to === "them" || pay.to === "their team";
    if (!theirs) this.pay(rule.name, me, me, unit, amount, sum);
    if (theirs || pay.to === "us both") this.pay(rule.name, me, other(me), unit, amount, sum);
  }

  /** What both fencers fired for both is paid once, the more of the two. */
  private onceForBoth(): void {
    for (const { name, pays } of this.ruleSet.rules)
      (pays ?? []).forEach(({ to }, i) => {
        if (to !== "us both") return;
        for (const side of SIDES) {
          const [a, b] = this.slots.filter(
            (slot) => slot.rule === name && slot.sum === i && slot.to === side && slot.amount !== 0,
          );
          if (!a || !b) continue;
          if (a.amount < b.amount) a.amount = 0;
          else b.amount = 0;
        }
      });
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

  private effects(effects: readonly Fired[]): void {
    const before = new Map<Slot, Side>();
    const each = <E extends Effect>(is: E["is"], run: (slot: Slot, effect: E, by: Side) => void): void => {
      for (const slot of this.slots) before.set(slot, slot.to);
      for (const { rule, by, effect } of effects)
        if (effect.is === is)
          for (const slot of this.slots) {
            const { from, what, whose = "my" } = effect as { from?: string; what: string; whose?: string };
            const isMeant =
              slot.rule !== rule.name &&
              (from === undefined || slot.rule === from) &&
              what.includes(slot.unit) &&
              before.get(slot) === (whose === "my" ? by : other(by));
            if (isMeant) run(slot, effect as E, by);
          }
    };
    each("annul", (slot) => (slot.amount = 0));
    each<Extract<Effect, { is: "multiply" }>>("multiply", (slot, { by }) => (slot.amount *= by));
    each("turn over", (slot, _, by) => (slot.to = other(by)));
  }

  private caps(): void {
    for (const rule of this.ruleSet.rules)
      for (const limit of rule.atMost ?? []) {
        const key = (side: Side): string => hadKey(rule.name, limit, side);
        const room = (side: Side): number =>
          Math.max(0, limit.n - (limit.scope === "exchange" ? 0 : (this.had.get(key(side)) ?? 0)));
        const dues = both((side) => this.dueOf(rule.name, side, limit));
        for (const side of SIDES) {
          const [mine, theirs] = [dues[side], dues[other(side)]];
          const fair =
            limit.together && limit.of !== "times" && theirs > 0
              ? Math.max(room(side) / 2, room(side) - theirs)
              : room(side);
          if (mine > fair && (!limit.together || mine + theirs > room(side)))
            this.cut(rule.name, side, limit, mine - fair);
        }
      }
  }

  private of(rule: string, side: Side): Slot[] {
    return this.slots.filter((slot) => slot.rule === rule && slot.to === side && slot.amount !== 0);
  }

  private dueOf(rule: string, side: Side, limit: Limit): number {
    const mine = this.of(rule, side);
    if (limit.of === "times") return Math.min(1, mine.length);
    return mine.reduce((sum, { unit, amount }) => sum + (unit === limit.of ? Math.abs(amount) : 0), 0);
  }

  private cut(rule: string, side: Side, limit: Limit, over: number): void {
    let rest = over;
    for (const slot of this.of(rule, side).reverse()) {
      if (limit.of === "times") slot.amount = 0;
      if (limit.of !== slot.unit || rest <= 0) continue;
      const less = Math.min(rest, Math.abs(slot.amount));
      slot.amount -= Math.sign(slot.amount) * less;
      rest -= less;
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

  /** The longest hold takes it, then the first by name; what is lost pays nobody. */
  private hold(effects: readonly Fired[]): void {
    const due: typeof this.held = [];
    for (const one of this.held) {
      const { lostIf } = one.by.effect as Extract<Effect, { is: "hold" }>;
      if (lostIf && this.any([lostIf], one.side)) continue;
      due.push({ ...one, waits: one.waits - 1 });
    }
    this.held = due.filter(({ waits }) => waits > 0);
    const holds = effects.flatMap((by) =>
      by.effect.is === "hold" ? [{ by, exchanges: by.effect.exchanges }] : [],
    );
    holds.sort((a, b) => b.exchanges - a.exchanges || (a.by.rule.name < b.by.rule.name ? -1 : 1));
    for (const { by, exchanges } of holds)
      for (const slot of this.slots) {
        if (slot.rule === by.rule.name || slot.to !== by.by || slot.unit !== "bonus") continue;
        this.held.push({ rule: slot.rule, side: by.by, amount: slot.amount, waits: exchanges, by });
        slot.amount = 0;
      }
    for (const { rule, side, amount, waits } of due)
      if (waits <= 0) this.pay(rule, side, side, "bonus", amount);
  }

  /** What caps have given; before anything is held back. */
  private count(): void {
    for (const rule of this.ruleSet.rules)
      for (const limit of rule.atMost ?? [])
        for (const side of SIDES) {
          const key = hadKey(rule.name, limit, side);
          this.had.set(key, (this.had.get(key) ?? 0) + this.dueOf(rule.name, side, limit));
        }
  }

  private book(effects: readonly Fired[]): void {
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
    const scored = both((side) => this.due(side, "points") > 0);
    this.past.push({ line: this.line, paid, scored });
    this.clock = this.line.left ?? 0;
    for (const { by, effect } of effects)
      if (effect.is === "warn") this.warnings[effect.who === "me" ? by : other(by)]++;
    this.over = effects.some(({ effect }) => effect.is === "end the bout") || this.isReached();
  }

  /** What a fencer's touch is worth is written to the other where points count against. */
  private written(): void {
    if (this.ruleSet.bout.wins !== "who has fewer points against") return;
    for (const slot of this.slots) if (slot.rule === "touch") slot.to = other(slot.to);
  }

  /** No fencer has more than the limit; the latest sums are cut first. */
  private limit(): void {
    const { limit } = this.ruleSet.bout;
    if (limit === undefined) return;
    for (const side of SIDES)
      for (const slot of [...this.slots].reverse()) {
        const mine = this.slots.filter(({ to, unit }) => to === side && unit === "points");
        const total = mine.reduce((sum, { amount }) => sum + amount, 0);
        const over = total - Math.max(0, limit - this.points[side]);
        if (total <= 0 || over <= 0 || !mine.includes(slot) || slot.amount <= 0) continue;
        slot.amount -= Math.min(over, slot.amount);
      }
  }

  private come(): Come {
    const { points, bonus, warnings, penalties } = this;
    const lines = this.past.map(({ line }) => line);
    return { points, bonus, lines, counts: { bonus, warnings, penalties, ...this.marks } };
  }

  private isReached(): boolean {
    return isAtAnEnd(this.ruleSet.bout, this.come());
  }

  /** How the bout has ended by itself, or would if it were ended now. */
  ending(): { readonly over: boolean; readonly how: string } {
    return { over: this.over, how: endingOf(this.ruleSet.bout, this.come()) };
  }
}

/** A limit that both share has one count. */
const hadKey = (rule: string, { of, scope, together }: Limit, side: Side): string =>
  `${rule} ${of} ${scope} ${together ? "both" : side}`;

/** Rules that ask about others' payments come after those that ask nothing. */
function asksLast(rules: readonly Rule[]): readonly Rule[] {
  const asks = (rule: Rule): boolean =>
    [...(rule.if ?? []), ...(rule.unless ?? []), (rule.pays ?? []).flatMap((pay) => pay.if ?? [])]
      .flat()
      .some(namesPayment);
  return [...rules].sort((a, b) => Number(asks(a)) - Number(asks(b)));
}
