import { mkdtempSync, rmSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, test } from "vitest";
import { openLedger } from "../../../engine/ledger/open.ts";
import { ServerCannotStart, startServer } from "../../../table-ui/server/start.ts";
import {
  eventually,
  fenceOnce,
  hit,
  must,
  openTestHall,
  plainPages,
  setTheStage,
  type TestHall,
} from "./hall.ts";

let dir: string;
const halls: TestHall[] = [];
beforeEach(() => (dir = mkdtempSync(join(tmpdir(), "hall-"))));
afterEach(async () => {
  for (const hall of halls.splice(0)) await hall.close();
  rmSync(dir, { recursive: true });
});

const open = async (...args: Parameters<typeof openTestHall>): Promise<TestHall> => {
  const hall = await openTestHall(...args);
  halls.push(hall);
  return hall;
};

test("[W22] what was taken in is answered before the line is cut, and every screen is told", async () => {
  const hall = await open();
  const stage = await setTheStage(hall);
  await fenceOnce(stage, "x0", hit("red"));
  const on = { bout: stage.bout };
  const asked = Array.from({ length: 10 }, (_, i) =>
    stage.table.command(on, { type: "RecordExchange", exchange: `x${i + 1}`, record: hit("blue") }),
  );
  // They have reached the server once the first of them is answered.
  must((await asked[0]) as never);
  const first = (await hall.ledger.read(`bout/${stage.bout}`)).length;
  await hall.running.stop();
  const answered = await Promise.all(
    asked.map((each) => Promise.race([each, eventually(() => stage.table.socket.disconnected && "cut")])),
  );
  const done = answered.filter((answer) => answer !== "cut");
  const stored = await hall.ledger.read(`bout/${stage.bout}`);
  expect(first).toBeGreaterThan(0);
  expect(stored.filter(({ type }) => type === "ExchangeRecorded").length).toBeGreaterThanOrEqual(
    1 + done.length,
  );
  await eventually(() => stage.wall.gone);
  expect(stage.wall.gone).toBe("closing");
  await expect(fetch(hall.url)).rejects.toThrow();
});

test("stopping twice is stopping once", async () => {
  const hall = await open();
  await Promise.all([hall.running.stop(), hall.running.stop()]);
});

test("[W23] a second start goes on with the same evening and the same links", async () => {
  const ledger = await openLedger({ memory: true });
  const secretFile = join(dir, "coach.seat");
  const first = await open({ ledger, secretFile });
  const stage = await setTheStage(first);
  await fenceOnce(stage, "x1", hit("red"));
  must(await stage.table.command({ bout: stage.bout }, { type: "StartFencing" }));
  const { seats } = first.running.house;
  const tablePath = seats.pathOf(stage.table.view.seat) ?? "";
  const coachPath = first.running.coachPath;
  const before = first.running.house.streams.bout(stage.bout)?.bout;
  await first.close();

  const second = await open({ ledger, secretFile });
  expect(second.running.coachPath).toBe(coachPath);
  expect(second.running.house.streams.bout(stage.bout)?.bout).toEqual(before);
  const table = await second.sit(tablePath);
  // The pen is still this seat's: the table goes on.
  table.pen = stage.table.pen;
  must(await table.command({ bout: stage.bout }, { type: "CallHalt" }));
  must(
    await table.command(
      { bout: stage.bout },
      { type: "RecordExchange", exchange: "x2", record: hit("blue") },
    ),
  );
});

test("a taken port is one clear sentence", async () => {
  const other = createServer().listen(0, "127.0.0.1");
  await new Promise((done) => other.once("listening", done));
  const address = other.address();
  const port = typeof address === "object" && address !== null ? address.port : 0;
  const ledger = await openLedger({ memory: true });
  const starting = startServer({ ledger, pages: plainPages, port, log: { level: "silent" } });
  await expect(starting).rejects.toThrow(`Port ${port} is taken by another program`);
  await expect(starting).rejects.toBeInstanceOf(ServerCannotStart);
  await new Promise((done) => other.close(done));
});
