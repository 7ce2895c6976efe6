/**
 * Facts from several sources about one exchange, sorted by what they are about. A *claim* is one question ("how did this
 * action end?"); its voices are the answers that were given, each with who gave it.
 */
import type { Act, ExchangeLine, Fact } from "../../rules/index.ts";
import type { Millis, Source } from "../ids.ts";
import type { BoutExchange } from "./bout.ts";
import type { RecordedExchange } from "./commands.ts";

export interface Voice {
  readonly by: Source;
  readonly at: Millis;
  /** A judge's vote, as against a fact given outside a vote. */
  readonly vote: boolean;
  /** What is said; undefined: the voter saw it otherwise ("it did not happen"). "not seen" is silence in a vote. */
  readonly value: string | undefined;
  readonly fact?: Fact;
  readonly notSeen?: true;
}

export interface Claim {
  readonly key: string;
  /** Who acts in what is claimed, where that is known: two judges watch one fencer. */
  readonly side?: "red" | "blue";
  readonly voices: readonly Voice[];
  /** What the record itself says, if it says anything. */
  readonly recorded?: string;
}

/** What the record says to "this happened too" where it has that action already. */
export const ALREADY = "recorded";

/** "manner" and "from" hold several values, each of them a claim of its own. */
const MANY: ReadonlySet<string> = new Set(["manner", "from"]);

/** The claim that a fact speaks to; stable for the same question. */
function keyOf(fact: Fact): string {
  switch (fact.fact) {
    case "attribute":
      return MANY.has(fact.key) ? `act ${fact.act} ${fact.key} ${fact.value}` : `act ${fact.act} ${fact.key}`;
    case "end":
      return `act ${fact.act} end`;
    case "happened":
      return `happened ${fact.act.kind ?? fact.act.form ?? "act"} ${fact.act.by} ${fact.before ?? ""}`;
    case "nothing else":
      return `nothing else ${[...(fact.kinds ?? [])].sort().join(", ")}`;
    case "how":
      return "how";
    case "left":
      return "left";
    case "call":
      return `call ${fact.call.call} ${fact.call.for}`;
    case "weaker":
      return "weaker";
    case "pick":
      return `pick ${fact.pick} ${fact.side ?? ""}`;
  }
}

/** What a fact answers to its claim. */
export function valueOf(fact: Fact): string {
  switch (fact.fact) {
    case "attribute":
      return fact.not === true ? `not ${fact.value}` : fact.value;
    case "end":
      return fact.end;
    case "happened":
      return JSON.stringify({ ...fact.act, id: undefined, source: undefined });
    case "nothing else":
      return "yes";
    case "how":
      return fact.how;
    case "left":
      return String(fact.seconds);
    case "call":
      return String(fact.call.value ?? "yes");
    case "weaker":
      return fact.side;
    case "pick":
      return fact.value;
  }
}

const actOf = (record: RecordedExchange, id: string): Act | undefined =>
  record.acts.find((act) => act.id === id);

function recordedAttribute(act: Act, key: string, value: string): string | undefined {
  if (key === "manner") {
    if (act.manners?.includes(value) === true) return value;
    return act.not?.includes(value) === true ? `not ${value}` : undefined;
  }
  if (key === "from") return act.from?.includes(value) === true ? value : undefined;
  if (key === "for" || key === "after") return act[key] === undefined ? undefined : String(act[key]);
  if (act.not?.includes(value) === true) return `not ${value}`;
  return act[key as "target"];
}

/** Whether a closed line leaves no room for an unrecorded action of this kind. */
function leavesNoRoom(record: RecordedExchange, kind: string | undefined): boolean {
  if (record.open === true) return false;
  return record.open === false || kind === undefined || !record.open.includes(kind);
}

function recordedHappening(
  record: RecordedExchange,
  act: Act,
  before: string | undefined,
): string | undefined {
  const end = before === undefined ? record.acts.length : record.acts.findIndex(({ id }) => id === before);
  const same = record.acts.slice(0, Math.max(0, end)).some((a) => a.by === act.by && a.kind === act.kind);
  if (same) return ALREADY;
  return leavesNoRoom(record, act.kind) ? "no" : undefined;
}

/** What the record says to the claim of this fact; undefined: nothing. */
function recordedOf(record: RecordedExchange, fact: Fact): string | undefined {
  switch (fact.fact) {
    case "attribute": {
      const act = actOf(record, fact.act);
      return act === undefined ? undefined : recordedAttribute(act, fact.key, fact.value);
    }
    case "end": {
      const act = actOf(record, fact.act);
      // "perhaps" waits for somebody; an action without an end did not hit (S1).
      return act === undefined || act.end === "perhaps" ? undefined : (act.end ?? "no hit");
    }
    case "happened":
      return recordedHappening(record, fact.act, fact.before);
    case "nothing else":
      return undefined;
    case "how":
      return record.how ?? "plain";
    case "left":
      return record.left === undefined ? undefined : String(record.left);
    case "call": {
      const call = record.calls?.find((c) => c.call === fact.call.call && c.for === fact.call.for);
      return call === undefined ? undefined : String(call.value ?? "yes");
    }
    case "weaker":
      return undefined;
    case "pick":
      return record.picks?.[fact.pick];
  }
}

const TOLD = [
  "kind",
  "form",
  "blow",
  "direction",
  "edge",
  "hand",
  "footwork",
  "target",
  "for",
  "after",
] as const;

/** The claims that a correction of the record settled: earlier votes no longer decide them. */
export function changedClaims(was: RecordedExchange, is: RecordedExchange): readonly string[] {
  const changed: string[] = [];
  if (was.how !== is.how) changed.push("how");
  for (const act of is.acts) {
    const before = act.id === undefined ? undefined : actOf(was, act.id);
    if (act.id === undefined || before === undefined) continue;
    if (before.end !== act.end) changed.push(`act ${act.id} end`);
    for (const key of TOLD) if (before[key] !== act[key]) changed.push(`act ${act.id} ${key}`);
  }
  return changed;
}

/** A seat's latest vote is the one that counts; earlier ones are kept in the ledger. */
function latestVotes(exchange: BoutExchange): BoutExchange["votes"] {
  const bySeat = new Map<string, BoutExchange["votes"][number]>();
  for (const vote of exchange.votes) bySeat.set(vote.by.seat, vote);
  return [...bySeat.values()];
}

/** Whether a voter who named no such action looked at the very hit before which it would stand. */
const judgedTheSameHit = (facts: readonly Fact[], fact: Fact): boolean =>
  fact.fact === "happened" &&
  facts.some((f) => (f.fact === "end" || f.fact === "attribute") && f.act === fact.before);

function sideOfClaim(exchange: BoutExchange, fact: Fact): "red" | "blue" | undefined {
  const by =
    fact.fact === "attribute" || fact.fact === "end"
      ? actOf(exchange.record, fact.act)?.by
      : fact.fact === "happened"
        ? fact.act.by
        : undefined;
  return by === "both" ? undefined : by;
}

/** What a vote says to a claim: a value, *not seen*, that it was not so, or nothing. */
function voiceOf(vote: BoutExchange["votes"][number], key: string, fact: Fact): readonly Voice[] {
  const { by, at } = vote;
  const said = vote.facts.find((each) => keyOf(each) === key);
  if (said !== undefined) return [{ by, at, vote: true, value: valueOf(said), fact: said }];
  if (vote.notSeen) return [{ by, at, vote: true, value: undefined, notSeen: true }];
  return judgedTheSameHit(vote.facts, fact) ? [{ by, at, vote: true, value: undefined }] : [];
}

function voicesOf(exchange: BoutExchange, key: string, fact: Fact): readonly Voice[] {
  const given = exchange.given.flatMap(({ by, at, facts }) =>
    facts
      .filter((said) => keyOf(said) === key)
      .map((said): Voice => ({ by, at, vote: false, value: valueOf(said), fact: said })),
  );
  const voices = [...latestVotes(exchange).flatMap((vote) => voiceOf(vote, key, fact)), ...given];
  const ruledAt = exchange.ruled?.includes(key) === true ? exchange.putRight?.at : undefined;
  return ruledAt === undefined ? voices : voices.filter((voice) => voice.at > ruledAt);
}

function claimOf(exchange: BoutExchange, key: string, fact: Fact): Claim {
  const side = sideOfClaim(exchange, fact);
  const recorded = recordedOf(exchange.record, fact);
  return {
    key,
    voices: voicesOf(exchange, key, fact),
    ...(side === undefined ? {} : { side }),
    ...(recorded === undefined ? {} : { recorded }),
  };
}

/** Every claim about an exchange that any vote or fact speaks to, in the order in which it was first spoken to. */
export function claimsOf(exchange: BoutExchange): readonly Claim[] {
  const facts = [...latestVotes(exchange), ...exchange.given].flatMap((each) => each.facts);
  const first = new Map<string, Fact>();
  for (const fact of facts) {
    const key = keyOf(fact);
    if (!first.has(key)) first.set(key, fact);
  }
  return [...first].map(([key, fact]) => claimOf(exchange, key, fact));
}

/** The recorded line, before anybody's vote or fact. */
export const lineOf = (exchange: BoutExchange): ExchangeLine => ({
  type: "exchange",
  no: 0,
  id: exchange.id,
  ...exchange.record,
});
