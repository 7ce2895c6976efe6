/**
 * A whole evening at ten times its speed: a real server in its own process, real sockets, and a robot in every seat. Its
 * network fails, people come late, pens change hands, the server restarts. LONG=1: two hours; else a minute and a half.
 */
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { EveningHall, TIMES, type Found } from "../support/evening-hall.ts";
import { liveFaster } from "../support/evening-network.ts";
import { freePort } from "../support/hall.ts";

const LONG = process.env["LONG"] === "1";
const MINUTE = 60_000;
/** How long the long form is, in simulated minutes. */
const MINUTES = Number(process.env["EVENING_MINUTES"] ?? 120);
/** So many stretches, each ended by a look at everything. */
const STRETCHES = LONG ? MINUTES / 5 : 2;
const STRETCH_MS = LONG ? 5 * MINUTE : 45_000;
const FENCERS = 24;
const IN_TIME = 18;
const SEED = Number(process.env["EVENING_SEED"] ?? 20_261_128);

/** Simulated milliseconds that a device's time may be off: 50 of its own. */
const TIME_OFF = 50 * TIMES;
/** What the second half may add to the heap and to resident memory: its bouts, and no more. */
const HEAP_MB = 16;
const RESIDENT_MB = 48;
/** Milliseconds that a server may be late beyond what its machine makes everybody: a loaded disk alone costs some hundred. */
const LATE_MS = 1_000;

let hall: EveningHall;
let dir = "";
let slower = (): void => undefined;
const found: Found[] = [];
let replayed: { differ: readonly string[]; bouts: number; exchanges: number };
let flaws: readonly string[];

const sleep = (ms: number): Promise<void> => new Promise((done) => setTimeout(done, ms / TIMES));

/** What happens in one stretch beside the fencing. */
async function stretch(no: number): Promise<void> {
  const { chance } = hall.evening;
  const late = Math.ceil(((FENCERS - IN_TIME) * 2) / STRETCHES);
  for (let each = 0; each < late && hall.fencers < FENCERS; each += 1) await hall.comes(hall.fencers + 1);
  await sleep(STRETCH_MS * 0.3);
  const point = hall.points[no % hall.points.length];
  if (point !== undefined) await hall.fail(point, STRETCH_MS * (0.1 + 0.2 * chance()));
  hall.changeHands(`ring-${(no % 3) + 1}`);
  if (no === Math.floor(STRETCHES / 2)) await hall.restart("in good order");
  if (LONG && no === Math.floor((STRETCHES * 3) / 4)) await hall.restart("killed");
  await sleep(STRETCH_MS * 0.5);
}

beforeAll(async () => {
  const cache = fileURLToPath(new URL("../../node_modules/.cache", import.meta.url));
  mkdirSync(cache, { recursive: true });
  // Inside node_modules, so that the bundled server finds its packages.
  dir = mkdtempSync(join(cache, "garland-evening-"));
  slower = liveFaster(TIMES);
  hall = new EveningHall(dir, await freePort(), SEED);
  await hall.open(IN_TIME);
  for (let no = 0; no < STRETCHES; no += 1) {
    await stretch(no);
    found.push(await hall.look());
  }
  await hall.close();
  found.push(await hall.look());
  replayed = await hall.ask("replay");
  flaws = await hall.ask("integrity");
}, 1_800_000);

afterAll(async () => {
  await hall?.end();
  slower();
  if (dir !== "") rmSync(dir, { recursive: true, force: true });
});

describe(`an evening of ${(STRETCHES * STRETCH_MS) / 1000} seconds at ${TIMES} times its speed (EVENING_SEED=${SEED})`, () => {
  test("was one: bouts were fenced, voted on, corrected, scored while away, and pens changed hands", () => {
    const { done } = hall.evening;
    const wanted = ["call bout", "RecordExchange", "Vote", "TakePen", "pressed while away"];
    if (LONG) wanted.push("GiveFacts", "ConfirmResult", "ChangeExchange", "Undo", "EndBout", "ClearRing");
    expect(wanted.filter((what) => (done.get(what) ?? 0) === 0)).toEqual([]);
    expect(replayed.bouts).toBeGreaterThanOrEqual(LONG ? MINUTES / 4 : 3);
    expect(replayed.exchanges).toBeGreaterThanOrEqual(LONG ? MINUTES * 2 : 8);
    expect(hall.fencers).toBe(FENCERS);
  });

  test("whenever it was looked at, every screen showed what the ledger holds", () => {
    expect(found.map(({ views }) => views > FENCERS)).not.toContain(false);
    expect(found.flatMap(({ wrongViews }) => wrongViews)).toEqual([]);
  });

  test("every device knew the server's time and every ring's clock", () => {
    // A slow answer puts one device off, a slow minute one look; a clock of another pace all devices at every look.
    const looks = found.map(({ middleTime }) => middleTime).sort((a, b) => a - b);
    expect(looks[Math.floor(looks.length / 2)]).toBeLessThan(TIME_OFF);
    // A device asks over a line; no answer tells better than half of the time that it was under way.
    const late = Math.max(...found.map(({ lateness }) => lateness.server.max + lateness.devices.max)) * TIMES;
    expect(Math.max(...found.map(({ worstTime }) => worstTime))).toBeLessThan(TIME_OFF + late);
    expect(Math.max(...found.map(({ worstClock }) => worstClock))).toBeLessThan(TIME_OFF + late);
  });

  test("in the end no tablet holds anything back, and tallies are what their events replay to", () => {
    expect(hall.tablets.map(({ waiting }) => waiting)).toEqual(hall.tablets.map(() => 0));
    expect(replayed.differ).toEqual([]);
    expect(flaws).toEqual([]);
  });

  test.runIf(LONG)("over its second half the server grew by its bouts alone, and was never long late", () => {
    // From half-time on it is another process: what it holds after its first stretch is where it begins.
    const half = found.slice(Math.floor((STRETCHES * 3) / 4) + 1, STRETCHES);
    const [first, last] = [half[0]?.health, half.at(-1)?.health];
    if (first === undefined || last === undefined) throw new Error("there is no second half");
    for (const { wrongViews: _, ...each } of found) process.stderr.write(`${JSON.stringify(each)}\n`);
    expect((last.heapBytes - first.heapBytes) / 2 ** 20).toBeLessThan(HEAP_MB);
    expect((last.rssBytes - first.rssBytes) / 2 ** 20).toBeLessThan(RESIDENT_MB);
    // What keeps the devices' process from its turn as well is the machine's doing.
    const late = half.map(({ lateness }) => lateness.server.p99 - lateness.devices.p99);
    expect(Math.max(...late)).toBeLessThan(LATE_MS);
  });
});
