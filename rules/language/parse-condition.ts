/** Conditions: what must hold beside the phrase. */
import { MANNERS_OF_EXCHANGE, type MannerOfExchange } from "../vocabulary.ts";
import type { Cursor } from "./cursor.ts";
import { attributeOfWhat, missingComma, notThatKind, unknownName } from "./faults-sentence.ts";
import type { Name } from "./names.ts";
import { checkOwner, parseOwner, parsePhrase, parseSubject } from "./parse-phrase.ts";
import type { Amount, Condition, Mark, Owner } from "./tree.ts";

/** Conditions joined by ", and": all of them. */
export function parseAll(c: Cursor): readonly Condition[] {
  const all = [parseCondition(c)];
  for (;;) {
    const from = c.at;
    if (!c.comma()) {
      if (c.sees("and") && startsCondition(c, 1)) c.wrong(missingComma());
      return all;
    }
    if (!c.take("and")) {
      c.at = from;
      return all;
    }
    all.push(parseCondition(c));
  }
}

const STARTS = ["I", "they", "we both", "it is", "my", "their", "in last exchange", "judge calls"];
const startsCondition = (c: Cursor, ahead: number): boolean => STARTS.some((start) => c.sees(start, ahead));

function parseCondition(c: Cursor): Condition {
  const from = c.at;
  return c.placed(conditionAt(c), from);
}

function conditionAt(c: Cursor): Condition {
  const token = c.token();
  if (token?.kind === "quoted") return parseRulePays(c);
  if (token?.kind === "number") return parseTimeLeft(c);
  if (c.take("in the last exchange")) return parseLast(c);
  if (c.take("it is")) return parseExchange(c);
  if (c.take("I am")) return parseStanding(c, "I");
  if (c.take("they are")) return parseStanding(c, "they");
  if (c.take("the judge calls")) return parseCall(c);
  return parseOutcome(c) ?? parseNamed(c) ?? { is: "phrase", phrase: parsePhrase(c) };
}

/** [P7] The last exchange that was not a no-exchange. */
function parseLast(c: Cursor): Condition {
  if (!c.take("it is")) return { is: "last", what: parsePhrase(c) };
  const what: MannerOfExchange = c.needOneOf(["double", "simultaneous"] as const);
  return { is: "last", what };
}

function parseExchange(c: Cursor): Condition {
  const not = c.take("not") ? { not: true } : {};
  const how: MannerOfExchange | undefined = c.oneOf(MANNERS_OF_EXCHANGE);
  if (how) return { is: "exchange", how, ...not };
  if (c.take("the last exchange")) return { is: "exchange number", no: "last", ...not };
  c.need("exchange");
  return { is: "exchange number", no: c.needNumber(), ...not };
}

/** Level is level for both, so it has one tree. */
function parseStanding(c: Cursor, who: "I" | "they"): Condition {
  if (c.take("level")) return { is: "level" };
  const how = c.oneOf(["ahead", "behind"]);
  if (how) return c.take("by") ? { is: "lead", who, how, by: parseAmount(c) } : { is: "lead", who, how };
  const role = c.name(["role"]) ?? c.fail();
  return { is: "role", who, role: role.name };
}

function parseTimeLeft(c: Cursor): Condition {
  const seconds = c.needNumber();
  c.needOneOf(["s", "sec", "second", "seconds"]);
  const cmp = c.needOneOf(["or less", "or more"]);
  c.need("are left");
  return { is: "time left", seconds, cmp };
}

function parseOutcome(c: Cursor): Condition | undefined {
  const from = c.at;
  const who = c.oneOf(["I", "they"]);
  if (who === undefined) return undefined;
  const what = c.oneOf(["score", "win the bout", "lose the bout"]);
  if (what !== undefined) return { is: "outcome", who, what };
  c.at = from;
  return undefined;
}

function parseCall(c: Cursor): Condition {
  const call = c.word(["call"]) ?? c.fail();
  c.need("for");
  return { is: "call", call: call.name, for: c.needOneOf(["me", "them"]) };
}

function parseRulePays(c: Cursor): Condition {
  const rule = c.quoted() ?? c.fail();
  if (c.take("pays")) return { is: "rule pays", rule, who: c.needOneOf(["me", "them"]) };
  c.need("paid");
  const who = c.needOneOf(["me", "them"]);
  c.need("in the last exchange");
  return { is: "rule pays", rule, who, last: true };
}

function parseAmount(c: Cursor): Amount {
  const n = c.needNumber();
  return { n, cmp: c.oneOf(["or more", "or less"]) ?? "exactly" };
}

const ATTRIBUTES = ["blow", "form", "target", "opening", "action", "side", "guard", "hand"];

/** "my streak is 2", "the initiative is mine": undefined where a phrase begins instead. */
function parseNamed(c: Cursor): Condition | undefined {
  const from = c.at;
  if (parseSubject(c) !== undefined || c.sees("first")) {
    c.at = from;
    return undefined;
  }
  const owner = parseOwner(c);
  const name = c.name(["pick", "mark"]);
  if (name === undefined) {
    if (owner === "the" && !c.sees("is", 1)) return undefined;
    explainUnnamed(c, from);
    c.at = from;
    return undefined;
  }
  c.need("is");
  if (name.of === "pick") {
    checkOwner(c, owner, name, from);
    const value = c.value(name.values.map((one) => one.text)) ?? c.fail();
    return { is: "pick", owner, pick: name.name, value };
  }
  return parseMarkIs(c, owner, name, from);
}

/** "my X is ..." and "the X is ..." where X is no name of this rule set. */
function explainUnnamed(c: Cursor, from: number): void {
  const word = ATTRIBUTES.find((attribute) => c.sees(attribute) && c.sees("is", 1));
  if (word !== undefined) c.wrong(attributeOfWhat(word), from, c.at + 1);
  const token = c.token();
  if (token && token.text !== "score" && c.sees("is", 1) && c.names.words.find(token.text).length === 0)
    c.wrong(unknownName(token.text, [...c.names.list("pick"), ...c.names.list("mark")]), c.at);
}

function parseMarkIs(c: Cursor, owner: Owner, mark: Name & { of: "mark" }, from: number): Condition {
  const state = c.oneOf(["mine", "theirs", "on", "off"]);
  if (state === "mine" || state === "theirs") {
    needKind(c, mark, ["token"], from);
    const moment = c.take("at that moment") ? { atThatMoment: true } : {};
    return { is: "token", mark: mark.name, whose: state, ...moment };
  }
  if (state !== undefined) {
    needKind(c, mark, ["flag"], from);
    checkOwner(c, owner, mark, from);
    const now = c.take("now") ? { now: true } : {};
    return { is: "flag", owner, mark: mark.name, on: state === "on", ...now };
  }
  const compared = c.oneOf(["more than theirs", "less than theirs", "level with theirs"]);
  const than = compared ?? parseAmount(c);
  needKind(c, mark, ["count", "set"], from);
  checkOwner(c, owner, mark, from);
  const now = c.take("now") ? { now: true } : {};
  return { is: "mark", owner, mark: mark.name, than, ...now };
}

function needKind(c: Cursor, mark: Name & { of: "mark" }, kinds: readonly Mark["is"][], from: number): void {
  if (mark.is !== undefined && !kinds.includes(mark.is)) c.wrong(notThatKind(mark.name, mark.is), from, c.at);
}
