/** A sheet that was scored a moment ago is not scored again; nothing else is taken for it. */
import * as fc from "fast-check";
import { expect, test } from "vitest";
import {
  decideBout,
  evolveBout,
  isRefusal,
  type Bout,
  type BoutCommand,
  type Scorers,
} from "../../../engine/index.ts";
import { isSame } from "../../../engine/bout/same.ts";
import { compile, readRuleSet, type Scorer } from "../../../rules/index.ts";
import { hit } from "../../table-ui/server/hall.ts";

const read = readRuleSet("name: One for a hit\ntouches:\n  I hit the head: 2\n  I hit: 1\n");
if (!read.ok) throw new Error("the rule set does not read");
const compiled = compile(read.value);

test("deciding a command and taking its events in as they come from the disk scores once", () => {
  let scored = 0;
  const scorer: Scorer = { ...compiled, score: (sheet) => ((scored += 1), compiled.score(sheet)) };
  const scorers: Scorers = () => scorer;
  let bout: Bout | undefined;
  let at = 0;
  const give = (command: BoutCommand): void => {
    at += 1_000;
    const by = { seat: "coach", kind: "coach" as const };
    const events = decideBout(bout, { id: `c-${at}`, at, by, command }, scorers);
    if (isRefusal(events)) throw new Error(events.sentence);
    for (const event of events) bout = evolveBout(bout, backwards(event), (bout?.version ?? 0) + 1, scorers);
  };
  give({ type: "CallBout", bout: "b", no: 1, ring: "r", red: "p-1", blue: "p-2", ruleSet: "h-1" });
  give({ type: "StartFencing" });
  give({ type: "CallHalt" });
  for (const target of ["head", "torso", "arm"]) {
    const before = scored;
    give({ type: "RecordExchange", exchange: `x-${target}`, record: hit("red", target) });
    expect(scored - before).toBe(1);
  }
  expect(bout?.tally.points).toEqual({ red: 4, blue: 0 });
});

/** The same event with its keys in another order, as a chain keeps it. */
function backwards<T>(value: T): T {
  const turn = (each: unknown): unknown => {
    if (Array.isArray(each)) return each.map(turn);
    if (typeof each !== "object" || each === null) return each;
    return Object.fromEntries(
      Object.entries(each)
        .reverse()
        .map(([key, item]) => [key, turn(item)]),
    );
  };
  return turn(value) as T;
}

test("two values are the same exactly where their JSON with ordered keys is", () => {
  const ordered = (value: unknown): string =>
    JSON.stringify(value, (_, item: unknown) =>
      typeof item === "object" && item !== null && !Array.isArray(item)
        ? Object.fromEntries(Object.entries(item).sort(([a], [b]) => (a < b ? -1 : 1)))
        : item,
    );
  const json = fc
    .jsonValue({ maxDepth: 2, noUnicodeString: true })
    .map((value) => JSON.parse(JSON.stringify(value)) as unknown);
  fc.assert(
    fc.property(json, json, (a, b) => {
      expect(isSame(a, b)).toBe(ordered(a) === ordered(b));
      expect(isSame(a, backwards(structuredClone(a)))).toBe(true);
    }),
    { seed: 5, numRuns: 500 },
  );
  expect(isSame({ a: 1, b: undefined }, { a: 1 })).toBe(true);
  expect(isSame({ a: 1 }, { a: 1, c: 2 })).toBe(false);
  expect(isSame([1, 2], [2, 1])).toBe(false);
  expect(isSame({ a: undefined, b: 1 }, { a: 1, b: undefined })).toBe(false);
});
