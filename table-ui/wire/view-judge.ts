/** A judge's page: what to watch, the ballot, and the bout without its pay, so that pay cannot bias a vote. */
import {
  awaitsAssent,
  callsToAssentTo,
  freeValues,
  type BoutExchange,
  type Pair,
} from "../../engine/index.ts";
import type { Hall, Sitting } from "./hall.ts";
import { ballotOn, isWatchedBy } from "./ballot.ts";
import { keptFor } from "./kept.ts";
import { seenBy, viewOf } from "./view-wall.ts";
import type { BoutOnView, ExchangeOnView, JudgeView } from "./views.ts";

type AtJudge = Sitting & { kind: "judge" };

const withoutBonus = (fencer: BoutOnView["red"]): BoutOnView["red"] => ({
  ...fencer,
  bonus: 0,
  openBonus: 0,
  openPoints: 0,
});

/** [W7] No bonus, no open award and nothing of what pays. */
const withoutPay = keptFor((bout: BoutOnView): BoutOnView => {
  const exchanges = Object.entries(bout.exchanges).map(([id, exchange]): [string, ExchangeOnView] => [
    id,
    {
      ...exchange,
      awards: exchange.awards.filter((award) => award.unit === "points" && award.open === undefined),
    },
  ]);
  return {
    ...bout,
    exchanges: Object.fromEntries(exchanges),
    red: withoutBonus(bout.red),
    blue: withoutBonus(bout.blue),
    pays: [],
    bonusMeans: "",
    moved: [],
  };
});

function ballotFor(hall: Hall, boutId: string, sitting: AtJudge): JudgeView["ballot"] {
  const file = hall.bout(boutId);
  const ruleSet = file && hall.ruleSet(file.bout.ruleSet);
  const last = file?.bout.exchanges.at(-1);
  if (file === undefined || ruleSet === undefined || last === undefined) return undefined;
  if (last.windowClosed === true || file.bout.stage === "ended" || file.bout.stage === "fencing")
    return undefined;
  return ballotOn(last, file.bout.exchanges.length, ruleSet.ruleSet, sitting);
}

/** At most this many values are keys; a wider span is called in steps of its tenth. */
const MOST_KEYS = 11;

function valuesBetween(low: number, high: number): readonly number[] {
  const step = Math.max(1, Math.ceil((high - low) / (MOST_KEYS - 1)));
  const count = Math.floor((high - low) / step) + 1;
  const all = Array.from({ length: count }, (_, at) => low + at * step);
  return all.at(-1) === high ? all : [...all, high];
}

const sayJudge = (source: string | undefined): string =>
  source === undefined
    ? "A judge"
    : source.replace(/^j(\d+)$/, "Judge $1").replace(/^referee$/, "The referee");

/** What this seat has called for each fencer in the exchange. */
function calledBy(exchange: BoutExchange, seat: string, call: string): Partial<Pair<number>> {
  const own = [...exchange.votes, ...exchange.given].filter(({ by }) => by.seat === seat);
  const said = own.flatMap(({ facts }) => facts.flatMap((fact) => (fact.fact === "call" ? [fact.call] : [])));
  return Object.fromEntries(
    said.flatMap((each) =>
      each.call === call && each.value !== undefined ? [[each.for, each.value] as const] : [],
    ),
  );
}

/** The values that a judge may call and what awaits an assent; undefined where the rule set needs neither. */
function valuesFor(hall: Hall, boutId: string, sitting: AtJudge): JudgeView["values"] {
  const bout = hall.bout(boutId)?.bout;
  const ruleSet = bout && hall.ruleSet(bout.ruleSet)?.ruleSet;
  const last = bout?.exchanges.at(-1);
  if (bout === undefined || ruleSet === undefined || last === undefined) return undefined;
  if (last.windowClosed === true || bout.stage === "ended" || bout.stage === "fencing") return undefined;
  const by = { seat: sitting.seat, kind: "judge", judge: sitting.judge, referee: sitting.referee } as const;
  const calls = freeValues(ruleSet).map(({ call, low, high, assent }) => ({
    call,
    values: valuesBetween(low, high),
    assent,
    called: calledBy(last, sitting.seat, call),
  }));
  const plain = [...callsToAssentTo(ruleSet)]
    .filter((call) => !calls.some((each) => each.call === call))
    .map((call) => ({ call, values: [], assent: true }));
  const awaits = awaitsAssent(bout, ruleSet, by)
    .filter(({ exchange }) => exchange === last.id)
    .map(({ call, side, value, may, source }) => ({
      call,
      side,
      ...(value === undefined ? {} : { value }),
      by: sayJudge(source),
      may,
    }));
  const all = [...calls, ...plain];
  if (all.length === 0 && awaits.length === 0) return undefined;
  return { exchange: last.id, no: bout.exchanges.length, calls: all, awaits };
}

export function judgeView(hall: Hall, sitting: AtJudge): JudgeView {
  const ring = hall.meet.rings.find(({ id }) => id === sitting.ring);
  const bout = viewOf(hall, ring?.bout, sitting);
  const ballot = ring?.bout === undefined ? undefined : ballotFor(hall, ring.bout, sitting);
  const values = ring?.bout === undefined ? undefined : valuesFor(hall, ring.bout, sitting);
  const ruleSet = bout && hall.ruleSet(bout.ruleSet.hash);
  const watches = (ruleSet?.ruleSet.rules ?? [])
    .filter(({ watch }) => isWatchedBy(watch, sitting.judge, sitting.referee))
    .flatMap(({ name }) => ruleSet?.explained.rules.find((rule) => rule.name === name)?.short ?? []);
  return {
    ...seenBy(hall, sitting),
    kind: "judge",
    ring: ring?.name ?? sitting.ring,
    judge: sitting.judge,
    referee: sitting.referee,
    ...(bout === undefined ? {} : { bout: withoutPay(bout) }),
    ...(ballot === undefined ? {} : { ballot }),
    ...(values === undefined ? {} : { values }),
    watches,
  };
}
