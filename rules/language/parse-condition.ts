/** Conditions: what must hold beside the phrase. */
import { MANNERS_OF_EXCHANGE, type MannerOfExchange } from "../vocabulary.ts";
import type { Cursor } from "./cursor.ts";
import { attributeOfWhat, missingComma, notThatKind, unknownName } from "./faults-sentence.ts";
import type { Name } from "./names.ts";
import { checkOwner, parseOwner, parsePhrase, parseSeconds, parseSubject } from "./parse-phrase.ts";
import {
  mirrored,
  parseAmount,
  parseCounted,
  parseMoreTerms,
  parseQuantity,
  sameQuantity,
} from "./parse-quantity.ts";
import type { Amount, Condition, Mark, Owner, Quantity } from "./tree.ts";

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

const STARTS = ["I", "they", "we both", "it is", "my", "their", "in last exchange", "judge calls", "nobody"];
const startsCondition = (c: Cursor, ahead: number): boolean => STARTS.some((start) => c.sees(start, ahead));

const not = (is: boolean, what: Condition): Condition => (is ? { is: "not", what } : what);

function parseCondition(c: Cursor): Condition {
  const from = c.at;
  return c.placed(conditionAt(c), from);
}

function conditionAt(c: Cursor): Condition {
  const token = c.token();
  if (token?.kind === "quoted") return parseRulePays(c);
  if (token?.kind === "number") return parseNumbered(c);
  if (c.take("any")) return parseThese(c, { n: c.needNumber(), cmp: "or more" });
  if (c.take("none")) return parseThese(c, { n: 0, cmp: "exactly" });
  if (c.take("in")) return parseEarlier(c);
  if (c.take("it never happens that")) return { is: "not", what: parseHappening(c) };
  if (c.take("it lasts")) return parseLasts(c);
  if (c.take("it is")) return parseExchange(c);
  if (c.take("I am")) return parseStanding(c, "I");
  if (c.take("they are")) return parseStanding(c, "they");
  if (c.take("the judge")) return parseCall(c);
  if (c.take("nobody wins the bout")) return { is: "outcome", who: "nobody", what: "win the bout" };
  return parseOutcome(c) ?? parseNamed(c) ?? parseHappening(c);
}

/** A phrase; "they never hit" alone says that no such action was there. */
function parseHappening(c: Cursor): Condition {
  const phrase = parsePhrase(c);
  const [step, ...more] = phrase.steps;
  if (step?.never !== true || more.length > 0 || phrase.first === true) return { is: "phrase", phrase };
  const { never: _, ...positive } = step;
  return { is: "not", what: { is: "phrase", phrase: { steps: [positive] } } };
}

/** "30 s or less are left", or "2 or more of I feint; they miss". */
function parseNumbered(c: Cursor): Condition {
  const n = c.needNumber();
  const isTime = c.oneOf(["s", "sec", "second", "seconds"]) !== undefined;
  if (!isTime) return parseThese(c, { n, cmp: c.oneOf(["or more", "or less"]) ?? "exactly" });
  const cmp = c.needOneOf(["or less", "or more"]);
  const what = c.needOneOf(["are left", "are gone"]) === "are left" ? "left" : "gone";
  return { is: "time", seconds: n, cmp, what };
}

/** Behind "2 or more": "of A; B; C". ", and" ends the list. */
function parseThese(c: Cursor, amount: Amount): Condition {
  c.need("of");
  const these = [parseCondition(c)];
  while (c.take(";")) these.push(parseCondition(c));
  return { is: "these", amount, these };
}

/** [P7] Behind "in": "the last exchange ...", "2 or more of the last 3 exchanges ...". */
function parseEarlier(c: Cursor): Condition {
  if (c.take("the last exchange")) return last(parseShown(c));
  const amount = parseAmount(c);
  c.need("of the last");
  const exchanges = c.needNumber();
  c.needOneOf(["exchanges", "exchange"]);
  return { is: "last", what: parseShown(c), of: { amount, exchanges } };
}

function last(what: Condition): Condition {
  const wrapped = what.is === "not";
  const inner = wrapped ? what.what : what;
  return inner.is === "rule pays" && inner.last !== true
    ? not(wrapped, { ...inner, last: true })
    : { is: "last", what };
}

/** What an exchange itself can show. */
function parseShown(c: Cursor): Condition {
  const from = c.at;
  const token = c.token();
  if (token?.kind === "quoted") return parseRulePays(c);
  if (c.take("it never happens that")) return { is: "not", what: parseHappening(c) };
  if (c.take("it is")) {
    const isNot = c.take("not");
    return c.placed(
      not(isNot, { is: "exchange", how: c.needOneOf(["double", "simultaneous"] as const) }),
      from,
    );
  }
  if (c.take("the judge")) return parseCall(c);
  return parseScore(c) ?? parseHappening(c);
}

function parseLasts(c: Cursor): Condition {
  const seconds = parseSeconds(c);
  return { is: "lasts", seconds, cmp: c.needOneOf(["or less", "or more"]) };
}

function parseExchange(c: Cursor): Condition {
  const isNot = c.take("not");
  const how: MannerOfExchange | undefined = c.oneOf(MANNERS_OF_EXCHANGE);
  if (how) return not(isNot, { is: "exchange", how });
  if (c.take("the last exchange")) return not(isNot, { is: "exchange number", no: "last" });
  c.need("exchange");
  return not(isNot, { is: "exchange number", no: parseAmount(c) });
}

/** Level is level for both, so it has one tree. */
function parseStanding(c: Cursor, who: "I" | "they"): Condition {
  const isNot = c.take("not");
  if (c.take("level")) return not(isNot, { is: "level" });
  const how = c.oneOf(["ahead", "behind"]);
  if (how)
    return not(isNot, c.take("by") ? { is: "lead", who, how, by: parseAmount(c) } : { is: "lead", who, how });
  const role = c.name(["role"]);
  if (role) return not(isNot, { is: "role", who, role: role.name });
  return not(isNot, parseKnownFencer(c, who));
}

/** "they are one of my beaten", "I am the champion". */
function parseKnownFencer(c: Cursor, who: "I" | "they"): Condition {
  const from = c.at;
  const oneOf = c.take("one of");
  const owner = parseOwner(c);
  const mark = c.name(["mark"]) ?? c.fail();
  needKind(c, mark, oneOf ? ["set"] : ["note"], from);
  checkOwner(c, owner, mark, from);
  return { is: "fencer", who, owner, mark: mark.name, ...(oneOf ? { oneOf } : {}) };
}

const OUTCOMES = ["score", "win the bout", "lose the bout"] as const;

function parseOutcome(c: Cursor): Condition | undefined {
  const from = c.at;
  const who = c.oneOf(["I", "they"]);
  if (who === undefined) return undefined;
  const isNot = c.oneOf(["do not", "don't"]) !== undefined;
  const what = isNot ? c.needOneOf(OUTCOMES) : c.oneOf(OUTCOMES);
  if (what !== undefined) return not(isNot, { is: "outcome", who, what });
  c.at = from;
  return undefined;
}

/** "I score", where the exchange is one that is over. */
function parseScore(c: Cursor): Condition | undefined {
  const from = c.at;
  const who = c.oneOf(["I", "they"]);
  const isNot = who !== undefined && c.oneOf(["do not", "don't"]) !== undefined;
  if (who !== undefined && c.take("score")) return not(isNot, { is: "outcome", who, what: "score" });
  if (isNot) c.fail();
  c.at = from;
  return undefined;
}

/** Behind "the judge". */
function parseCall(c: Cursor): Condition {
  const isNot = c.needOneOf(["calls", "does not call", "doesn't call"]) !== "calls";
  const call = c.word(["call"]) ?? c.fail();
  c.need("for");
  return not(isNot, { is: "call", call: call.name, for: c.needOneOf(["me", "them"]) });
}

function parseRulePays(c: Cursor): Condition {
  const rule = c.quoted() ?? c.fail();
  const isNot = c.oneOf(["does not", "doesn't", "did not", "didn't"]);
  if (isNot === undefined ? c.take("pays") : isNot.startsWith("does") && c.take("pay"))
    return not(isNot !== undefined, { is: "rule pays", rule, who: c.needOneOf(["me", "them"]) });
  if (isNot === undefined) c.need("paid");
  else c.need("pay");
  const who = c.needOneOf(["me", "them"]);
  c.need("in the last exchange");
  return not(isNot !== undefined, { is: "rule pays", rule, who, last: true });
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
    const counted = parseCounted(c, owner);
    if (counted !== undefined) return parseComparison(c, parseMoreTerms(c, counted));
    if (owner === "the" && !c.sees("is", 1)) return undefined;
    explainUnnamed(c, from);
    c.at = from;
    return undefined;
  }
  if (name.of === "pick") return parsePickIs(c, owner, name, from);
  if (c.sees("plus") || c.sees("minus")) {
    needKind(c, name, ["count", "set"], from);
    checkOwner(c, owner, name, from);
    return parseComparison(c, parseMoreTerms(c, { owner, mark: name.name }));
  }
  return parseMarkIs(c, owner, name, from);
}

function parsePickIs(c: Cursor, owner: Owner, pick: Name & { of: "pick" }, from: number): Condition {
  checkOwner(c, owner, pick, from);
  c.needOneOf(["is", "are"]);
  const isNot = c.take("not");
  const texts = pick.values.map((one) => one.text);
  if (pick.each && !texts.includes("theirs") && c.take("theirs"))
    return not(isNot, { is: "pick", owner, pick: pick.name, values: "theirs" });
  const values = [c.value(texts) ?? c.fail()];
  while (c.take("or")) values.push(c.value(texts) ?? c.fail());
  return not(isNot, { is: "pick", owner, pick: pick.name, values: [...new Set(values)] });
}

/** "my X is ..." and "the X is ..." where X is no name of this rule set. */
function explainUnnamed(c: Cursor, from: number): void {
  const word = ATTRIBUTES.find((attribute) => c.sees(attribute) && c.sees("is", 1));
  if (word !== undefined) c.wrong(attributeOfWhat(word), from, c.at + 1);
  const token = c.token();
  if (token && token.text !== "score" && c.sees("is", 1) && c.names.words.find(token.text).length === 0)
    c.wrong(unknownName(token.text, [...c.names.list("pick"), ...c.names.list("mark")]), c.at);
}

const HELD = ["mine", "theirs", "nobody's"] as const;
const COMPARED = ["more than", "less than", "level with"] as const;

function parseMarkIs(c: Cursor, owner: Owner, mark: Name & { of: "mark" }, from: number): Condition {
  if (mark.is === "note" || mark.is === "roles") needKind(c, mark, ["count"], from);
  if (mark.is !== "token") checkOwner(c, owner, mark, from);
  c.needOneOf(["is", "are"]);
  const isNot = c.take("not");
  const whose = c.oneOf(HELD);
  if (whose !== undefined) {
    needKind(c, mark, ["token"], from);
    const moment = c.take("at that moment") ? { atThatMoment: true } : {};
    return not(isNot, { is: "token", mark: mark.name, whose, ...moment });
  }
  const state = c.oneOf(["on", "off"]);
  if (state !== undefined) {
    needKind(c, mark, ["flag"], from);
    const now = c.take("now") ? { now: true } : {};
    return { is: "flag", owner, mark: mark.name, on: (state === "on") !== isNot, ...now };
  }
  if (c.token() !== undefined) needKind(c, mark, ["count", "set"], from);
  const compared = parseThan(c);
  const now = c.take("now") ? { now: true } : {};
  return not(isNot, comparison([{ owner, mark: mark.name }], compared, now));
}

type Than = Extract<Condition, { is: "quantity" }>["than"];

function parseThan(c: Cursor): Than {
  const cmp = c.oneOf(COMPARED);
  if (cmp === undefined) return parseAmount(c);
  return { cmp, than: c.take("theirs") ? "theirs" : parseQuantity(c) };
}

function parseComparison(c: Cursor, quantity: Quantity): Condition {
  c.needOneOf(["is", "are"]);
  const isNot = c.take("not");
  const than = parseThan(c);
  return not(isNot, comparison(quantity, than, c.take("now") ? { now: true } : {}));
}

/** One meaning, one tree: one mark against a number or the other's is a "mark", everything else a "quantity". */
function comparison(quantity: Quantity, said: Than, now: { now?: boolean }): Condition {
  const than: Than =
    "than" in said && said.than !== "theirs" && sameQuantity(said.than, mirrored(quantity))
      ? { cmp: said.cmp, than: "theirs" }
      : said;
  const [only, ...more] = quantity;
  if (only !== undefined && more.length === 0 && "mark" in only) {
    const { owner, mark } = only;
    if (!("than" in than)) return { is: "mark", owner, mark, than, ...now };
    if (than.than === "theirs") return { is: "mark", owner, mark, than: `${than.cmp} theirs`, ...now };
  }
  return { is: "quantity", quantity, than, ...now };
}

function needKind(c: Cursor, mark: Name & { of: "mark" }, kinds: readonly Mark["is"][], from: number): void {
  if (mark.is !== undefined && !kinds.includes(mark.is)) c.wrong(notThatKind(mark.name, mark.is), from, c.at);
}
