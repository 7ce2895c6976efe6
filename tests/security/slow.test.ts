/** Whoever is slow, silent, half gone or never reads costs the hall nothing; honest devices beside them are served. */
import { afterEach, expect, test } from "vitest";
import type { Limits } from "../../table-ui/server/limits.ts";
import type { CoachView } from "../../table-ui/wire/views.ts";
import { eventually, must, openTestHall, setTheStage, type TestHall } from "../table-ui/server/hall.ts";
import { bytesTo, frame, RawSeat, upgradeOf } from "./hostile/raw.ts";

let hall: TestHall;
afterEach(() => hall.close());

/** Waits that a test can sit through; what happens is the same. */
const SHORT: Partial<Limits> = {
  headersMs: 150,
  requestMs: 300,
  checkEveryMs: 50,
  silentMs: 600,
  seatedMs: 200,
  pingEveryMs: 100,
  pingAnswerMs: 200,
  goodbyeMs: 100,
};

/** Lines that this process holds, at both ends. */
const held = (): number => process.getActiveResourcesInfo().filter((name) => name === "TCPSocketWrap").length;

/** The hall answers everybody else. */
async function stillServes(): Promise<void> {
  const answer = await fetch(`${hall.url}/health`, { headers: { connection: "close" } });
  expect(answer.status).toBe(200);
}

const get = (path: string, more = ""): string =>
  `GET ${path} HTTP/1.1\r\nHost: ${new URL(hall.url).host}\r\n${more}`;

test("[W35] headers that come a letter at a time are not waited for", async () => {
  hall = await openTestHall({ limits: { ...SHORT, requestMs: 60_000 } });
  const { line, ended } = await bytesTo(hall.url);
  line.write(get("/health"));
  const drip = setInterval(() => line.write("x"), 20);
  const said = await ended;
  clearInterval(drip);
  expect(said).toMatch(/^HTTP\/1\.1 408 /);
  line.destroy();
  await stillServes();
});

test("[W35] a body that never ends is not read: the answer comes first, and the line is closed", async () => {
  hall = await openTestHall({ limits: SHORT });
  for (const more of ["Content-Length: 1000000000\r\n", "Transfer-Encoding: chunked\r\n"]) {
    const { line, ended } = await bytesTo(hall.url);
    line.write(`${get("/health", more).replace("GET", "POST")}\r\n`);
    expect(await ended).toMatch(/^HTTP\/1\.1 413 /);
    line.destroy();
  }
  await stillServes();
});

test("[W35] a line on which nothing comes is closed, before and after a request", async () => {
  hall = await openTestHall({ limits: { ...SHORT, keepAliveMs: 100 } });
  const silent = await bytesTo(hall.url);
  await silent.ended;
  const waiting = await bytesTo(hall.url);
  waiting.line.write(`${get("/health")}\r\n`);
  expect(await waiting.ended).toMatch(/^HTTP\/1\.1 200 /);
  await stillServes();
});

test("[W35] an upgrade that nobody finishes is closed, whatever it asked for", async () => {
  hall = await openTestHall({ limits: SHORT });
  const before = held();
  const half = await bytesTo(hall.url);
  half.line.write(upgradeOf(hall.url).slice(0, -2));
  const other = await bytesTo(hall.url);
  other.line.write(get("/health", "Connection: Upgrade\r\nUpgrade: h2c\r\n\r\n"));
  const nobody = await bytesTo(hall.url);
  nobody.line.write(upgradeOf(hall.url));
  expect(await half.ended).toMatch(/^HTTP\/1\.1 408 /);
  expect(await other.ended).toBe("");
  // It was let in as a websocket, and never said which seat it comes for.
  expect(await nobody.ended).toMatch(/^HTTP\/1\.1 101 /);
  for (const { line } of [half, other, nobody]) line.destroy();
  await eventually(() => held() === before);
  await stillServes();
});

test("[W35] a socket that asks for no seat is closed, though it answers every ping", async () => {
  hall = await openTestHall({ limits: { ...SHORT, pingEveryMs: 30, pingAnswerMs: 5_000 } });
  const nobody = await RawSeat.open(hall.url);
  await nobody.gone();
});

test("[W35] a socket that leaves its seat keeps no line", async () => {
  hall = await openTestHall();
  const { wall } = await setTheStage(hall);
  const raw = await RawSeat.sit(hall.url, hall.running.house.seats.pathOf(wall.view.seat) ?? "");
  raw.ws.send("41");
  await raw.gone();
});

test("[W35] a line that is half gone is closed once a ping is not answered, and its seat is free", async () => {
  hall = await openTestHall({ limits: SHORT });
  const before = hall.running.house.presence.total();
  // Bytes by hand: nothing answers the pings, and the line itself never ends.
  const { line, said, ended } = await bytesTo(hall.url);
  line.write(upgradeOf(hall.url));
  await eventually(() => said().includes("pingInterval"));
  const secret = hall.running.coachPath.replace("/seat/", "");
  line.write(frame(1, Buffer.from(`40${JSON.stringify({ secret })}`)));
  await eventually(() => hall.running.house.presence.total() === before + 1);
  await eventually(() => hall.running.house.presence.total() === before);
  await ended;
});

test("[W36] what waits for a device that does not read is bounded: it is cut, and gets a whole view when it is back", async () => {
  const cuts: string[] = [];
  const log = { level: "warn", stream: { write: (line: string) => void cuts.push(line) } } as const;
  hall = await openTestHall({ log, limits: { burst: Infinity, patience: Infinity, waitingBytes: 200_000 } });
  const { coach, running } = hall;
  must(await coach.command("meet", { type: "OpenEvening", name: "An evening" }));
  // Every later change sends the whole list of rings again, some forty kilobytes.
  const ring = (no: number): string => `ring-${no}-`.padEnd(64, "x");
  for (let no = 1; no <= 200; no += 1) {
    must(
      await coach.command("meet", { type: "AddRing", ring: ring(no), name: `Ring ${no}`.padEnd(80, "x") }),
    );
  }
  const before = running.house.presence.total();
  const deaf = await RawSeat.sit(hall.url, running.coachPath);
  deaf.ws.pause();
  await eventually(() => running.house.presence.total() === before + 1);

  // The line's own buffers are outside the server: megabytes go by before anything waits in it.
  const isCut = (): boolean => running.house.presence.total() === before;
  let sent = 0;
  for (; !isCut() && sent < 2_000; sent += 1) {
    must(await coach.command("meet", { type: "TakePen", ring: ring(1), device: `tablet ${sent}` }));
  }
  expect(isCut()).toBe(true);
  expect(cuts.join("")).toContain("does not read");
  // Who reads has been sent everything, and whoever comes back sees the hall as it is.
  const last = `tablet ${sent - 1}`;
  await coach.until(({ meet }) => meet.rings[0]?.pen?.device === last);
  const back = await hall.sit<CoachView>(running.coachPath);
  expect(back.view.meet).toEqual(coach.view.meet);
  deaf.leave();
});

test("[W35] connections from one address are bounded, those from another are not concerned", async () => {
  hall = await openTestHall({ limits: { connectionsAnAddress: 20 } });
  const before = held();
  const idle = await Promise.all(Array.from({ length: 60 }, () => bytesTo(hall.url)));
  // The coach's device is one of the twenty.
  let turnedAway = 0;
  for (const { ended } of idle) void ended.then(() => (turnedAway += 1));
  await eventually(() => turnedAway === 41);
  // Linux has all of 127.0.0.0/8 on loopback; elsewhere there is no second address to come from.
  if (process.platform === "linux") {
    const other = await bytesTo(hall.url, "127.0.0.2");
    other.line.write(`${get("/health", "Connection: close\r\n")}\r\n`);
    expect(await other.ended).toMatch(/^HTTP\/1\.1 200 /);
    other.line.destroy();
  }
  for (const { line } of idle) line.destroy();
  await eventually(() => held() === before);
  await stillServes();
});

test("[W35] devices that come and go leave nothing behind", async () => {
  hall = await openTestHall({ limits: { burst: Infinity, patience: Infinity } });
  const { wall } = await setTheStage(hall);
  const { house } = hall.running;
  const path = house.seats.pathOf(wall.view.seat) ?? "";
  const total = house.presence.total();
  const before = held();
  for (let round = 0; round < 30; round += 1) {
    const some = await Promise.all(Array.from({ length: 10 }, () => RawSeat.sit(hall.url, path)));
    // Half of them say goodbye, half are torn away.
    some.forEach((one, i) => (i % 2 === 0 ? one.ws.close() : one.leave()));
    await Promise.all(some.map((one) => one.gone()));
  }
  await eventually(() => house.presence.total() === total);
  expect(house.presence.connected(wall.view.seat)).toBe(1);
  await eventually(() => held() === before);
  await stillServes();
});
