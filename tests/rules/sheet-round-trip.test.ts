import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { formatFaults, type Outcome } from "../../rules/language/faults.ts";
import { printJsonLines, printSheet, readJsonLines, readSheet } from "../../rules/language/sheet.ts";
import { wordsFor } from "../../rules/language/words.ts";
import type { Word } from "../../rules/language/lexicon.ts";
import type { Act, BoutSheet, Call, ExchangeLine, SheetLine } from "../../rules/record.ts";
import {
  ENDINGS,
  MANNERS_OF_EXCHANGE,
  SIDES,
  type Weapon,
  WEAPONS,
  WORD_CLASSES,
  type WordClass,
} from "../../rules/vocabulary.ts";
import { sheetRules } from "./sheet-rules.ts";

const SEED = { seed: 1389, numRuns: process.env["LONG"] === "1" ? 5_000 : 400 };

const must = <T>(outcome: Outcome<T>): T => {
  if (!outcome.ok) throw new Error(formatFaults(outcome.faults));
  return outcome.value;
};

type Draft = { -readonly [K in keyof Act]: Act[K] };
const seat = fc.constantFrom("table", "referee", "j1", "j2", "red", "coach");
const seconds = fc.integer({ min: 0, max: 1200 }).map((tenths) => tenths / 10);

/** Any action that the words of a weapon allow: nothing in it refutes anything else. */
function actsOf(weapon: Weapon): fc.Arbitrary<Act> {
  const words = wordsFor(weapon, []);
  const named = (wordClass: WordClass): fc.Arbitrary<Word | undefined> =>
    fc.option(fc.constantFrom(...words.all(wordClass)), { nil: undefined, freq: 2 });
  return fc
    .record({
      by: fc.constantFrom("red" as const, "blue" as const, "both" as const),
      kind: named("action"),
      blow: named("blow"),
      form: named("form"),
      direction: named("direction"),
      edge: named("edge"),
      hand: named("hand"),
      footwork: named("footwork"),
      target: named("target"),
      from: fc.uniqueArray(fc.constantFrom(...words.all("guard"), ...words.all("side")), { maxLength: 2 }),
      manners: fc.uniqueArray(fc.constantFrom(...words.all("manner")), { maxLength: 3 }),
      not: fc.uniqueArray(fc.constantFrom(...words.all("manner"), ...words.all("target")), { maxLength: 2 }),
      for: fc.option(seconds, { nil: undefined, freq: 1 }),
      end: fc.option(
        fc.constantFrom("hit" as const, "perhaps" as const, "miss" as const, "fall short" as const),
        {
          nil: undefined,
        },
      ),
      source: fc.option(seat, { nil: undefined }),
    })
    .map(plainAct)
    .filter((act) => Object.keys(act).length > 1);
}

interface Wish {
  readonly by: Act["by"];
  readonly from: readonly Word[];
  readonly manners: readonly Word[];
  readonly not: readonly Word[];
  readonly for: number | undefined;
  readonly end: Act["end"];
  readonly source: string | undefined;
  readonly [word: string]: unknown;
}

function plainAct(wish: Wish): Act {
  const act: Draft = { by: wish.by };
  const blow = wish["blow"] as Word | undefined;
  for (const key of ["kind", "blow", "form", "direction", "edge", "hand", "footwork", "target"] as const) {
    const word = wish[key] as Word | undefined;
    const meant = key === "form" || key === "direction" || key === "edge" ? blow?.means?.[key] : undefined;
    if (word && (meant === undefined || meant.includes(word.name))) act[key] = word.name;
  }
  const manners = wish.manners.filter(
    (one) => !wish.manners.some((other) => other !== one && (one.excludes ?? []).includes(other.name)),
  );
  const taken = new Set([...manners.map(({ name }) => name), act.target]);
  const not = wish.not.filter(({ name }) => !taken.has(name));
  if (wish.from.length > 0) act.from = wish.from.map(({ name }) => name).sort();
  if (manners.length > 0) act.manners = manners.map(({ name }) => name).sort();
  if (not.length > 0) act.not = not.map(({ name }) => name).sort();
  if (wish.for !== undefined) act.for = wish.for;
  if (wish.source !== undefined) act.source = wish.source;
  if (wish.end !== undefined) act.end = act.kind === "afterblow" ? "hit" : wish.end;
  else if (act.kind === "afterblow") act.end = "hit";
  return act;
}

const letters = (i: number): string => String.fromCharCode(97 + i);

function exchangesOf(weapon: Weapon): fc.Arbitrary<ExchangeLine> {
  const kinds = fc.uniqueArray(
    fc.constantFrom("contact", "tempo", "parry", "red parry", "blue feint", "in one tempo"),
    {
      minLength: 1,
    },
  );
  const call: fc.Arbitrary<Call> = fc.record(
    {
      call: fc.constant("praise"),
      for: fc.constantFrom(...SIDES),
      value: fc.integer({ min: 0, max: 9 }),
      reason: fc.stringMatching(/^[\p{L}\p{N} #,.!]{1,12}$/u),
      source: seat,
      assent: seat,
    },
    { requiredKeys: ["call", "for"] },
  );
  return fc
    .record(
      {
        type: fc.constant("exchange" as const),
        no: fc.constant(1),
        acts: fc.array(actsOf(weapon), { maxLength: 5 }),
        open: fc.oneof(
          fc.boolean(),
          kinds.map((list) => list.sort()),
        ),
        closed: kinds.map((list) => list.sort()),
        how: fc.constantFrom(...MANNERS_OF_EXCHANGE),
        left: seconds,
        calls: fc.array(call, { minLength: 1, maxLength: 2 }),
        picks: fc.constantFrom({ luck: "pays" }, { luck: "nothing" }),
      },
      { requiredKeys: ["type", "no", "acts", "open"] },
    )
    .map(consistent);
}

/** A no exchange is closed (S8), and only an open line closes some kinds. */
function consistent({ closed, open, ...line }: ExchangeLine): ExchangeLine {
  const isOpen = line.how === "no exchange" ? false : open;
  return { ...line, open: isOpen, ...(closed && isOpen === true ? { closed } : {}) };
}

const name = fc.stringMatching(/^[\p{L}\p{N}][\p{L}\p{N} ,#.'-]{0,10}[\p{L}\p{N}]$/u);
const PLAIN: fc.Arbitrary<SheetLine> = fc.oneof(
  fc.record(
    {
      type: fc.constant("pick" as const),
      side: fc.constantFrom(...SIDES),
      pick: fc.constant("secret opening"),
      value: fc.constantFrom("upper left opening", "upper right opening"),
    },
    { requiredKeys: ["type", "pick", "value"] },
  ),
  fc.record(
    {
      type: fc.constant("mark" as const),
      side: fc.constantFrom(...SIDES),
      mark: fc.constant("slips"),
      value: fc.integer({ min: -20, max: 20 }).map((halves) => (halves === 0 ? 0 : halves / 2)),
    },
    { requiredKeys: ["type", "mark", "value"] },
  ),
  fc.constantFrom<SheetLine>(
    { type: "mark", mark: "hill", value: "red" },
    { type: "mark", mark: "hill", value: "nobody" },
    { type: "mark", mark: "hurry", value: true },
    { type: "mark", side: "blue", mark: "last blow", value: "zornhau" },
    { type: "evening" },
    { type: "bout" },
    { type: "end" },
    { type: "score", red: 2.5, blue: -1 },
  ),
  fc.constantFrom(...SIDES).map((side) => ({ type: "penalty" as const, side })),
  fc.constantFrom(...ENDINGS).map((ending) => ({ type: "end" as const, ending })),
  fc.record({ type: fc.constant("bout" as const), red: name, blue: name }),
);

/** Lines in the order of their numbers, some rewritten later, ids as a reader gives them. */
function sheetsOf(weapon: Weapon): fc.Arbitrary<BoutSheet> {
  return fc
    .array(fc.oneof(PLAIN, exchangesOf(weapon), exchangesOf(weapon)), { maxLength: 8 })
    .chain((lines) =>
      fc.array(fc.boolean(), { minLength: lines.length, maxLength: lines.length }).map((rewrites) => {
        let last = 0;
        return lines.map((line, i) => {
          if (line.type === "bout" || line.type === "evening") last = 0;
          if (line.type !== "exchange") return line;
          const again = rewrites[i] === true && last > 0;
          const no = again ? last : ++last;
          const acts = line.acts.map((act, at) => ({ id: `${no}${letters(at)}`, ...act }));
          return { ...line, no, acts, ...(again ? { again } : {}) };
        });
      }),
    );
}

test("any text is read, or refused with faults that stand in it; nothing throws", () => {
  const rules = sheetRules("longsword");
  const part = fc.constantFrom(
    "1",
    "2 R",
    "again",
    "R cut head",
    "B parry",
    "!",
    "!?",
    ",",
    ".",
    "but",
    "[25 s left]",
    "{luck = pays}",
    "call praise R",
    "@j1",
    "not",
    "for 3 s",
    "from",
    "double",
    "no exchange",
    "pick",
    "mark slips",
    "=",
    "score 2-1",
    "end",
    "#",
    '"',
    "\n",
    "evening",
    "haed",
    "1e9",
    "\u0000",
  );
  const text = fc.oneof(
    fc.string({ unit: "binary" }),
    fc.array(part).map((parts) => parts.join(" ")),
  );
  let readable = 0;
  fc.assert(
    fc.property(text, (written) => {
      const lines = written.split(/\r\n|\r|\n/u);
      const outcome = readSheet(written, rules);
      if (outcome.ok) readable++;
      else
        for (const { line, column } of outcome.faults)
          expect(column).toBeLessThanOrEqual((lines[line - 1] ?? "").length);
      if (outcome.ok) expect(must(readSheet(printSheet(outcome.value), rules))).toEqual(outcome.value);
      expect(readJsonLines(written, rules).ok).toBe(written.trim() === "");
    }),
    { ...SEED, numRuns: SEED.numRuns * 5 },
  );
  expect(readable).toBeGreaterThan(20);
});

test("a bout of ten thousand wrong lines, or of one endless line, is refused without reading it all", () => {
  const rules = sheetRules("longsword");
  for (const written of ["1 R haed torsso\n".repeat(10_000), `1 R ${"haed ".repeat(100_000)}`]) {
    const outcome = readSheet(written, rules);
    expect(outcome.ok ? 0 : outcome.faults.length).toBeLessThan(300);
    expect(outcome.ok).toBe(false);
  }
});

describe.each(WEAPONS)("any bout of the %s", (weapon) => {
  const rules = sheetRules(weapon);

  test("read(print(sheet)) is the sheet", () => {
    let acts = 0;
    fc.assert(
      fc.property(sheetsOf(weapon), (sheet) => {
        acts += sheet.reduce((sum, line) => sum + (line.type === "exchange" ? line.acts.length : 0), 0);
        expect(must(readSheet(printSheet(sheet), rules))).toEqual(sheet);
      }),
      SEED,
    );
    expect(acts).toBeGreaterThan(SEED.numRuns);
  });

  test("[S3] the sheet and its JSON Lines hold the same", () => {
    fc.assert(
      fc.property(sheetsOf(weapon), (sheet) => {
        const lines = printJsonLines(sheet);
        const back = must(readJsonLines(lines, rules));
        expect(back).toEqual(sheet);
        expect(printSheet(back)).toBe(printSheet(sheet));
        expect(printJsonLines(must(readSheet(printSheet(sheet), rules)))).toBe(lines);
      }),
      SEED,
    );
  });

  test("the words of an action may come in any order", () => {
    fc.assert(
      fc.property(actsOf(weapon), fc.infiniteStream(fc.nat()), (act, order) => {
        const shuffled = [...slotsOf(act)].map((slot) => [order.next().value as number, slot] as const);
        const text = shuffled.sort(([a], [b]) => a - b).map(([, slot]) => slot);
        const by = { red: "R", blue: "B", both: "RB" }[act.by];
        // Neighbours that make one longer word together are that word; a person reads them so too.
        fc.pre(!runsTogether(weapon, text));
        const [line] = must(readSheet(`1 ${by} ${text.join(" ")}`, rules)) as readonly ExchangeLine[];
        expect(line?.acts[0]).toEqual({ id: "1a", ...act });
      }),
      SEED,
    );
  });
});

function slotsOf(act: Act): readonly string[] {
  const { kind, form, blow, direction, edge, hand, footwork, target } = act;
  const words = [kind, form, blow, direction, edge, hand, footwork, target, ...(act.manners ?? [])];
  const end = { hit: "!", perhaps: "!?", miss: "miss", "fall short": "fall short" };
  return [
    ...words.filter((word) => word !== undefined),
    ...(act.from ?? []).map((place) => `from ${place}`),
    ...(act.not ?? []).map((word) => `not ${word}`),
    ...(act.for === undefined ? [] : [`for ${act.for} s`]),
    ...(act.end === undefined ? [] : [end[act.end]]),
    ...(act.source === undefined ? [] : [`@${act.source}`]),
  ];
}

/** Without hyphens and articles, as words are looked up. */
const plain = (text: string): string => text.replaceAll("-", " ").replace(/\b(the|a|an|my|their) /g, "");

/** Some word of the list spans the border between two of these. */
function runsTogether(weapon: Weapon, slots: readonly string[]): boolean {
  const spellings = spellingsOf(weapon);
  return slots.some((slot, i) => {
    const left = plain(slot).split(" ");
    const right = plain(slots[i + 1] ?? "").split(" ");
    return left.some((_, from) =>
      right.some((_part, to) => spellings.has([...left.slice(from), ...right.slice(0, to + 1)].join(" "))),
    );
  });
}

const known = new Map<Weapon, ReadonlySet<string>>();
function spellingsOf(weapon: Weapon): ReadonlySet<string> {
  let found = known.get(weapon);
  if (!found) {
    const words = WORD_CLASSES.flatMap((wordClass) => wordsFor(weapon, []).all(wordClass));
    const names = words.flatMap(({ name: own, also = [], verb = own }) => [own, verb].concat(also));
    known.set(weapon, (found = new Set(names.map(plain))));
  }
  return found;
}
