/**
 * The panel: what the officials' votes, the table's record and the facts given afterwards come to. All sources are
 * kept; the rule set's policy says which of them holds where they differ.
 */
import type { ExchangeLine, Fact, Panel, Side } from "../../rules/index.ts";
import { applyFacts, other } from "../../rules/index.ts";
import type { Source } from "../ids.ts";
import type { BoutExchange } from "./bout.ts";
import { ALREADY, claimsOf, lineOf } from "./claims.ts";
import { isAboutBeingHit } from "./self-calls.ts";
import { signed } from "./signing.ts";
import type { Claim, Voice } from "./claims.ts";

/** On which side a source fences; undefined for everybody else. */
export type SideOf = (by: Source) => Side | undefined;

/** What an exchange is worth if it went so: "in doubt the higher value" needs it. */
export type Worth = (line: ExchangeLine) => number;

/** The president's vote outweighs one judge and yields to two (two secondary sources: 1 1/2 votes). */
const PRESIDENT = 1.5;

const isReferee = (voice: Voice): boolean => voice.by.referee === true;

/** Under "the referee decides": the referee, then the table or the coach, then a judge, then a fencer. */
function rank(voice: Voice): number {
  if (isReferee(voice)) return 3;
  if (voice.by.kind === "judge") return 1;
  return voice.by.kind === "fencer" ? 0 : 2;
}

const TABLE = 2;

/** The voice of the highest rank, the latest of them; undefined where the record's own word stands. */
function byRank(claim: Claim): Fact | undefined {
  let best: Voice | undefined;
  for (const voice of claim.voices) {
    if (voice.fact === undefined) continue;
    if (best === undefined || rank(voice) > rank(best) || (rank(voice) === rank(best) && voice.at >= best.at))
      best = voice;
  }
  if (best === undefined || claim.recorded === undefined) return best?.fact;
  // The record is the table's word: what the table or the referee said of it later goes before it.
  return rank(best) >= TABLE ? best.fact : undefined;
}

/** Two judges watch one fencer: 1 and 2 what Red does, 3 and 4 what Blue does; the referee sees both. */
function watches(voice: Voice, claim: Claim): boolean {
  if (isReferee(voice) || claim.side === undefined || voice.by.judge === undefined) return true;
  return claim.side === "red" ? voice.by.judge <= 2 : voice.by.judge >= 3;
}

const HIT = "hit";
/** "Missed", "fell short" and "no hit" are one vote: no. */
const ballotOf = (voice: Voice): string =>
  voice.fact?.fact === "end" ? (voice.value === HIT ? HIT : "no") : (voice.value ?? "no");

interface Count {
  readonly value: string;
  readonly weight: number;
  readonly voices: number;
  readonly fact: Fact | undefined;
}

/** The votes counted by value, the heaviest first; *not seen* is counted nowhere. */
function count(voices: readonly Voice[], weigh: (voice: Voice) => number): readonly Count[] {
  const counts = new Map<string, Count>();
  for (const voice of voices) {
    if (voice.notSeen === true) continue;
    const value = ballotOf(voice);
    const was = counts.get(value);
    counts.set(value, {
      value,
      weight: (was?.weight ?? 0) + weigh(voice),
      voices: (was?.voices ?? 0) + 1,
      fact: was?.fact ?? voice.fact,
    });
  }
  return [...counts.values()].sort((a, b) => b.weight - a.weight);
}

/** What a panel says to a claim: a fact, that it was not so, or nothing that decides it. */
type Verdict =
  { readonly is: "so"; readonly fact: Fact } | { readonly is: "not so" } | { readonly is: "doubt" };

const said = (winner: Count): Verdict =>
  winner.fact === undefined ? { is: "not so" } : { is: "so", fact: winner.fact };

/** More weight for one value than for all others together. */
function outweighs(counts: readonly Count[]): Verdict {
  const [first, ...others] = counts;
  if (first === undefined) return { is: "doubt" };
  const against = others.reduce((sum, other) => sum + other.weight, 0);
  return first.weight > against ? said(first) : { is: "doubt" };
}

/** The mean of the values called, to the nearest half. */
function mean(voices: readonly Voice[]): Verdict {
  const calls = voices.flatMap((voice) => (voice.fact?.fact === "call" ? [voice.fact] : []));
  const values = calls.flatMap((fact) => (fact.call.value === undefined ? [] : [fact.call.value]));
  const first = calls[0];
  if (first === undefined || values.length === 0) return { is: "doubt" };
  const value = Math.round((2 * values.reduce((a, b) => a + b, 0)) / values.length) / 2;
  return { is: "so", fact: { fact: "call", call: { ...first.call, value } } };
}

/** Of the values that were called, the one that makes the exchange worth most. */
function highest(counts: readonly Count[], worth: (fact: Fact) => number): Verdict {
  let best: Fact | undefined;
  for (const { fact } of counts) if (fact && (best === undefined || worth(fact) > worth(best))) best = fact;
  return best === undefined ? { is: "doubt" } : { is: "so", fact: best };
}

function verdict(
  panel: Panel,
  claim: Claim,
  votes: readonly Voice[],
  worth: (fact: Fact) => number,
): Verdict {
  const plain = count(votes, () => 1);
  switch (panel) {
    case "weighted jury":
    case "two judges a fencer": {
      const jury = panel === "weighted jury" ? votes : votes.filter((voice) => watches(voice, claim));
      return outweighs(count(jury, (voice) => (isReferee(voice) ? PRESIDENT : 1)));
    }
    case "two of three or again": {
      const agreed = plain.find((each) => each.voices >= 2);
      return agreed === undefined ? { is: "doubt" } : said(agreed);
    }
    case "the higher value":
      return highest(plain, worth);
    case "average":
      return votes.some((voice) => voice.fact?.fact === "call") ? mean(votes) : outweighs(plain);
    default:
      return outweighs(plain);
  }
}

const isJury = (panel: Panel): boolean => panel === "weighted jury" || panel === "two judges a fencer";

/** In doubt there was no hit (the old jury's rule; from memory); other claims wait. */
function inDoubt(panel: Panel, claim: Claim): Fact | undefined {
  const jury = isJury(panel);
  const end = claim.voices.find((voice) => voice.fact?.fact === "end")?.fact;
  return jury && end?.fact === "end" ? { ...end, end: "no hit" } : undefined;
}

/** Votes stay sealed until the window has closed or every judge's seat has voted. */
function isOpenForVotes(exchange: BoutExchange): boolean {
  if (exchange.windowClosed === true || exchange.judges === undefined) return false;
  const judges = exchange.votes.filter((vote) => vote.by.referee !== true);
  return new Set(judges.map((vote) => vote.by.seat)).size < exchange.judges;
}

/** The latest word of the one who is hit; who says nothing accepts the record, and what the officials said of it. */
function byTheOneWhoIsHit(exchange: BoutExchange, claim: Claim, sideOf: SideOf): Fact | undefined {
  const hit = claim.side === undefined ? undefined : other(claim.side);
  const isTheirs = ({ by, fact }: Voice): boolean =>
    hit !== undefined && fact !== undefined && sideOf(by) === hit && isAboutBeingHit(exchange, fact, hit);
  const own = claim.voices.filter(isTheirs);
  if (own.length > 0) return own.reduce((last, voice) => (voice.at >= last.at ? voice : last)).fact;
  return byRank({ ...claim, voices: claim.voices.filter(({ by }) => by.kind !== "fencer") });
}

function settle(
  exchange: BoutExchange,
  panel: Panel,
  claim: Claim,
  worth: (fact: Fact) => number,
  sideOf: SideOf,
): Fact | undefined {
  if (panel === "the referee decides") return byRank(claim);
  if (panel === "the one who is hit decides") return byTheOneWhoIsHit(exchange, claim, sideOf);
  const votes = claim.voices.filter((voice) => voice.vote);
  const facts = claim.voices.filter((voice) => !voice.vote);
  if (votes.length === 0 || isOpenForVotes(exchange)) return byRank({ ...claim, voices: facts });
  const found = verdict(panel, claim, votes, worth);
  if (found.is === "so") return found.fact;
  if (found.is === "not so") return undefined;
  return inDoubt(panel, claim) ?? byRank({ ...claim, voices: [...facts, ...votes.filter(isReferee)] });
}

/** A jury that voted and saw nothing at all: what waited for it was no hit. */
function unseen(exchange: BoutExchange, line: ExchangeLine): readonly Fact[] {
  if (exchange.votes.length === 0 || isOpenForVotes(exchange)) return [];
  return line.acts.flatMap(({ id, end }): readonly Fact[] =>
    end === "perhaps" && id !== undefined ? [{ fact: "end", act: id, end: "no hit" }] : [],
  );
}

/** Three have voted, *not seen* included, and no two agree on a hit: it is fenced again. */
function isToRepeat(claims: readonly Claim[]): boolean {
  return claims.some((claim) => {
    const votes = claim.voices.filter((voice) => voice.vote);
    if (votes.length < 3 || !votes.some((voice) => voice.fact?.fact === "end")) return false;
    return !count(votes, () => 1).some((each) => each.voices >= 2);
  });
}

/** Whether the action that a fact speaks of is still there: a correction may have taken it away. */
function isStillThere(fact: Fact, line: ExchangeLine, facts: readonly Fact[]): boolean {
  const id = fact.fact === "attribute" || fact.fact === "end" ? fact.act : undefined;
  const before = fact.fact === "happened" ? fact.before : undefined;
  return [id, before].every(
    (act) =>
      act === undefined ||
      line.acts.some((each) => each.id === act) ||
      facts.some((each) => each.fact === "happened" && each.act.id === act),
  );
}

/** "Nothing else" is said of what is there once everything that happened is. */
const isLast = (fact: Fact): number => (fact.fact === "nothing else" ? 1 : 0);

/**
 * An exchange as the panel settles it: the record, with the facts that hold applied in the order in which they were
 * given. `worth` is asked only under "the higher value"; without it the first value called holds there. `sideOf` is
 * asked only where the one who is hit decides.
 */
export function resolveExchange(
  exchange: BoutExchange,
  panel: Panel,
  worth?: Worth,
  sideOf: SideOf = () => undefined,
): ExchangeLine {
  const line = lineOf(exchange);
  const claims = claimsOf(exchange);
  if (claims.length === 0) return isJury(panel) ? applyFacts(line, unseen(exchange, line)) : line;
  if (panel === "two of three or again" && isToRepeat(claims))
    return { ...line, how: "no exchange", acts: [], open: false };
  const facts: Fact[] = [];
  const worthOf = (fact: Fact) => (worth === undefined ? 0 : worth(applyFacts(line, [...facts, fact])));
  for (const claim of claims) {
    const fact = settle(exchange, panel, claim, worthOf, sideOf);
    if (fact !== undefined && claim.recorded !== ALREADY && isStillThere(fact, line, facts))
      facts.push(signed(fact, claim, exchange.record));
  }
  return applyFacts(
    line,
    facts.sort((a, b) => isLast(a) - isLast(b)),
  );
}
