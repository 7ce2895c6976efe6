/**
 * Bytes of the ledger's file and of its log that a disk has changed, lost or written only in part: either a sentence says
 * so, at the start or in the check, or every acknowledged event is exactly as it was.
 */
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { connect } from "../../engine/ledger/connection.ts";
import { takeHold } from "../../engine/ledger/hold.ts";
import { lookAtLog } from "../../engine/ledger/log-check.ts";
import { openSqlite, SqliteLedger } from "../../engine/ledger/sqlite.ts";
import { chances } from "../support/chances.ts";
import { allEvents, bytesOf, HARMS, harmed, whatIsFound, type Bytes } from "../support/harm.ts";

/** Offsets tried of each kind of harm in each of the two files. */
const OFFSETS = process.env["LONG"] === "1" ? 2_000 : 12;

/** A frame of the log: its header and a page (https://www.sqlite.org/fileformat2.html#walformat). */
const FRAME = 24 + 4_096;
const LOG_HEADER = 32;

let dir: string;
let whole: Bytes;
let acknowledged: string;
/** The log when each append was acknowledged, in bytes. */
const lengths: number[] = [];

/** Half of it has gone into the file, half lies in the log, as after a kill in mid-evening. */
beforeAll(async () => {
  dir = mkdtempSync(join(tmpdir(), "garland-torn-"));
  const file = join(dir, "ledger.sqlite");
  const chance = chances(11);
  let ledger = await openSqlite(file);
  const heads = new Map<string, number>();
  for (let n = 0; n < 160; n += 1) {
    if (n === 80) {
      await ledger.close();
      ledger = await openSqlite(file);
    }
    const stream = n % 7 === 0 ? "meet" : `bout/${n % 3}`;
    const events = Array.from({ length: 1 + Math.floor(chance() * 3) }, (_, k) => ({
      type: "Noted",
      data: { n, k, text: "thread ".repeat(Math.floor(chance() * 120)) },
      at: 1_000 + n,
    }));
    const head = heads.get(stream) ?? 0;
    await ledger.append(stream, head, events, { id: `c-${n}`, digest: `d-${n}` });
    heads.set(stream, head + events.length);
    if (n >= 80) lengths.push(bytesOf(file).log.length);
  }
  whole = bytesOf(file);
  acknowledged = await allEvents(ledger);
  await ledger.close();
});
afterAll(() => rmSync(dir, { recursive: true }));

test("without any harm a kill loses nothing, and nothing is said", async () => {
  expect(await whatIsFound(whole, acknowledged)).toEqual({ verdict: "same", words: "" });
});

describe.each(HARMS)("%s", (harm) => {
  test.each(["file", "log"] as const)(
    `at ${OFFSETS} places of the %s: a sentence, or nothing has changed`,
    async (part) => {
      const chance = chances(HARMS.indexOf(harm) * 2 + (part === "log" ? 1 : 2));
      const verdicts = new Map<string, number>();
      for (let n = 0; n < OFFSETS; n += 1) {
        const at = Math.floor(chance() * whole[part].length);
        // Between two frames nothing is torn: see the last test.
        if (harm === "tear" && part === "log" && (at - LOG_HEADER) % FRAME === 0) continue;
        const bytes = { ...whole, [part]: harmed(whole[part], harm, at, chance()) };
        const { verdict, words } = await whatIsFound(bytes, acknowledged);
        expect(verdict, `${harm} at ${at} of the ${part}: ${words}`).not.toBe("silent");
        if (verdict === "said")
          expect(words).toMatch(/ledger|file|bout|meet|event|command|people|seats|rule sets/i);
        verdicts.set(verdict, (verdicts.get(verdict) ?? 0) + 1);
      }
      // Harm that is never noticed would prove nothing.
      expect(verdicts.get("said") ?? 0).toBeGreaterThan(0);
    },
  );
});

describe("the last frame of the log", () => {
  test("torn anywhere while it was written, loses nothing of what was acknowledged before it", async () => {
    const before = lengths.at(-2) ?? 0;
    const chance = chances(3);
    for (let n = 0; n < 12; n += 1) {
      const at = before + 1 + Math.floor(chance() * (whole.log.length - before - 1));
      const bytes = { ...whole, log: whole.log.subarray(0, at) };
      const isBetween = (at - LOG_HEADER) % FRAME === 0;
      if (!isBetween) expect(lookAtLog(bytes.log).state).toBe("cut");
      const found = await eventsIn(bytes);
      expect(isPrefix(found, JSON.parse(acknowledged) as Streams, 1)).toBe(true);
    }
  });

  test("whose header a disk has zeroed is missed: a sentence says that the end is not whole", async () => {
    const last = whole.log.length - FRAME;
    // The last one reaches into the frame before it as well, as a sector does.
    for (const zeroed of [last, last + 6, last + 8, last - 360]) {
      const log = Buffer.from(whole.log).fill(0, zeroed, last + 24);
      expect(await whatIsFound({ ...whole, log }, acknowledged)).toMatchObject({
        verdict: "said",
        words: expect.stringMatching(/ends in an entry that was not written whole/),
      });
    }
  });

  test("a log that ends between two frames cannot be told from one that was never longer: what is there is a whole beginning", async () => {
    const frames = (whole.log.length - LOG_HEADER) / FRAME;
    for (const left of [0, 1, Math.floor(frames / 2), frames - 1]) {
      const log = whole.log.subarray(0, LOG_HEADER + left * FRAME);
      expect(isPrefix(await eventsIn({ ...whole, log }), JSON.parse(acknowledged) as Streams)).toBe(true);
    }
  });
});

type Streams = readonly (readonly { readonly stream: string; readonly command: string }[])[];

async function eventsIn({ file, log }: Bytes): Promise<Streams> {
  const place = mkdtempSync(join(tmpdir(), "garland-cut-"));
  writeFileSync(join(place, "ledger.sqlite"), file);
  writeFileSync(join(place, "ledger.sqlite-wal"), log);
  const ledger = await openSqlite(join(place, "ledger.sqlite"));
  try {
    expect(await ledger.integrity()).toEqual([]);
    return JSON.parse(await allEvents(ledger)) as Streams;
  } finally {
    await ledger.close();
    rmSync(place, { recursive: true });
  }
}

/** Whether every stream begins as it should, and no more commands than `lost` are missing. */
function isPrefix(found: Streams, all: Streams, lost = Infinity): boolean {
  const streams = new Map(found.map((events) => [events[0]?.stream, events]));
  const missing = new Set<string>();
  for (const events of all) {
    const here = streams.get(events[0]?.stream ?? "") ?? [];
    if (JSON.stringify(here) !== JSON.stringify(events.slice(0, here.length))) return false;
    for (const { command } of events.slice(here.length)) missing.add(command);
  }
  return missing.size <= lost;
}

test("a table whose columns a disk has renamed is a damaged ledger, not a fault of ours", async () => {
  const file = Buffer.from(whole.file);
  const at = file.indexOf("last   INTEGER NOT NULL");
  expect(at).toBeGreaterThan(0);
  file[at] = (file[at] ?? 0) ^ 1;
  expect(await whatIsFound({ ...whole, file }, acknowledged)).toMatchObject({
    verdict: "said",
    words: expect.stringMatching(
      /ledger\.sqlite is not a sound Garland ledger: its tables are not as they were made/,
    ),
  });
});

test("a log that was begun anew is whole, whatever of its former beginning lies behind", async () => {
  const place = mkdtempSync(join(tmpdir(), "garland-anew-"));
  const hold = await takeHold(join(place, "ledger.sqlite"));
  const ledger = new SqliteLedger(hold);
  const note = (n: number) => ({ type: "Noted", data: { n, text: "thread ".repeat(900) }, at: n });
  for (let n = 0; n < 9; n += 1) await ledger.append("bout/1", n, [note(n)], { id: `c-${n}`, digest: "d" });
  hold.connection.prepare("PRAGMA wal_checkpoint(RESTART)").all();
  await ledger.append("bout/1", 9, [note(9)], { id: "c-9", digest: "d" });
  const bytes = bytesOf(join(place, "ledger.sqlite"));
  const look = lookAtLog(bytes.log);
  expect(look.state).toBe("whole");
  expect(look.readable).toBeLessThan((bytes.log.length - LOG_HEADER) / FRAME);
  expect(await whatIsFound(bytes, await allEvents(ledger))).toMatchObject({ verdict: "same" });
  await ledger.close();
  rmSync(place, { recursive: true });
});

describe("the check itself bites:", () => {
  test("SQLite alone passes over acknowledged commits behind a flipped bit, without a word", async () => {
    const place = mkdtempSync(join(tmpdir(), "garland-bare-"));
    const file = join(place, "ledger.sqlite");
    const log = harmed(whole.log, "flip", LOG_HEADER + 30 * FRAME + 2_000, 0.5);
    writeFileSync(file, whole.file);
    writeFileSync(`${file}-wal`, log);
    const bare = connect(file, undefined);
    const count = (row: unknown): number => Number(Object.values(row ?? {})[0]);
    const found = count(bare.prepare("SELECT count(*) FROM events").get());
    expect(bare.prepare("PRAGMA integrity_check").get()).toMatchObject({ integrity_check: "ok" });
    bare.close();
    rmSync(place, { recursive: true });
    expect(found).toBeLessThan((JSON.parse(acknowledged) as Streams).flat().length);
    expect(lookAtLog(log).state).toBe("broken");
    expect(await whatIsFound({ ...whole, log }, acknowledged)).toMatchObject({
      verdict: "said",
      words: expect.stringMatching(/ledger\.sqlite is not a sound Garland ledger: its log has lost/),
    });
  });

  test("a difference that nothing explains is called silent", async () => {
    const other = JSON.parse(acknowledged) as Streams;
    expect(await whatIsFound(whole, JSON.stringify(other.slice(1)))).toMatchObject({ verdict: "silent" });
  });

  test("what a commit that was given up has left behind the end is no break", () => {
    // A commit of one frame in the place of one of many that found no room: the rest of the many lies behind it.
    const at = lengths.find((length, n) => length - (lengths[n - 1] ?? length) >= 3 * FRAME) ?? 0;
    const log = Buffer.from(whole.log.subarray(0, at));
    const frames = (at - LOG_HEADER) / FRAME;
    expect(lookAtLog(log)).toEqual({ state: "whole", readable: frames });
    // The given-up one's first frame is another one now, and its last, the commit, was never written.
    const first = LOG_HEADER + (frames - 3) * FRAME;
    log[first + 500] = (log[first + 500] ?? 0) ^ 1;
    expect(lookAtLog(log.subarray(0, at - FRAME))).toEqual({ state: "whole", readable: frames - 3 });
  });
});
