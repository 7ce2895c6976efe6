import * as fc from "fast-check";
import { afterEach, expect, test } from "vitest";
import { checkSent } from "../../../table-ui/wire/checks.ts";
import { hit, must, newId, openTestHall, refusedAs, setTheStage, type TestHall } from "./hall.ts";

let hall: TestHall;
afterEach(() => hall.close());

/** Good messages with one part replaced, and things that were never messages. */
const good = (bout: string) => ({
  id: "a-good-id-0001",
  on: { bout },
  pen: { epoch: 1, seq: 1 },
  command: { type: "RecordExchange", exchange: "x9", record: hit("red") },
});
const junk = fc.oneof(
  fc.jsonValue({ maxDepth: 3 }),
  fc.constantFrom<unknown>(-1, 1.5, "", "x".repeat(500), [], {}, null, true, { __proto__: null, a: [[]] }),
);
const broken = fc
  .tuple(
    fc.constantFrom(
      "id",
      "on",
      "pen",
      "command",
      "at",
      "extra",
      "type",
      "exchange",
      "record",
      "acts",
      "open",
    ),
    junk,
  )
  .map(([key, value]) => (bout: string): unknown => {
    const message = JSON.parse(JSON.stringify(good(bout))) as Record<string, Record<string, unknown>>;
    const command = message["command"] ?? {};
    if (key in message || key === "at" || key === "extra") return { ...message, [key]: value };
    if (key in command) return { ...message, command: { ...command, [key]: value } };
    return { ...message, command: { ...command, record: { ...hit("red"), [key]: value } } };
  });
const message = fc.oneof(
  broken,
  junk.map((value) => () => value),
);

test("[W13] hundreds of malformed messages are refused with a code, change nothing and end nothing", async () => {
  hall = await openTestHall({ now: tickingFast() });
  const { table, bout } = await setTheStage(hall);
  const before = JSON.stringify(await everything(hall));
  let sent = 0;
  for (const make of fc.sample(message, { seed: 4711, numRuns: 700 })) {
    const text = JSON.parse(JSON.stringify(make(bout)) ?? "null") as unknown;
    if (checkSent(text).ok) continue;
    sent += 1;
    expect(refusedAs(await table.send(text))).toBe("bad-message");
    if (sent % 7 === 0) {
      expect(refusedAs((await hall.coach.socket.emitWithAck("coach", text)) as never)).toBe("bad-message");
    }
  }
  expect(sent).toBeGreaterThan(400);
  expect(JSON.stringify(await everything(hall))).toBe(before);
  must(await table.command({ bout }, { type: "StartFencing" }));
});

test("[W13] a message without an acknowledgement, or of a name that we do not know, is passed over", async () => {
  hall = await openTestHall();
  const { table, bout } = await setTheStage(hall);
  const before = JSON.stringify(await everything(hall));
  table.socket.emit("command", {
    id: newId(),
    on: { bout },
    pen: table.pen,
    command: { type: "StartFencing" },
  });
  table.socket.emit("command");
  table.socket.emit("command", "a", "b", "c");
  table.socket.emit("shutdown", {});
  expect(await table.ask("time", { t: 1 })).toMatchObject({ t: 1 });
  expect(JSON.stringify(await everything(hall))).toBe(before);
});

test("[W20] a device that floods is told so, and the others are not slowed", async () => {
  hall = await openTestHall({ now: () => 1_900_000_000_000 });
  const { table, wall } = await setTheStage(hall);
  const answers = await Promise.all(Array.from({ length: 200 }, () => table.ask("time", { t: 1 })));
  const refused = answers.filter((answer) => !isTime(answer));
  for (const answer of refused) expect(refusedAs(answer as never)).toBe("too-many");
  expect(refused.length).toBeGreaterThan(50);
  expect(refused.length).toBeLessThan(150);
  expect(await wall.ask("time", { t: 2 })).toMatchObject({ t: 2 });
});

test("[W20] a message above the limit closes the socket and nothing else", async () => {
  hall = await openTestHall();
  const { table, wall } = await setTheStage(hall);
  const closed = new Promise((done) => table.socket.once("disconnect", done));
  table.socket.emit("command", { text: "x".repeat(300_000) }, () => undefined);
  await closed;
  expect(await wall.ask("time", { t: 2 })).toMatchObject({ t: 2 });
});

const isTime = (answer: unknown): boolean =>
  typeof answer === "object" && answer !== null && "server" in answer;

/** A clock on which a second passes at every look, so that nobody sends too fast. */
function tickingFast(): () => number {
  let now = 1_900_000_000_000;
  return () => (now += 1_000);
}

async function everything({ ledger }: TestHall): Promise<unknown> {
  const streams = await ledger.streams();
  return {
    streams: await Promise.all(streams.map(({ stream }) => ledger.read(stream))),
    people: await ledger.people(),
    seats: await ledger.seats(),
    ruleSets: await ledger.ruleSets(),
  };
}
