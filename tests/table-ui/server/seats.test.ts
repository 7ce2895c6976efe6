import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createHash } from "node:crypto";
import { Writable } from "node:stream";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { openLedger, type Ledger } from "../../../engine/ledger/open.ts";
import { openHouse } from "../../../table-ui/server/house.ts";
import { openSeats, type Seats } from "../../../table-ui/server/seats.ts";
import { openSecret } from "../../../table-ui/server/secret.ts";
import { eventually, must, openTestHall, refusedAs, setTheStage, type TestHall } from "./hall.ts";

/** Seats of a house whose own secret is new, or lies in a file. */
const open = (ledger: Ledger, secretFile?: string, houseFile?: string): Promise<Seats> =>
  openSeats(ledger, { secretFile, secret: openSecret(houseFile) });

describe("[W3] secrets", () => {
  let dir: string;
  beforeEach(() => (dir = mkdtempSync(join(tmpdir(), "seats-"))));
  afterEach(() => rmSync(dir, { recursive: true }));

  test("a link has 22 characters, the ledger only their hash", async () => {
    const ledger = await openLedger({ memory: true });
    const seats = await open(ledger);
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
    const first = await open(ledger, file);
    expect(statSync(file).mode & 0o777).toBe(0o600);
    expect(`/seat/${readFileSync(file, "utf8").trim()}`).toBe(first.coachPath);
    const second = await open(ledger, file);
    expect(second.coachPath).toBe(first.coachPath);
    expect((await ledger.seats()).filter(({ kind }) => kind === "coach")).toHaveLength(1);
  });

  test("a lost file means a new coach's link, and the old one opens nothing", async () => {
    const ledger = await openLedger({ memory: true });
    const file = join(dir, "coach.seat");
    const before = (await open(ledger, file)).coachPath;
    writeFileSync(file, "garbage\n");
    const seats = await open(ledger, file);
    expect(seats.coachPath).not.toBe(before);
    expect(seats.find(before.replace("/seat/", ""))).toBeUndefined();
    expect(seats.find(seats.coachPath.replace("/seat/", ""))?.kind).toBe("coach");
  });

  test("a house that lost its own secret shows no old link; the links stay good", async () => {
    const ledger = await openLedger({ memory: true });
    const { seat, path } = await (await open(ledger)).issue({ kind: "wall" });
    const later = await open(ledger);
    expect(later.pathOf(seat.id)).toBeUndefined();
    expect(later.find(path.replace("/seat/", ""))?.id).toBe(seat.id);
    const again = await later.reissue(seat.id);
    expect(again?.path).not.toBe(path);
    expect(later.find(path.replace("/seat/", ""))).toBeUndefined();
  });

  test("a later start, and another process, show every link that was issued", async () => {
    const ledger = await openLedger({ memory: true, shared: true });
    const house = join(dir, "house.secret");
    const seats = await open(ledger, undefined, house);
    expect(statSync(house).mode & 0o777).toBe(0o600);
    const { seat, path } = await seats.issue({ kind: "wall" });
    const other = await open(ledger, undefined, house);
    expect(other.pathOf(seat.id)).toBe(path);
    expect(other.coachPath).toBe(seats.coachPath);

    const anew = await other.reissue(seat.id);
    expect(await seats.reload()).toEqual([seat.id]);
    expect(seats.pathOf(seat.id)).toBe(anew?.path);
    expect(seats.find(path.replace("/seat/", ""))).toBeUndefined();
    await other.revoke(seat.id);
    expect(await seats.reload()).toEqual([seat.id]);
    expect(await seats.reload()).toEqual([]);
    expect(seats.pathOf(seat.id)).toBeUndefined();
  });

  test("no link is ever given out twice, however often a seat is issued anew", async () => {
    const ledger = await openLedger({ memory: true });
    const house = join(dir, "house.secret");
    const { seat, path } = await (await open(ledger, undefined, house)).issue({ kind: "wall" });
    const paths = new Set([path]);
    for (let n = 0; n < 230; n += 1) {
      const reissued = await (await open(ledger, undefined, house)).reissue(seat.id);
      paths.add(reissued?.path ?? "");
    }
    expect(paths.size).toBe(231);
  });

  test("processes of one ledger that start at once have one coach and one secret", async () => {
    const ledger = await openLedger({ memory: true, shared: true });
    const house = join(dir, "house.secret");
    const houses = await Promise.all([1, 2, 3].map(() => openHouse(ledger, { houseFile: house })));
    expect(new Set(houses.map(({ seats }) => seats.coachPath)).size).toBe(1);
    expect(await ledger.seats()).toHaveLength(1);
    for (const each of houses) await each.rest();
  });

  test("a file that holds no secret of ours is left as it is, and said", () => {
    const house = join(dir, "house.secret");
    writeFileSync(house, "something else\n");
    expect(() => openSecret(house)).toThrow(/EEXIST/);
    expect(readFileSync(house, "utf8")).toBe("something else\n");
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
