/** A bout sheet as JSON Lines: one object a line, the same content as the written form. */
import * as z from "zod/mini";
import {
  type Act,
  type BoutSheet,
  type Call,
  type ExchangeLine,
  HAD_OF,
  HAD_SCOPES,
  type SheetLine,
  WEAKER,
} from "../record.ts";
import { ENDINGS, ENDS, MANNERS_OF_EXCHANGE, SIDES, WORD_CLASSES, type WordClass } from "../vocabulary.ts";
import type { Outcome } from "./faults.ts";
import { ACT_CLASSES } from "./sheet-act.ts";
import { hadComplaint, knownRule } from "./sheet-brought.ts";
import * as faults from "./sheet-faults.ts";
import { type Complaint, Faults, type Span } from "./sheet-faults.ts";
import { kindNamed } from "./sheet-kinds.ts";
import { actId, withIds } from "./sheet-line.ts";
import { Numbers } from "./sheet-numbers.ts";
import { knownMark, knownPick, knownValue, MARK_VALUES, markValue } from "./sheet-plain.ts";
import { sheetWords, type SheetWords } from "./sheet-words.ts";
import type { RuleSet } from "./tree.ts";

const side = z.enum(SIDES, { error: "write red or blue" });
const text = z
  .string({ error: "write text" })
  .check(z.regex(/^[^"\n\r]+$/u, { error: "write text without quotes" }));
const seat = z
  .string()
  .check(z.regex(/^\p{L}[\p{L}\d_-]*$/u, { error: "write a seat, such as table or j1" }));
const number = z.number({ error: "write a number" }).check(
  z.gte(-999_999, { error: "write six digits at most" }),
  z.lte(999_999, { error: "write six digits at most" }),
  z.refine((n) => Number(n.toFixed(3)) === n, { error: "write three digits behind the point at most" }),
);
const positive = number.check(
  z.gte(0, { error: "write 0 or more" }),
  z.lte(86_400, { error: "write seconds, a day at most" }),
);
const names = z
  .array(text, { error: "write a list of words" })
  .check(z.minLength(1, { error: "write one word or more, or leave it out" }));

const actSchema = z.strictObject({
  id: z.exactOptional(text),
  by: z.enum([...SIDES, "both"], { error: "write red, blue or both" }),
  kind: z.exactOptional(text),
  form: z.exactOptional(text),
  blow: z.exactOptional(text),
  direction: z.exactOptional(text),
  edge: z.exactOptional(text),
  hand: z.exactOptional(text),
  footwork: z.exactOptional(text),
  from: z.exactOptional(names),
  target: z.exactOptional(text),
  manners: z.exactOptional(names),
  not: z.exactOptional(names),
  end: z.exactOptional(z.enum(ENDS, { error: "write hit, perhaps, miss or fall short" })),
  for: z.exactOptional(positive),
  after: z.exactOptional(positive),
  source: z.exactOptional(seat),
});
const callSchema = z.strictObject({
  call: text,
  for: side,
  value: z.exactOptional(number),
  reason: z.exactOptional(text),
  source: z.exactOptional(seat),
  assent: z.exactOptional(seat),
});
const whole = number.check(
  z.int({ error: "write a whole number" }),
  z.positive({ error: "count exchanges from 1" }),
);
const markValueSchema = z.union([z.number(), text, z.boolean()], {
  error: "write a number, a word, true or false",
});
const lineSchema = z.discriminatedUnion(
  "type",
  [
    z.strictObject({
      type: z.literal("exchange"),
      no: whole,
      id: z.exactOptional(text),
      how: z.exactOptional(
        z.enum(MANNERS_OF_EXCHANGE, { error: "write double, simultaneous or no exchange" }),
      ),
      acts: z.array(actSchema),
      open: z.union([z.boolean(), names], { error: "write true, false or a list of kinds" }),
      closed: z.exactOptional(names),
      left: z.exactOptional(positive),
      calls: z.exactOptional(z.array(callSchema)),
      picks: z.exactOptional(z.record(z.string(), text)),
      again: z.exactOptional(z.boolean()),
    }),
    z.strictObject({
      type: z.literal("pick"),
      side: z.exactOptional(side),
      pick: text,
      value: text,
      or: z.exactOptional(names),
    }),
    z.strictObject({
      type: z.literal("mark"),
      side: z.exactOptional(side),
      mark: text,
      value: markValueSchema,
      or: z.exactOptional(z.array(markValueSchema).check(z.minLength(1))),
    }),
    z.strictObject({ type: z.literal("score"), red: number, blue: number }),
    z.strictObject({ type: z.literal("left-handed"), side }),
    z.strictObject({
      type: z.literal("weaker"),
      side: z.enum(WEAKER, { error: "write red, blue or nobody" }),
    }),
    z.strictObject({ type: z.literal("warning"), side }),
    z.strictObject({ type: z.literal("penalty"), side }),
    z.strictObject({
      type: z.literal("end"),
      ending: z.exactOptional(z.enum(ENDINGS, { error: `write one of: ${ENDINGS.join(", ")}` })),
    }),
    z.strictObject({
      type: z.literal("bout"),
      red: z.exactOptional(text),
      blue: z.exactOptional(text),
      redTeam: z.exactOptional(text),
      blueTeam: z.exactOptional(text),
    }),
    z.strictObject({ type: z.literal("hall") }),
    z.strictObject({
      type: z.literal("had"),
      side: z.exactOptional(side),
      rule: z.exactOptional(text),
      least: number,
      most: number,
      of: z.enum(HAD_OF, { error: `write one of: ${HAD_OF.join(", ")}` }),
      scope: z.enum(HAD_SCOPES, { error: `write one of: ${HAD_SCOPES.join(", ")}` }),
    }),
    z.strictObject({
      type: z.literal("granted"),
      exchange: whole,
      side,
      rule: text,
      n: number.check(z.gte(0, { error: "write 0 or more" })),
    }),
    z.strictObject({ type: z.literal("evening") }),
  ],
  {
    error:
      'begin with "type": exchange, pick, mark, score, left-handed, weaker, warning, penalty, end, bout, hall, had, granted or evening',
  },
);
type RawLine = z.infer<typeof lineSchema>;
type RawExchange = Extract<RawLine, { type: "exchange" }>;

const ACT_KEYS = Object.keys(actSchema.shape) as readonly (keyof Act)[];
const CALL_KEYS = Object.keys(callSchema.shape) as readonly (keyof Call)[];
const LINE_KEYS = [
  "type",
  "no",
  "id",
  "how",
  "acts",
  "open",
  "closed",
  "left",
  "calls",
  "picks",
  "again",
] as const;

/** The same keys always in the same order, whoever made the object. */
const inOrder = <T extends object>(value: T, keys: readonly (keyof T)[]): Partial<T> =>
  Object.fromEntries(
    keys.flatMap((key) => (value[key] === undefined ? [] : [[key, value[key]]])),
  ) as Partial<T>;

/** One object a line; ids that follow from the number and the place are left out. */
export function printJsonLines(sheet: BoutSheet): string {
  return sheet
    .map((line) => `${JSON.stringify(line.type === "exchange" ? plainExchange(line) : line)}\n`)
    .join("");
}

function plainExchange(line: ExchangeLine): Partial<ExchangeLine> {
  const acts = line.acts.map((act, index) => {
    const { id, ...rest } = act;
    return inOrder<Act>(id === actId(line.no, index) ? rest : act, ACT_KEYS) as Act;
  });
  const calls = line.calls?.map((call) => inOrder<Call>(call, CALL_KEYS) as Call);
  return inOrder<ExchangeLine>({ ...line, acts, ...(calls ? { calls } : {}) }, LINE_KEYS);
}

interface Place {
  readonly words: SheetWords;
  readonly ruleSet: RuleSet;
  /** Points at the text in the line, where it stands there. */
  readonly complain: (complaint: Complaint, at: string) => void;
}

/** Reads what `printJsonLines` writes, or what others write in its shape. Blank lines are skipped; all faults at once. */
export function readJsonLines(input: string, ruleSet: RuleSet, file = "bout.jsonl"): Outcome<BoutSheet> {
  const found = new Faults(file);
  const numbers = new Numbers();
  const sheet: SheetLine[] = [];
  if (!found.takesAll(input)) return found.outcome<BoutSheet>(sheet);
  input.split(/\r\n?|\n/u).forEach((source, index) => {
    if (source.trim() === "" || !found.takes(index + 1, source)) return;
    const complain = (complaint: Complaint, at: string): void =>
      found.at(index + 1, source, spanOf(source, at), complaint);
    const raw = parsed(source, complain);
    if (raw === undefined) return;
    const line = readLine(raw, { words: sheetWords(ruleSet), ruleSet, complain });
    if (!line) return;
    const refusal = numbers.next(line);
    if (refusal) complain(refusal, '"no"');
    sheet.push(line);
  });
  return found.outcome<BoutSheet>(sheet);
}

function spanOf(source: string, at: string): Span {
  const from = Math.max(source.indexOf(at), 0);
  return { from, to: from + (source.includes(at) ? at.length : source.length) };
}

function parsed(source: string, complain: Place["complain"]): RawLine | undefined {
  let raw: unknown;
  try {
    raw = JSON.parse(source, source.includes("-0") ? withoutMinusZero : undefined);
  } catch {
    complain(faults.notJson(), "");
    return undefined;
  }
  const result = lineSchema.safeParse(raw);
  if (result.success) return result.data;
  for (const issue of result.error.issues) {
    const path = issue.path.map((key) => (typeof key === "number" ? `${key + 1}` : String(key)));
    const unknown = issue.code === "unrecognized_keys" ? issue.keys : [];
    const wanted = unknown.length > 0 ? faults.noPlaceFor(unknown) : plain(issue.message);
    const key = unknown[0] ?? issue.path.findLast((part) => typeof part === "string");
    complain(faults.badShape(path.join(" "), wanted), key === undefined ? "" : `"${String(key)}"`);
  }
  return undefined;
}

const withoutMinusZero = (_: string, value: unknown): unknown => (Object.is(value, -0) ? 0 : value);

const plain = (message: string): string =>
  /^(Invalid|Expected)/u.test(message) ? "something is missing or of another kind" : message;

function readLine(raw: RawLine, place: Place): SheetLine | undefined {
  if (raw.type === "exchange") return readExchange(raw, place);
  if (raw.type === "pick") {
    const values = [raw.value, ...(raw.or ?? [])].map((value) => readPick(raw.pick, value, place));
    const [value, ...or] = values.filter((one) => one !== undefined);
    if (!value || values.includes(undefined)) return undefined;
    return { ...raw, ...value, ...(raw.or ? { or: or.map((one) => one.value) } : {}) };
  }
  if (raw.type === "mark") return readMark(raw, place);
  if (raw.type === "had") return readHad(raw, place);
  if (raw.type === "granted") {
    const rule = readRule(raw.rule, place);
    return rule === undefined ? undefined : { ...raw, rule };
  }
  return raw;
}

const NOWHERE: Span = { from: 0, to: 0 };
const readRule = (name: string, { ruleSet, complain }: Place): string | undefined =>
  knownRule(name, NOWHERE, { ruleSet, complain: (complaint) => complain(complaint, JSON.stringify(name)) });

function readHad(raw: Extract<RawLine, { type: "had" }>, place: Place): SheetLine | undefined {
  const rule = raw.rule === undefined ? undefined : readRule(raw.rule, place);
  if (raw.rule !== undefined && rule === undefined) return undefined;
  const complaint = raw.least > raw.most ? faults.badHad() : hadComplaint(raw);
  if (complaint) place.complain(complaint, '"had"');
  return complaint ? undefined : { ...raw, ...(rule === undefined ? {} : { rule }) };
}

function readPick(name: string, value: string, place: Place): { pick: string; value: string } | undefined {
  const context = {
    ruleSet: place.ruleSet,
    complain: (complaint: Complaint) => place.complain(complaint, name),
  };
  const pick = knownPick(name, { from: 0, to: 0 }, context);
  if (!pick) return undefined;
  const found = knownValue(pick, value);
  if (found !== undefined) return { pick: pick.name, value: found };
  place.complain(
    faults.unknownValue(
      value,
      pick.name,
      pick.from.map((one) => one.text),
    ),
    JSON.stringify(value),
  );
  return undefined;
}

function readMark(raw: Extract<RawLine, { type: "mark" }>, place: Place): SheetLine | undefined {
  const context = {
    ruleSet: place.ruleSet,
    complain: (complaint: Complaint) => place.complain(complaint, raw.mark),
  };
  const mark = knownMark(raw.mark, { from: 0, to: 0 }, context);
  if (!mark) return undefined;
  const values = [raw.value, ...(raw.or ?? [])].map((one) => {
    const written = one === true ? "on" : one === false ? "off" : String(one);
    const value = markValue(mark, written);
    if (value === undefined)
      place.complain(faults.badMarkValue(written, mark.name, MARK_VALUES[mark.is]), JSON.stringify(one));
    return value;
  });
  const [value, ...or] = values.filter((one) => one !== undefined);
  if (value === undefined || values.includes(undefined)) return undefined;
  return { ...raw, mark: mark.name, value, ...(raw.or ? { or } : {}) };
}

function readExchange(raw: RawExchange, place: Place): ExchangeLine {
  const { picks: _picks, calls: _calls, acts, again, closed, ...rest } = raw;
  const calls = raw.calls?.map((call) => ({ ...call, call: canonical(call.call, ["call"], place) }));
  const picks =
    raw.picks &&
    Object.entries(raw.picks).flatMap(([name, value]) => {
      const pair = readPick(name, value, place);
      return pair ? [[pair.pick, pair.value] as const] : [];
    });
  if (acts[0]?.after !== undefined) place.complain(faults.laterThanNothing(), '"after"');
  const isNone = raw.how === "no exchange";
  const open = isNone ? false : typeof raw.open === "boolean" ? raw.open : kindsOf(raw.open, place);
  return withIds({
    ...rest,
    acts: acts.map((act) => readAct(act, place)),
    open,
    ...(closed && open === true ? { closed: kindsOf(closed, place) } : {}),
    ...(calls && calls.length > 0 ? { calls } : {}),
    ...(picks ? { picks: Object.fromEntries(picks) } : {}),
    ...(again === true ? { again } : {}),
  });
}

function kindsOf(kinds: readonly string[], { words, complain }: Place): readonly string[] {
  const named = kinds.map((kind) => {
    const name = kindNamed(kind, words);
    const near = words.nearest(kind.toLowerCase(), ["action", "manner"]);
    if (name === undefined) complain(faults.unknownWord(kind, near), JSON.stringify(kind));
    return name ?? kind;
  });
  return [...new Set(named)].sort();
}

const CLASS_OF_KEY = {
  kind: "action",
  form: "form",
  blow: "blow",
  direction: "direction",
  edge: "edge",
  hand: "hand",
  footwork: "footwork",
  target: "target",
} as const satisfies Partial<Record<keyof Act, WordClass>>;

function readAct(raw: Act, place: Place): Act {
  const act: { -readonly [K in keyof Act]: Act[K] } = { ...raw };
  for (const [key, wordClass] of Object.entries(CLASS_OF_KEY) as [keyof typeof CLASS_OF_KEY, WordClass][]) {
    const name = raw[key];
    if (name !== undefined) act[key] = canonical(name, [wordClass], place);
  }
  if (raw.from) act.from = sorted(raw.from, ["side", "guard"], place);
  if (raw.manners) act.manners = sorted(raw.manners, ["manner"], place);
  if (raw.not) act.not = sorted(raw.not, ACT_CLASSES, place);
  if (act.kind === "afterblow") {
    if (act.end === "miss" || act.end === "fall short") place.complain(faults.afterblowHits(), '"end"');
    act.end ??= "hit";
  }
  return act;
}

const sorted = (list: readonly string[], classes: readonly WordClass[], place: Place): readonly string[] =>
  [...new Set(list.map((name) => canonical(name, classes, place)))].sort();

/** Under which key a word of a class stands. */
const OF_CLASS: Partial<Readonly<Record<WordClass, string>>> = Object.fromEntries(
  Object.entries(CLASS_OF_KEY).map(([key, wordClass]) => [wordClass, key]),
);

function canonical(name: string, classes: readonly WordClass[], { words, complain }: Place): string {
  const word = words.named(name, classes);
  const other = word ? undefined : words.named(name, WORD_CLASSES);
  const key = other && OF_CLASS[other.class];
  if (key !== undefined) complain(faults.otherKey(name, key), JSON.stringify(name));
  else if (!word)
    complain(faults.unknownWord(name, words.nearest(name.toLowerCase(), classes)), JSON.stringify(name));
  return word?.name ?? name;
}
