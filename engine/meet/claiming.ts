/** Claims of limits that rings share: what a bout wanted and was answered, and what the evening answered. */
import type { Scorer } from "../../rules/index.ts";
import { wantedBy } from "../bout/answering.ts";
import type { Bout } from "../bout/bout.ts";
import type { Granted } from "../bout/commands.ts";
import type { Claimed } from "./claims.ts";
import { limitsOn } from "./claims.ts";
import type { Meet } from "./events.ts";

/** One text for the same answers, in whatever order their keys were stored. */
export const answersKey = (granted: readonly Granted[]): string =>
  JSON.stringify(granted.map(({ exchange, person, rule, n }) => [exchange, person, rule, n]));

/** One text for the same claims. */
export const claimsKey = (claims: readonly Claimed[]): string =>
  JSON.stringify(
    claims.map(({ exchange, person, rule, of, n, limits }) => [
      exchange,
      person,
      rule,
      of,
      n,
      limits.map((limit) => [limit.scope, limit.team ?? "", limit.n]),
    ]),
  );

/** What a bout claims of the hall as it stands, with the limits under which each claim falls. */
export function claimsOf(bout: Bout, scorer: Scorer | undefined): readonly Claimed[] {
  if (scorer === undefined) return [];
  const names = bout.brings.roster?.find((line) => line.type === "bout");
  return wantedBy(bout, scorer).map((wanted) => {
    const team = wanted.person === names?.red ? names.redTeam : names?.blueTeam;
    return { ...wanted, limits: limitsOn(scorer.ruleSet, wanted, team) };
  });
}

/** What the evening has answered to one bout, as it stands. */
export const answersTo = (meet: Meet, bout: string): readonly Granted[] =>
  (meet.claims ?? [])
    .filter((claim) => claim.bout === bout)
    .map(({ exchange, person, rule, granted: n }) => ({ exchange, person, rule, n }));
