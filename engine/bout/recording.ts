/** Recording and correcting: exchanges, the fencers' sides, the rule set, and taking back. */
import type { Act } from "../../rules/index.ts";
import { whyNotRecordedCalls } from "./assenting.ts";
import type { Bout } from "./bout.ts";
import { secondsShown } from "./clock.ts";
import type { RecordedExchange } from "./commands.ts";
import { weigh } from "./decision.ts";
import type { Case, Decision } from "./decision.ts";
import { indexOf } from "./exchanges.ts";
import {
  badMessage,
  exchangeExists,
  isRefusal,
  noSuchExchange,
  noSuchRuleSet,
  nothingToUndo,
  sameRuleSet,
} from "./refusals.ts";
import type { Refusal } from "./refusals.ts";

const LETTERS = "abcdefghijklmnopqrstuvwxyz";

/** "x1a", "x1b" ...: acts keep these ids when exchanges before them are inserted or removed. */
function actId(exchange: string, index: number, taken: ReadonlySet<string>): string {
  const letter = LETTERS[index] ?? `.${index + 1}`;
  const id = `${exchange}${letter}`;
  return taken.has(id) ? actId(exchange, index + LETTERS.length, taken) : id;
}

/** Every act gets an id, so that facts can speak of it. Refuses an id given twice. */
function named(record: RecordedExchange, exchange: string): RecordedExchange | Refusal {
  const taken = new Set<string>();
  for (const { id } of record.acts) {
    if (id === undefined) continue;
    if (taken.has(id)) return badMessage(`Two actions of one exchange have the id "${id}".`);
    taken.add(id);
  }
  const acts = record.acts.map((act, index): Act => {
    if (act.id !== undefined) return act;
    const id = actId(exchange, index, taken);
    taken.add(id);
    return { id, ...act };
  });
  return { ...record, acts };
}

/** The clock at the halt belongs to the exchange; a clock that has not run since says nothing. */
function withTime(bout: Bout, record: RecordedExchange): RecordedExchange {
  if (bout.tieBreak === "sudden death") return { ...record, left: record.left ?? 0 };
  const halted = bout.stage === "halted" || bout.stage === "tie-break";
  const known = bout.clock.counts === "down" && !bout.clock.running && halted;
  if (record.left !== undefined || !known) return record;
  return { ...record, left: secondsShown(bout.clock.leftMs) };
}

export function recordExchange(current: Case<"RecordExchange">): Decision {
  const { bout, command, base } = current;
  if (command.exchange === "") return badMessage("An exchange needs an id.");
  if (indexOf(bout, command.exchange) >= 0) return exchangeExists(command.exchange);
  const barred = whyNotRecordedCalls(current, command.record.calls);
  if (barred !== undefined) return barred;
  const record = named(withTime(bout, command.record), command.exchange);
  if (isRefusal(record)) return record;
  return weigh(current, { ...base, type: "ExchangeRecorded", exchange: command.exchange, record });
}

const reason = (why: string | undefined): { readonly why?: string } => (why === undefined ? {} : { why });

export function changeExchange(current: Case<"ChangeExchange">): Decision {
  const { bout, command, base } = current;
  const { exchange, why } = command;
  const was = bout.exchanges[indexOf(bout, exchange)];
  if (was === undefined) return noSuchExchange(exchange);
  const record = named(command.record, exchange);
  if (isRefusal(record)) return record;
  // The clock at the halt stays known unless the correction says otherwise.
  const left = record.left ?? was.record.left;
  const full = left === undefined ? record : { ...record, left };
  return weigh(current, { ...base, type: "ExchangeChanged", exchange, record: full, ...reason(why) });
}

export function insertExchange(current: Case<"InsertExchange">): Decision {
  const { bout, command, base } = current;
  const { exchange, after, why } = command;
  if (exchange === "") return badMessage("An exchange needs an id.");
  if (indexOf(bout, exchange) >= 0) return exchangeExists(exchange);
  if (after !== "start" && indexOf(bout, after) < 0) return noSuchExchange(after);
  const record = named(command.record, exchange);
  if (isRefusal(record)) return record;
  return weigh(current, { ...base, type: "ExchangeInserted", exchange, after, record, ...reason(why) });
}

export function removeExchange(current: Case<"RemoveExchange">): Decision {
  const { bout, command, base } = current;
  const { exchange, why } = command;
  if (indexOf(bout, exchange) < 0) return noSuchExchange(exchange);
  return weigh(current, { ...base, type: "ExchangeRemoved", exchange, ...reason(why) });
}

export const swapFencers = (current: Case<"SwapFencers">): Decision =>
  weigh(current, { ...current.base, type: "FencersSwapped" });

export function changeRuleSet(current: Case<"ChangeRuleSet">): Decision {
  const { bout, command, base, scorers } = current;
  if (command.ruleSet === bout.ruleSet) return sameRuleSet;
  if (scorers(command.ruleSet) === undefined) return noSuchRuleSet;
  return weigh(current, { ...base, type: "RuleSetChanged", ruleSet: command.ruleSet });
}

export function undo(current: Case<"Undo">): Decision {
  const last = current.bout.undoable?.at(-1);
  if (last === undefined) return nothingToUndo;
  return weigh(current, { ...current.base, type: "Undone", version: last.version });
}
