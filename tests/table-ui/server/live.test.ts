import { afterEach, describe, expect, test } from "vitest";
import type { View } from "../../../table-ui/wire/views.ts";
import {
  eventually,
  fenceOnce,
  hit,
  must,
  newId,
  openTestHall,
  refusedAs,
  setTheStage,
  type TestHall,
} from "./hall.ts";

let hall: TestHall;
afterEach(() => hall.close());

/** What two views agree on: seats and times differ by nature. */
const bare = (view: View): object => ({ ...view, seat: "", at: 0 });

describe("views and patches", () => {
  test("[W9] every seat is sent its view on connecting", async () => {
    hall = await openTestHall();
    const { table, judges, redSeat, blueSeat, wall } = await setTheStage(hall);
    const seats = [hall.coach, table, judges[0], judges[1], redSeat, blueSeat, wall];
    expect(seats.map((seat) => seat?.view.kind)).toEqual([
      "coach",
      "table",
      "judge",
      "judge",
      "fencer",
      "fencer",
      "wall",
    ]);
    for (const seat of seats) expect(seat?.frames[0]).toContain('"view"');
  });

  test("[W10] a change is one patch to the next version, and every screen comes to show it", async () => {
    hall = await openTestHall();
    const stage = await setTheStage(hall);
    const { table, redSeat, wall, bout } = stage;
    const before = { red: redSeat.v, wall: wall.v };
    must(await table.command({ bout }, { type: "StartFencing" }));
    await wall.until((view) => view.rings["r1"]?.bout?.stage === "fencing");
    await redSeat.until((view) => view.bout?.stage === "fencing");
    expect(wall.patches.at(-1)).toMatchObject({ from: before.wall, v: before.wall + 1 });
    expect(redSeat.v).toBe(before.red + 1);
    must(await table.command({ bout }, { type: "CallHalt" }));
    must(await table.command({ bout }, { type: "RecordExchange", exchange: "x1", record: hit("red") }));
    for (const judge of stage.judges) await judge.until((view) => view.ballot);
    must(await table.command({ bout }, { type: "StartFencing" }));
    const red = await redSeat.until((view) => view.bout?.red.points === 1);
    const seen = await wall.until((view) => view.rings["r1"]?.bout?.red.points === 1);
    const coach = await hall.coach.until((view) => view.bouts[bout]?.red.points === 1);
    expect(red.bout?.exchanges["x1"]?.sentence).toBe("You hit the torso.");
    expect(seen.rings["r1"]?.bout?.exchanges["x1"]?.sentence).toBe("Red hit the torso.");
    expect(coach.bouts[bout]?.order).toEqual(["x1"]);
    expect(
      (await stage.blueSeat.until((view) => view.bout?.red.points === 1)).bout?.exchanges["x1"]?.sentence,
    ).toBe("Mira hit your torso.");
  });

  test("[W10] after a gap a device asks for a view and gets a whole one", async () => {
    hall = await openTestHall();
    const { wall, table, bout } = await setTheStage(hall);
    wall.v = -5;
    must(await table.command({ bout }, { type: "StartFencing" }));
    await eventually(() => wall.patches.some((patch) => JSON.stringify(patch).includes("fencing")));
    expect(wall.view.rings["r1"]?.bout?.stage).toBe("called");
    const shown = (await wall.ask("view", {})) as { v: number; view: View };
    expect(shown.view).toMatchObject({ rings: { r1: { bout: { stage: "fencing" } } } });
    // From here on patches fit again.
    wall.v = shown.v;
    const next = eventually(() => wall.patches.find((patch) => patch.from === shown.v));
    must(await table.command({ bout }, { type: "CallHalt" }));
    expect((await next).v).toBe(shown.v + 1);
  });

  test("[W11] a change that a seat cannot see sends it nothing", async () => {
    hall = await openTestHall();
    const { wall, redSeat, judges, bout, table } = await setTheStage(hall);
    must(await table.command({ bout }, { type: "StartFencing" }));
    await wall.until((view) => view.rings["r1"]?.bout?.stage === "fencing");
    const before = [wall.frames.length, redSeat.frames.length, judges[0]?.frames.length];
    must(await hall.coach.coach({ ask: "issue seat", kind: "table", ring: "r2" }));
    await hall.coach.until((view) =>
      Object.values(view.seats).some(({ title }) => title === "Table, Ring 2"),
    );
    expect([wall.frames.length, redSeat.frames.length, judges[0]?.frames.length]).toEqual(before);
  });

  test("[W11] two walls share every patch", async () => {
    hall = await openTestHall();
    const { wall, table, bout } = await setTheStage(hall);
    const second = must(await hall.coach.coach({ ask: "issue seat", kind: "wall" }));
    const other = await hall.sit(second.path ?? "");
    must(await table.command({ bout }, { type: "StartFencing" }));
    await eventually(() => other.patches.length > 0);
    await eventually(() => wall.v === other.v);
    expect(other.patches.at(-1)).toEqual(wall.patches.at(-1));
    expect(other.view.seat).not.toBe(wall.view.seat);
  });

  test("[W12] a finished page shows the view that its socket is sent", async () => {
    hall = await openTestHall();
    const { redSeat, wall, bout, table } = await setTheStage(hall);
    must(await table.command({ bout }, { type: "StartFencing" }));
    await redSeat.until((view) => view.bout?.stage === "fencing");
    await wall.until((view) => view.rings["r1"]?.bout?.stage === "fencing");
    for (const device of [redSeat, wall]) {
      const path = hall.running.house.seats.pathOf(device.view.seat) ?? "";
      const page = await (await fetch(hall.url + path)).text();
      const view = JSON.parse(page.replace(/^.*?<pre>|<\/pre>.*$/g, "")) as View;
      expect(bare(view)).toEqual(bare(device.view));
    }
  });
});

describe("commands", () => {
  test("[W14] [D2] ok is said after the commit: the ledger holds it when the answer arrives", async () => {
    hall = await openTestHall();
    const { table, bout } = await setTheStage(hall);
    const answer = must(await table.command({ bout }, { type: "StartFencing" }));
    const stored = await hall.ledger.read(`bout/${bout}`);
    expect(stored.at(-1)).toMatchObject({ type: "FencingStarted", version: answer.version });
  });

  test("[W15] the same command sent again happens once and says that it is repeated", async () => {
    hall = await openTestHall();
    const stage = await setTheStage(hall);
    await fenceOnce(stage, "x1", hit("red"));
    const { table, bout } = stage;
    const undo = { id: newId(), on: { bout }, pen: table.pen, command: { type: "Undo" } };
    const first = must(await table.send(undo));
    const again = must(await table.send(undo));
    const record = {
      id: newId(),
      on: { bout },
      pen: table.pen,
      command: { type: "RecordExchange", exchange: "x2", record: hit("blue") },
    };
    must(await table.send(record));
    const both = await Promise.all([table.send(record), table.send(record)]);
    expect(first.repeated).toBeUndefined();
    expect(again).toEqual({ ...first, repeated: true });
    expect(both.map((answer) => answer.ok && answer.repeated)).toEqual([true, true]);
    const events = await hall.ledger.read(`bout/${bout}`);
    expect(events.filter(({ type }) => type === "Undone")).toHaveLength(1);
    expect(events.filter(({ type }) => type === "ExchangeRecorded")).toHaveLength(2);
  });

  test("[W15] the same id with another command is refused, and nothing happens", async () => {
    hall = await openTestHall();
    const stage = await setTheStage(hall);
    const { table, bout } = stage;
    const id = newId();
    must(await table.send({ id, on: { bout }, pen: table.pen, command: { type: "StartFencing" } }));
    const before = (await hall.ledger.read(`bout/${bout}`)).length;
    const other = { id, on: { bout }, pen: table.pen, command: { type: "CallHalt" } };
    expect(refusedAs(await table.send(other))).toBe("key-reused");
    expect((await hall.ledger.read(`bout/${bout}`)).length).toBe(before);
  });

  test("[W17] commands of one bout are decided one after the other", async () => {
    hall = await openTestHall();
    const stage = await setTheStage(hall);
    await fenceOnce(stage, "x0", hit("red"));
    const { table, bout } = stage;
    const ids = Array.from({ length: 20 }, (_, i) => `x${i + 1}`);
    const answers = await Promise.all(
      ids.map((exchange) =>
        table.command({ bout }, { type: "RecordExchange", exchange, record: hit("blue") }),
      ),
    );
    const versions = answers.map((answer) => must(answer).version);
    expect(versions).toEqual(versions.map((_, i) => (versions[0] ?? 0) + i));
    const events = await hall.ledger.read(`bout/${bout}`);
    expect(events.map(({ version }) => version)).toEqual(events.map((_, i) => i + 1));
  });

  test("[W18] the server dates what is sent at once; what waited keeps the device's time, but not before the bout", async () => {
    const start = 1_900_000_000_000;
    let now = start;
    hall = await openTestHall({ now: () => now });
    const { table, bout } = await setTheStage(hall);
    const on = { bout };
    const atOf = async (): Promise<number> => (await hall.ledger.read(`bout/${bout}`)).at(-1)?.at ?? 0;
    now = start + 100_000;
    must(await table.command(on, { type: "StartFencing" }, { at: now - 900 }));
    expect(await atOf()).toBe(now);
    must(await table.command(on, { type: "CallHalt" }, { at: now + 60_000 }));
    expect(await atOf()).toBe(now);
    now = start + 200_000;
    must(await table.command(on, { type: "StartFencing" }, { at: start + 150_000 }));
    expect(await atOf()).toBe(start + 150_000);
    must(await table.command(on, { type: "CallHalt" }, { at: start + 140_000 }));
    expect(await atOf()).toBe(start + 150_000);
  });

  test("[W19] time answers with both clocks", async () => {
    hall = await openTestHall({ now: () => 1_900_000_000_000 });
    expect(await hall.coach.ask("time", { t: 12.5 })).toEqual({ t: 12.5, server: 1_900_000_000_000 });
  });
});
