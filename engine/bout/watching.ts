/** Which kinds of action the rule set gives to which judge, and what a judge's silence then says (S4). */
import type { Phrase, Rule, RuleSet } from "../../rules/index.ts";
import type { Source } from "../ids.ts";
import type { Bout, BoutExchange } from "./bout.ts";
import type { Silence } from "./events.ts";

function kindsOf(phrase: Phrase, ruleSet: RuleSet, seen: readonly string[]): readonly string[] {
  return phrase.steps.flatMap(({ doing }) => {
    if (!("make" in doing)) return doing.kinds ?? [];
    const named = ruleSet.phrases.find((each) => each.name === doing.make);
    if (named === undefined || seen.includes(doing.make)) return [];
    return kindsOf(named.phrase, ruleSet, [...seen, doing.make]);
  });
}

function phrasesOf(rule: Rule): readonly Phrase[] {
  const asked = [...(rule.if ?? []), ...(rule.unless ?? [])].flat();
  const inConditions = asked.flatMap((each) => (each.is === "phrase" ? [each.phrase] : []));
  return [...(rule.when ?? []), ...inConditions];
}

/** The kinds that judge `no` was told to watch, each once, sorted. */
export const kindsWatchedBy = (ruleSet: RuleSet, no: number): readonly string[] =>
  kindsWatched(ruleSet, (watch) => watch.is === "judge" && watch.no === no);

function kindsWatched(
  ruleSet: RuleSet,
  isTheirs: (watch: NonNullable<Rule["watch"]>) => boolean,
): readonly string[] {
  const theirs = ruleSet.rules.filter(({ watch }) => watch !== undefined && isTheirs(watch));
  const kinds = theirs.flatMap(phrasesOf).flatMap((phrase) => kindsOf(phrase, ruleSet, []));
  return [...new Set(kinds)].sort();
}

const sawSomething = (exchange: BoutExchange): boolean =>
  exchange.votes.some(({ facts }) => facts.some(({ fact }) => fact === "happened"));

/** What the table left open for the judges' sake, besides their own kinds. */
const leftOpen = (exchange: BoutExchange): readonly string[] =>
  typeof exchange.record.open === "boolean" ? [] : exchange.record.open;

/**
 * What "Fence!" makes of every judge who was there and was told to watch. Said nothing: nothing of their kinds happened.
 * Where no judge saw anything happen, what the table left open only for their sake is closed too; where one did, it stays
 * open, for what belongs to it may have been missed. An empty seat says nothing.
 */
export function silences(bout: Bout, ruleSet: RuleSet, judges: readonly Source[]): readonly Silence[] {
  const open = bout.exchanges.filter((exchange) => exchange.windowClosed !== true);
  return [...ofJudges(open, ruleSet, judges), ...ofOthers(open, ruleSet)];
}

/** The referee and the fencers are always there; what they were given to watch and did not name did not happen. */
function ofOthers(open: readonly BoutExchange[], ruleSet: RuleSet): readonly Silence[] {
  return OTHERS.flatMap(({ is, by, speaks }) => {
    const kinds = kindsWatched(ruleSet, (watch) => watch.is === is);
    if (kinds.length === 0) return [];
    return open
      .filter(({ votes, given }) => ![...votes, ...given].some((said) => speaks(said.by)))
      .map(({ id }): Silence => ({ exchange: id, by, facts: [{ fact: "nothing else", kinds }] }));
  });
}

const OTHERS: readonly {
  readonly is: "referee" | "fencers";
  /** Nobody's own seat: it was silence that spoke. */
  readonly by: Source;
  readonly speaks: (by: Source) => boolean;
}[] = [
  {
    is: "referee",
    by: { seat: "referee", kind: "judge", referee: true },
    speaks: (by) => by.referee === true,
  },
  { is: "fencers", by: { seat: "fencers", kind: "fencer" }, speaks: (by) => by.kind === "fencer" },
];

function ofJudges(
  open: readonly BoutExchange[],
  ruleSet: RuleSet,
  judges: readonly Source[],
): readonly Silence[] {
  return judges.flatMap((by) => {
    const own = by.judge === undefined ? [] : kindsWatchedBy(ruleSet, by.judge);
    if (own.length === 0) return [];
    return open.flatMap((exchange): readonly Silence[] => {
      const vote = exchange.votes.findLast((each) => each.by.seat === by.seat);
      // Not seen is a vote: it says nothing about what happened, and closes nothing.
      if (vote?.notSeen === true) return [];
      const kinds = [
        ...(vote === undefined ? own : []),
        ...(sawSomething(exchange) ? [] : leftOpen(exchange)),
      ];
      if (kinds.length === 0) return [];
      return [{ exchange: exchange.id, by, facts: [{ fact: "nothing else", kinds: [...new Set(kinds)] }] }];
    });
  });
}
