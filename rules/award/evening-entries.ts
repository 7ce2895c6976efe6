/** What stands after a bout and lasts longer than it, read out of the memory of its worlds. */
import type { BoutSheet, HadOf, HadScope } from "../record.ts";
import { closeBout } from "./closing.ts";
import type { EveningEntry } from "./entry.ts";
import type { Met } from "./fencers.ts";
import { MATCH_BOUTS, MATCH_POINTS, markPlace, pickPlace, TEAM_POINTS } from "./fields.ts";
import {
  baseOf,
  joinParked,
  keptBy,
  LAST,
  LAST_BASE,
  park,
  parkingKey,
  readKey,
  valuesOf,
} from "./follow.ts";
import { hadFields, hereField } from "./limits.ts";
import { valueOf } from "./mark-values.ts";
import type { Field } from "./memory.ts";
import type { Program } from "./program.ts";
import { TONIGHT } from "./quantity.ts";
import { foldSheet, type SheetFold } from "./sheet-fold.ts";
import type { Span } from "./tally.ts";

type Told = Pick<EveningEntry, "kind" | "name" | "of" | "scope" | "values" | "span">;
/** How the values of a field that lasts are told, by what the field is called. */
type Telling = ReadonlyMap<string, (values: readonly number[]) => Told>;

const LAST_WORDS: Readonly<Record<number, string>> = {
  [LAST.won]: "won",
  [LAST.lost]: "lost",
  [LAST.neither]: "neither",
};

export function entriesAfter(program: Program, sheet: BoutSheet): readonly EveningEntry[] {
  const fold = foldSheet(program, sheet);
  const { fencers, met, begun } = fold;
  const found = new Map(
    joinParked(
      program,
      fold.worlds.map((world) =>
        park(program, begun ? closeBout(program, world, fencers) : world, fencers, met),
      ),
    ),
  );
  // And what is as it was at the beginning replaces what stood before the bout.
  for (const field of program.env.fields.all) {
    const kept = keptBy(field, fencers);
    const key = kept && parkingKey(baseOf(field), kept);
    if (key !== undefined && !found.has(key) && !Number.isNaN(field.initial)) found.set(key, [field.initial]);
  }
  const telling = tellings(program, met);
  const added = addedBy(program, fold);
  return [...found].flatMap(([key, values]) => {
    const { base, holder, whose } = readKey(key);
    const told = telling.get(base)?.([...values].sort((a, b) => a - b));
    if (!told) return [];
    const more = added.get(key);
    return [{ holder, ...(whose === undefined ? {} : { whose }), ...told, ...(more ? { added: more } : {}) }];
  });
}

const spanOf = (values: readonly number[]): Span => ({
  least: Math.min(...values),
  most: Math.max(...values),
});

function tellings(program: Program, met: Met): Telling {
  const { env } = program;
  const { marks, picks, rules } = env.ruleSet;
  const field = (index: number): string => baseOf(env.fields.all[index] as Field);
  const counted =
    (kind: EveningEntry["kind"], of: HadOf, scope: HadScope) =>
    (values: readonly number[]): Told => ({
      kind,
      of,
      scope,
      span: spanOf(values),
    });
  return new Map<string, (values: readonly number[]) => Told>([
    ...marks.map((mark): [string, (values: readonly number[]) => Told] => [
      field(markPlace(env, mark).index),
      (values) => ({
        kind: "mark",
        name: mark.name,
        values: values.map((value) => valueOf(mark, value, env, met)),
      }),
    ]),
    ...picks.map((pick): [string, (values: readonly number[]) => Told] => [
      field(pickPlace(env, pick).index),
      (values) => ({
        kind: "pick",
        name: pick.name,
        values: values.flatMap((at) => pick.from[at]?.text ?? []),
      }),
    ]),
    ...rules.flatMap(({ name }) =>
      hadFields(env, name).map(({ limit, first }): [string, (values: readonly number[]) => Told] => [
        field(first),
        (values) => ({ ...counted("had", limit.of, limit.scope as HadScope)(values), name }),
      ]),
    ),
    ...TONIGHT.map((of): [string, (values: readonly number[]) => Told] => [
      `tonight ${of}`,
      counted("counted", of, "evening"),
    ]),
    [MATCH_POINTS, counted("pointsOfMatch", "points", "match")],
    [TEAM_POINTS, counted("pointsOfMatch", "points", "team match")],
    [MATCH_BOUTS, counted("counted", "bouts", "match")],
    [LAST_BASE, (values) => ({ kind: "last", values: values.map((one) => LAST_WORDS[one] ?? "neither") })],
  ]);
}

/** What this bout added to what rings share, by the same keys. */
function addedBy(program: Program, { worlds, fencers, begun }: SheetFold): ReadonlyMap<string, Span> {
  const { env } = program;
  const added = new Map<string, Span>();
  if (!begun) return added;
  const add = (field: Field, from: Field | undefined): void => {
    const kept = keptBy(field, fencers);
    if (!kept || !from) return;
    added.set(parkingKey(baseOf(field), kept), spanOf(worlds.flatMap((world) => valuesOf(world, from))));
  };
  for (const rule of env.ruleSet.rules)
    for (const { limit, first, shared } of hadFields(env, rule.name)) {
      const here = hereField(env, rule, limit);
      for (const side of here < 0 ? [] : shared ? [0] : [0, 1])
        add(env.fields.all[first + side] as Field, env.fields.all[here + side]);
    }
  for (const side of [0, 1] as const) {
    const field = env.fields.find(TEAM_POINTS, side);
    if (field) add(field, env.fields.find("points", side));
  }
  return added;
}

const entryKey = ({ holder, whose, kind, name, of, scope }: EveningEntry): string =>
  JSON.stringify([holder, whose ?? "", kind, name ?? "", of ?? "", scope ?? ""]);

/** Later entries stand for earlier ones of the same; what rings share is summed. */
export function joined(
  before: readonly EveningEntry[],
  after: readonly EveningEntry[],
): readonly EveningEntry[] {
  const all = new Map(before.map((entry) => [entryKey(entry), entry]));
  for (const entry of after) {
    const { added, ...rest } = entry;
    const known = all.get(entryKey(entry));
    all.set(
      entryKey(entry),
      added && known?.span
        ? { ...rest, span: { least: known.span.least + added.least, most: known.span.most + added.most } }
        : rest,
    );
  }
  return [...all.values()];
}
