import { describe, expect, test } from "vitest";
import { standingFor, TROUBLES } from "../../table-ui/wire/standing.ts";
import {
  ago,
  lasting,
  pace,
  ringTold,
  screensTold,
  serverTold,
  size,
  summary,
  troublesIn,
} from "../../table-ui/wire/status-words.ts";
import type { RingStatus, StatusOnView } from "../../table-ui/wire/view-status.ts";

const NOW = 1_900_000_000_000;
const MINUTE = 60_000;

const ring = (more: Partial<RingStatus> = {}): RingStatus => ({
  name: "Ring 2",
  bout: true,
  table: { is: "here" },
  pen: true,
  judges: {},
  ...more,
});

const status = (more: Partial<StatusOnView> = {}): StatusOnView => ({
  startedAt: NOW - 90 * MINUTE,
  version: "0.1.0",
  lastWrite: NOW - 3_000,
  slowestMs: 200,
  screens: {
    coach: { here: 1, seats: 1 },
    table: { here: 2, seats: 2 },
    judge: { here: 1, seats: 4 },
    fencer: { here: 9, seats: 12 },
    wall: { here: 1, seats: 1 },
  },
  lostWalls: {},
  rings: { r2: ring() },
  ledger: { driver: "sqlite (libsql)", folder: "thursday", bytes: 2_400_000, freeBytes: 31_000_000_000 },
  unread: 0,
  ...more,
});

const found = (more: Partial<StatusOnView>): readonly string[] =>
  troublesIn({ status: status(more), now: NOW }).map(({ what }) => what);
const withRing = (more: Partial<RingStatus>): readonly string[] => found({ rings: { r2: ring(more) } });
const lost = (ms: number) => ({ is: "lost", since: NOW - ms }) as const;

describe("where all is well", () => {
  test("the first sentence says that everything is recorded, and nothing is to be looked at", () => {
    const looked = { status: status(), now: NOW };
    expect(summary(looked)).toBe("Everything is recorded. Last write 3 s ago.");
    expect(pace(looked.status)).toBe("Screens follow within 0.2 s.");
    expect(troublesIn(looked)).toEqual([]);
  });

  test("a quiet hall is no trouble either", () => {
    const { lastWrite: _, slowestMs: __, ...quiet } = status();
    expect(summary({ status: quiet, now: NOW })).toBe(
      "Everything is recorded. Nothing written since the start.",
    );
    expect(troublesIn({ status: quiet, now: NOW })).toEqual([]);
    expect(withRing({ bout: false, table: { is: "not yet" }, pen: false })).toEqual([]);
    expect(withRing({ bout: false, table: lost(9 * MINUTE) })).toEqual([]);
    expect(
      withRing({ bout: false, judges: { j: { title: "Judge 1, Ring 2", at: lost(9 * MINUTE) } } }),
    ).toEqual([]);
  });
});

describe("what somebody should look at", () => {
  test("a table that is lost while its ring has a bout, once it has been away for longer than a hiccup", () => {
    expect(withRing({ table: lost(3 * MINUTE) })).toEqual([
      "Ring 2's tablet has not been heard for 3 minutes.",
    ]);
    expect(withRing({ table: lost(15_000) })).toEqual(["Ring 2's tablet has not been heard for 15 seconds."]);
    expect(withRing({ table: lost(14_000) })).toEqual([]);
  });

  test("a table that is lost with presses on it, bout or not", () => {
    expect(
      withRing({ bout: false, table: lost(3 * MINUTE), outbox: { waiting: 2, since: NOW - MINUTE } }),
    ).toHaveLength(1);
    expect(withRing({ bout: false, table: lost(3 * MINUTE), outbox: { waiting: 0 } })).toEqual([]);
  });

  test("a bout without a table", () => {
    expect(withRing({ table: { is: "not yet" } })).toEqual([
      "Ring 2 has a bout, and its table's page is not open.",
    ]);
  });

  test("presses that wait on a tablet that is here", () => {
    const outbox = (waiting: number, ms: number) => withRing({ outbox: { waiting, since: NOW - ms } });
    expect(outbox(4, 40_000)).toEqual(["4 presses wait on Ring 2's tablet, the first for 40 seconds."]);
    expect(outbox(1, 10_000)).toEqual(["1 press waits on Ring 2's tablet, the first for 10 seconds."]);
    expect(outbox(4, 9_000)).toEqual([]);
  });

  test("a judge whose phone has been away for longer than it counts as there", () => {
    const judge = (ms: number) => withRing({ judges: { j: { title: "Judge 1, Ring 2", at: lost(ms) } } });
    expect(judge(3 * MINUTE)).toEqual(["Judge 1, Ring 2 has not been heard for 3 minutes."]);
    expect(judge(2 * MINUTE - 1)).toEqual([]);
  });

  test("a wall, slow screens, a full disk, rule sets that cannot be read", () => {
    expect(found({ lostWalls: { w: NOW - 2 * MINUTE } })).toEqual([
      "A wall has not been heard for 2 minutes.",
    ]);
    expect(found({ lostWalls: { w: NOW - MINUTE + 1 } })).toEqual([]);
    expect(found({ slowestMs: 3_200 })).toEqual(["Screens follow as late as 3.2 s after a press."]);
    expect(found({ slowestMs: 2_000 })).toEqual([]);
    const free = (freeBytes: number) => found({ ledger: { driver: "sqlite", freeBytes } });
    expect(free(400_000_000)).toEqual(["Only 400 MB are free on the server's disk."]);
    expect(free(500_000_000)).toEqual([]);
    expect(found({ unread: 1 })).toEqual([
      "1 rule set cannot be read by this version of Garland, so its bouts are not shown.",
    ]);
    expect(found({ unread: 2 })).toEqual([
      "2 rule sets cannot be read by this version of Garland, so their bouts are not shown.",
    ]);
  });

  test.each(TROUBLES)("a ledger that records nothing comes first: %s", (state) => {
    const standing = standingFor({ state, since: NOW - 40_000, folder: "thursday" }, { kind: "coach" });
    const looked = { status: status({ unread: 1 }), standing, now: NOW };
    expect(summary(looked)).toBe("Nothing is recorded just now.");
    expect(troublesIn(looked)[0]).toEqual({
      id: "ledger",
      grave: true,
      what: "Nothing has been recorded for 40 seconds.",
      cure: standing?.sentence,
    });
  });

  test("the grave first; each says in a sentence what to do", () => {
    const all = troublesIn({
      status: status({
        lostWalls: { w: NOW - 2 * MINUTE },
        slowestMs: 9_000,
        unread: 1,
        ledger: { driver: "sqlite", freeBytes: 1 },
        rings: {
          r1: ring({ name: "Ring 1", table: { is: "not yet" } }),
          r2: ring({
            table: lost(3 * MINUTE),
            judges: { j: { title: "Judge 1, Ring 2", at: lost(3 * MINUTE) } },
          }),
          r3: ring({ name: "Ring 3", outbox: { waiting: 3, since: NOW - MINUTE } }),
        },
      }),
      now: NOW,
    });
    expect(all.map(({ id, grave }) => [id, grave])).toEqual([
      ["table r2", true],
      ["room", true],
      ["table r1", false],
      ["outbox r3", false],
      ["slow", false],
      ["unread", false],
      ["judge j", false],
      ["wall w", false],
    ]);
    for (const { what, cure } of all) {
      expect(`${what} ${cure}`).toMatch(/^[^!]+\.$/);
      expect(cure.length).toBeGreaterThan(20);
    }
  });
});

test("a page that is out of reach says only that: what it heard before may be old", () => {
  const looked = { status: status({ lostWalls: { w: NOW - 9 * MINUTE } }), away: NOW - 70_000, now: NOW };
  expect(summary(looked)).toBe("The server is out of reach. Below is how it was.");
  expect(troublesIn(looked).map(({ what }) => what)).toEqual([
    "This page has not heard from the server for 70 seconds.",
  ]);
});

test("a ring's devices, row by row", () => {
  const told = (more: Partial<RingStatus>) => Object.fromEntries(ringTold(ring(more), NOW).rows);
  const judges = {
    a: { title: "Judge 1", at: { is: "here" } },
    b: { title: "Judge 2", at: lost(1) },
  } as const;
  expect(told({ judges, outbox: { waiting: 0 } })).toEqual({
    Table: "connected",
    Pen: "held",
    "Presses that wait": "none",
    Judges: "1 of 2 connected",
  });
  expect(
    told({ table: lost(3 * MINUTE), pen: false, outbox: { waiting: 4, since: NOW - 5 * MINUTE } }),
  ).toEqual({
    Table: "not heard for 3 minutes",
    Pen: "free",
    "Presses that wait": "4 when it was last heard, the first for 5 minutes",
    Judges: "none",
  });
  expect(told({ table: { is: "no seat" } })).toMatchObject({
    Table: "no link issued",
    "Presses that wait": "not told yet",
  });
});

test("screens and server", () => {
  expect(screensTold(status())).toContainEqual(["Fencers", "9 of 12"]);
  const { ledger } = status();
  expect(serverTold(status({ ledger: { ...ledger, lastBackup: NOW - 4 * MINUTE } }), NOW)).toEqual([
    ["Ledger", "in the folder thursday"],
    ["Its size", "2.4 MB"],
    ["Free on its disk", "31 GB"],
    ["Last backup", "4 min ago"],
    ["Running for", "90 minutes"],
    ["Version", "0.1.0"],
  ]);
  expect(Object.fromEntries(serverTold(status({ ledger: { driver: "postgres" } }), NOW))).toMatchObject({
    Ledger: "postgres",
    "Last backup": "none since the start",
  });
});

test("ages and sizes", () => {
  expect([0, 1_000, 119_000, 120_000, 7_199_000, 7_200_000].map(lasting)).toEqual([
    "1 second",
    "1 second",
    "119 seconds",
    "2 minutes",
    "119 minutes",
    "2 hours",
  ]);
  expect([-5_000, 1_999, 2_000, 120_000, 7_200_000].map((ms) => ago(NOW - ms, NOW))).toEqual([
    "just now",
    "just now",
    "2 s ago",
    "2 min ago",
    "2 h ago",
  ]);
  expect([1, 999_999, 1_000_000, 12_000_000, 1_500_000_000].map(size)).toEqual([
    "1 KB",
    "1000 KB",
    "1.0 MB",
    "12 MB",
    "1.5 GB",
  ]);
});
