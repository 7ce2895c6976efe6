/** How a ledger stands, by what comes of the calls to it. Time and faults are the test's own. */
import { describe, expect, test } from "vitest";
import { LedgerFault, openLedger, type LedgerFaultCode } from "../../engine/ledger/open.ts";
import { openPatience } from "../../table-ui/screens/table/patience.ts";
import { watchLedger } from "../../table-ui/server/standing.ts";
import type { Answered } from "../../table-ui/wire/messages.ts";
import {
  notRecorded,
  standingFor,
  TROUBLES,
  type Standing,
  type Trouble,
} from "../../table-ui/wire/standing.ts";
import { openTroubled, ticking } from "../support/troubled.ts";

const halt = (at: number) => ({ type: "HaltCalled", data: { at }, at });
const key = (id: string) => ({ id, digest: id });

async function open(probes = true) {
  const troubled = await openTroubled(probes);
  const time = ticking();
  let now = 1_000;
  const watch = watchLedger(troubled.ledger, { now: () => now, again: time.again });
  const heard: Standing["state"][] = [];
  watch.onChange(({ state }) => heard.push(state));
  const state = (): string => watch.standing().state;
  let count = 0;
  const append = () => watch.ledger.append("bout/1", count, [halt(now)], key(`c-${count}`));
  return {
    ...troubled,
    watch,
    ledger: watch.ledger,
    time,
    heard,
    state,
    setNow: (at: number) => (now = at),
    async write() {
      await append();
      count += 1;
    },
    async refused(code: LedgerFaultCode) {
      await expect(append()).rejects.toMatchObject({ name: "LedgerFault", code });
    },
    /** One look, and what came of it. */
    async look() {
      time.tick();
      await new Promise((done) => setImmediate(done));
    },
  };
}

const LASTING = [
  ["disk-failed", "failed"],
  ["damaged", "damaged"],
] as const;
const PASSING = [
  ["disk-full", "full"],
  ["unreachable", "unreachable"],
] as const;

describe("[W31] the standing", () => {
  test("is sound while all goes well, and nothing is tried", async () => {
    const { write, state, heard, time } = await open();
    await write();
    expect(state()).toBe("sound");
    expect(heard).toEqual([]);
    expect(time.waiting()).toBe(0);
  });

  test.each(PASSING)(
    "after %s is %s since the first fault, and sound when a look succeeds",
    async (code, as) => {
      const { write, refused, fail, watch, state, heard, look, setNow, time } = await open();
      await write();
      fail(code);
      setNow(2_000);
      await refused(code);
      setNow(3_000);
      await refused(code);
      expect(watch.standing()).toMatchObject({ state: as, since: 2_000 });
      await look();
      expect(state()).toBe(as);
      fail(undefined);
      await look();
      expect(heard).toEqual([as, "sound"]);
      expect(time.waiting()).toBe(0);
      await write();
    },
  );

  test.each(LASTING)(
    "after %s stays %s: nothing is tried, and nothing written though it could be",
    async (code, as) => {
      const { write, refused, fail, state, heard, time, asked, ledger } = await open();
      await write();
      fail(code);
      await refused(code);
      fail(undefined);
      const before = asked();
      await refused(code);
      await expect(ledger.inTurn("bout/1", (held) => held.read("bout/1"))).rejects.toMatchObject({ code });
      await expect(ledger.erasePerson("p-1")).rejects.toMatchObject({ code });
      expect(asked()).toBe(before);
      expect(await ledger.read("bout/1")).toHaveLength(1);
      expect(state()).toBe(as);
      expect(heard).toEqual([as]);
      expect(time.waiting()).toBe(0);
    },
  );

  test("a failure that lasts goes before one that passes, and is not taken back by it", async () => {
    const { refused, fail, state } = await open();
    fail("disk-full");
    await refused("disk-full");
    fail("disk-failed");
    await refused("disk-failed");
    fail("disk-full");
    await refused("disk-failed");
    expect(state()).toBe("failed");
  });

  test("a full disk is not disproved by an answer that wrote nothing", async () => {
    const { write, refused, fail, state, ledger } = await open();
    await write();
    fail("disk-full");
    await refused("disk-full");
    fail(undefined);
    expect(await ledger.append("bout/1", 0, [halt(1_000)], key("c-0"))).toMatchObject({
      outcome: "repeated",
    });
    expect(await ledger.append("bout/1", 7, [halt(1_000)], key("c-9"))).toMatchObject({ outcome: "stale" });
    expect(await ledger.read("bout/1")).toHaveLength(1);
    expect(state()).toBe("full");
    await write();
    expect(state()).toBe("sound");
  });

  test("where nothing can be written without a trace, a look reads: it finds a database again, and no room", async () => {
    const { refused, fail, state, look } = await open(false);
    fail("disk-full");
    await refused("disk-full");
    fail(undefined);
    await look();
    expect(state()).toBe("full");
    fail("unreachable");
    await refused("unreachable");
    fail(undefined);
    await look();
    expect(state()).toBe("sound");
  });

  test("what was under way before a fault does not disprove it", async () => {
    let answer = (): void => undefined;
    const slow = new Promise<void>((done) => (answer = done));
    const kept = Object.assign(await openLedger({ memory: true }), {
      putPerson: () => slow,
      beside: unreachable,
    });
    const watch = watchLedger(kept, { now: () => 1, again: ticking().again });
    const begun = watch.ledger.putPerson(MIRA);
    await expect(watch.ledger.beside()).rejects.toThrow();
    answer();
    await begun;
    expect(watch.standing().state).toBe("unreachable");
    await watch.ledger.putPerson(MIRA);
    expect(watch.standing().state).toBe("sound");
  });

  test("a fault of one call only says nothing about the ledger", async () => {
    const { ledger, state } = await open();
    await expect(ledger.putSeat({ ...WALL, id: "" })).rejects.toMatchObject({ code: "not-storable" });
    expect(state()).toBe("sound");
  });
});

const MIRA = { id: "p-1", name: "Mira", shortName: "", notes: "", consents: [], erased: false };
const WALL = { id: "s-1", kind: "wall", secretHash: "0", revoked: false } as const;
const unreachable = (): Promise<number> => Promise.reject(new LedgerFault("unreachable", "away"));

describe("[W31] the words", () => {
  const seats = ["coach", "table", "judge", "fencer", "wall"] as const;

  test.each(TROUBLES)("of %s differ by seat, and only the coach's names the folder", (state: Trouble) => {
    const said = seats.map(
      (kind) => standingFor({ state, since: 1, folder: "thursday" }, { kind })?.sentence ?? "",
    );
    expect(new Set(said).size).toBe(seats.length);
    expect(said[1]).toMatch(/Score on: this tablet keeps everything and sends it when/);
    for (const sentence of said.slice(1)) expect(sentence).not.toMatch(/thursday/);
    if (state !== "unreachable") expect(said[0]).toMatch(/folder thursday/);
    for (const sentence of said) expect(sentence).toMatch(/\.$/);
    expect(notRecorded(state)).toMatchObject({
      refused: "read-only",
      sentence: expect.stringMatching(/^Not recorded: .*Try again when/),
    });
  });

  test("are not said while it is sound", () => {
    expect(standingFor({ state: "sound" }, { kind: "wall" })).toBeUndefined();
  });
});

describe("[W32] the table's patience", () => {
  const full = standingFor({ state: "full", since: 1 }, { kind: "table" });
  const refusedNow: Answered = { ok: false, id: "c-1", refusal: notRecorded("full") };

  function patient() {
    const due: (() => void)[] = [];
    const patience = openPatience(() => new Promise((done) => due.push(done)));
    return { patience, pass: () => due.splice(0).forEach((done) => done()) };
  }

  test("an answer about the command itself is taken at once", async () => {
    const { patience } = patient();
    expect(await patience.waits({ ok: true, id: "c-1", version: 1 }, full)).toBe(false);
    const noPen: Answered = { ok: false, id: "c-1", refusal: { refused: "no-pen", sentence: "Taken over." } };
    expect(await patience.waits(noPen, full)).toBe(false);
  });

  test("what could not be recorded waits a while, however often, and is never set aside meanwhile", async () => {
    const { patience, pass } = patient();
    for (let tries = 0; tries < 50; tries += 1) {
      let waited: boolean | undefined;
      const waiting = patience.waits(refusedNow, full).then((answer) => (waited = answer));
      await new Promise((done) => setImmediate(done));
      expect(waited).toBeUndefined();
      pass();
      await waiting;
      expect(waited).toBe(true);
    }
  });

  test("it goes out as soon as the server says that it records again", async () => {
    const { patience } = patient();
    patience.sees(full);
    const waiting = patience.waits(refusedNow, full);
    patience.sees(undefined);
    expect(await waiting).toBe(true);
  });

  test("a command that alone is refused, while the server is sound, does not hold up the others for ever", async () => {
    const { patience, pass } = patient();
    const answers: boolean[] = [];
    for (let tries = 0; tries < 4; tries += 1) {
      const waiting = patience.waits(refusedNow, undefined);
      pass();
      answers.push(await waiting);
    }
    expect(answers).toEqual([true, true, true, false]);
  });
});
