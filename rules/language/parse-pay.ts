/** What a rule pays and does, and how often. */
import type { Scope, Unit } from "../vocabulary.ts";
import type { Cursor } from "./cursor.ts";
import { noLimitUnit, noUnit, toWhom, unknownName } from "./faults-sentence.ts";
import { parseAll } from "./parse-condition.ts";
import { parsePhrase, parseSeconds } from "./parse-phrase.ts";
import { parseTimes } from "./parse-quantity.ts";
import type { Effect, Limit, Pay, Receiver, Sum, Watcher, What } from "./tree.ts";

const RECEIVERS: readonly Receiver[] = ["me", "them", "us both", "my team", "their team"];

type OpenPay = { -readonly [K in keyof Pay]: Pay[K] };

/** "2 bonus to me", with its terms in any order and "if" at the end. */
export function parsePay(c: Cursor): Pay {
  const from = c.at;
  const sum = parseSum(c);
  if (c.token() === undefined && c.at > from) {
    c.note({ kind: "text", text: "to" });
    const [start, end] = c.span(from, c.at);
    c.wrong(toWhom(c.text.slice(start, end)), from, c.at);
  }
  c.need("to");
  const pay: OpenPay = { sum, to: c.needOneOf(RECEIVERS) };
  while (parseTerm(c, pay));
  if (c.take("if")) pay.if = parseAll(c);
  return c.placed(pay, from);
}

function parseTerm(c: Cursor, pay: OpenPay): boolean {
  if (pay.asTheJudgeSays === undefined && c.take("as the judge says")) pay.asTheJudgeSays = true;
  else if (pay.by === undefined && c.take("by")) pay.by = parseBy(c);
  else if (pay.times === undefined && c.take("times")) pay.times = parseTimes(c);
  else if (pay.eachTime === undefined && c.take("each time")) pay.eachTime = true;
  else if (pay.forEachFullSeconds === undefined && c.take("for each full"))
    pay.forEachFullSeconds = parseSeconds(c);
  else return false;
  return true;
}

function parseBy(c: Cursor): string {
  const name = c.name(["pick", "mark"]);
  if (name) return name.name;
  const token = c.token();
  if (token) c.wrong(unknownName(token.text, [...c.names.list("pick"), ...c.names.list("mark")]));
  return c.fail();
}

/** [P9] "3, 2, then 0": the last number stays. */
function parseSum(c: Cursor): Sum {
  if (c.take("what")) {
    const rule = c.quoted() ?? c.fail();
    c.need("pays them");
    return { is: "what pays them", rule };
  }
  if (c.take("between")) {
    const low = c.needNumber();
    c.need("and");
    const high = c.needNumber();
    return { is: "between", low, high, unit: parseUnit(c) };
  }
  const numbers = [c.needNumber()];
  for (;;) {
    const comma = c.comma();
    const last = c.take("then");
    if (!comma && !last) break;
    numbers.push(c.needNumber());
    if (last) break;
  }
  return { is: "numbers", numbers, unit: parseUnit(c) };
}

/** [P8] The unit is never left out. */
function parseUnit(c: Cursor): Unit {
  const unit = c.oneOf(["bonus", "points", "point"]);
  if (unit !== undefined) return unit === "bonus" ? "bonus" : "points";
  const before = c.token(-1);
  if (before?.kind === "number" && (c.sees("to") || c.token() === undefined))
    c.wrong(noUnit(before.text), c.at - 1, c.at);
  return c.fail();
}

const WHATS: readonly What[] = ["points and bonus", "points", "bonus"];
const FACTORS = { double: 2, triple: 3, halve: 0.5 } as const;

export function parseEffect(c: Cursor): Effect {
  const from = c.at;
  return c.placed(effectAt(c), from);
}

/** "my bonus from "Riposte"". */
function parseConcerned(c: Cursor): { whose: "my" | "their"; what: What; from?: string } {
  const whose = c.needOneOf(["my", "their"]);
  const what = c.needOneOf(WHATS);
  return { whose, what, ...parseFrom(c) };
}

const parseFrom = (c: Cursor): { from?: string } => (c.take("from") ? { from: c.quoted() ?? c.fail() } : {});

function effectAt(c: Cursor): Effect {
  if (c.take("annul")) {
    const concerned = parseConcerned(c);
    if (!c.take("resting on an action")) return { is: "annul", ...concerned };
    return { is: "annul", ...concerned, restingOn: (c.word(["manner"]) ?? c.fail()).name };
  }
  const factor = c.oneOf(["double", "triple", "halve"]);
  if (factor !== undefined) return { is: "multiply", by: FACTORS[factor], ...parseConcerned(c) };
  if (c.take("multiply")) {
    const concerned = parseConcerned(c);
    c.need("by");
    return { is: "multiply", by: c.needNumber(), ...concerned };
  }
  if (c.take("turn my")) {
    const what = c.needOneOf(WHATS);
    const from = parseFrom(c);
    c.need("over to them");
    return { is: "turn over", what, ...from };
  }
  if (c.take("hold my bonus for")) return parseHold(c);
  if (c.take("end the bout")) return parseEndTheBout(c);
  if (c.take("warn")) return { is: "warn", who: c.needOneOf(["me", "them"]) };
  if (c.take("retire me")) return { is: "retire" };
  return c.fail();
}

function parseHold(c: Cursor): Effect {
  const exchanges = c.take("one") ? 1 : c.needNumber();
  c.needOneOf(["exchange", "exchanges"]);
  if (!c.comma()) return { is: "hold", exchanges };
  c.need("lost if");
  return { is: "hold", exchanges, lostIf: parsePhrase(c) };
}

function parseEndTheBout(c: Cursor): Effect {
  if (!c.comma()) return { is: "end the bout" };
  return { is: "end the bout", how: c.needOneOf(["both lose", "I lose", "they lose"]) };
}

/** As written, longest first; articles are gone. */
const SCOPES: readonly (readonly [string, Scope])[] = [
  ["exchange", "exchange"],
  ["bout", "bout"],
  ["pair tonight", "pair"],
  ["team tonight", "team"],
  ["in the hall tonight", "hall"],
  ["tonight", "evening"],
];

/** Scopes that the two fencers of a bout can share. */
const SHARED: ReadonlySet<Scope> = new Set(["exchange", "bout", "pair"]);

/** "4 bonus a bout, 6 bonus a pair tonight". */
export function parseLimits(c: Cursor): readonly Limit[] {
  const limits = [parseLimit(c)];
  while (c.comma()) limits.push(parseLimit(c));
  return limits;
}

function parseLimit(c: Cursor): Limit {
  const from = c.at;
  const word = c.oneOf(["once", "twice"]);
  const n = word === "once" ? 1 : word === "twice" ? 2 : c.needNumber();
  let of: Limit["of"] = "times";
  if (word === undefined) {
    const unit = c.oneOf(["bonus", "points", "point", "times", "time"]);
    if (unit === undefined) {
      if (SCOPES.some(([text]) => c.sees(text)))
        c.wrong(noLimitUnit(c.token(-1)?.text ?? ""), c.at - 1, c.at);
      return c.fail();
    }
    of = unit === "bonus" ? "bonus" : unit.startsWith("point") ? "points" : "times";
  }
  const scope = SCOPES.find(([text]) => c.take(text))?.[1] ?? c.fail();
  const together = SHARED.has(scope) && c.take("for us both");
  return c.placed(together ? { n, of, scope, together } : { n, of, scope }, from);
}

export function parseWatcher(c: Cursor): Watcher {
  if (c.take("the table")) return { is: "table" };
  if (c.take("the referee")) return { is: "referee" };
  if (c.take("the fencers")) return { is: "fencers" };
  if (c.take("a second judge assents")) return { is: "second judge" };
  c.need("judge");
  return { is: "judge", no: c.needNumber() };
}
