import { createHash } from "node:crypto";
import { connect } from "node:net";
import { Writable } from "node:stream";
import { afterEach, describe, expect, test } from "vitest";
import { openLedger, LedgerFault, type Ledger } from "../../../engine/ledger/open.ts";
import { openLog, openRefusals, quiet, shownRoute } from "../../../table-ui/server/log.ts";
import { openObserver } from "../../../table-ui/server/observer.ts";
import type { FencerView } from "../../../table-ui/wire/views.ts";
import { eventually, hit, must, openTestHall, plainPages, setTheStage, type TestHall } from "./hall.ts";

interface Line {
  readonly level: string;
  readonly time: number;
  readonly msg: string;
  readonly [more: string]: unknown;
}

function lines(): { readonly stream: Writable; readonly text: () => string; readonly all: () => Line[] } {
  let text = "";
  const stream = new Writable({
    write(chunk: Buffer, _, done) {
      text += chunk.toString();
      done();
    },
  });
  const all = (): Line[] =>
    text
      .split("\n")
      .filter((line) => line !== "")
      .map((line) => JSON.parse(line) as Line);
  return { stream, text: () => text, all };
}

let hall: TestHall | undefined;
afterEach(async () => {
  await hall?.close();
  hall = undefined;
});

/** Words that stand nowhere else. */
const PLANTED = {
  name: "Xanthippe Quillfeather",
  shortName: "Xanth Q.",
  notes: "Wears a zephyrine brace on the left knee.",
  why: "I saw a gossamer parry there.",
  stop: "A lantern fell down.",
  ring: "Ring of Bellwether",
  evening: "Thistledown evening",
  erased: "Ottoline Marchbanks",
} as const;

const SEALED = `name: Hidden marmalade
picks:
  secret marzipan:
    by: each fencer
    from:
      - head
      - leg
    when: before the bout
    seen by: the fencer
    shown: at the end
touches:
  I hit: 1
rules:
  - name: Own saffron
    when: I hit my secret marzipan
    pays: 3 bonus to me
`;

/** A ledger whose appends fail with an error that quotes what it should not, once it is told to. */
function failing(memory: Ledger, fails: () => Error | undefined): Ledger {
  return new Proxy(memory, {
    get(target, name) {
      const member: unknown = Reflect.get(target, name, target);
      if (typeof member !== "function") return member;
      return (...args: unknown[]): unknown => {
        const error = name === "append" ? fails() : undefined;
        if (error !== undefined) throw error;
        return Reflect.apply(member, target, args);
      };
    },
  });
}

/** A request that no browser would send, straight to the socket. */
const raw = (port: number, text: string): Promise<void> =>
  new Promise((done) => {
    const line = connect(port, "127.0.0.1", () => line.end(text));
    line.on("close", () => done());
    line.on("error", () => done());
    line.resume();
  });

test("[W38] [W3] a busy evening at level trace: no secret, no name, no note, no reason, no choice, no rule", async () => {
  const log = lines();
  let error: Error | undefined;
  const ledger = failing(await openLedger({ memory: true }), () => error);
  const broken = {
    ...plainPages,
    style: () => {
      throw new Error(`cannot draw ${PLANTED.name}`, { cause: new Error(PLANTED.notes) });
    },
  };
  hall = await openTestHall({ ledger, pages: broken, log: { level: "trace", stream: log.stream } });
  const stage = await setTheStage(hall, SEALED);
  const { coach, running, url } = hall;
  const { table, redSeat, blueSeat, judges, bout, wall } = stage;
  const { house } = running;
  must(await coach.command("meet", { type: "AddRing", ring: "r9", name: PLANTED.ring }));
  const added = must(
    await coach.coach({ ask: "add fencer", name: PLANTED.name, shortName: PLANTED.shortName, consents: [] }),
  );
  await house.people.enter({ name: PLANTED.erased, shortName: "Ott M.", notes: PLANTED.notes, consents: [] });
  const { path = "" } = must(
    await coach.coach({ ask: "issue seat", kind: "fencer", person: added.id ?? "" }),
  );
  await hall.sit<FencerView>(path);
  const on = { bout };
  const pick = { type: "SetPick", pick: "secret marzipan", side: "red", value: "leg" } as const;
  must(await redSeat.command(on, pick));
  await blueSeat.command(on, { ...pick, value: "saffron-leg" });
  must(await table.command(on, { type: "StartFencing" }));
  must(await table.command(on, { type: "CallHalt" }));
  must(await table.command(on, { type: "RecordExchange", exchange: "x1", record: hit("red") }));
  await redSeat.command(on, { type: "QuestionExchange", exchange: "x1", side: "red", why: PLANTED.why });
  await judges[0]?.command(on, { type: "Stop", why: PLANTED.stop });
  await coach.coach({ ask: "read rule set", text: "name: Broken marmalade\nrules: saffron" });
  await coach.send({ id: "bad-command-id", on, command: { type: PLANTED.name, why: PLANTED.why } });
  await coach.command("meet", { type: "OpenEvening", name: PLANTED.evening });
  const secrets = house.seats.all().flatMap(({ id }) => house.seats.pathOf(id)?.replace("/seat/", "") ?? []);
  const secret = secrets.at(-1) ?? "";
  must(await coach.coach({ ask: "revoke seat", seat: wall.view.seat }));
  // Addresses that are wrong in every way still hold somebody's secret.
  for (const address of [
    `/seat/${secret}`,
    `/Seat/${secret}`,
    `/seat//${secret}`,
    `/seat/${secret}%20`,
    `/seat%2F${secret}`,
    `/seat/%${secret}`,
    `/${secret}`,
    `/?seat=${secret}`,
    `/assets/../seat/${secret}`,
    `/style?name=${encodeURIComponent(PLANTED.name)}`,
    `/metrics?${secret}`,
  ])
    await fetch(`${url}${address}`, { headers: { referer: `${url}/seat/${secret}`, "user-agent": secret } });
  await raw(running.port, `GET /seat/${secret} HTTP/9.9\r\nHost: ${secret}\r\n\r\n`);
  await raw(running.port, `BAD\0 /seat/${secret}\r\n${secret}\r\n\r\n`);
  error = new TypeError(
    `${PLANTED.name} has no ${PLANTED.notes} at ${secret}\n    at ${PLANTED.name} (/x:1:1)`,
  );
  await table.command(on, { type: "Undo" });
  error = new LedgerFault("disk-failed", `The disk under ${secret} of ${PLANTED.name} failed.`);
  await table.command(on, { type: "Undo" });
  error = undefined;
  await hall.close();
  hall = undefined;

  const all = log.all();
  expect(all.length).toBeGreaterThan(40);
  for (const line of all) {
    expect(["trace", "debug", "info", "warn", "error", "fatal"]).toContain(line.level);
    expect(Number.isSafeInteger(line.time)).toBe(true);
    expect(line.msg).toMatch(/\w/);
  }
  const said = new Set(all.map(({ msg }) => msg));
  for (const event of [
    "started",
    "stopped",
    "a seat was taken",
    "a seat was left",
    "a command was answered",
    "commands were refused",
    "a page could not be sent",
    "a message could not be answered",
    "the ledger failed",
    "somebody was not let in",
    "answered",
    "a seat's link was ended",
  ])
    expect(said).toContain(event);
  const text = log.text();
  const hashes = house.seats.all().map(({ secretHash }) => secretHash);
  expect(secrets.length).toBeGreaterThanOrEqual(8);
  for (const hidden of [...secrets, ...hashes]) expect(text).not.toContain(hidden);
  for (const hidden of secrets) expect(text).not.toContain(createHash("sha256").update(hidden).digest("hex"));
  for (const word of [
    ...Object.values(PLANTED),
    "Xanth",
    "Quillfeather",
    "Mira",
    "Brandtworth",
    "Asthma",
    "zephyrine",
    "gossamer",
    "lantern",
    "marzipan",
    "marmalade",
    "saffron",
    "Bellwether",
    "Thistledown",
    '"leg"',
  ])
    expect(text).not.toContain(word);
});

describe("an error as it may be logged", () => {
  test("its kind, its code and where it happened; never its message, nor its causes'", () => {
    const cause = Object.assign(new RangeError("of Xanthippe"), { code: "ERR_X" });
    const told = JSON.stringify(
      quiet(new TypeError("Xanthippe\n    at Xanthippe (/home/x.ts:1:1)", { cause })),
    );
    expect(told).toContain('"type":"TypeError"');
    expect(told).toContain('"cause":{"type":"RangeError","code":"ERR_X"');
    expect(told).toMatch(/log\.test\.ts:\d+:\d+/);
    expect(told).not.toContain("Xanthippe");
  });

  test("what is no error is told by its type only", () => {
    expect(quiet("Xanthippe")).toEqual({ type: "string" });
  });

  test("a line that is only an error does not take the error's message for its own", () => {
    const log = lines();
    const logger = openLog({ level: "info", stream: log.stream });
    logger.error(new Error("Xanthippe"));
    logger.error({ err: new Error("Xanthippe") });
    expect(log.all()).toHaveLength(2);
    expect(log.text()).not.toContain("Xanthippe");
  });
});

test("an address is logged as its route", () => {
  expect(shownRoute("/seat/:secret/evening.json")).toBe("/seat/***/evening.json");
  expect(shownRoute("/style")).toBe("/style");
  expect(shownRoute(undefined)).toBe("none of ours");
});

test("refused commands are told together, by code, and once", () => {
  const log = lines();
  const refusals = openRefusals(openLog({ level: "info", stream: log.stream }));
  for (const code of ["no-pen", "not-now", "no-pen"]) refusals.count(code);
  refusals.tell();
  refusals.close();
  expect(log.all()).toEqual([
    {
      level: "info",
      time: expect.any(Number) as number,
      refused: { "no-pen": 2, "not-now": 1 },
      msg: "commands were refused",
    },
  ]);
});

test("a ledger's fault is told once until something is written again, and counted every time", async () => {
  const log = lines();
  const observer = openObserver(openLog({ level: "info", stream: log.stream }), () => 1_000);
  let error: Error | undefined = new LedgerFault("disk-full", "The disk is full.");
  const memory = await openLedger({ memory: true });
  const ledger = observer.ledger(failing(memory, () => error));
  const append = async (version: number): Promise<void> => {
    const event = { type: "Noted", at: 1, data: {} };
    await ledger.append("s", version, [event], { id: `c${version}`, digest: "d" });
  };
  await append(0).catch(() => undefined);
  await append(0).catch(() => undefined);
  expect(log.all().map(({ level, code }) => [level, code])).toEqual([["error", "disk-full"]]);
  expect(observer.lastWrite()).toBeUndefined();
  error = undefined;
  await append(0);
  expect(observer.lastWrite()).toBe(1_000);
  error = new LedgerFault("disk-full", "The disk is full.");
  await append(1).catch(() => undefined);
  expect(log.all()).toHaveLength(2);
  observer.close();
});

test("lines have an id each: which connection, and which message on it", async () => {
  const log = lines();
  hall = await openTestHall({ log: { level: "debug", stream: log.stream } });
  const { table, bout } = await setTheStage(hall);
  await table.command({ bout }, { type: "Undo" });
  await eventually(
    () => log.text().includes('"outcome":"nothing-to-undo"') || log.text().includes('"type":"Undo"'),
  );
  const ids = log
    .all()
    .flatMap(({ line, ask }) => (ask === undefined ? [] : [`${String(line)} ${String(ask)}`]));
  expect(ids.length).toBeGreaterThanOrEqual(8);
  expect(new Set(ids).size).toBe(ids.length);
  await fetch(`${hall.url}/health`);
  await eventually(() => log.all().some(({ reqId, url }) => reqId !== undefined && url === "/health"));
});
