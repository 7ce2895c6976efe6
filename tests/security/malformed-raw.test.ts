/** Bytes that are no message at all: broken frames, broken packets, broken requests. Each ends its own line and nothing else. */
import { afterEach, describe, expect, test } from "vitest";
import { eventually, must, openTestHall } from "../table-ui/server/hall.ts";
import { DEEP } from "./hostile/junk.ts";
import { bytesTo, frame, RawSeat, upgradeOf } from "./hostile/raw.ts";
import { besiege, everything, type Besieged } from "./hostile/target.ts";

let hall: Besieged | undefined;
afterEach(async () => {
  await hall?.close();
  hall = undefined;
});

const CLOSED = { closes: true } as const;
const STAYS = { closes: false } as const;

/** What a socket that has a seat may be sent, as texts of the two protocols above the websocket. */
const PACKETS: readonly (readonly [
  name: string,
  text: string | Buffer,
  then: { readonly closes: boolean },
])[] = [
  ["nothing", "", CLOSED],
  ["no packet of the line", "9", CLOSED],
  ["a ping, which only the server sends", "2", CLOSED],
  ["a second opening", "0{}", STAYS],
  ["an upgrade of the line", "5", STAYS],
  ["no packet of the socket", "49", CLOSED],
  ["a second seat on the same line", '40{"secret":"xxxxxxxxxxxxxxxxxxxxxx"}', CLOSED],
  ["a name space that is none of ours", "40/admin,{}", STAYS],
  ["an event in a name space without a seat", '42/admin,["command",{}]', CLOSED],
  ["an event that is no list", '42{"a":1}', CLOSED],
  ["an event without a name", "42[]", CLOSED],
  ["an event whose name is an object", "42[{}]", CLOSED],
  ["an event whose name the library keeps for itself", '42["disconnect"]', CLOSED],
  ["a connection refused by the device", '44{"message":"x"}', CLOSED],
  ["JSON that breaks off", '42["command",{"id":', CLOSED],
  ["brackets in brackets", `42["command",${"[".repeat(DEEP)}${"]".repeat(DEEP)}]`, STAYS],
  ["an answer to nothing", "43999[1]", STAYS],
  ["an answer whose number is none", "43x[1]", CLOSED],
  ["a number beyond all numbers", `42${"9".repeat(400)}["time",{"t":1}]`, STAYS],
  ["attachments by the million", '451000000-["command",{"_placeholder":true,"num":0}]', CLOSED],
  ["attachments below nothing", '45-1-["command"]', CLOSED],
  ["attachments that never come, then a message", '451-["command",{"_placeholder":true,"num":0}]', STAYS],
  ["bytes that nobody announced", Buffer.from([1, 2, 3]), CLOSED],
];

test("[W13] packets that no device sends are passed over, or end their own line", async () => {
  hall = await besiege();
  const { coach, running, url } = hall.hall;
  const before = await everything(hall);
  const devices = running.house.presence.connected(coach.view.seat);
  for (const [name, packet, { closes }] of PACKETS) {
    const raw = await RawSeat.sit(url, running.coachPath);
    raw.ws.send(packet);
    if (closes) await raw.gone();
    else {
      // The next message is answered; or it was what the line broke at, which is well too.
      const answered = raw.heard((said) => said.startsWith("43"));
      void raw.ask("time", '{"t":7}');
      await Promise.race([answered, raw.gone()]);
    }
    expect([name, await coach.ask("time", { t: 1 })]).toMatchObject([name, { t: 1 }]);
    raw.leave();
  }
  await eventually(() => running.house.presence.connected(coach.view.seat) === devices);
  expect(await everything(hall)).toBe(before);
});

const text = Buffer.from('42["command",{}]');
/** RFC 6455: what no websocket may send. */
const FRAMES: readonly (readonly [name: string, bytes: Buffer])[] = [
  ["without a mask (5.1)", frame(1, text, { masked: false })],
  ["with a reserved bit (5.2)", frame(1, text, { rsv: 0x40 })],
  ["with a reserved opcode (5.2)", frame(3, text)],
  ["with a reserved control opcode (5.2)", frame(11, Buffer.alloc(0))],
  ["a control frame in pieces (5.5)", frame(9, Buffer.from("a"), { fin: false })],
  ["a control frame of 126 bytes (5.5)", frame(9, Buffer.alloc(126))],
  ["a second part without a first one (5.4)", frame(0, text)],
  ["a new text amid another one (5.4)", Buffer.concat([frame(1, text, { fin: false }), frame(1, text)])],
  ["a text that is no UTF-8 (8.1)", frame(1, Buffer.from([0x34, 0x32, 0xff, 0xfe]))],
  ["half a character at the end (8.1)", frame(1, Buffer.from([0x34, 0x32, 0xe2, 0x82]))],
  ["a close code that is none (7.4)", frame(8, Buffer.from([0x00, 0x01]))],
  ["a close of one byte (5.5.1)", frame(8, Buffer.from([0x03]))],
  [
    "longer than any number (5.2)",
    Buffer.from([0x81, 0xff, ...Array.from({ length: 8 }, () => 0xff), 0, 0, 0, 0]),
  ],
  ["longer than a message may be", frame(1, Buffer.alloc(300_000, 0x34))],
  [
    "longer than a message may be, in a thousand pieces",
    Buffer.concat([
      frame(1, Buffer.alloc(300, 0x34), { fin: false }),
      ...Array.from({ length: 1_000 }, () => frame(0, Buffer.alloc(300, 0x34), { fin: false })),
    ]),
  ],
];

test("[W13] frames that no websocket may send end their own line", async () => {
  hall = await besiege();
  const { url } = hall.hall;
  const before = await everything(hall);
  for (const [name, bytes] of FRAMES) {
    const { line, said, ended } = await bytesTo(url);
    line.write(upgradeOf(url));
    await eventually(() => said().includes("pingInterval"));
    line.write(bytes);
    expect([name, (await ended).startsWith("HTTP/1.1 101 ")]).toEqual([name, true]);
    line.destroy();
  }
  expect(await everything(hall)).toBe(before);
});

describe("[W35] requests that are none", () => {
  const host = (url: string): string => new URL(url).host;
  /** The whole request, and what its answer's first line says. */
  const REQUESTS: readonly (readonly [name: string, make: (host: string) => string, status: RegExp])[] = [
    ["no request", () => "hello\r\n\r\n", /400/],
    ["another protocol", () => "SSH-2.0-x\r\n", /400/],
    ["the first line of HTTP/2", () => "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n", /400|505/],
    ["a method that is none", (at) => `HACK / HTTP/1.1\r\nHost: ${at}\r\n\r\n`, /400/],
    ["CONNECT", (at) => `CONNECT ${at} HTTP/1.1\r\nHost: ${at}\r\n\r\n`, /: $|400|404/],
    ["no Host", () => "GET / HTTP/1.1\r\n\r\n", /400|421/],
    ["two Hosts", (at) => `GET / HTTP/1.1\r\nHost: ${at}\r\nHost: ${at}\r\n\r\n`, /400|404|421/],
    ["a header with a zero byte", (at) => `GET / HTTP/1.1\r\nHost: ${at}\r\nX: a\u0000b\r\n\r\n`, /400/],
    ["a header that is folded", (at) => `GET / HTTP/1.1\r\nHost: ${at}\r\nX: a\r\n b\r\n\r\n`, /400|404/],
    ["a header without a name", (at) => `GET / HTTP/1.1\r\nHost: ${at}\r\n: a\r\n\r\n`, /400/],
    [
      "headers of a megabyte",
      (at) => `GET / HTTP/1.1\r\nHost: ${at}\r\nX: ${"x".repeat(1_000_000)}\r\n\r\n`,
      /431/,
    ],
    [
      "an address of a megabyte",
      (at) => `GET /${"x".repeat(1_000_000)} HTTP/1.1\r\nHost: ${at}\r\n\r\n`,
      /431|414/,
    ],
    [
      "two lengths",
      (at) => `POST / HTTP/1.1\r\nHost: ${at}\r\nContent-Length: 3\r\nContent-Length: 4\r\n\r\nabcd`,
      /400/,
    ],
    [
      "a length and chunks, which two readers would end at two places",
      (at) =>
        `POST / HTTP/1.1\r\nHost: ${at}\r\nContent-Length: 4\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n`,
      /400|413/,
    ],
    ["a length that is none", (at) => `POST / HTTP/1.1\r\nHost: ${at}\r\nContent-Length: -5\r\n\r\n`, /400/],
    [
      "a chunk that is none",
      (at) => `POST / HTTP/1.1\r\nHost: ${at}\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n`,
      /400|413/,
    ],
    [
      "chunks without end",
      (at) =>
        `POST / HTTP/1.1\r\nHost: ${at}\r\nTransfer-Encoding: chunked\r\n\r\n${"1\r\na\r\n".repeat(5_000)}`,
      /413/,
    ],
    [
      "a body with a GET",
      (at) => `GET /health HTTP/1.1\r\nHost: ${at}\r\nContent-Length: 5\r\n\r\nhello`,
      /413/,
    ],
    [
      "something expected",
      (at) => `GET /health HTTP/1.1\r\nHost: ${at}\r\nExpect: a miracle\r\n\r\n`,
      /417|200/,
    ],
    [
      "a path that climbs",
      (at) => `GET /assets/../../package.json HTTP/1.1\r\nHost: ${at}\r\n\r\n`,
      /404|400/,
    ],
    [
      "a path that climbs in disguise",
      (at) => `GET /assets/%2e%2e%2f%2e%2e%2fpackage.json HTTP/1.1\r\nHost: ${at}\r\n\r\n`,
      /404|400|403/,
    ],
    ["a path that is no UTF-8", (at) => `GET /seat/%ff%fe HTTP/1.1\r\nHost: ${at}\r\n\r\n`, /400|404/],
    ["a zero byte in the path", (at) => `GET /seat/%00 HTTP/1.1\r\nHost: ${at}\r\n\r\n`, /400|404/],
    [
      "long polling, which is off",
      (at) => `GET /socket.io/?EIO=4&transport=polling HTTP/1.1\r\nHost: ${at}\r\n\r\n`,
      /400/,
    ],
    [
      "a body for long polling",
      (at) =>
        `POST /socket.io/?EIO=4&transport=polling&sid=x HTTP/1.1\r\nHost: ${at}\r\nContent-Length: 900000000\r\n\r\n`,
      /400|413/,
    ],
    [
      "an old protocol of sockets",
      (at) => `GET /socket.io/?EIO=3&transport=websocket HTTP/1.1\r\nHost: ${at}\r\n\r\n`,
      /400/,
    ],
    [
      "an upgrade without a key",
      (at) =>
        `GET /socket.io/?EIO=4&transport=websocket HTTP/1.1\r\nHost: ${at}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\n\r\n`,
      /400/,
    ],
    [
      "an upgrade to a version that is none",
      (at) =>
        `GET /socket.io/?EIO=4&transport=websocket HTTP/1.1\r\nHost: ${at}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\nSec-WebSocket-Version: 99\r\n\r\n`,
      /400|426/,
    ],
  ];

  test("are answered with a status of their own fault, and end nothing", async () => {
    hall = await besiege({ limits: { headersMs: 500, requestMs: 800, checkEveryMs: 50, keepAliveMs: 100 } });
    const { url } = hall.hall;
    const before = await everything(hall);
    const said = await Promise.all(
      REQUESTS.map(async ([name, make]) => {
        const { line, ended } = await bytesTo(url);
        line.write(make(host(url)));
        const answer = await ended;
        line.destroy();
        return [name, /^HTTP\/1\.1 (\d+)/.exec(answer)?.[1] ?? "", answer.slice(0, 3_000)] as const;
      }),
    );
    for (const [i, [name, status, answer]] of said.entries()) {
      expect(`${name}: ${status}`).toMatch(REQUESTS[i]?.[2] ?? /never/);
      expect(answer).not.toMatch(/node_modules|\bat .*\.(?:ts|js):\d|Garland\/|"dependencies"/);
    }
    expect(await everything(hall)).toBe(before);
    const { table } = hall.stage;
    must(await table.command({ bout: hall.target.bout }, { type: "StartFencing" }));
  });

  test("a hundred requests in one breath are answered one after the other, in their order", async () => {
    const plain = await openTestHall();
    const { line, said } = await bytesTo(plain.url);
    const one = (path: string): string => `GET ${path} HTTP/1.1\r\nHost: ${host(plain.url)}\r\n\r\n`;
    line.write(Array.from({ length: 100 }, (_, no) => one(no % 2 === 0 ? "/health" : "/nowhere")).join(""));
    const statuses = (): readonly string[] =>
      [...said().matchAll(/HTTP\/1\.1 (\d+)/g)].map(([, status]) => status ?? "");
    await eventually(() => statuses().length === 100);
    expect(statuses()).toEqual(Array.from({ length: 100 }, (_, no) => (no % 2 === 0 ? "200" : "404")));
    line.destroy();
    await plain.close();
  });
});
