/** What a correction moved: the difference of two tallies, in sentences. */
import type { Award, RuleSet, ScoredExchange, Side, Tally, Unit } from "../../rules/index.ts";
import type { Moved } from "./events.ts";

const NAME: { readonly [S in Side]: string } = { red: "Red", blue: "Blue" };

const amountOf = (amount: number, unit: Unit): string =>
  unit === "bonus" ? `${amount} bonus` : `${amount} ${amount === 1 ? "point" : "points"}`;

/** One fencer's award from one rule in one unit; amounts of the same are added up. */
interface Entry {
  readonly to: Side;
  readonly rule: string;
  readonly unit: Unit;
  readonly amount: number;
}

const keyOf = (award: Award): string => `${award.to}|${award.rule}|${award.unit}`;

function entries(awards: readonly Award[]): ReadonlyMap<string, Entry> {
  const found = new Map<string, Entry>();
  for (const award of awards) {
    const amount = (found.get(keyOf(award))?.amount ?? 0) + award.amount;
    found.set(keyOf(award), { to: award.to, rule: award.rule, unit: award.unit, amount });
  }
  return found;
}

/** "capped at 4 bonus a bout" where the rule has had what it may have by then. */
function capOn(entry: Entry, upTo: number, after: Tally, ruleSet: RuleSet | undefined): string | undefined {
  const rule = ruleSet?.rules.find((each) => each.name === entry.rule);
  for (const limit of rule?.atMost ?? []) {
    if (limit.scope !== "bout" || (limit.of !== "times" && limit.of !== entry.unit)) continue;
    const had = after.awards.filter(
      (each) =>
        each.rule === entry.rule && each.to === entry.to && each.exchange > 0 && each.exchange <= upTo,
    );
    const used = limit.of === "times" ? had.length : had.reduce((sum, each) => sum + each.amount, 0);
    if (used >= limit.n)
      return `capped at ${limit.of === "times" ? `${limit.n} times` : amountOf(limit.n, limit.of)} a bout`;
  }
  return undefined;
}

interface Difference {
  readonly where: string;
  readonly no: number;
  /** Why something is less than it was, where that can be said. */
  readonly why: (entry: Entry) => string | undefined;
}

function difference(was: Entry | undefined, is: Entry | undefined, { where, no, why }: Difference): Moved[] {
  const entry = is ?? was;
  if (entry === undefined || was?.amount === is?.amount) return [];
  const what = `${where}: ${NAME[entry.to]}'s ${entry.rule}`;
  if (was === undefined)
    return [{ exchange: no, sentence: `${what}, ${amountOf(entry.amount, entry.unit)}, is new.` }];
  const because = why(was);
  const tail = because === undefined ? "." : `: ${because}.`;
  if (is === undefined)
    return [{ exchange: no, sentence: `${what}, ${amountOf(was.amount, was.unit)}, is gone${tail}` }];
  const now = `${amountOf(is.amount, is.unit)} instead of ${was.amount}`;
  return [{ exchange: no, sentence: `${what} is ${now}${is.amount < was.amount ? tail : "."}` }];
}

function compare(was: readonly Award[], is: readonly Award[], how: Difference): readonly Moved[] {
  const before = entries(was);
  const after = entries(is);
  return [...new Set([...before.keys(), ...after.keys()])].flatMap((key) =>
    difference(before.get(key), after.get(key), how),
  );
}

const endSaid = (tally: Tally): string =>
  tally.ended === null
    ? "is not over"
    : `is over${tally.endedAt === undefined ? "" : ` in exchange ${tally.endedAt}`} (${tally.ended})`;

function endMoved(before: Tally, after: Tally): readonly Moved[] {
  if (before.ended === after.ended && (before.endedAt === after.endedAt || after.ended === null)) return [];
  return [
    { exchange: 0, sentence: `The bout ${endSaid(after)} by the score now; before, it ${endSaid(before)}.` },
  ];
}

const pairById = (exchange: ScoredExchange, others: readonly ScoredExchange[]): ScoredExchange | undefined =>
  exchange.id === undefined
    ? others.find((each) => each.no === exchange.no)
    : others.find((each) => each.id === exchange.id);

const atEnd = (tally: Tally): readonly Award[] => tally.awards.filter((award) => award.exchange === 0);

/** One sentence for each award that changed and one for a changed end, in the order of the exchanges as they are now. */
export function movedBetween(before: Tally, after: Tally, ruleSet: RuleSet | undefined): readonly Moved[] {
  const moved: Moved[] = [];
  for (const gone of before.exchanges) {
    if (pairById(gone, after.exchanges) !== undefined) continue;
    const where = `What was exchange ${gone.no}`;
    moved.push(...compare(gone.awards, [], { where, no: gone.no, why: () => "the exchange was removed" }));
  }
  for (const scored of after.exchanges) {
    const was = pairById(scored, before.exchanges);
    const why = (entry: Entry) =>
      scored.afterTheEnd ? "the bout was over before it" : capOn(entry, scored.no, after, ruleSet);
    moved.push(
      ...compare(was?.awards ?? [], scored.awards, { where: `Exchange ${scored.no}`, no: scored.no, why }),
    );
  }
  const where = "At the end of the bout";
  moved.push(...compare(atEnd(before), atEnd(after), { where, no: 0, why: () => undefined }));
  return [...moved, ...endMoved(before, after)];
}
