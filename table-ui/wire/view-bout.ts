/** A bout as one seat sees it: the picture, the figures and the sentences. */
import {
  plannedExchanges,
  sheetOf,
  type Bout,
  type BoutExchange,
  type Pair,
  type Side,
} from "../../engine/index.ts";
import type { ExchangeLine, OpenAward, RuleSet, ScoredExchange } from "../../rules/index.ts";
import { SIDES } from "../../rules/index.ts";
import type { BoutOnFile, Hall, RuleSetOnFile, Sitting } from "./hall.ts";
import { keptFor } from "./kept.ts";
import { nameFor } from "./names.ts";
import { boutAsSeen, sideOf, type SeenBout } from "./sealed.ts";
import { sealedRules } from "./sealing.ts";
import { NEUTRAL, speak, tellEnding, tellExchange, tellPutRight, voiceOf, type Voice } from "./sentences.ts";
import type { AwardOnView, BoutOnView, ExchangeOnView, FencerOnView, PayLine } from "./views.ts";

/** A bout's file, the rule set in force and what of both a seat may know. */
export interface SeatedBout {
  readonly seen: SeenBout;
  readonly ruleSet: RuleSetOnFile;
  readonly names: Pair<string>;
  readonly voice: Voice;
  readonly you?: Side;
}

/** Puts a seat before a bout; undefined if the bout or its rule set is not known. */
export function seatedBout(hall: Hall, file: BoutOnFile, sitting: Sitting): SeatedBout | undefined {
  const ruleSet = hall.ruleSet(file.bout.ruleSet);
  if (ruleSet === undefined) return undefined;
  const { red, blue } = file.bout;
  const names = { red: nameFor(hall, red, sitting), blue: nameFor(hall, blue, sitting) };
  const you = sitting.kind === "fencer" ? sideOf(file.bout, sitting.person) : undefined;
  return {
    seen: boutAsSeen(file, ruleSet.ruleSet, hall, sitting),
    ruleSet,
    names,
    voice: you === undefined ? NEUTRAL : voiceOf(you, names),
    ...(you === undefined ? {} : { you }),
  };
}

/** Where nobody is asked about an open award: the other rings are, or nobody can be. */
function stillOpen(bout: Bout, no: number, { rule, to }: OpenAward): string {
  const claimed = bout.tally.claims.some(
    (claim) => claim.exchange === no && claim.rule === rule && claim.to === to,
  );
  if (claimed) return `${rule}: waits for the other rings; all of them share its limit.`;
  return `${rule === "touch" ? "What the hit is worth" : rule}: still open.`;
}

function awardsOf(
  scored: ScoredExchange | undefined,
  bout: Bout,
  voice: Voice,
  sealed: ReadonlySet<string>,
): { awards: AwardOnView[]; hides: boolean } {
  if (scored === undefined) return { awards: [], hides: false };
  const settled = scored.awards.map((award): AwardOnView => ({
    to: award.to,
    unit: award.unit,
    amount: award.amount,
    rule: award.rule,
    sentence: speak(award.sentence, voice, award.rule),
  }));
  const questions = bout.tally.questions.filter((question) => question.exchange === scored.no);
  const open = scored.open
    .filter((award) => !sealed.has(award.rule))
    .map((award): AwardOnView => {
      const asked = questions.find(({ stake }) =>
        stake.some((at) => at.rule === award.rule && at.to === award.to),
      );
      return {
        to: award.to,
        unit: award.unit,
        amount: 0,
        open: award.span.most,
        rule: award.rule,
        sentence: asked === undefined ? stillOpen(bout, scored.no, award) : speak(asked.text, voice),
      };
    });
  return { awards: [...settled, ...open], hides: scored.open.some((award) => sealed.has(award.rule)) };
}

/** The latest penalty said after this exchange; before the first one it hangs on the first. */
function penaltyAt(bout: Bout, no: number): ExchangeOnView["penalty"] {
  const given = bout.penalties.findLast(({ afterExchange }) => Math.max(1, afterExchange) === no);
  return given && { side: given.side, penalty: given.penalty };
}

function exchangeOnView(
  seated: SeatedBout,
  exchange: BoutExchange,
  index: number,
  line: ExchangeLine,
  sealed: ReadonlySet<string>,
): ExchangeOnView {
  const { bout } = seated.seen;
  const no = index + 1;
  const scored = bout.tally.exchanges.find((each) => each.id === exchange.id) ?? bout.tally.exchanges[index];
  const { awards, hides } = awardsOf(scored, bout, seated.voice, sealed);
  const penalty = penaltyAt(bout, no);
  return {
    id: exchange.id,
    no,
    ...(line.how === undefined ? {} : { how: line.how }),
    awards,
    sentence: tellExchange(line, seated.voice),
    ...(penalty === undefined ? {} : { penalty }),
    ...(exchange.putRight === undefined ? {} : { putRight: tellPutRight(exchange.putRight) }),
    ...(hides ? { sealed: true } : {}),
    ...(scored?.afterTheEnd === true ? { afterTheEnd: true } : {}),
  };
}

function fencerOnView(
  seated: SeatedBout,
  side: Side,
  exchanges: readonly ExchangeOnView[],
  hidden: boolean,
): FencerOnView {
  const { tally } = seated.seen.bout;
  const onView = (unit: "points" | "bonus"): number =>
    exchanges
      .flatMap(({ awards }) => awards)
      .filter((award) => award.to === side && award.unit === unit)
      .reduce((sum, award) => sum + (award.open ?? 0), 0);
  // What a sealed choice could still bring must not show in the sums either.
  const open = (unit: "points" | "bonus"): number =>
    hidden ? onView(unit) : Math.max(0, tally.span[unit][side].most - tally[unit][side]);
  return {
    name: seated.names[side],
    ...(seated.you === side ? { you: true } : {}),
    points: tally.points[side],
    bonus: tally.bonus[side],
    openBonus: open("bonus"),
    openPoints: open("points"),
    warned: tally.warned[side],
  };
}

/** What pays under a rule set, a line a rule: the first amount that goes to the one who does it. */
export function payLines(ruleSet: RuleSetOnFile): PayLine[] {
  return ruleSet.explained.rules.flatMap((rule) => {
    const pay = rule.pays.find(({ to }) => to === "me") ?? rule.pays[0];
    if (pay === undefined) return [];
    const { name, short, sentence } = rule;
    return [{ rule: name, short, sentence, amount: pay.amount, unit: pay.unit }];
  });
}

/** What the bonus decides under a rule set, in one sentence. */
export function bonusMeans({ bout, rules }: RuleSet): string {
  if (rules.every((rule) => rule.pays === undefined)) return "No bonus is paid under this rule set.";
  const { countsTowardsTheWin, countsTowardsTheCap } = bout.bonus;
  if (bout.atTheEnd !== "stays apart") {
    const { every, make } = bout.atTheEnd;
    return `At the end every ${every} bonus make ${make} ${make === 1 ? "point" : "points"}; the rest is lost.`;
  }
  if (countsTowardsTheWin && countsTowardsTheCap) {
    return "The bonus counts like points: towards the win, and towards the score that ends the bout.";
  }
  if (countsTowardsTheWin) return "The bonus counts towards the win, but does not end the bout sooner.";
  if (countsTowardsTheCap)
    return "The bonus brings the end of the bout nearer, but does not decide who wins.";
  return "The bonus stays beside the score tonight: it decides nothing, it only shows the work.";
}

function pausedAs(bout: Bout, sitting: Sitting): string | undefined {
  if (bout.paused === undefined) return undefined;
  // A visitor need not read who is hurt.
  return sitting.kind === "wall" ? "paused" : bout.paused.reason;
}

/** Stands in where a sheet has no line for an exchange; the engine writes one for each. */
const unwritten: ExchangeLine = { type: "exchange", no: 0, acts: [], open: true };

/** What a bout on view hangs on beside its events and its rule set. */
interface Around {
  readonly ringName: string;
  /** What corrections of earlier bouts have moved. */
  readonly earlier: readonly string[];
  readonly paused: string | undefined;
}

/** One drawing for each set of words that it was drawn with. */
const drawn = keptFor((_: SeenBout) => new Map<string, BoutOnView>());

/** The latest drawing of a file for each kind of seat, and the very objects that it was drawn from. */
const latest = keptFor(
  (_: BoutOnFile) => new Map<string, { readonly from: readonly unknown[]; readonly view: BoutOnView }>(),
);

/** What a drawing of a bout that has ended hangs on: votes are open by then, whoever judges. */
function drawnFrom(hall: Hall, { bout }: BoutOnFile): readonly unknown[] {
  const ring = hall.meet.rings.find(({ id }) => id === bout.ring)?.name;
  const people = [hall.person(bout.red), hall.person(bout.blue), hall.meet.fencers];
  return [...people, ring, hall.ruleSet(bout.ruleSet), hall.earlier(bout.id)];
}

/**
 * The bout as this seat sees it; undefined if its rule set is not known. Seats that see the same get the same object, and
 * get it again as long as nothing of it has changed.
 */
export function boutOnView(hall: Hall, file: BoutOnFile, sitting: Sitting): BoutOnView | undefined {
  if (file.bout.stage !== "ended") return lookUp(hall, file, sitting);
  // A coach's page shows an evening of them at every press, and hardly one has changed.
  const seat = sitting.kind === "fencer" ? `fencer ${sitting.person}` : sitting.kind;
  const from = drawnFrom(hall, file);
  const before = latest(file).get(seat);
  if (before?.from.every((each, at) => each === from[at])) return before.view;
  const view = lookUp(hall, file, sitting);
  if (view !== undefined) latest(file).set(seat, { from, view });
  return view;
}

function lookUp(hall: Hall, file: BoutOnFile, sitting: Sitting): BoutOnView | undefined {
  const seated = seatedBout(hall, file, sitting);
  if (seated === undefined) return undefined;
  const { bout } = seated.seen;
  const around: Around = {
    ringName: hall.meet.rings.find(({ id }) => id === bout.ring)?.name ?? bout.ring,
    earlier: hall.earlier(bout.id),
    paused: pausedAs(bout, sitting),
  };
  const { names, you, ruleSet } = seated;
  const known = drawn(seated.seen);
  const key = JSON.stringify([ruleSet.hash, names.red, names.blue, you ?? "", around]);
  const before = known.get(key);
  if (before !== undefined) return before;
  const view = drawBout(seated, around);
  known.set(key, view);
  return view;
}

function drawBout(seated: SeatedBout, { ringName, earlier, paused }: Around): BoutOnView {
  const { bout, hidden } = seated.seen;
  const { ruleSet, hash, scorer, explained } = seated.ruleSet;
  const sealed = sealedRules(ruleSet, hidden);
  const lines = sheetOf(bout, scorer).filter((line) => line.type === "exchange");
  const exchanges = bout.exchanges.map((exchange, index) =>
    exchangeOnView(seated, exchange, index, lines[index] ?? unwritten, sealed),
  );
  const fencers = SIDES.map((side) => fencerOnView(seated, side, exchanges, sealed.size > 0));
  const [red, blue] = fencers as [FencerOnView, FencerOnView];
  const ending = bout.ending;
  return {
    id: bout.id,
    no: bout.no,
    ring: bout.ring,
    ringName,
    ruleSet: {
      hash,
      name: ruleSet.name,
      ...(ruleSet.weapon === undefined ? {} : { weapon: ruleSet.weapon }),
      lead: explained.bout[0] ?? "",
    },
    stage: bout.stage,
    clock: bout.clock,
    red,
    blue,
    exchanges: Object.fromEntries(exchanges.map((exchange) => [exchange.id, exchange])),
    order: exchanges.map((exchange) => exchange.id),
    planned: plannedExchanges(bout, scorer),
    pays: payLines(seated.ruleSet),
    bonusMeans: bonusMeans(ruleSet),
    ...(ending === undefined
      ? {}
      : { ending, endingSentence: tellEnding(ending, bout.tally.points, seated.names, seated.you) }),
    moved: bout.lastMoved.map(({ sentence }) => speak(sentence, seated.voice)),
    earlier: earlier.map((sentence) => speak(sentence, seated.voice)),
    ...(bout.tally.teams === undefined ? {} : { teams: bout.tally.teams }),
    ...(bout.chance === undefined ? {} : { chance: bout.chance.seeds }),
    ...(paused === undefined ? {} : { paused }),
    confirmed: bout.confirmed,
  };
}
