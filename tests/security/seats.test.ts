/** Secrets that open nothing: forged, guessed, ended while their seat is at work; and where no secret may ever stand. */
import { Writable } from "node:stream";
import { afterEach, describe, expect, test } from "vitest";
import type { BoutCommand } from "../../engine/index.ts";
import { openLedger, type Ledger } from "../../engine/ledger/open.ts";
import { openEntrance, openGuesses } from "../../table-ui/server/entrance.ts";
import { LIMITS } from "../../table-ui/server/limits.ts";
import {
  Device,
  eventually,
  hit,
  openTestHall,
  setTheStage,
  type TestHall,
} from "../table-ui/server/hall.ts";
import { RawSeat } from "./hostile/raw.ts";
import { ask, page } from "./support/line.ts";

let hall: TestHall | undefined;
afterEach(async () => {
  await hall?.close();
  hall = undefined;
});

const secretOf = (path: string): string => path.replace("/seat/", "");
const UNKNOWN = "AAAAAAAAAAAAAAAAAAAAAA";

/** What a socket that sends this as its proof is told. */
async function told(url: string, auth: string): Promise<string> {
  const seat = await RawSeat.open(url);
  const answer = seat.heard((text) => /^4[04]/.test(text));
  const cut = new Promise<string>((done) => seat.ws.on("close", () => done("cut")));
  seat.ws.send(`40${auth}`);
  const said = await Promise.race([answer, cut]);
  seat.ws.terminate();
  return said;
}

describe("[W3] a forged secret opens nothing", () => {
  const json = (value: unknown): string => JSON.stringify(value);
  const FORGED = (good: string): readonly string[] => [
    "",
    "{}",
    "null",
    "[]",
    json({ secret: null }),
    json({ secret: 1 }),
    json({ secret: true }),
    json({ secret: [good] }),
    json({ secret: { length: 22 } }),
    json({ secret: { toString: good } }),
    json({ secret: "" }),
    json({ secret: good.slice(1) }),
    json({ secret: `${good}A` }),
    json({ secret: `${good}\n` }),
    json({ secret: ` ${good}` }),
    json({ secret: good.toLowerCase() === good ? good.toUpperCase() : good.toLowerCase() }),
    json({ secret: `${good.slice(0, 21)}+` }),
    json({ secret: `${good.slice(0, 21)}\u0430` }),
    json({ secret: `${good.slice(0, 21)}\u0000` }),
    json({ secret: "__proto__" }),
    json({ secret: "constructor" }),
    json({ secret: "hasOwnProperty________" }),
    json({ secret: "*".repeat(22) }),
    json({ Secret: good }),
    json({ auth: { secret: good } }),
    `{"__proto__":{"secret":"${good}"}}`,
    json([{ secret: good }]),
    json({ secret: "x".repeat(10_000_000) }),
  ];

  test("at the socket, whatever shape it has", async () => {
    hall = await openTestHall({ limits: { guesses: Infinity } });
    const good = secretOf(hall.running.coachPath);
    expect(await told(hall.url, json({ secret: good }))).toMatch(/^40/);
    for (const auth of FORGED(good)) {
      const said = await told(hall.url, auth);
      expect(said === "cut" || said.includes('"no-such-seat"'), `${auth.slice(0, 80)}: ${said}`).toBe(true);
    }
    // Nor does the hash that the ledger keeps.
    const [seat] = await hall.ledger.seats();
    expect(await told(hall.url, json({ secret: seat?.secretHash }))).toContain("no-such-seat");
    expect(await told(hall.url, json({ secret: seat?.secretHash.slice(0, 22) }))).toContain("no-such-seat");
  });

  test("at the page, by whatever path and verb", async () => {
    hall = await openTestHall({ limits: { guesses: Infinity } });
    const { port, coachPath } = hall.running;
    const good = secretOf(coachPath);
    const status = async (path: string): Promise<number> =>
      (await ask(port, page(path, "Host: localhost"))).status;
    expect(await status(coachPath)).toBe(200);
    const paths = [
      `/${coachPath}`,
      `/seat//${good}`,
      `${coachPath}/`,
      `${coachPath}//`,
      `/SEAT/${good}`,
      `/seat%2f${good}`,
      `/seat/${good}%2f`,
      `/seat/${good}%00`,
      `/seat/${good}%0a`,
      `/seat/${good}%20`,
      `/seat/${good};x`,
      `/seat/${good}%zz`,
      `/seat/${good.slice(0, 21)}%c3%a9`,
      `/seat/.%2f${good}`,
      `/x/../seat/${good}`,
      `/assets/../seat/${good}`,
      `/assets/%2e%2e/seat/${good}`,
      `/%2e/seat/${good}`,
      `/seat/__proto__`,
      `/seat/constructor`,
      `/seat?secret=${good}`,
      `/?/seat/${good}`,
      `/seat/${"x".repeat(4_000)}`,
      `\\seat\\${good}`,
    ];
    for (const path of paths) {
      const answer = await ask(port, page(path, "Host: localhost"));
      expect([400, 404, 414, 421], path).toContain(answer.status);
      expect(answer.text, path).not.toContain(good);
    }
  });

  test("only to be read: no other verb does anything, and HEAD sends no body", async () => {
    hall = await openTestHall();
    const { port, coachPath } = hall.running;
    const verbs = [
      "POST",
      "PUT",
      "PATCH",
      "DELETE",
      "OPTIONS",
      "TRACE",
      "CONNECT",
      "PROPFIND",
      "QUERY",
      "get",
      "X",
    ];
    for (const verb of verbs) {
      const answer = await ask(port, page(coachPath, "Host: localhost").replace("GET", verb));
      expect([0, 400, 404, 405, 501], verb).toContain(answer.status);
      expect(answer.text, verb).not.toContain("<main>coach</main>");
    }
    const head = await ask(port, page(coachPath, "Host: localhost").replace("GET", "HEAD"));
    expect(head).toMatchObject({ status: 200, text: "" });
  });
});

describe("[W33] guesses", () => {
  const limits = { ...LIMITS, guesses: 3, guessesASecond: 0.5, guessers: 4 };

  test("are counted by address, and the measure comes back with time", () => {
    let now = 0;
    const guesses = openGuesses(limits, () => now);
    const tries = (address: string, n: number): boolean[] =>
      Array.from({ length: n }, () => guesses.count(address));
    expect(tries("10.0.0.1", 4)).toEqual([true, true, true, false]);
    expect(guesses.count("10.0.0.2")).toBe(true);
    expect(guesses.count("::ffff:10.0.0.1")).toBe(false);
    now += 2_000;
    expect(tries("10.0.0.1", 2)).toEqual([true, false]);
    // A single machine has all addresses of its network.
    expect([1, 2, 3, 4].map((n) => guesses.count(`2001:db8::${n}`))).toEqual([true, true, true, false]);
  });

  test("from ever new addresses fill no memory", () => {
    const guesses = openGuesses(limits, () => 0);
    for (let n = 0; n < 10_000; n += 1) guesses.count(`10.${n >> 16}.${(n >> 8) & 255}.${n & 255}`);
    expect(guesses.size).toBe(limits.guessers);
  });

  test("page and socket count them together; past the measure they are refused, and a good link opens all the same", async () => {
    let now = 1_900_000_000_000;
    hall = await openTestHall({ limits: { guesses: 6, guessesASecond: 1 }, now: () => now });
    const { url } = hall;
    const guess = async (): Promise<string | number> =>
      /"refused":"([\w-]+)"/.exec(await told(url, JSON.stringify({ secret: UNKNOWN })))?.[1] ?? "let in";
    const look = async (path = `/seat/${UNKNOWN}`): Promise<number> => (await fetch(url + path)).status;
    expect([await guess(), await look(), await guess(), await look()]).toEqual([
      "no-such-seat",
      404,
      "no-such-seat",
      404,
    ]);
    // Every path below a seat's counts, and what is no secret at all.
    expect([await look(`/seat/${UNKNOWN}/evening.json`), await look("/seat/short")]).toEqual([404, 404]);
    expect([await guess(), await look(), await look("/seat/short")]).toEqual(["too-many", 429, 429]);
    const late = await fetch(`${url}/seat/${UNKNOWN}`);
    expect(late.headers.get("retry-after")).toBe("30");
    expect(await late.text()).toContain("no seat: too many");
    expect(await look(hall.running.coachPath)).toBe(200);
    expect((await hall.sit(hall.running.coachPath)).view.kind).toBe("coach");
    now += 1_000;
    expect([await guess(), await guess()]).toEqual(["no-such-seat", "too-many"]);
  });

  test("whose link was ended is no guesser, and past the measure the ledger is not asked", async () => {
    hall = await openTestHall();
    const { seats } = hall.running.house;
    const { seat, path } = await seats.issue({ kind: "wall" });
    await seats.revoke(seat.id);
    let asked = 0;
    const house = { seats, catchUp: async () => void (asked += 1) };
    const enter = openEntrance(
      house,
      openGuesses(limits, () => 0),
    );
    for (let n = 0; n < 9; n += 1)
      expect(await enter(secretOf(path), "10.0.0.1")).toEqual({ shut: "revoked" });
    expect(asked).toBe(9);
    const said = [];
    for (let n = 0; n < 5; n += 1) said.push(await enter(UNKNOWN, "10.0.0.1"));
    expect(said.map((each) => ("shut" in each ? each.shut : "in"))).toEqual([
      "unknown",
      "unknown",
      "unknown",
      "too many",
      "too many",
    ]);
    expect(asked).toBe(12);
  });
});

/** A ledger whose appends wait until they are let go. */
async function heldLedger(): Promise<{ ledger: Ledger; hold(): void; release(): void; waits(): boolean }> {
  const ledger = await openLedger({ memory: true });
  let gate: Promise<void> | undefined;
  let open = (): void => undefined;
  let waiting = 0;
  const append: Ledger["append"] = async (...args) => {
    waiting += 1;
    await gate;
    waiting -= 1;
    return ledger.append(...args);
  };
  const held = new Proxy(ledger, {
    get(inner, key) {
      if (key === "append") return append;
      const own: unknown = Reflect.get(inner, key, inner);
      return typeof own === "function" ? (own.bind(inner) as unknown) : own;
    },
  });
  return {
    ledger: held,
    hold: () => void (gate = new Promise((done) => (open = done))),
    release: () => open(),
    waits: () => waiting > 0,
  };
}

describe("[W21] a seat that is ended while it is at work", () => {
  test.each(["revoke seat", "reissue seat"] as const)(
    "%s: its socket is cut, and what it had sent and was not decided yet is refused",
    async (what) => {
      const { ledger, hold, release, waits } = await heldLedger();
      hall = await openTestHall({ ledger });
      const stage = await setTheStage(hall);
      const on = { bout: stage.bout };
      hold();
      // The first is on its way to the disk; the second waits for its turn.
      const send = (command: BoutCommand): void => void stage.table.command(on, command).catch(() => "cut");
      send({ type: "StartFencing" });
      await eventually(waits);
      send({ type: "CallHalt" });
      send({ type: "RecordExchange", exchange: "x1", record: hit("red") });
      // What came in before has been heard.
      await stage.table.ask("time", { t: 1 });
      const ended = hall.coach.coach({ ask: what, seat: stage.table.view.seat });
      await eventually(() => stage.table.gone);
      await eventually(() => stage.table.socket.disconnected);
      release();
      expect((await ended).ok).toBe(true);
      await hall.running.house.queues.idle();
      const types = (await ledger.read(`bout/${stage.bout}`)).map(({ type }) => type);
      expect(types).toContain("FencingStarted");
      expect(types).not.toContain("HaltCalled");
      expect(types).not.toContain("ExchangeRecorded");
    },
  );

  test("a device that was let in and is not seated yet is told so too", async () => {
    hall = await openTestHall();
    const { house } = hall.running;
    const { seat, path } = await house.seats.issue({ kind: "wall" });
    const { find } = house.seats;
    // Ended at the very moment at which the door has found it good.
    let looks = 0;
    Object.assign(house.seats, {
      find: (secret: string) => {
        const found = find(secret);
        looks += 1;
        if (found?.id === seat.id && looks === 2) void house.seats.revoke(seat.id);
        return found;
      },
    });
    const device = new Device(hall.url, path);
    await eventually(() => device.gone ?? device.refused);
    expect(device.gone).toBe("revoked");
    await eventually(() => device.socket.disconnected);
    expect(device.heard).not.toContain('"view"');
  });
});

describe("[W3] a secret is never written down", () => {
  test("not in the log at its loudest, not in an answer, wherever it stood in what was asked", async () => {
    const lines: string[] = [];
    const stream = new Writable({
      write(chunk: Buffer, _, done) {
        lines.push(chunk.toString());
        done();
      },
    });
    hall = await openTestHall({ log: { level: "trace", stream }, limits: { guesses: Infinity } });
    const stage = await setTheStage(hall);
    const { port } = hall.running;
    const { seats } = hall.running.house;
    const path = seats.pathOf(stage.wall.view.seat) ?? "";
    const good = secretOf(path);
    const answers = [];
    for (const request of [
      page(`/?secret=${good}`, "Host: localhost"),
      page(`/health?${good}`, "Host: localhost"),
      page(`/health#${good}`, "Host: localhost"),
      page("/health", "Host: localhost", `Referer: http://localhost${path}`),
      page("/health", "Host: localhost", `Cookie: seat=${good}`, `Authorization: Bearer ${good}`),
      page("/health", `Host: ${good}.evil.example`),
      page("/health", "Host: localhost", `Origin: http://${good}`),
      page("/health", "Host: localhost", `X-Forwarded-For: ${good}`, `User-Agent: ${good}`),
      page(`/seats/${good}`, "Host: localhost"),
      page(`/seat/${good}/x`, "Host: localhost"),
      page(`/seat/${good}x`, "Host: localhost"),
      page(`/seat/${good}%zz`, "Host: localhost"),
      page(`/assets/${good}`, "Host: localhost"),
      page(`http://${good}/`, "Host: localhost"),
      page(path, "Host: localhost").replace("GET", "POST"),
      page(path, "Host: localhost").replace("GET", "DELETE"),
      page(path, "Host: localhost").replace("HTTP/1.1", "HTTP/9"),
      page(path, "Host: localhost", `${good}: x`, "Bad header\u0000"),
      page(`/socket.io/?EIO=4&transport=websocket&secret=${good}`, "Host: localhost"),
      page(`/socket.io/?EIO=9&transport=${good}`, "Host: localhost"),
      page(path, "Host: localhost", "Content-Length: 5") + good,
    ])
      answers.push(await ask(port, request));
    // A command, a coach's request and a whole message of it.
    await stage.wall.socket.emitWithAck("command", { id: good, on: "meet", command: { type: good } });
    await stage.wall.socket.emitWithAck(good, { secret: good });
    await told(hall.url, JSON.stringify({ secret: `${good.slice(1)}?`, more: good }));
    const log = lines.join("");
    expect(lines.length).toBeGreaterThan(answers.length / 2);
    expect(log).not.toContain(good);
    expect(log).not.toContain(good.slice(1));
    for (const { text, headers } of answers) expect(text + JSON.stringify(headers)).not.toContain(good);
  });
});
