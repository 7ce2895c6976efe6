/**
 * What fencers say of an exchange themselves: that they were hit, where the one who is hit decides; and the answers to
 * what the bout asks of them. All of it is one press, and all of it is kept with who said it.
 */
import { other } from "../../rules/index.ts";
import type { Act, Fact, Question, Side } from "../../rules/index.ts";
import type { Bout, BoutExchange } from "./bout.ts";

/** One thing that a fencer may say with one press. */
export interface SelfCall {
  readonly label: string;
  readonly facts: readonly Fact[];
}

/** What a fencer may say of one exchange. */
export interface SelfCalls {
  readonly exchange: BoutExchange["id"];
  readonly no: number;
  /** The question that the calls answer; missing where they are about being hit. */
  readonly question?: string;
  readonly calls: readonly SelfCall[];
}

const happened = (fact: Fact): readonly Act[] => (fact.fact === "happened" ? [fact.act] : []);

/** Every action of the exchange that anybody has told. */
const actsOf = ({ record, votes, given }: BoutExchange): readonly Act[] => [
  ...record.acts,
  ...[...votes, ...given].flatMap(({ facts }) => facts.flatMap(happened)),
];

const strikes = ({ by }: Act, side: Side): boolean => by === side || by === "both";

/** Whether a fact says of an action of the other that it landed, did not land, or where. */
export function isAboutBeingHit(exchange: BoutExchange, fact: Fact, own: Side): boolean {
  if (fact.fact === "happened") return fact.act.by === other(own) && fact.act.end === "hit";
  if (fact.fact !== "end" && !(fact.fact === "attribute" && fact.key === "target")) return false;
  const act = actsOf(exchange).find(({ id }) => id === fact.act);
  return act !== undefined && strikes(act, other(own));
}

/** The same whatever the order of its keys. */
const written = (value: unknown): string =>
  JSON.stringify(value, (_, part: unknown) =>
    typeof part === "object" && part !== null && !Array.isArray(part)
      ? Object.fromEntries(Object.entries(part).sort(([a], [b]) => (a < b ? -1 : 1)))
      : part,
  );

const askedOf = ({ tally, exchanges }: Bout, exchange: string, own: Side): readonly Question[] =>
  tally.questions.filter(({ ask, exchange: no }) => ask === own && exchanges[no - 1]?.id === exchange);

/** Whether a fencer may give these facts: each is about being hit where that decides, or all answer what they were asked. */
export function mayCall(bout: Bout, exchange: string, facts: readonly Fact[], own: Side): boolean {
  const said = bout.exchanges.find(({ id }) => id === exchange);
  if (said === undefined) return false;
  if (decidesSelf(bout) && facts.every((fact) => isAboutBeingHit(said, fact, own))) return true;
  return askedOf(bout, exchange, own).some(({ answers }) =>
    answers.some((answer) => written(answer.facts) === written(facts)),
  );
}

const decidesSelf = ({ panel }: Bout): boolean => panel === "the one who is hit decides";

/** What a fencer may say now: of the exchange whose window is open, and of whatever is still asked of them. */
export function selfCalls(bout: Bout, own: Side): readonly SelfCalls[] {
  if (bout.stage === "ended") return [];
  const asked = bout.tally.questions.flatMap((question): SelfCalls[] => {
    const exchange = bout.exchanges[question.exchange - 1]?.id;
    if (question.ask !== own || exchange === undefined || question.answers.length === 0) return [];
    return [{ exchange, no: question.exchange, question: question.text, calls: question.answers }];
  });
  const last = bout.exchanges.at(-1);
  if (!decidesSelf(bout) || last === undefined || last.windowClosed === true || bout.stage === "fencing")
    return asked;
  if (last.record.how === "no exchange") return asked;
  return [{ exchange: last.id, no: bout.exchanges.length, calls: ofBeingHit(last, own) }, ...asked];
}

const NOT_LANDED: readonly Act["end"][] = ["miss", "fall short"];
const NEVER_LAND: ReadonlySet<string> = new Set(["parry", "void", "feint", "withdraw"]);

function ofBeingHit(exchange: BoutExchange, own: Side): readonly SelfCall[] {
  const theirs = actsOf(exchange).filter((act) => strikes(act, other(own)));
  const landed = theirs.filter(({ end }) => end === "hit" || end === "perhaps");
  const strike = theirs.findLast(
    ({ kind, end }) => !NOT_LANDED.includes(end) && (kind === undefined || !NEVER_LAND.has(kind)),
  );
  const all = (end: "hit" | "no hit", acts: readonly Act[]): readonly Fact[] =>
    acts.flatMap(({ id }): Fact[] => (id === undefined ? [] : [{ fact: "end", act: id, end }]));
  const hits = all("hit", landed.length > 0 ? landed : strike ? [strike] : []);
  const hit: readonly Fact[] =
    hits.length > 0 ? hits : [{ fact: "happened", act: { by: other(own), end: "hit" } }];
  const misses = all("no hit", landed);
  return [
    { label: "I was hit", facts: hit },
    ...(misses.length > 0 ? [{ label: "I was not hit", facts: misses }] : []),
  ];
}
