/** A table that comes back with hundreds of commands is honest, however fast it sends them: all of them get through. */
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { LIMITS } from "../../table-ui/server/limits.ts";
import { openLink, type Link } from "../../table-ui/screens/shared/link.ts";
import type { Answered } from "../../table-ui/wire/messages.ts";
import type { TableView } from "../../table-ui/wire/views.ts";
import { eventually, must, openTestHall, setTheStage, type TestHall } from "../table-ui/server/hall.ts";

const BACKLOG = 500;

/** Looks in a row that find nothing new: then nothing more comes by itself. */
const LOOKS = 40;

/** Waits until a count has grown, and then has stopped growing. */
async function still(count: () => number): Promise<void> {
  const before = count();
  let last = before;
  let looks = 0;
  await eventually(() => {
    looks = count() === last ? looks + 1 : 0;
    last = count();
    return last > before && (looks > LOOKS || last >= BACKLOG);
  });
}

let hall: TestHall;
let link: Link | undefined;
let now = 1_900_000_000_000;
beforeEach(async () => {
  hall = await openTestHall({ now: () => now });
  // A page knows where it came from; the link asks for it.
  vi.stubGlobal("location", new URL(hall.url));
  vi.stubGlobal("requestAnimationFrame", (paint: () => void) => setTimeout(paint, 0));
});
afterEach(async () => {
  link?.close();
  vi.unstubAllGlobals();
  await hall.close();
});

test(`[W20] "too many" is about the moment: a backlog of ${BACKLOG} commands comes through, in its order and each once`, async () => {
  const { table, bout } = await setTheStage(hall);
  now += 3_600_000;
  const secret = (hall.running.house.seats.pathOf(table.view.seat) ?? "").replace("/seat/", "");
  let view: TableView | undefined;
  link = openLink<TableView>({ view: (next) => (view = next), state: () => undefined }, secret);
  await eventually(() => view);
  const answers: Answered[] = [];
  const { send } = link;
  /** As the table's pump does it: the next one when the one before is answered. */
  const pump = async (): Promise<void> => {
    for (let no = 1; no <= BACKLOG; no += 1) {
      const command = { type: "SetClock", leftMs: no * 1_000 } as const;
      const pen = { epoch: table.pen?.epoch ?? 0, seq: no };
      answers.push(await send({ id: `backlog-${no}`, on: { bout }, pen, at: now, command }));
    }
  };
  const before = hall.running.house.streams.version(`bout/${bout}`);
  const pumping = pump();
  // The clock stands: when the bucket is empty every message is one too many, and the pump waits with it.
  let waves = 0;
  while (answers.length < BACKLOG) {
    const reached = answers.length;
    await still(() => answers.length);
    expect(answers.length).toBeLessThanOrEqual(reached + LIMITS.burst);
    waves += 1;
    now += 60_000;
  }
  expect(waves).toBeGreaterThan(BACKLOG / LIMITS.burst);
  await pumping;
  for (const answer of answers) must(answer);
  expect(hall.running.house.streams.version(`bout/${bout}`)).toBe(before + BACKLOG);
  await eventually(() => Object.keys(view?.events ?? {}).length === before + BACKLOG);
});
