/** What every ledger promises, whatever keeps it. */
import * as fc from "fast-check";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { verifyChain } from "../../engine/ledger/chain.ts";
import type {
  AppendResult,
  CommandKey,
  Ledger,
  NewEvent,
  Person,
  StoredSeat,
} from "../../engine/ledger/ledger.ts";
import { MemoryLedger } from "../../engine/ledger/memory.ts";

const AT = 1_764_000_000_000;

export function halt(n: number): NewEvent {
  return { type: "HaltCalled", data: { exchange: n, by: "p-table" }, at: AT + n };
}

export function key(id: string, digest = `digest of ${id}`): CommandKey {
  return { id, digest };
}

export const MIRA: Person = {
  id: "p-1",
  name: "Mira Holm",
  shortName: "Mira H.",
  notes: "Left-handed; old knee.",
  consents: ["wall", "results"],
  erased: false,
};

const TABLE_SEAT: StoredSeat = {
  id: "s-1",
  kind: "table",
  secretHash: "a".repeat(64),
  ring: "ring-1",
  revoked: false,
};

/** `open` answers with a new, empty ledger each time. */
export function ledgerContract(name: string, open: () => Promise<Ledger>): void {
  describe(`${name}, as every ledger,`, () => {
    let ledger: Ledger;
    beforeEach(async () => {
      ledger = await open();
    });
    afterEach(() => ledger.close());

    describe("appends", () => appending(() => ledger));
    describe("answers a command once", () => answering(() => ledger));
    describe("keeps rule sets, people and seats", () => keeping(() => ledger));
    describe("gives turns on a stream", () => takingTurns(() => ledger));

    test("a closed ledger refuses everything, and closing it twice does no harm", async () => {
      await ledger.close();
      await ledger.close();
      await expect(ledger.append("bout/1", 0, [halt(1)], key("c-1"))).rejects.toMatchObject({
        code: "closed",
      });
      await expect(ledger.read("bout/1")).rejects.toMatchObject({ code: "closed" });
      await expect(ledger.putPerson(MIRA)).rejects.toMatchObject({ code: "closed" });
    });
  });
}

function appending(ledger: () => Ledger): void {
  test("events get versions from 1 without a gap and come back in order, data and all", async () => {
    const data = {
      ü: [1, 0.5, -0, 1e21, null, true],
      text: 'a "quote", a\nline, 🤺, \ud83e',
      __proto__: null,
    };
    const first = await ledger().append("bout/1", 0, [halt(1), { type: "Noted", data, at: AT }], key("c-1"));
    const second = await ledger().append("bout/1", 2, [halt(3)], key("c-2"));

    expect(first).toMatchObject({ outcome: "appended", version: 2 });
    expect(second).toMatchObject({ outcome: "appended", version: 3 });
    const events = await ledger().read("bout/1");
    expect(events.map(({ version, type, command }) => [version, type, command])).toEqual([
      [1, "HaltCalled", "c-1"],
      [2, "Noted", "c-1"],
      [3, "HaltCalled", "c-2"],
    ]);
    expect(events[1]?.data).toEqual({ ü: [1, 0.5, 0, 1e21, null, true], text: data.text });
    expect(events).toEqual([...eventsOf(first), ...eventsOf(second)]);
    expect(await ledger().read("bout/1", 2)).toEqual(eventsOf(second));
    expect(await ledger().read("bout/1", 3)).toEqual([]);
  });

  test("a stream that was never written is empty", async () => {
    expect(await ledger().read("bout/none")).toEqual([]);
    expect(await ledger().streams()).toEqual([]);
  });

  test("an append that expects another version is stale, says where the stream is, and writes nothing", async () => {
    await ledger().append("bout/1", 0, [halt(1), halt(2)], key("c-1"));
    for (const expected of [0, 1, 3]) {
      expect(await ledger().append("bout/1", expected, [halt(9)], key(`late-${expected}`))).toEqual({
        outcome: "stale",
        version: 2,
      });
      expect(await ledger().outcomeOf(`late-${expected}`)).toBeUndefined();
    }
    expect(await ledger().read("bout/1")).toHaveLength(2);
  });

  test("of appends made at the same time with the same expectation, exactly one wins", async () => {
    const results = await Promise.all(
      Array.from({ length: 20 }, (_, i) => ledger().append("bout/1", 0, [halt(i)], key(`c-${i}`))),
    );
    expect(results.filter(({ outcome }) => outcome === "appended")).toHaveLength(1);
    expect(results.filter(({ outcome }) => outcome === "stale")).toHaveLength(19);
    expect(await ledger().read("bout/1")).toHaveLength(1);
  });

  test("streams do not disturb one another and are listed with their versions", async () => {
    await ledger().append("meet/1", 0, [halt(1)], key("c-1"));
    await ledger().append("bout/ø", 0, [halt(1), halt(2)], key("c-2"));
    await ledger().append("bout/b", 0, [halt(1)], key("c-3"));
    expect(await ledger().streams()).toEqual([
      { stream: "bout/b", version: 1 },
      { stream: "bout/ø", version: 2 },
      { stream: "meet/1", version: 1 },
    ]);
  });

  test("every stream's chain verifies, and the chains of two streams differ", async () => {
    for (const stream of ["bout/1", "bout/2"]) {
      await ledger().append(stream, 0, [halt(1), halt(2)], key(`first ${stream}`));
      await ledger().append(stream, 2, [halt(3)], key(`second ${stream}`));
    }
    const one = verifyChain(await ledger().read("bout/1"));
    const two = verifyChain(await ledger().read("bout/2"));
    expect(one).toMatchObject({ ok: true, version: 3 });
    expect(two).toMatchObject({ ok: true, version: 3 });
    expect(one.ok && two.ok && one.chain !== two.chain).toBe(true);
  });

  test("what JSON cannot hold is refused, and says where; nothing of that append is written", async () => {
    const bad: readonly (readonly [unknown, string])[] = [
      [{ touch: { at: Number.NaN } }, "data.touch.at is NaN"],
      [{ list: [1, undefined] }, "data.list[1] is undefined"],
      [{ when: new Date(0) }, "data.when is a Date"],
      [undefined, "data is undefined"],
    ];
    for (const [data, sentence] of bad) {
      await expect(
        ledger().append("bout/1", 0, [halt(1), { type: "Noted", data, at: AT }], key("c-bad")),
      ).rejects.toMatchObject({ code: "not-storable", message: expect.stringContaining(sentence) });
    }
    await expect(
      ledger().append("bout/1", 0, [{ type: "Noted", data: {}, at: 1.5 }], key("c-bad")),
    ).rejects.toMatchObject({ code: "not-storable" });
    await expect(ledger().append("bout/1\0", 0, [halt(1)], key("c-bad"))).rejects.toMatchObject({
      code: "not-storable",
    });
    expect(await ledger().streams()).toEqual([]);
    expect(await ledger().outcomeOf("c-bad")).toBeUndefined();
  });

  test("changing what was handed in or read does not change the ledger", async () => {
    const data = { touches: [1] };
    await ledger().append("bout/1", 0, [{ type: "Noted", data, at: AT }], key("c-1"));
    data.touches.push(2);
    const [read] = await ledger().read("bout/1");
    Object.assign(read?.data ?? {}, { touches: "none" });
    expect((await ledger().read("bout/1"))[0]?.data).toEqual({ touches: [1] });
  });

  test("any story of appends has the outcomes that the memory ledger gives", async () => {
    const step = fc.record({
      stream: fc.constantFrom("bout/1", "bout/2"),
      expected: fc.nat({ max: 6 }),
      count: fc.nat({ max: 3 }),
      id: fc.constantFrom("a", "b", "c", "d", "e", "f", "g", "h"),
      digest: fc.constantFrom("x", "y", "x"),
    });
    let stories = 0;
    const seen = new Set<string>();
    await fc.assert(
      fc.asyncProperty(fc.array(step, { minLength: 4, maxLength: 25 }), async (steps) => {
        stories += 1;
        const model = new MemoryLedger();
        const mark = `story ${stories} `;
        const told = async (to: Ledger, s: (typeof steps)[number]): Promise<AppendResult> =>
          to.append(
            mark + s.stream,
            s.expected,
            Array.from({ length: s.count }, (_, i) => halt(i)),
            key(mark + s.id, s.digest),
          );
        for (const s of steps) {
          const result = await told(ledger(), s);
          expect(result).toEqual(await told(model, s));
          seen.add(result.outcome);
        }
        const stream = `${mark}bout/1`;
        expect(await ledger().read(stream)).toEqual(await model.read(stream));
      }),
      { seed: 7, numRuns: 40 },
    );
    // The stories did something: every outcome came up.
    expect([...seen].sort()).toEqual(["appended", "key-reused", "repeated", "stale"]);
  });
}

function answering(ledger: () => Ledger): void {
  test("the same command again gives the answer of that time, whatever it now expects", async () => {
    const first = await ledger().append("bout/1", 0, [halt(1), halt(2)], key("c-1"));
    await ledger().append("bout/1", 2, [halt(3)], key("c-2"));

    const again = { ...first, outcome: "repeated" };
    expect(await ledger().append("bout/1", 0, [halt(1), halt(2)], key("c-1"))).toEqual(again);
    expect(await ledger().append("bout/1", 3, [halt(1), halt(2)], key("c-1"))).toEqual(again);
    expect(await ledger().outcomeOf("c-1")).toEqual(again);
    expect(await ledger().read("bout/1")).toHaveLength(3);
  });

  test("two sendings of one command at the same time are written once", async () => {
    const results = await Promise.all([1, 2].map(() => ledger().append("bout/1", 0, [halt(1)], key("c-1"))));
    expect(results.map(({ outcome }) => outcome)).toEqual(["appended", "repeated"]);
    expect(await ledger().read("bout/1")).toHaveLength(1);
  });

  test("a key used again with another request, or for another stream, is refused", async () => {
    await ledger().append("bout/1", 0, [halt(1)], key("c-1"));
    expect(await ledger().append("bout/1", 1, [halt(2)], key("c-1", "another"))).toEqual({
      outcome: "key-reused",
    });
    expect(await ledger().append("bout/2", 0, [halt(1)], key("c-1"))).toEqual({ outcome: "key-reused" });
    expect(await ledger().streams()).toEqual([{ stream: "bout/1", version: 1 }]);
  });

  test("a stale command was not answered: with a new expectation it is appended", async () => {
    await ledger().append("bout/1", 0, [halt(1)], key("c-1"));
    expect(await ledger().append("bout/1", 0, [halt(2)], key("c-2"))).toMatchObject({ outcome: "stale" });
    expect(await ledger().append("bout/1", 1, [halt(2)], key("c-2"))).toMatchObject({ outcome: "appended" });
  });

  test("a command that led to nothing is remembered too", async () => {
    expect(await ledger().append("bout/1", 0, [], key("c-0"))).toEqual({
      outcome: "appended",
      version: 0,
      events: [],
    });
    expect(await ledger().outcomeOf("c-0")).toEqual({ outcome: "repeated", version: 0, events: [] });
    expect(await ledger().outcomeOf("never sent")).toBeUndefined();
    expect(await ledger().append("bout/1", 0, [halt(1)], key("c-1"))).toMatchObject({ outcome: "appended" });
  });
}

function takingTurns(ledger: () => Ledger): void {
  test("whoever has the turn appends; the others wait, on that stream only", async () => {
    const order: string[] = [];
    let another: Promise<unknown> = Promise.resolve();
    await ledger().inTurn("bout/1", async (held) => {
      another = ledger()
        .append("bout/1", 0, [halt(9)], key("late"))
        .then(({ outcome }) => order.push(`late ${outcome}`));
      order.push((await ledger().append("bout/2", 0, [halt(1)], key("c-2"))).outcome);
      for (const [at, id] of ["c-1", "c-3"].entries()) {
        expect(await held.read("bout/1")).toHaveLength(at);
        order.push((await held.append("bout/1", at, [halt(at)], key(id))).outcome);
      }
      expect(await held.outcomeOf("c-1")).toMatchObject({ outcome: "repeated", version: 1 });
    });
    await another;
    expect(order).toEqual(["appended", "appended", "appended", "late stale"]);
    expect((await ledger().read("bout/1")).map(({ command }) => command)).toEqual(["c-1", "c-3"]);
    expect(verifyChain(await ledger().read("bout/1"))).toMatchObject({ ok: true, version: 2 });
  });

  test("turns come one after the other: each finds what the one before left", async () => {
    const turn = (no: number): Promise<void> =>
      ledger().inTurn("bout/1", async (held) => {
        const version = (await held.read("bout/1")).length;
        const { outcome } = await held.append("bout/1", version, [halt(no)], key(`turn-${no}`));
        expect(outcome).toBe("appended");
      });
    await Promise.all(Array.from({ length: 12 }, (_, no) => turn(no)));
    expect(await ledger().read("bout/1")).toHaveLength(12);
  });

  test("work that fails gives the turn back", async () => {
    const fails = ledger().inTurn("bout/1", () => Promise.reject(new Error("no")));
    await expect(fails).rejects.toThrow("no");
    const result = await ledger().inTurn("bout/1", (held) => held.append("bout/1", 0, [halt(1)], key("c-1")));
    expect(result).toMatchObject({ outcome: "appended", version: 1 });
  });
}

function keeping(ledger: () => Ledger): void {
  test("a rule set is stored once by its hash and never becomes another", async () => {
    const ruleSet = { hash: "h-1", text: "name: Cover and answer\n" };
    await ledger().putRuleSet(ruleSet);
    await ledger().putRuleSet(ruleSet);
    await ledger().putRuleSet({ hash: "h-0", text: "name: Thrust night\n" });
    await expect(ledger().putRuleSet({ hash: "h-1", text: "name: Other\n" })).rejects.toMatchObject({
      code: "rule-set-differs",
    });
    expect(await ledger().ruleSet("h-1")).toEqual(ruleSet);
    expect(await ledger().ruleSet("h-2")).toBeUndefined();
    expect((await ledger().ruleSets()).map(({ hash }) => hash)).toEqual(["h-1", "h-0"]);
  });

  test("a person can be changed and keeps their place", async () => {
    await ledger().putPerson(MIRA);
    await ledger().putPerson({ ...MIRA, id: "p-2", name: "Ódhrán Üçgül" });
    const changed = { ...MIRA, shortName: "", consents: [] };
    await ledger().putPerson(changed);
    expect(await ledger().people()).toEqual([changed, { ...MIRA, id: "p-2", name: "Ódhrán Üçgül" }]);
  });

  test("[D4] an erased person leaves an empty row for good, and every chain still verifies", async () => {
    const won: NewEvent = { type: "BoutEnded", data: { winner: MIRA.id }, at: AT };
    await ledger().append("bout/1", 0, [won], key("c-1"));
    await ledger().putPerson(MIRA);
    const before = await ledger().read("bout/1");

    await ledger().erasePerson(MIRA.id);

    const empty = { id: MIRA.id, name: "", shortName: "", notes: "", consents: [], erased: true };
    expect(await ledger().people()).toEqual([empty]);
    expect(await ledger().read("bout/1")).toEqual(before);
    expect(verifyChain(before)).toMatchObject({ ok: true, version: 1 });
    await expect(ledger().putPerson(MIRA)).rejects.toMatchObject({ code: "erased" });
    await ledger().erasePerson(MIRA.id);
    await ledger().erasePerson("nobody");
    expect(await ledger().people()).toEqual([empty]);
  });

  test("a person handed over as erased is stored empty", async () => {
    await ledger().putPerson({ ...MIRA, erased: true });
    expect(JSON.stringify(await ledger().people())).not.toContain("Mira");
  });

  test("a name that cannot be kept whole is refused, not cut", async () => {
    await expect(ledger().putPerson({ ...MIRA, name: "Mira\0Holm" })).rejects.toMatchObject({
      code: "not-storable",
    });
    expect(await ledger().people()).toEqual([]);
  });

  test("seats come back as they were put, and can be revoked and issued anew", async () => {
    const referee: StoredSeat = {
      id: "s-2",
      kind: "judge",
      secretHash: "b".repeat(64),
      ring: "ring-1",
      judge: 1,
      referee: true,
      revoked: false,
    };
    const fencer: StoredSeat = {
      id: "s-3",
      kind: "fencer",
      secretHash: "c".repeat(64),
      person: "p-1",
      revoked: false,
    };
    for (const seat of [TABLE_SEAT, referee, fencer]) await ledger().putSeat(seat);
    expect(await ledger().seats()).toEqual([TABLE_SEAT, referee, fencer]);

    const anew = { ...TABLE_SEAT, secretHash: "d".repeat(64) };
    await ledger().putSeat({ ...referee, revoked: true });
    await ledger().putSeat(anew);
    expect(await ledger().seats()).toEqual([anew, { ...referee, revoked: true }, fencer]);
  });

  test("every change of a rule set, a person or a seat is told by another number; reading is none", async () => {
    const numbers = [await ledger().beside()];
    const noted = async (): Promise<void> => void numbers.push(await ledger().beside());
    await ledger().putRuleSet({ hash: "h-1", text: "name: One\n" });
    await noted();
    await ledger().putPerson(MIRA);
    await noted();
    await ledger().erasePerson(MIRA.id);
    await noted();
    await ledger().putSeat(TABLE_SEAT);
    await noted();
    await ledger().putSeat({ ...TABLE_SEAT, revoked: true });
    await noted();
    expect(new Set(numbers).size).toBe(6);
    await ledger().seats();
    await ledger().append("bout/1", 0, [halt(1)], key("c-1"));
    expect(await ledger().beside()).toBe(numbers.at(-1));
  });
}

function eventsOf(result: AppendResult): readonly unknown[] {
  return "events" in result ? result.events : [];
}
