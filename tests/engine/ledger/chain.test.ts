import { createHash } from "node:crypto";
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { canonicalJson, EMPTY_HEAD, seal, unseal, verifyChain } from "../../../engine/ledger/chain.ts";
import type { StoredEvent } from "../../../engine/ledger/ledger.ts";

const AT = 1_764_000_000_000;

function bout(length: number): StoredEvent[] {
  const events = Array.from({ length }, (_, i) => ({
    type: "ExchangeRecorded",
    data: { exchange: i + 1, points: { red: 1, blue: 0 } },
    at: AT + i,
  }));
  return seal("bout/7", EMPTY_HEAD, events, "c-1").map(unseal);
}

function changed(
  events: readonly StoredEvent[],
  version: number,
  change: Partial<StoredEvent>,
): StoredEvent[] {
  return events.map((event) => (event.version === version ? { ...event, ...change } : event));
}

describe("canonical JSON", () => {
  // RFC 8785, section 3.2.3: the sorting example, keys and order as printed there.
  test("orders keys by UTF-16 code units", () => {
    const sample = {
      "\u20ac": "Euro Sign",
      "\r": "Carriage Return",
      "\ufb33": "Hebrew Letter Dalet With Dagesh",
      "1": "One",
      "\ud83d\ude00": "Emoji: Grinning Face",
      "\u0080": "Control",
      "\u00f6": "Latin Small Letter O With Diaeresis",
    };
    const values = Object.values(JSON.parse(canonicalJson(sample)) as Record<string, string>);
    const text = canonicalJson(sample);
    const order = [
      "Carriage Return",
      "One",
      "Control",
      "Latin Small Letter O With Diaeresis",
      "Euro Sign",
      "Emoji: Grinning Face",
      "Hebrew Letter Dalet With Dagesh",
    ];
    expect([...values].sort((a, b) => text.indexOf(a) - text.indexOf(b))).toEqual(order);
  });

  // RFC 8785, section 3.2.2: the sample object and its canonical form.
  test("prints numbers, strings and literals as the standard's sample", () => {
    const sample = {
      numbers: [Number("333333333.33333329"), 1e30, 4.5, 2e-3, 0.000000000000000000000000001],
      string: "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/",
      literals: [null, true, false],
    };
    expect(canonicalJson(sample)).toBe(
      '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],' +
        '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
    );
  });

  test("is the same for the same value and after a round trip, whatever the order of its keys", () => {
    fc.assert(
      fc.property(fc.jsonValue(), (value) => {
        const text = canonicalJson(value);
        expect(JSON.parse(text)).toEqual(JSON.parse(JSON.stringify(value)));
        expect(canonicalJson(JSON.parse(text))).toBe(text);
        if (typeof value === "object" && value !== null && !Array.isArray(value)) {
          expect(canonicalJson(Object.fromEntries(Object.entries(value).reverse()))).toBe(text);
        }
      }),
      { seed: 11, numRuns: 500 },
    );
  });

  test("leaves out what is undefined, keeps a key called __proto__ and half a character", () => {
    expect(canonicalJson({ b: undefined, a: 1 })).toBe('{"a":1}');
    expect(canonicalJson(JSON.parse('{"__proto__":1}'))).toBe('{"__proto__":1}');
    expect(canonicalJson("\ud83e")).toBe('"\\ud83e"');
  });
});

describe("the chain", () => {
  test("is SHA-256 over the value before, a line end and the event's canonical JSON", () => {
    const [first, second] = bout(2);
    const { chain: _, ...body } = { ...second };
    const text = `${first?.chain}\n${canonicalJson(body)}`;
    expect(second?.chain).toBe(createHash("sha256").update(text).digest("hex"));
  });

  test("of untouched events verifies and gives the head", () => {
    const events = bout(5);
    expect(verifyChain(events)).toEqual({ ok: true, version: 5, chain: events[4]?.chain });
    expect(verifyChain([])).toEqual({ ok: true, version: 0, chain: "" });
  });

  test("can be checked on from a known head", () => {
    const events = bout(5);
    const head = verifyChain(events.slice(0, 2));
    expect(head.ok && verifyChain(events.slice(2), head)).toMatchObject({ ok: true, version: 5 });
    expect(verifyChain(events.slice(2))).toMatchObject({ ok: false, version: 1 });
  });

  test.each<[string, Partial<StoredEvent>]>([
    ["its data", { data: { exchange: 3, points: { red: 2, blue: 0 } } }],
    ["its type", { type: "ExchangeRemoved" }],
    ["its time", { at: AT + 99 }],
    ["its command", { command: "c-2" }],
    ["its chain value", { chain: "0".repeat(64) }],
  ])("names the stream and the version of an event when somebody changed %s", (_, change) => {
    const check = verifyChain(changed(bout(5), 3, change));
    expect(check).toEqual({
      ok: false,
      stream: "bout/7",
      version: 3,
      sentence: "Event 3 of bout/7 was changed: its chain value does not match.",
    });
  });

  test("finds an event that is missing, moved, or of another stream", () => {
    const events = bout(4);
    const without = events.filter(({ version }) => version !== 2);
    expect(verifyChain(without)).toMatchObject({ ok: false, stream: "bout/7", version: 2 });
    const moved = [events[0], events[2], events[1]].flatMap((event) => event ?? []);
    expect(verifyChain(moved)).toMatchObject({ ok: false, version: 2 });
    expect(verifyChain(changed(events, 4, { stream: "bout/8" }))).toMatchObject({ ok: false, version: 4 });
  });
});
