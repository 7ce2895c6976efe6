/**
 * Limits that rings share ("once in the hall tonight", "3 points a team tonight"), arbitrated by the evening's own stream:
 * whoever's claim stands in it first has it first. A claim gets what the limit leaves; what is given back goes to those who
 * wait, in the order in which they came. Nobody ever loses what was granted but by their own bout's correction.
 */
import type { Rule, RuleSet } from "../../rules/index.ts";
import type { BoutId, Millis, PersonId } from "../ids.ts";
import type { Wanted } from "../bout/answering.ts";

/** A limit that a claim falls under: of the whole hall, or of one team. */
export interface SharedLimit {
  readonly scope: "hall" | "team";
  readonly team?: string;
  readonly n: number;
}

/** One claim as it is put to the hall. */
export interface Claimed extends Wanted {
  readonly limits: readonly SharedLimit[];
}

/** A claim as the evening keeps it, in the order in which claims came first. */
export interface HallClaim extends Claimed {
  readonly bout: BoutId;
  /** When it was claimed first. */
  readonly at: Millis;
  readonly granted: number;
}

/** What was granted to one claim changes to `n`. */
export interface HallGrant {
  readonly bout: BoutId;
  readonly exchange: Claimed["exchange"];
  readonly person: PersonId;
  readonly rule: string;
  readonly of: Claimed["of"];
  readonly n: number;
}

type Named = Pick<HallClaim, "exchange" | "person" | "rule" | "of">;
const isSame = (a: Named, b: Named): boolean =>
  a.exchange === b.exchange && a.person === b.person && a.rule === b.rule && a.of === b.of;

type Limit = NonNullable<Rule["atMost"]>[number];
const isShared = (limit: Limit): boolean => limit.scope === "hall" || limit.scope === "team";

/** Whether bouts under this rule set claim anything of the hall. */
export const sharesLimits = ({ rules }: RuleSet): boolean =>
  rules.some((rule) => rule.atMost?.some(isShared) === true);

/** The shared limits under which one award of a rule falls. Without a team a fencer is a team of one. */
export function limitsOn(ruleSet: RuleSet, wanted: Wanted, team: string | undefined): readonly SharedLimit[] {
  const rule = ruleSet.rules.find(({ name }) => name === wanted.rule);
  return (rule?.atMost ?? [])
    .filter((limit) => isShared(limit) && limit.of === wanted.of)
    .map(({ scope, n }) =>
      scope === "hall" ? { scope: "hall", n } : { scope: "team", team: team ?? wanted.person, n },
    );
}

const limitKey = ({ rule, of }: Claimed, { scope, team }: SharedLimit): string =>
  JSON.stringify([scope, team ?? "", rule, of]);

/** One evening, at most: what was claimed further away in time was another's. */
export const EVENING_MS = 12 * 3_600_000;
const sameEvening = (a: HallClaim, b: HallClaim): boolean => Math.abs(a.at - b.at) < EVENING_MS;

const sameMoment = (a: HallClaim, b: HallClaim): boolean =>
  a.bout === b.bout && a.exchange === b.exchange && a.rule === b.rule && a.of === b.of;

/** What was granted under one limit. A time that both fencers of an exchange have is used up once. */
function usedOf(claims: readonly HallClaim[], key: string): number {
  let sum = 0;
  const together = new Map<string, number>();
  for (const claim of claims) {
    if (!claim.limits.some((limit) => limitKey(claim, limit) === key)) continue;
    if (claim.of !== "times") sum += claim.granted;
    else {
      const at = `${claim.bout}/${claim.exchange}`;
      together.set(at, Math.max(together.get(at) ?? 0, claim.granted));
    }
  }
  return sum + [...together.values()].reduce((all, n) => all + n, 0);
}

/** The most that a claim may have beside what others have. A time cannot be halved: whoever is first at once shares it. */
function roomFor(claims: readonly HallClaim[], claim: HallClaim): number {
  const isOther = (each: HallClaim): boolean =>
    each !== claim && sameEvening(each, claim) && !(claim.of === "times" && sameMoment(each, claim));
  const others = claims.filter(isOther);
  const left = claim.limits.map((limit) => limit.n - usedOf(others, limitKey(claim, limit)));
  return Math.max(0, Math.min(...left));
}

/** Claims of one exchange and rule that are due to both fencers at once share what is left of an amount. */
function halves(claims: readonly HallClaim[], claim: HallClaim): number {
  const room = roomFor(claims, claim);
  const partner = claims.find(
    (each) =>
      each !== claim &&
      each.of !== "times" &&
      sameMoment(each, claim) &&
      each.granted === 0 &&
      claim.granted === 0 &&
      each.limits.some((limit) => limit.scope === "hall"),
  );
  return partner === undefined ? room : Math.max(room / 2, room - partner.n);
}

/** Gives what is left to those who wait, in their order. A claim never gets less than it has, up to what it asks. */
function topUp(claims: readonly HallClaim[]): readonly HallClaim[] {
  let all = claims;
  for (let at = 0; at < all.length; at++) {
    const claim = all[at];
    if (claim === undefined || claim.granted >= claim.n) continue;
    const granted = Math.max(claim.granted, Math.min(claim.n, halves(all, claim)));
    if (granted !== claim.granted) all = all.with(at, { ...claim, granted });
  }
  return all;
}

/** The evening's claims with those of one bout as they are now: places in the order are kept, nothing is granted anew. */
export function withClaims(
  before: readonly HallClaim[],
  bout: BoutId,
  claimed: readonly Claimed[],
  at: Millis,
): readonly HallClaim[] {
  const kept = before.flatMap((old): readonly HallClaim[] => {
    if (old.bout !== bout) return [old];
    const now = claimed.find((each) => isSame(each, old));
    return now === undefined ? [] : [{ ...now, bout, at: old.at, granted: Math.min(old.granted, now.n) }];
  });
  const fresh = claimed.filter((each) => !before.some((old) => old.bout === bout && isSame(old, each)));
  return [...kept, ...fresh.map((each) => ({ ...each, bout, at, granted: 0 }))];
}

/** The claims after some of them were answered. */
export const withGrants = (
  claims: readonly HallClaim[],
  grants: readonly HallGrant[],
): readonly HallClaim[] =>
  claims.map((claim) => {
    const grant = grants.find((each) => each.bout === claim.bout && isSame(each, claim));
    return grant === undefined ? claim : { ...claim, granted: grant.n };
  });

/** What every claim is granted that had another answer, or none, before: those of this bout, and those who waited. */
export function grantsAfter(
  before: readonly HallClaim[],
  bout: BoutId,
  claimed: readonly Claimed[],
  at: Millis,
): readonly HallGrant[] {
  return topUp(withClaims(before, bout, claimed, at)).flatMap((claim): readonly HallGrant[] => {
    const old = before.find((each) => each.bout === claim.bout && isSame(each, claim));
    if (old?.granted === claim.granted) return [];
    const { exchange, person, rule, of, granted: n } = claim;
    return [{ bout: claim.bout, exchange, person, rule, of, n }];
  });
}

/** Whether a bout claims now what the evening has noted of it. */
export function claimsTheSame(
  before: readonly HallClaim[],
  bout: BoutId,
  claimed: readonly Claimed[],
): boolean {
  const own = before.filter((each) => each.bout === bout);
  const isNoted = (each: Claimed): boolean =>
    own.some(
      (old) =>
        isSame(old, each) && old.n === each.n && JSON.stringify(old.limits) === JSON.stringify(each.limits),
    );
  return own.length === claimed.length && claimed.every(isNoted);
}
