/** What a bout claims of limits that rings share, and the hall's answers to it. */
import type { Claim, Scorer } from "../../rules/index.ts";
import type { ExchangeId, PersonId } from "../ids.ts";
import type { Bout } from "./bout.ts";
import type { Granted } from "./commands.ts";
import { after, endAnew, movedBy } from "./decision.ts";
import type { Case, Decision } from "./decision.ts";
import { sheetOf, stampOf } from "./scoring.ts";

/** One claim of a bout: who should have how much of which rule, before the hall says what is left. */
export interface Wanted {
  readonly exchange: ExchangeId | "end";
  readonly person: PersonId;
  readonly rule: string;
  readonly of: Claim["of"];
  readonly n: number;
}

const asWanted = (bout: Bout, { exchange, to, rule, of, n }: Claim): Wanted => ({
  exchange: exchange === 0 ? "end" : (bout.exchanges[exchange - 1]?.id ?? "end"),
  person: bout[to],
  rule,
  of,
  n,
});

/**
 * Everything that a bout claims as it stands: what nobody has answered, and of what was answered all that would be claimed
 * again if it had not been. What is due later in a bout may hang on what was granted earlier, so each is asked by itself.
 * Nothing where no limit is shared.
 */
export function wantedBy(bout: Bout, scorer: Scorer | undefined): readonly Wanted[] {
  const shares = bout.brings.roster?.some(({ type }) => type === "hall") === true;
  if (scorer === undefined || !shares) return [];
  const claimsOf = (granted: readonly Granted[]): readonly Wanted[] =>
    scorer.score(sheetOf({ ...bout, granted }, scorer)).claims.map((claim) => asWanted(bout, claim));
  const all = bout.granted ?? [];
  const again = all.flatMap((one) => {
    const { exchange, person, rule } = one;
    return claimsOf(all.filter((each) => each !== one)).filter(
      (each) => each.exchange === exchange && each.person === person && each.rule === rule,
    );
  });
  return [...again, ...claimsOf(all)];
}

const same = (a: Granted, b: Granted): boolean =>
  a.exchange === b.exchange && a.person === b.person && a.rule === b.rule && a.n === b.n;

/** The hall's answers, all at once; the same again changes nothing. */
export function answerClaims(current: Case<"AnswerClaims">): Decision {
  const { bout, command, base } = current;
  const { granted } = command;
  const before = bout.granted ?? [];
  if (before.length === granted.length && granted.every((each) => before.some((one) => same(one, each))))
    return [];
  const event = { ...base, type: "ClaimsAnswered", granted, moved: [], tally: stampOf(bout.tally) } as const;
  const next = after(current, event);
  return [{ ...event, moved: movedBy(current, next), tally: stampOf(next.tally) }, ...endAnew(current, next)];
}
