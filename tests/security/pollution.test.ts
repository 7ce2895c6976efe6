/**
 * Names that every object of JavaScript has already, wherever somebody from outside may write a name: they are plain data or
 * they are refused, and no object that nobody touched has changed.
 */
import { afterEach, describe, expect, test } from "vitest";
import { compile, formatFaults, readRuleSet, readSheet, scoreBout } from "../../rules/index.ts";
import { checkSent } from "../../table-ui/wire/checks.ts";
import { applyPatch, makePatch, sameJson } from "../../table-ui/wire/patch.ts";
import {
  hit,
  must,
  newId,
  openTestHall,
  refusedAs,
  setTheStage,
  type TestHall,
} from "../table-ui/server/hall.ts";
import { PROTOTYPE_NAMES } from "../support/mutate.ts";
import { RawSeat } from "./hostile/raw.ts";

let hall: TestHall | undefined;

/** Every name that a plain object has without being given it, and what it leads to. */
const inherited = (): readonly (readonly [string, unknown])[] =>
  Object.getOwnPropertyNames(Object.prototype).map((name) => [name, Reflect.get({}, name)] as const);
const before = inherited();

afterEach(async () => {
  await hall?.close();
  hall = undefined;
  expect(inherited()).toEqual(before);
  expect(Reflect.get({}, "polluted")).toBeUndefined();
});

const parsed = (text: string): unknown => JSON.parse(text) as unknown;

describe("[W10] merge patches", () => {
  const HOSTILE = [
    '{"__proto__":{"polluted":true}}',
    '{"constructor":{"prototype":{"polluted":true}}}',
    '{"a":{"__proto__":{"polluted":true}}}',
    '{"__proto__":null}',
    '{"a":{"constructor":null,"toString":null}}',
    '{"hasOwnProperty":"gone","a":{"hasOwnProperty":1}}',
    '{"prototype":{"polluted":true},"__defineGetter__":1}',
  ];
  const targets = ['{"a":{"b":1}}', '{"__proto__":{"x":1},"constructor":2}', "[]", "1"];

  test.each(HOSTILE)("%s is applied to the keys that it names, and to nothing else", (text) => {
    for (const target of targets) {
      const patch = parsed(text) as Record<string, unknown>;
      const merged = applyPatch(parsed(target), patch) as object;
      expect(Object.getPrototypeOf(merged)).toBe(Object.prototype);
      for (const [key, value] of Object.entries(patch)) {
        expect(Object.hasOwn(merged, key)).toBe(value !== null);
      }
    }
  });

  test("what a patch makes of one view is the other, whatever their keys are called", () => {
    const names = ["__proto__", "constructor", "prototype", "toString", "valueOf", "hasOwnProperty", "a"];
    const views = names.flatMap((name) => [
      parsed(`{"${name}":{"x":1}}`),
      parsed(`{"${name}":{"${name}":{"${name}":2}},"b":[{"${name}":1}]}`),
      parsed(`{"a":{"${name}":"x"},"__proto__":{"b":1}}`),
    ]);
    for (const from of views) {
      for (const to of views) {
        const patch = makePatch(from, to);
        const made = patch === undefined ? from : applyPatch(from, patch);
        expect(JSON.stringify(sorted(made))).toBe(JSON.stringify(sorted(to)));
        expect(sameJson(made, to)).toBe(true);
      }
    }
  });
});

/** Keys in one order, own ones only; entries, since a key may be called "__proto__". */
const sorted = (value: unknown): unknown =>
  typeof value === "object" && value !== null
    ? Object.entries(value)
        .map(([key, inner]) => [key, sorted(inner)] as const)
        .sort(([a], [b]) => (a < b ? -1 : 1))
    : value;

const NAMES = [...PROTOTYPE_NAMES, "prototype", "__defineGetter__", "isPrototypeOf"] as const;
/** What would reach a prototype where it is a key of a plain object; all other names are plain data. */
const REFUSED = ["__proto__", "prototype", "constructor"];

describe("commands and requests", () => {
  test("ids of exchanges, rings, bouts and people are plain data, or are refused at the door", async () => {
    hall = await openTestHall({ limits: { burst: Infinity, patience: Infinity } });
    const { coach } = hall;
    const stage = await setTheStage(hall);
    const { bout, red, blue, table, wall } = stage;
    const ruleSet = hall.running.house.streams.bout(bout)?.bout.ruleSet ?? "";
    must(await table.command({ bout }, { type: "StartFencing" }));
    must(await table.command({ bout }, { type: "CallHalt" }));
    for (const name of NAMES) {
      const exchange = await table.command(
        { bout },
        { type: "RecordExchange", exchange: name, record: hit("red") },
      );
      const ring = await coach.command("meet", { type: "AddRing", ring: name, name });
      const plan = await coach.command("meet", {
        type: "PlanBout",
        bout: name,
        ring: "r2",
        red,
        blue,
        ruleSet,
      });
      const answers = [exchange, ring, plan].map(refusedAs);
      const wanted = REFUSED.includes(name) ? "bad-message" : undefined;
      expect([name, ...answers]).toEqual([name, wanted, wanted, wanted]);
      if (wanted === undefined) {
        must(await table.command({ bout }, { type: "StartFencing" }));
        must(await table.command({ bout }, { type: "CallHalt" }));
      }
      // Nobody is entered under an id of their own choice; asked for, such an id is nobody's.
      expect(refusedAs(await coach.coach({ ask: "erase fencer", person: name }))).toMatch(
        /bad-message|no-such/,
      );
      expect(refusedAs(await coach.coach({ ask: "revoke seat", seat: name }))).toMatch(/bad-message|no-such/);
      expect(refusedAs(await coach.coach({ ask: "call bout", bout: `${name}x` }))).toMatch(
        /bad-message|no-such/,
      );
    }
    const shown = await wall.until(({ order }) => order.includes("isPrototypeOf"));
    const plain = NAMES.filter((name) => !REFUSED.includes(name));
    expect(Object.keys(shown.rings)).toEqual(expect.arrayContaining(plain));
    const onRing = Object.values(shown.rings).find((ring) => Object.hasOwn(ring, "bout"))?.bout;
    expect(Object.keys(onRing?.exchanges ?? {})).toEqual(expect.arrayContaining(plain));
  });

  test("names, words and picks of a command may be called so, or are refused; keys may not", () => {
    const sent = (command: string): unknown =>
      parsed(`{"id":"${newId()}-x","on":{"bout":"b"},"command":${command}}`);
    const withPicks = (picks: string): unknown =>
      sent(`{"type":"RecordExchange","exchange":"x","record":{"acts":[],"open":false,"picks":${picks}}}`);
    for (const name of NAMES) {
      const refused = REFUSED.includes(name);
      expect([name, checkSent(sent(`{"type":"SetPick","pick":"${name}","value":"a"}`)).ok]).toEqual([
        name,
        !refused,
      ]);
      expect([name, checkSent(sent(`{"type":"Undo","${name}":1}`)).ok]).toEqual([name, false]);
      const picks = checkSent(withPicks(`{"${name}":"a"}`));
      expect([name, picks.ok]).toEqual([name, !refused]);
      if (picks.ok) expect(Object.hasOwn(pick(picks.value), name)).toBe(true);
    }
  });

  test("a handshake, a message and an event of such a name open nothing", async () => {
    hall = await openTestHall();
    for (const auth of ['{"__proto__":{"secret":"x"}}', '{"secret":{"toString":1}}', '{"constructor":{}}']) {
      const raw = await RawSeat.open(hall.url);
      const answer = raw.heard((text) => text.startsWith("4"));
      raw.ws.send(`40${auth}`);
      expect(await answer).toMatch(/^44/);
      raw.leave();
    }
  });
});

/** The picks of a recorded exchange. */
function pick(sent: { readonly command: object }): object {
  const { record } = sent.command as { readonly record: { readonly picks?: object } };
  return record.picks ?? {};
}

describe("rule sets and sheets", () => {
  /** A rule set whose pick, mark, phrase and rule bear the name. */
  const named = (name: string): string =>
    [
      `name: "${name}"`,
      "picks:",
      `  ${name}p:`,
      "    by: the coach",
      "    when: before the bout",
      "    from:",
      `      - ${name}`,
      "      - other",
      "marks:",
      `  ${name}:`,
      "    is: a count for each fencer",
      "    changes:",
      "      - up 1 when I hit",
      "touches:",
      "  I hit: 1",
      "rules:",
      `  - name: ${name}`,
      "    when: I cut and hit",
      "    pays: 1 bonus to me",
    ].join("\n");

  const letters = NAMES.filter((name) => !name.startsWith("_"));
  test.each(NAMES.filter((name) => name.startsWith("_")))("%s is no name: none begins so", (name) => {
    const outcome = readRuleSet(named(name));
    expect(outcome.ok ? [] : outcome.faults.map(({ code }) => code)).toEqual(Array(4).fill("bad-name"));
  });

  test.each(letters)("%s is a name like any other", (name) => {
    const outcome = readRuleSet(named(name));
    if (!outcome.ok) throw new Error(formatFaults(outcome.faults));
    const sheet = `pick ${name}p = ${name}\n1 R cut head ! .\n2 B thrust torso ! .`;
    const lines = readSheet(sheet, outcome.value);
    if (!lines.ok) throw new Error(formatFaults(lines.faults));
    const tally = scoreBout(compile(outcome.value), lines.value);
    expect([tally.points, tally.bonus]).toEqual([
      { red: 1, blue: 1 },
      { red: 1, blue: 0 },
    ]);
  });

  test.each(NAMES)("the key %s is no key of a rule set, nor of anything in it", (name) => {
    const keys = [
      `name: A\n${name}: {polluted: true}\ntouches: {I hit: 1}\n`,
      `name: A\nbout:\n  ${name}: {polluted: true}\n`,
      `name: A\nrules:\n  - ${name}: {polluted: true}\n`,
    ];
    for (const text of keys) {
      const outcome = readRuleSet(text);
      expect(outcome.ok).toBe(false);
      if (!outcome.ok) expect(outcome.faults[0]?.message).toContain(name);
    }
  });
});
