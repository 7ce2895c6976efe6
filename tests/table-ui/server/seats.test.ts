import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createHash } from "node:crypto";
import { Writable } from "node:stream";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { openLedger } from "../../../engine/ledger/open.ts";
import { openSeats } from "../../../table-ui/server/seats.ts";
import { eventually, must, openTestHall, refusedAs, setTheStage, type TestHall } from "./hall.ts";

describe("[W3] secrets", () => {
  let dir: string;
  beforeEach(() => (dir = mkdtempSync(join(tmpdir(), "seats-"))));
  afterEach(() => rmSync(dir, { recursive: true }));

  test("a link has 22 characters, the ledger only their hash", async () => {
    const ledger = await openLedger({ memory: true });
    const seats = await openSeats(ledger);
    const { seat, path } = await seats.issue({ kind: "wall" });
    const secret = path.replace("/seat/", "");
    expect(secret).toMatch(/^[\w-]{22}$/);
    expect(seat.secretHash).toBe(createHash("sha256").update(secret).digest("hex"));
    expect(JSON.stringify(await ledger.seats())).not.toContain(secret);
    expect(seats.find(secret)?.id).toBe(seat.id);
  });

  test("the coach's secret lies in a file for its owner alone, and the next start finds it", async () => {
    const ledger = await openLedger({ memory: true });
    const file = join(dir, "coach.seat");
    const first = await openSeats(ledger, file);
    expect(statSync(file).mode & 0o777).toBe(0o600);
    expect(`/seat/${readFileSync(file, "utf8").trim()}`).toBe(first.coachPath);
    const second = await openSeats(ledger, file);
    expect(second.coachPath).toBe(first.coachPath);
    expect((await ledger.seats()).filter(({ kind }) => kind === "coach")).toHaveLength(1);
  });

  test("a lost file means a new coach's link, and the old one opens nothing", async () => {
    const ledger = await openLedger({ memory: true });
    const file = join(dir, "coach.seat");
    const before = (await openSeats(ledger, file)).coachPath;
    writeFileSync(file, "garbage\n");
    const seats = await openSeats(ledger, file);
    expect(seats.coachPath).not.toBe(before);
    expect(seats.find(before.replace("/seat/", ""))).toBeUndefined();
    expect(seats.find(seats.coachPath.replace("/seat/", ""))?.kind).toBe("coach");
  });

  test("another seat's secret is known until the next start, its link stays good", async () => {
    const ledger = await openLedger({ memory: true });
    const { seat, path } = await (await openSeats(ledger)).issue({ kind: "wall" });
    const later = await openSeats(ledger);
    expect(later.pathOf(seat.id)).toBeUndefined();
    expect(later.find(path.replace("/seat/", ""))?.id).toBe(seat.id);
  });
});

describe("over the wire", () => {
  let hall: TestHall;
  afterEach(() => hall.close());

  test("[W3] an unknown secret opens no socket", async () => {
    hall = await openTestHall();
    for (const path of ["/seat/AAAAAAAAAAAAAAAAAAAAAA", "/seat/short", "/seat/"]) {
      const device = hall.knock(path);
      await eventually(() => device.refused);
      expect(device.refused).toMatchObject({ refused: "no-such-seat" });
      expect(device.frames).toEqual([]);
    }
  });

  test("[W21] a revoked seat is told, closed, and opens nothing from then on", async () => {
    hall = await openTestHall();
    const { wall } = await setTheStage(hall);
    const path = hall.running.house.seats.pathOf(wall.view.seat) ?? "";
    must(await hall.coach.coach({ ask: "revoke seat", seat: wall.view.seat }));
    await eventually(() => wall.gone);
    expect(wall.gone).toBe("revoked");
    await eventually(() => wall.socket.disconnected);
    const again = hall.knock(path);
    await eventually(() => again.refused);
    const page = await fetch(hall.url + path);
    expect(page.status).toBe(404);
    expect(await page.text()).toContain("no seat: revoked");
    const shown = await hall.coach.until((view) => view.seats[wall.view.seat]?.revoked);
    expect(shown.seats[wall.view.seat]?.path).toBeUndefined();
  });

  test("[W21] a re-issued seat has a new link; the device with the old one is told", async () => {
    hall = await openTestHall();
    const { redSeat } = await setTheStage(hall);
    const old = hall.running.house.seats.pathOf(redSeat.view.seat) ?? "";
    const { path = "" } = must(await hall.coach.coach({ ask: "reissue seat", seat: redSeat.view.seat }));
    await eventually(() => redSeat.gone);
    expect(path).not.toBe(old);
    const anew = await hall.sit(path);
    expect(anew.view).toMatchObject({ kind: "fencer", seat: redSeat.view.seat });
    const late = hall.knock(old);
    await eventually(() => late.refused);
  });

  test("the coach cannot revoke the own seat and so lock everybody out", async () => {
    hall = await openTestHall();
    const own = hall.coach.view.seat;
    expect(refusedAs(await hall.coach.coach({ ask: "revoke seat", seat: own }))).toBe("not-your-seat");
  });

  test("[W3] no secret reaches the log", async () => {
    const lines: string[] = [];
    const stream = new Writable({
      write(chunk: Buffer, _, done) {
        lines.push(chunk.toString());
        done();
      },
    });
    hall = await openTestHall({ log: { level: "trace", stream } });
    const stage = await setTheStage(hall);
    const { seats } = hall.running.house;
    const secrets = seats.all().flatMap(({ id }) => seats.pathOf(id)?.replace("/seat/", "") ?? []);
    for (const secret of secrets) {
      await fetch(`${hall.url}/seat/${secret}`);
      await fetch(`${hall.url}/seat/${secret}/evening.json`);
      await fetch(`${hall.url}/seat/${secret}/nothing?x=${secret.slice(0, 0)}`);
      await fetch(`${hall.url}/seat/${secret}`, { method: "POST", body: "x" });
    }
    must(await hall.coach.coach({ ask: "revoke seat", seat: stage.wall.view.seat }));
    await eventually(() => stage.wall.gone);
    const log = lines.join("");
    expect(secrets.length).toBeGreaterThan(5);
    expect(log).toContain("/seat/***");
    for (const secret of secrets) expect(log).not.toContain(secret);
  });
});
