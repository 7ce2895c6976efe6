/** Puts what was learnt afterwards into an exchange's line, so that it reads as if it had been recorded at once. */
import { type Side, SIDES } from "../vocabulary.ts";
import type { Act, Call, ExchangeLine } from "../record.ts";
import { actId } from "./lines.ts";
import type { AttributeKey, Fact } from "./tally.ts";

/** Facts are applied in the order in which they were given; one about an action that is not there changes nothing. */
export function applyFacts(line: ExchangeLine, facts: readonly Fact[]): ExchangeLine {
  return facts.reduce(applyFact, withIds(line, facts));
}

/** Ids are given to actions that have none before anything is put between them, so that they keep meaning the same. */
function withIds(line: ExchangeLine, facts: readonly Fact[]): ExchangeLine {
  if (!facts.some((fact) => fact.fact === "happened")) return line;
  return {
    ...line,
    acts: line.acts.map((act, i) => (act.id === undefined ? { ...act, id: actId(line, i) } : act)),
  };
}

function applyFact(line: ExchangeLine, fact: Fact): ExchangeLine {
  switch (fact.fact) {
    case "attribute":
      return changeAct(line, fact.act, (act) => withAttribute(act, fact));
    case "end":
      return changeAct(line, fact.act, ({ end: _, ...act }) =>
        fact.end === "no hit" ? act : { ...act, end: fact.end },
      );
    case "happened":
      return happened(line, fact.act, fact.before);
    case "nothing else":
      return nothingElse(line, fact.kinds, fact.by);
    case "how":
      return withHow(line, fact.how);
    case "left":
      return { ...line, left: fact.seconds };
    case "call":
      return { ...line, calls: withCall(line.calls ?? [], fact.call) };
    case "weaker":
      return { ...line, weaker: fact.side };
    case "pick": {
      const key = fact.side === undefined ? fact.pick : `${fact.side} ${fact.pick}`;
      return { ...line, picks: { ...line.picks, [key]: fact.value } };
    }
  }
}

function withHow(line: ExchangeLine, how: Extract<Fact, { fact: "how" }>["how"]): ExchangeLine {
  const { how: _, ...plain } = line;
  return how === "plain" ? plain : { ...plain, how };
}

function changeAct(line: ExchangeLine, id: string, change: (act: Act) => Act): ExchangeLine {
  return { ...line, acts: line.acts.map((act, i) => (actId(line, i) === id ? change(act) : act)) };
}

function happened(line: ExchangeLine, act: Act, before: string | undefined): ExchangeLine {
  const at = before === undefined ? -1 : line.acts.findIndex((_, i) => actId(line, i) === before);
  const acts = [...line.acts];
  const next = acts[at];
  // What was measured from the action before is not measured from this one.
  if (next) acts[at] = withoutAfter(next);
  acts.splice(at < 0 ? acts.length : at, 0, act.id === undefined ? { ...act, id: freeId(line) } : act);
  return { ...line, acts };
}

const withoutAfter = ({ after: _, ...act }: Act): Act => act;

/** An id that no action of the line has; the numbered ones ("2a") stay with those that were recorded. */
function freeId(line: ExchangeLine): string {
  for (let n = 1; ; n++) {
    const id = `${String(line.no)}+${String(n)}`;
    if (!line.acts.some((act) => act.id === id)) return id;
  }
}

/** The line closes for these kinds; a list of what stays open can only shrink. */
function nothingElse(
  line: ExchangeLine,
  kinds: readonly string[] | undefined,
  by: Side | undefined,
): ExchangeLine {
  if (line.open === false) return line;
  if (kinds === undefined) {
    const { closed: _, ...rest } = line;
    return { ...rest, open: false };
  }
  if (line.open === true) {
    const closed = by === undefined ? kinds : kinds.map((kind) => `${by} ${kind}`);
    return { ...line, closed: [...new Set([...(line.closed ?? []), ...closed])] };
  }
  // "parry" in a list is of either fencer, "red parry" of one; the silence of one shortens only what names that one.
  const gone = (by === undefined ? SIDES : [by]).flatMap((side) => kinds.map((kind) => `${side} ${kind}`));
  const open = (line.open as readonly string[]).filter(
    (kind) => !gone.includes(kind) && (by !== undefined || !kinds.includes(kind)),
  );
  return { ...line, open: open.length === 0 ? false : open };
}

function withAttribute(act: Act, { key, value, not }: Extract<Fact, { fact: "attribute" }>): Act {
  return not === true ? withoutWord(act, key, value) : withWord(act, key, value);
}

const LISTS: readonly AttributeKey[] = ["from", "manner"];

function withWord(act: Act, key: AttributeKey, value: string): Act {
  const kept = (act.not ?? []).filter((word) => word !== value);
  const { not: _, ...rest } = act;
  const base: Act = kept.length > 0 ? { ...rest, not: kept } : rest;
  if (key === "for" || key === "after") return { ...base, [key]: Number(value) };
  if (key === "end") return act;
  if (key === "manner") return { ...base, manners: [...new Set([...(act.manners ?? []), value])] };
  if (key === "from") return { ...base, from: [...new Set([...(act.from ?? []), value])] };
  return { ...base, [key]: value };
}

function withoutWord(act: Act, key: AttributeKey, value: string): Act {
  const not = [...new Set([...(act.not ?? []), value])];
  if (LISTS.includes(key)) {
    const field = key === "manner" ? "manners" : "from";
    const { [field]: words, ...rest } = act;
    const kept = (words ?? []).filter((word) => word !== value);
    return { ...rest, ...(kept.length > 0 ? { [field]: kept } : {}), not };
  }
  if (key === "for" || key === "after") return act;
  if (key === "end") return { ...act, not };
  const field = key as Exclude<AttributeKey, "from" | "manner" | "end" | "for" | "after">;
  if (act[field] !== value) return { ...act, not };
  const { [field]: _, ...rest } = act;
  return { ...rest, not };
}

/** A judge's later word about the same call of the same fencer takes the place of the earlier one. */
function withCall(calls: readonly Call[], call: Call): readonly Call[] {
  const at = calls.findIndex(
    (one) => one.call === call.call && one.for === call.for && (one.source ?? "") === (call.source ?? ""),
  );
  return at < 0 ? [...calls, call] : calls.map((one, i) => (i === at ? call : one));
}
