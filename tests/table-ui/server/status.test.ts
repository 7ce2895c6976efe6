import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { afterEach, describe, expect, test } from "vitest";
import { openLedger } from "../../../engine/ledger/open.ts";
import type { StatusOnView } from "../../../table-ui/wire/view-status.ts";
import type { View } from "../../../table-ui/wire/views.ts";
import { readExposition, total } from "../../support/exposition.ts";
import {
  eventually,
  must,
  openTestHall,
  refusedAs,
  setTheStage,
  type Device,
  type TestHall,
} from "./hall.ts";

const START = 1_900_000_000_000;
let now = START;
let hall: TestHall;
const due: { readonly ms: number; readonly work: () => void }[] = [];

const open = async (options: Parameters<typeof openTestHall>[0] = {}): Promise<TestHall> => {
  now = START;
  due.length = 0;
  const every = (ms: number, work: () => void): (() => void) => {
    due.push({ ms, work });
    return () => undefined;
  };
  return (hall = await openTestHall({ now: () => now, every, version: "1.2.3", ...options }));
};
afterEach(() => hall.close());

/** The coach's status once the house has been looked over and it holds. */
async function told(holds: (status: StatusOnView) => unknown): Promise<StatusOnView> {
  hall.running.status.look();
  const view = await hall.coach.until(({ status }) => status !== undefined && holds(status));
  if (view.status === undefined) throw new Error("no status");
  return view.status;
}

const time = async <V extends View>(device: Device<V>, more: object): Promise<unknown> =>
  device.ask("time", { t: 1, ...more });

describe("[W37] what a device says of itself", () => {
  test("a table's outbox is shown at its ring and counted; nobody else's is", async () => {
    await open();
    const { table, judges, wall, redSeat } = await setTheStage(hall);
    for (const device of [wall, redSeat, ...judges]) await time<View>(device, { waiting: 9, oldest: 9_000 });
    expect((await told(() => true)).rings["r1"]?.outbox).toBeUndefined();
    expect(await time(table, { waiting: 4, oldest: 30_000 })).toEqual({ t: 1, server: START });
    const { rings } = await told((status) => status.rings["r1"]?.outbox);
    expect(rings["r1"]?.outbox).toEqual({ waiting: 4, since: START - 30_000 });
    now = START + 10_000;
    const read = readExposition(await (await fetch(`${hall.url}/metrics`)).text());
    expect(total(read, "garland_outbox_presses", { ring: "1" })).toBe(4);
    expect(total(read, "garland_outbox_oldest_seconds", { ring: "1" })).toBe(40);
    await time(table, { waiting: 0 });
    expect((await told((s) => s.rings["r1"]?.outbox?.waiting === 0)).rings["r1"]?.outbox).toEqual({
      waiting: 0,
    });
  });

  test.each([
    { waiting: -1 },
    { waiting: 1.5 },
    { waiting: 1e9 },
    { oldest: "long" },
    { oldest: 1e12 },
    { shown: 3 },
    { shown: { v: 1 } },
    { shown: { v: 1, at: -1 } },
    { shown: { v: 1, at: START, more: 1 } },
    { said: "more" },
  ])("what cannot be is refused, and nothing is kept: %j", async (more) => {
    await open();
    const { table } = await setTheStage(hall);
    const answer = (await time(table, { waiting: 3, ...more })) as Parameters<typeof refusedAs>[0];
    expect(refusedAs(answer)).toBe("bad-message");
    expect((await told(() => true)).rings["r1"]?.outbox).toBeUndefined();
  });

  test("from the press to the paint on another screen, by the clocks of both", async () => {
    await open();
    const { table, wall, redSeat, bout } = await setTheStage(hall);
    now = START + 60_000;
    // Pressed 80 ms before it came in, and painted 150 ms after.
    must(await table.command({ bout }, { type: "StartFencing" }, { at: now - 80 }));
    await wall.until((view) => view.rings["r1"]?.bout?.stage === "fencing");
    const painted = { v: wall.v, at: now + 150 };
    now += 200;
    await time(wall, { shown: painted });
    const status = await told(({ slowestMs }) => slowestMs !== undefined);
    expect(status.slowestMs).toBe(300);
    // Its own screen shows a press at once; versions that no press caused and times that cannot be say nothing.
    await time(table, { shown: { v: table.v, at: now } });
    await time(wall, { shown: { v: wall.v + 1, at: now } });
    await time(redSeat, { shown: { v: redSeat.v, at: now + 500_000 } });
    await time(redSeat, { shown: { v: redSeat.v, at: 5 } });
    const read = readExposition(await (await fetch(`${hall.url}/metrics`)).text());
    expect(total(read, "garland_press_to_screen_seconds_count")).toBe(1);
    expect(total(read, "garland_press_to_screen_seconds_sum", { kind: "wall" })).toBeCloseTo(0.23, 6);
    now += 61_000;
    expect((await told(({ slowestMs }) => slowestMs === undefined)).slowestMs).toBeUndefined();
  });

  test("what waited in an outbox, and what changed nothing, is not taken for a slow press", async () => {
    await open();
    const { table, wall, bout } = await setTheStage(hall);
    now = START + 60_000;
    must(await table.command({ bout }, { type: "StartFencing" }, { at: now - 20_000 }));
    await wall.until((view) => view.rings["r1"]?.bout?.stage === "fencing");
    await time(wall, { shown: { v: wall.v, at: now } });
    const again = { id: "halt-once", on: { bout }, pen: table.pen, at: now, command: { type: "CallHalt" } };
    must(await table.send(again));
    await wall.until((view) => view.rings["r1"]?.bout?.stage === "halted");
    now += 30_000;
    must(await table.send(again));
    must(await table.command({ bout }, { type: "StartFencing" }));
    await wall.until((view) => view.rings["r1"]?.bout?.stage === "fencing");
    await time(wall, { shown: { v: wall.v, at: now + 10 } });
    const read = readExposition(await (await fetch(`${hall.url}/metrics`)).text());
    expect(total(read, "garland_press_to_screen_seconds_count")).toBe(1);
    expect(total(read, "garland_press_to_screen_seconds_sum")).toBeCloseTo(0.01, 6);
  });
});

describe("[W37] the coach's view says how the evening is run", () => {
  test("which screens are here, which are lost and since when, and who has the pen", async () => {
    await open();
    const { table, judges, wall } = await setTheStage(hall);
    const first = await told(({ screens }) => screens.wall.here === 1);
    expect(first).toMatchObject({
      startedAt: START,
      version: "1.2.3",
      lastWrite: START,
      screens: {
        coach: { here: 1, seats: 1 },
        table: { here: 1, seats: 1 },
        judge: { here: 2, seats: 2 },
        fencer: { here: 2, seats: 2 },
        wall: { here: 1, seats: 1 },
      },
      lostWalls: {},
      rings: {
        r1: { name: "Ring 1", bout: true, table: { is: "here" }, pen: true },
        r2: { name: "Ring 2", bout: false, table: { is: "no seat" }, pen: false, judges: {} },
      },
      ledger: { driver: "memory" },
      unread: 0,
    });
    now = START + 5_000;
    for (const device of [table, judges[0], wall]) device?.socket.disconnect();
    const seat = judges[0]?.view.seat ?? "";
    await eventually(() => hall.running.house.presence.total() === 4);
    now = START + 9_000;
    const after = await told(({ screens }) => screens.judge.here === 1);
    const lost = { is: "lost", since: START + 5_000 };
    expect(after.rings["r1"]).toMatchObject({ table: lost, judges: { [seat]: { at: lost } } });
    expect(after.lostWalls).toEqual({ [wall.view.seat]: START + 5_000 });
  });

  test("a revoked seat is nobody's trouble", async () => {
    await open();
    const { wall } = await setTheStage(hall);
    must(await hall.coach.coach({ ask: "revoke seat", seat: wall.view.seat }));
    const status = await told(({ screens }) => screens.wall.seats === 0);
    expect(status.lostWalls).toEqual({});
  });

  test("it is looked over every two seconds; what is no different sends nothing, and nobody else is sent anything", async () => {
    await open();
    const { table, judges, redSeat, wall } = await setTheStage(hall);
    await told(({ screens }) => screens.wall.here === 1);
    expect(due.map(({ ms }) => ms)).toEqual([2_000, 10_000]);
    const others: readonly Device[] = [table, judges[0], redSeat, wall].filter((each) => each !== undefined);
    const drawn = async (): Promise<number> =>
      total(
        readExposition(await (await fetch(`${hall.url}/metrics`)).text()),
        "garland_redraw_seconds_count",
      );
    const heard = (): readonly number[] => others.map(({ frames }) => frames.length);
    const before = { others: heard(), coach: hall.coach.patches.length, drawn: await drawn() };
    for (const { work } of [...due, ...due]) work();
    await time(table, { waiting: 2, oldest: 500 });
    // Told, but not yet looked over.
    await hall.coach.ask("time", { t: 1 });
    expect(hall.coach.patches.length).toBe(before.coach);
    expect(await drawn()).toBe(before.drawn);
    for (const { work } of [...due, ...due]) work();
    await hall.coach.until(({ status }) => status?.rings["r1"]?.outbox?.waiting === 2);
    expect(hall.coach.patches.length).toBe(before.coach + 1);
    expect(Object.keys(hall.coach.patches.at(-1)?.patch as object).toSorted()).toEqual(["at", "status"]);
    await wall.ask("time", { t: 1 });
    // Not even drawn for anybody else.
    expect(await drawn()).toBe(before.drawn + 1);
    expect(heard()).toEqual(before.others);
    for (const device of others) expect(device.heard).not.toContain('"startedAt"');
  });

  test("where the ledger lies, by its folder's own name, with its size, what is free, and its last backup", async () => {
    const dir = mkdtempSync(join(tmpdir(), "garland-status-"));
    const ledger = await openLedger({ dir });
    await open({ ledger });
    await setTheStage(hall);
    await hall.running.status.askDisk();
    const status = await told((each) => each.ledger.bytes);
    expect(status.ledger).toMatchObject({ driver: ledger.driver, folder: basename(dir) });
    expect(status.ledger.bytes).toBeGreaterThan(0);
    expect(status.ledger.freeBytes).toBeGreaterThan(0);
    expect(status.ledger.lastBackup).toBeUndefined();
    expect(hall.coach.heard).not.toContain(tmpdir());
    now = START + 7_000;
    const kept = hall.running.house.ledger as typeof ledger;
    await kept.backupTo(join(dir, "copy.sqlite"));
    expect((await told((each) => each.ledger.lastBackup)).ledger.lastBackup).toBe(START + 7_000);
    await hall.close();
    await ledger.close();
    rmSync(dir, { recursive: true });
  });
});
