/** The limits as they are set, and what happens to whoever goes beyond them. */
import { brotliCompressSync, gzipSync } from "node:zlib";
import { afterEach, describe, expect, test } from "vitest";
import { WebSocket } from "ws";
import { addressGroup, bucket, LIMITS } from "../../table-ui/server/limits.ts";
import { LARGEST_MESSAGE, LONGEST_TEXT } from "../../table-ui/wire/checks.ts";
import {
  eventually,
  openTestHall,
  plainPages,
  refusedAs,
  setTheStage,
  type TestHall,
} from "../table-ui/server/hall.ts";
import { bytesTo, RawSeat, socketUrl } from "./hostile/raw.ts";

let hall: TestHall | undefined;
afterEach(async () => {
  await hall?.close();
  hall = undefined;
});

describe("[W20] counting", () => {
  test("a bucket gives what it holds and gains by the clock, never above its edge, never by a clock set back", () => {
    let now = 1_000_000;
    const mayPass = bucket(5, 2, () => now);
    const through = (): number => {
      let count = 0;
      while (mayPass()) count += 1;
      return count;
    };
    expect(through()).toBe(5);
    now += 1_000;
    expect(through()).toBe(2);
    now += 3_600_000;
    expect(through()).toBe(5);
    now -= 3_600_000;
    expect(through()).toBe(0);
    now += 500;
    expect(through()).toBe(1);
    now += 60_000;
    expect([mayPass(4), mayPass(4), mayPass(1)]).toEqual([true, false, true]);
  });

  test("an address is one machine's or one network's", () => {
    expect(addressGroup("::ffff:10.0.0.7")).toBe("10.0.0.7");
    expect(addressGroup("10.0.0.7")).toBe("10.0.0.7");
    expect(addressGroup("2001:db8:1:2:3:4:5:6")).toBe(addressGroup("2001:db8:1:2::9"));
    expect(addressGroup("2001:db8::1")).not.toBe(addressGroup("2001:db8:0:1::1"));
    expect(addressGroup("fe80::1%eth0")).toBe(addressGroup("fe80::2%eth0"));
    expect(addressGroup("::1")).toBe("0:0:0:0::/64");
  });

  test("no honest device comes near where it would be cut", () => {
    // What W20 answers at most, each as large as a message may be, is less than what is patiently read.
    expect(LIMITS.patienceASecond).toBeGreaterThan(2 * LIMITS.aSecond);
    expect(LIMITS.patience).toBeGreaterThan(LIMITS.burst * (1 + LONGEST_TEXT / LIMITS.bytesAMessage));
    expect(LIMITS.waitingBytes).toBeGreaterThan(3 * LARGEST_MESSAGE);
    // A hall of 300 behind one router, each browser with six connections (common practice of browsers, from memory).
    expect(LIMITS.connectionsAnAddress).toBeGreaterThanOrEqual(300 * 6);
    expect(LIMITS.headersMs).toBeLessThan(LIMITS.requestMs);
  });
});

test("[W20] whoever sends too much is told so; the next second is as good as any", async () => {
  let now = 1_900_000_000_000;
  hall = await openTestHall({ now: () => now });
  const { table } = await setTheStage(hall);
  now += 3_600_000;
  const ask = (): Promise<unknown[]> => Promise.all(Array.from({ length: 200 }, () => table.ask("view", {})));
  const refused = (answers: readonly unknown[]): number =>
    answers.filter((answer) => refusedAs(answer as never) === "too-many").length;
  const isShown = (answer: unknown): boolean =>
    typeof answer === "object" && answer !== null && "view" in answer;
  const first = await ask();
  expect(first.filter(isShown)).toHaveLength(LIMITS.burst);
  expect(first.filter((answer) => !isShown(answer))).toHaveLength(200 - LIMITS.burst);
  expect(refused(first.filter((answer) => !isShown(answer)))).toBe(200 - LIMITS.burst);
  now += 1_000;
  expect((await ask()).filter(isShown)).toHaveLength(LIMITS.aSecond);
});

describe("[W35] what is read and not answered counts too, and then the line is cut", () => {
  const FLOODS: readonly (readonly [string, (raw: RawSeat) => void])[] = [
    ["events without an answer's address", (raw) => raw.tell("command", "{}")],
    ["events of no name of ours", (raw) => raw.tell("shutdown", "[]")],
    ["answers to nothing", (raw) => raw.ws.send("43999[]")],
    ["answers to every ping there never was", (raw) => raw.ws.send("3")],
    ["large messages, of which fewer will do", (raw) => raw.tell("x", `"${"x".repeat(100_000)}"`)],
  ];
  test.each(FLOODS)("%s", async (_, flood) => {
    hall = await openTestHall({ now: () => 1_900_000_000_000, limits: { patience: 60 } });
    const { wall } = await setTheStage(hall);
    const raw = await RawSeat.sit(hall.url, hall.running.coachPath);
    for (let count = 0; count < 70 && raw.closed === undefined; count += 1) flood(raw);
    await raw.gone();
    expect(await wall.ask("time", { t: 2 })).toMatchObject({ t: 2 });
  });

  test('a device that is told "too many" and goes on regardless is cut', async () => {
    hall = await openTestHall({ now: () => 1_900_000_000_000 });
    const raw = await RawSeat.sit(hall.url, hall.running.coachPath);
    for (let count = 0; count <= LIMITS.patience; count += 1) void raw.ask("time", '{"t":1}');
    await raw.gone();
  });
});

describe("[W35] nothing that is packed is unpacked", () => {
  /** Ten megabytes of zeros, in ten kilobytes. */
  const zeros = Buffer.alloc(10_000_000);
  const PACKED = [
    ["gzip", gzipSync(zeros)],
    ["br", brotliCompressSync(zeros)],
    ["deflate, gzip, gzip", gzipSync(gzipSync(zeros))],
  ] as const;

  test.each(PACKED)("a body in %s is refused by its headers", async (encoding, body) => {
    hall = await openTestHall();
    for (const method of ["POST", "PUT", "PATCH", "DELETE"]) {
      const answer = await fetch(`${hall.url}/health`, {
        method,
        body,
        headers: { "content-encoding": encoding, "content-type": "application/json" },
      });
      expect([method, answer.status]).toEqual([method, 413]);
      expect(await answer.text()).toMatch(/^Nothing is sent to this server that way/);
    }
  });

  test("a socket is never agreed to be packed, whatever is offered", async () => {
    hall = await openTestHall();
    for (const offer of [
      "permessage-deflate",
      "permessage-deflate; client_max_window_bits; server_no_context_takeover",
      "x-webkit-deflate-frame, permessage-deflate",
    ]) {
      const ws = new WebSocket(socketUrl(hall.url), {
        headers: { "sec-websocket-extensions": offer },
        perMessageDeflate: false,
      });
      await new Promise((done) => ws.once("open", done));
      expect(ws.extensions).toBe("");
      ws.terminate();
    }
  });

  test("a frame that says it is packed ends the socket", async () => {
    hall = await openTestHall();
    const raw = await RawSeat.sit(hall.url, hall.running.coachPath);
    // RFC 7692, section 6: the first reserved bit says "packed"; nobody agreed to it.
    const line = Reflect.get(raw.ws, "_socket") as { write(bytes: Buffer): void };
    line.write(Buffer.from([0xc1, 0x80, 0, 0, 0, 0]));
    expect(await raw.gone()).toBe(1002);
  });

  test("a page is packed only as its reader says, and a strange wish is no fault", async () => {
    hall = await openTestHall({ pages: { ...plainPages, lost: () => "<!doctype html>".padEnd(5_000, "x") } });
    const host = new URL(hall.url).host;
    for (const [wish, coding] of [
      ["br", "br"],
      ["BR", "br"],
      ["gzip, br;q=0", "gzip"],
      ["gzip;q=0", undefined],
      ["gzip;q=0.000, br; q=0.0", undefined],
      ["*", undefined],
      [`${"gzip,".repeat(2_000)}gzip`, "gzip"],
      ["__proto__, constructor", undefined],
    ] as const) {
      const { line, ended } = await bytesTo(hall.url);
      line.write(
        `GET /nowhere HTTP/1.1\r\nHost: ${host}\r\nAccept-Encoding: ${wish}\r\nConnection: close\r\n\r\n`,
      );
      const said = await ended;
      line.destroy();
      const sent = /^content-encoding: (\S+)/im.exec(said)?.[1];
      expect([wish.slice(0, 40), said.slice(9, 12), sent]).toEqual([wish.slice(0, 40), "404", coding]);
    }
  });
});

test("[W20] a message of the largest size is read, one byte more closes the socket", async () => {
  hall = await openTestHall();
  const { wall } = await setTheStage(hall);
  const raw = await RawSeat.sit(hall.url, hall.running.coachPath);
  // 42, the number, brackets, the name, a comma and two quotes stand around it.
  const around = `421["coach",""]`.length;
  expect(await raw.ask("coach", `"${"x".repeat(LARGEST_MESSAGE - around)}"`)).toMatchObject({ ok: false });
  void raw.ask("coach", `"${"x".repeat(LARGEST_MESSAGE - around + 1)}"`);
  // RFC 6455, section 7.4.1: too big to process.
  expect(await raw.gone()).toBe(1009);
  expect(await wall.ask("time", { t: 2 })).toMatchObject({ t: 2 });
  await eventually(() => hall?.running.house.presence.connected(hall.coach.view.seat) === 1);
});
