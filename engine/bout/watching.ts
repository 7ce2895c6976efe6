/** Which kinds of action the rule set gives to which judge, and what a judge's silence then says (S4). */
import type { Phrase, Rule, RuleSet } from "../../rules/index.ts";
import type { Source } from "../ids.ts";
import type { Bout } from "./bout.ts";
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
export function kindsWatchedBy(ruleSet: RuleSet, no: number): readonly string[] {
  const theirs = ruleSet.rules.filter((rule) => rule.watch?.is === "judge" && rule.watch.no === no);
  const kinds = theirs.flatMap(phrasesOf).flatMap((phrase) => kindsOf(phrase, ruleSet, []));
  return [...new Set(kinds)].sort();
}

/** What "Fence!" makes of every judge who was there, was told to watch and said nothing. An empty seat says nothing. */
export function silences(bout: Bout, ruleSet: RuleSet, judges: readonly Source[]): readonly Silence[] {
  const open = bout.exchanges.filter((exchange) => exchange.windowClosed !== true);
  return judges.flatMap((by) => {
    const kinds = by.judge === undefined ? [] : kindsWatchedBy(ruleSet, by.judge);
    if (kinds.length === 0) return [];
    return open
      .filter((exchange) => !exchange.votes.some((vote) => vote.by.seat === by.seat))
      .map((exchange): Silence => ({ exchange: exchange.id, by, facts: [{ fact: "nothing else", kinds }] }));
  });
}
