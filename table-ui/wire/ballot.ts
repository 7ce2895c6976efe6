/** The judge's ballot: four votes at most, each with what it says, and no pay anywhere near it. */
import { resolveExchange, type BoutExchange, type Fact, type Side } from "../../engine/index.ts";
import type { Act, ExchangeLine, Phrase, Rule, RuleSet, Step } from "../../rules/index.ts";
import type { JudgeView } from "./views.ts";

type Ballot = NonNullable<JudgeView["ballot"]>;
/** Whose ballot it is. */
interface Judge {
  readonly seat: string;
  readonly judge: number;
  readonly referee: boolean;
}
type VoteOnBallot = Ballot["votes"][number];

/** What a judge watches: an own action that comes first (a parry, say), and the hit. */
interface Watched {
  readonly first?: string;
  /** Kinds that the hit must have ("riposte"); empty: any. */
  readonly hitAs: readonly string[];
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

const doingOf = (step: Step) =>
  step.subject === "I" && step.never !== true && !("make" in step.doing) ? step.doing : undefined;

function watchedIn(phrase: Phrase): Watched | undefined {
  const own = phrase.steps.flatMap((step) => doingOf(step) ?? []);
  const hit = own.findLastIndex((doing) => doing.result === "hit");
  if (hit < 0) return undefined;
  const first = own.slice(0, hit).findLast((doing) => doing.kinds?.length === 1)?.kinds?.[0];
  return { hitAs: own[hit]?.kinds ?? [], ...(first === undefined ? {} : { first }) };
}

const watchedBy = (rule: Rule): Watched | undefined => rule.when?.map(watchedIn).find((found) => found);

/** Whether a rule names this seat as its watcher. */
export const isWatchedBy = (watch: Rule["watch"], judge: number, referee: boolean): boolean =>
  (watch?.is === "judge" && watch.no === judge) || (referee && watch?.is === "referee");

/** The rule that this judge is named for; else the first one in which an action comes before the hit; else any hit. */
function watchedFor(ruleSet: RuleSet, { judge, referee }: Judge): Watched {
  const named = ruleSet.rules.filter(({ watch }) => isWatchedBy(watch, judge, referee));
  const found = [...named, ...ruleSet.rules].flatMap((rule) => watchedBy(rule) ?? []);
  const best = named.length > 0 ? found[0] : found.find(({ first }) => first !== undefined);
  return best ?? { hitAs: [] };
}

const landed = (act: Act): boolean => act.end === "hit" || act.end === "perhaps";

/** Whom to watch: the one who landed first; nobody did: odd judges watch Red, even ones Blue. */
function sideToWatch(line: ExchangeLine, judge: number): Side {
  const first = line.acts.find(landed)?.by;
  if (first === "red" || first === "blue") return first;
  return judge % 2 === 1 ? "red" : "blue";
}

const isAct = (act: Act, side: Side, kind: string): boolean =>
  (act.by === side || act.by === "both") && act.kind === kind;

/** The hit as facts: of the act on record, or as an act that the table did not write. */
function hitFacts(line: ExchangeLine, side: Side): Fact[] {
  const hit = line.acts.find((act) => act.by === side && landed(act));
  if (hit?.id === undefined) return [{ fact: "happened", act: { by: side, kind: "attack", end: "hit" } }];
  return [{ fact: "end", act: hit.id, end: "hit" }];
}

/** What came first, and that the hit was then no mere attack. A hit of no recorded kind follows from the parry alone. */
function firstFacts(line: ExchangeLine, side: Side, { first, hitAs }: Watched): Fact[] {
  const hit = line.acts.find((act) => act.by === side && landed(act));
  const facts: Fact[] = [];
  if (first !== undefined && !line.acts.some((act) => isAct(act, side, first))) {
    const before = hit?.id === undefined ? {} : { before: hit.id };
    facts.push({ fact: "happened", act: { by: side, kind: first }, ...before });
  }
  const kind = hitAs[0];
  if (kind !== undefined && hit?.id !== undefined && hit.kind !== undefined && !hitAs.includes(hit.kind)) {
    facts.push({ fact: "attribute", act: hit.id, key: "kind", value: kind });
  }
  return facts;
}

function withoutFacts(line: ExchangeLine, side: Side, kind: string): Fact[] {
  const seen = line.acts.filter((act) => isAct(act, side, kind));
  const refuted = seen.flatMap((act): Fact[] =>
    act.id === undefined ? [] : [{ fact: "attribute", act: act.id, key: "kind", value: kind, not: true }],
  );
  return [...refuted, { fact: "nothing else", kinds: [kind] }];
}

const noHitFacts = (line: ExchangeLine, side: Side): Fact[] =>
  line.acts.flatMap((act): Fact[] =>
    act.by === side && landed(act) && act.id !== undefined
      ? [{ fact: "end", act: act.id, end: "no hit" }]
      : [],
  );

function votesOn(line: ExchangeLine, side: Side, watched: Watched): VoteOnBallot[] {
  const none: VoteOnBallot = { label: "No hit", picture: "none", facts: noHitFacts(line, side) };
  const unseen: VoteOnBallot = { label: "Not seen", picture: "unseen", facts: [] };
  const hit = hitFacts(line, side);
  const { first } = watched;
  if (first === undefined) return [{ label: "Hit", picture: "hit", facts: hit }, none, unseen];
  return [
    {
      label: `${capital(first)}, then hit`,
      picture: first === "parry" ? "parry-hit" : "action",
      facts: [...firstFacts(line, side, watched), ...hit],
    },
    { label: `Hit, no ${first}`, picture: "hit", facts: [...withoutFacts(line, side, first), ...hit] },
    none,
    unseen,
  ];
}

/** The ballot on an exchange for one judge; undefined where there is nothing to vote on. */
export function ballotOn(
  exchange: BoutExchange,
  no: number,
  ruleSet: RuleSet,
  sitting: Judge,
): Ballot | undefined {
  // Votes under way must not reach the other judges, not even through the acts that they would add.
  const line = resolveExchange({ ...exchange, votes: [] }, ruleSet.bout.panel);
  if (line.how === "no exchange") return undefined;
  const watched = watchedFor(ruleSet, sitting);
  const side = sideToWatch(line, sitting.judge);
  const cast = exchange.votes.findLast((vote) => vote.by.seat === sitting.seat)?.label;
  return {
    exchange: exchange.id,
    no,
    side,
    watch: watched.first === undefined ? "Hit" : `${capital(watched.first)}, then hit`,
    votes: votesOn(line, side, watched),
    ...(cast === undefined ? {} : { cast }),
  };
}
