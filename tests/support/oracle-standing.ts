/** The oracle's conditions and marks: what a bout has come to, read slowly and obviously from all that has happened. */
import type {
  Amount,
  Change,
  Condition,
  Mark,
  Owner,
  Phrase,
  Quantity,
  RuleSet,
} from "../../rules/language/tree.ts";
import type { ExchangeLine } from "../../rules/record.ts";
import { other, SIDES, type Side, type Unit } from "../../rules/vocabulary.ts";
import { Ways } from "./oracle-ways.ts";

export interface Slot {
  readonly rule: string;
  readonly by: Side;
  to: Side;
  readonly unit: Unit;
  amount: number;
  /** Which of the rule's sums. */
  readonly sum: number;
}

export type Sides<T> = Record<Side, T>;
export const both = <T>(make: (side: Side) => T): Sides<T> => ({ red: make("red"), blue: make("blue") });

/** An exchange that is over. */
export interface Over {
  readonly line: ExchangeLine;
  /** "RULE red" for each rule that paid a fencer in the end. */
  readonly paid: readonly string[];
  readonly scored: Sides<boolean>;
}

export class Standing extends Ways {
  protected readonly points = both(() => 0);
  protected readonly bonus = both(() => 0);
  protected readonly warnings = both(() => 0);
  protected readonly penalties = both(() => 0);
  protected marks: Record<string, Sides<number>> = {};
  protected now: Record<string, Sides<number>> = {};
  protected readonly past: Over[] = [];
  protected line: ExchangeLine = { type: "exchange", no: 0, acts: [], open: false };
  protected slots: Slot[] = [];
  /** What the touches of this exchange are worth after doubles and afterblows. */
  protected touch = both(() => 0);
  /** At the halt before. */
  protected clock: number;

  constructor(ruleSet: RuleSet) {
    super(ruleSet);
    for (const mark of ruleSet.marks) this.marks[mark.name] = both(() => startOf(mark));
    this.clock = this.length();
  }

  private length(): number {
    const { starts, ends } = this.ruleSet.bout;
    for (const start of starts) if (start.is === "time left") return start.seconds;
    for (const end of ends) if (end.is === "minutes") return 60 * end.n;
    return 0;
  }

  protected any(phrases: readonly Phrase[], me: Side): boolean {
    return phrases.some((phrase) => this.ends(phrase, this.line, me).length > 0);
  }

  // ---- conditions ----

  protected holds(c: Condition, me: Side): boolean {
    const against = this.ruleSet.bout.wins === "who has fewer points against";
    const lead = (against ? -1 : 1) * (this.points[me] - this.points[other(me)]);
    const left = this.line.left ?? 0;
    switch (c.is) {
      case "phrase":
        return this.any([c.phrase], me);
      case "not":
        return !this.holds(c.what, me);
      case "these":
        return isAmount(c.these.filter((one) => this.holds(one, me)).length, c.amount);
      case "last": {
        const seen = this.past.slice(-(c.of?.exchanges ?? 1)).filter((one) => this.showed(c.what, one, me));
        return c.of ? isAmount(seen.length, c.of.amount) : seen.length === 1;
      }
      case "exchange":
        return this.line.how === c.how;
      case "exchange number":
        return c.no !== "last" && isAmount(this.past.length + 1, c.no);
      case "level":
        return lead === 0;
      case "lead":
        return (
          ((c.who === "I") === (c.how === "ahead") ? lead > 0 : lead < 0) &&
          (c.by === undefined || isAmount(Math.abs(lead), c.by))
        );
      case "time":
        return isCmp(c.what === "left" ? left : this.length() - left, c.cmp, c.seconds);
      case "lasts":
        return isCmp(this.clock - left, c.cmp, c.seconds);
      case "outcome":
        return this.due(c.who === "I" ? me : other(me), "points") > 0;
      case "call":
        return called(this.line, c.call, c.for === "me" ? me : other(me));
      case "rule pays": {
        const to = c.who === "me" ? me : other(me);
        if (c.last) return this.past.at(-1)?.paid.includes(`${c.rule} ${to}`) === true;
        return this.slots.some((slot) => slot.rule === c.rule && slot.to === to && slot.amount !== 0);
      }
      case "mark": {
        const mine = this.markOf(c.mark, c.owner, c.now === true, me);
        const theirs = this.markOf(c.mark, "their", c.now === true, me);
        if (typeof c.than !== "string") return isAmount(mine, c.than);
        return isThan(mine, c.than.replace(" theirs", ""), theirs);
      }
      case "quantity": {
        const mine = this.sumOf(c.quantity, c.now === true, me);
        if (!("than" in c.than)) return isAmount(mine, c.than);
        const { than } = c.than;
        const theirs =
          than === "theirs"
            ? this.sumOf(c.quantity, c.now === true, other(me))
            : this.sumOf(than, c.now === true, me);
        return isThan(mine, c.than.cmp, theirs);
      }
      default:
        throw new Error(`the oracle knows nothing of "${c.is}"`);
    }
  }

  /** What an exchange that is over has shown. */
  private showed(c: Condition, { line, paid, scored }: Over, me: Side): boolean {
    const whose = (who: string): Side => (who === "I" || who === "me" ? me : other(me));
    switch (c.is) {
      case "not":
        return !this.showed(c.what, { line, paid, scored }, me);
      case "phrase":
        return this.ends(c.phrase, line, me).length > 0;
      case "exchange":
        return line.how === c.how;
      case "call":
        return called(line, c.call, whose(c.for));
      case "outcome":
        return scored[whose(c.who)];
      case "rule pays":
        return paid.includes(`${c.rule} ${whose(c.who)}`);
      default:
        throw new Error(`no exchange shows "${c.is}"`);
    }
  }

  protected all(line: readonly Condition[], me: Side): boolean {
    return line.every((one) => this.holds(one, me));
  }

  // ---- sums ----

  private markOf(name: string, owner: Owner, now: boolean, me: Side): number {
    const mark = this.ruleSet.marks.find((one) => one.name === name);
    const found = mark?.for === "each fencer in each exchange" || mark?.for === "each exchange";
    const values = (now || found ? this.now : this.marks)[name] as Sides<number>;
    return values[owner === "their" ? other(me) : me];
  }

  protected sumOf(quantity: Quantity, now: boolean, me: Side): number {
    return quantity.reduce((sum, term) => {
      const n = this.termOf(term, now, me);
      return sum + (term.minus === true ? -n : n);
    }, 0);
  }

  private termOf(term: Quantity[number], now: boolean, me: Side): number {
    if ("n" in term) return term.n;
    if ("mark" in term) return this.markOf(term.mark, term.owner, now, me);
    const whose = term.owner === "their" ? other(me) : me;
    switch (term.counted) {
      case "points":
      case "bonus":
      case "warnings":
      case "penalties":
        return this[term.counted][whose];
      case "touch":
        return this.touch[whose];
      case "doubles": {
        const before = this.past.filter(({ line }) => line.how === "double").length;
        return before + (now && this.line.how === "double" ? 1 : 0);
      }
      case "exchanges":
        return this.past.length + (now ? 1 : 0);
      default:
        throw new Error(`the oracle counts no ${term.counted}`);
    }
  }

  /** Points of one rule. */
  protected dueFrom(rule: string, to: Side): number {
    return this.slots
      .filter((slot) => slot.to === to && slot.rule === rule && slot.unit === "points")
      .reduce((sum, { amount }) => sum + amount, 0);
  }

  protected due(to: Side, unit: Unit): number {
    return this.slots
      .filter((slot) => slot.to === to && slot.unit === unit)
      .reduce((sum, { amount }) => sum + amount, 0);
  }

  // ---- marks ----

  /** Marks after this exchange's changes: those that name a payment, or those that do not. */
  protected changed(from: Record<string, Sides<number>>, payments: boolean): Record<string, Sides<number>> {
    return Object.fromEntries(
      this.ruleSet.marks.map((mark) => {
        const fresh = mark.for.endsWith("each exchange") && !payments;
        const before = (me: Side): number => (fresh ? startOf(mark) : (from[mark.name] as Sides<number>)[me]);
        return [mark.name, both((me) => this.changedOf(mark, before(me), payments, me))];
      }),
    );
  }

  private changedOf(mark: Mark, before: number, payments: boolean, me: Side): number {
    const tried = mark.for === "the bout" ? SIDES : [me];
    let sum = 0;
    const tos: number[] = [];
    for (const { when, does } of mark.changes) {
      if (when.is !== "conditions" || !("n" in does)) continue;
      if (when.all.some(namesPayment) !== payments) continue;
      // It is read in the world before the changes: `this.now` is still the last exchange's.
      const whose = tried.filter((side) => this.inBefore(() => this.all(when.all, side)));
      const amounts = does.times
        ? whose.map((side) => does.n * this.timesOf(does, side))
        : whose.slice(0, 1).map(() => does.n);
      if (does.is === "to") tos.push(...amounts);
      else for (const n of amounts) sum += does.is === "up" ? n : -n;
    }
    return tos.length > 0 ? Math.min(...tos) : before + sum;
  }

  private timesOf({ times }: Extract<Change["does"], { n: number }>, me: Side): number {
    return times ? this.inBefore(() => Math.max(0, this.sumOf(times.quantity, false, me))) : 1;
  }

  /** Changes read the marks before them, whatever they say; what is found in each exchange is not there yet. */
  private inBefore<T>(read: () => T): T {
    const { now } = this;
    this.now = Object.fromEntries(
      this.ruleSet.marks.map((mark) => [
        mark.name,
        mark.for.endsWith("each exchange")
          ? both(() => startOf(mark))
          : (this.marks[mark.name] as Sides<number>),
      ]),
    );
    try {
      return read();
    } finally {
      this.now = now;
    }
  }
}

const startOf = ({ starts }: Mark): number =>
  starts !== undefined && "at" in starts && typeof starts.at === "number" ? starts.at : 0;

export const namesPayment = (c: Condition): boolean => {
  if (c.is === "rule pays") return c.last !== true;
  if (c.is === "outcome") return true;
  if (c.is === "not") return namesPayment(c.what);
  return c.is === "these" && c.these.some(namesPayment);
};

const isAmount = (n: number, { n: asked, cmp }: Amount): boolean =>
  cmp === "exactly" ? n === asked : isCmp(n, cmp, asked);
const isCmp = (n: number, cmp: "or more" | "or less", asked: number): boolean =>
  cmp === "or more" ? n >= asked : n <= asked;
const isThan = (mine: number, cmp: string, theirs: number): boolean =>
  cmp === "more than" ? mine > theirs : cmp === "less than" ? mine < theirs : mine === theirs;

const called = (line: ExchangeLine, call: string, side: Side): boolean =>
  (line.calls ?? []).some((one) => one.call === call && one.for === side);
