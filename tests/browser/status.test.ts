/** The coach's status in a real browser: what devices tell of themselves becomes plain words, live. */
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Browser, Page } from "playwright-core";
import type { Answered } from "../../table-ui/wire/messages.ts";
import { launchBrowser } from "../support/browser.ts";
import { coachView, forget, openHall, sit, type Hall } from "../support/hall.ts";

let hall: Hall;
let browser: Browser;
let links: { readonly table: string; readonly wall: string };
let bout: string;

beforeAll(async () => {
  hall = await openHall();
  browser = await launchBrowser();
  const { seats, meet } = await coachView(hall);
  const link = (title: RegExp): string =>
    `http://127.0.0.1:${hall.port}${Object.values(seats).find((seat) => title.test(seat.title))?.path ?? "/none"}`;
  links = { table: link(/^Table, Ring 1/), wall: link(/^Wall/) };
  bout = meet.rings.find(({ name }) => name === "Ring 1")?.bout ?? "";
}, 120_000);

afterAll(async () => {
  await browser?.close();
  await hall?.stop();
  if (hall !== undefined) forget(hall);
});

/** A time limit only stops what hangs. */
const eventually = <T>(what: () => Promise<T>) => expect.poll(what, { timeout: 60_000 });

const row = (page: Page, ring: string, what: string): Promise<string> =>
  page.locator(".ring-status", { hasText: ring }).locator("div", { hasText: what }).locator("dd").innerText();

test("[W37] a table, a press and a screen show on the coach's status; a table that is lost is named, with the cure", async () => {
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
  const coach = await context.newPage();
  await coach.clock.install();
  await coach.goto(`${hall.coach}#status`);
  await eventually(() => coach.locator(".summary").innerText()).toMatch(/^Everything is recorded\./);
  await eventually(() => row(coach, "Ring 1", "Table")).toBe("page not open");
  expect(await coach.locator("[role=status]").innerText()).toMatch(/to look at\.$/);

  const table = await (await browser.newContext()).newPage();
  await table.goto(links.table);
  const wall = await (await browser.newContext()).newPage();
  await wall.goto(links.wall);
  await eventually(() => row(coach, "Ring 1", "Table")).toBe("connected");
  await eventually(() => row(coach, "Ring 1", "Presses that wait")).toBe("none");

  const presser = sit(hall, hall.coach);
  const press = (type: "StartFencing" | "CallHalt"): Promise<Answered> =>
    presser.emitWithAck("command", {
      id: `press-${type}-${Math.random()}`.slice(0, 30).replace(".", ""),
      on: { bout },
      command: { type },
    }) as Promise<Answered>;
  await eventually(async () => (await press("StartFencing")).ok || (await press("CallHalt")).ok).toBe(true);
  await eventually(() => coach.locator(".pace").innerText()).toMatch(/^Screens follow within \d+\.\d s\.$/);
  presser.disconnect();

  await table.context().close();
  await eventually(() => row(coach, "Ring 1", "Table")).toMatch(/^not heard for \d+ seconds?$/);
  // The page's own clock goes on, so that nobody waits: words grow old without anything being sent.
  await coach.clock.fastForward(15 * 60_000);
  const trouble = coach.locator(".trouble", { hasText: "Ring 1's tablet" });
  await eventually(() => trouble.innerText()).toMatch(
    /Act now\s+Ring 1's tablet has not been heard for \d+ (?:seconds|minutes)\.\s+Look whether/,
  );
  await context.close();
});
