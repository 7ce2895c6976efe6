/** Scripts that come after the first paint: what stands there until they are here, and what is said if they never come. */
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Browser, Page, Route } from "playwright-core";
import { launchBrowser } from "../support/browser.ts";
import { coachView, forget, openHall, type Hall } from "../support/hall.ts";

let hall: Hall;
let browser: Browser;
let table = "";

const RING = /\/assets\/ring-[\w-]+\.js$/;
const RULES = /\/assets\/rules-[\w-]+\.js$/;

beforeAll(async () => {
  hall = await openHall();
  browser = await launchBrowser();
  const seats = Object.values((await coachView(hall)).seats);
  const path = seats.find(({ kind, path: link }) => kind === "table" && link !== undefined)?.path;
  if (path === undefined) throw new Error("The demo evening has no table.");
  table = `http://127.0.0.1:${hall.port}${path}`;
}, 120_000);

afterAll(async () => {
  await browser?.close();
  await hall?.stop();
  if (hall !== undefined) forget(hall);
});

/** A page of its own, on which requests for these files are held until they are let go or refused. */
async function without(
  late: RegExp,
  url: string,
): Promise<{ readonly page: Page; settle(how: "go" | "lose"): Promise<void> }> {
  const page = await (await browser.newContext({ viewport: { width: 1280, height: 800 } })).newPage();
  const held: Route[] = [];
  await page.route(late, (route) => void held.push(route));
  await page.goto(url);
  return {
    page,
    async settle(how) {
      await expect.poll(() => held.length, { timeout: 20_000 }).toBeGreaterThan(0);
      for (const route of held) await (how === "go" ? route.continue() : route.abort());
      await page.unroute(late);
    },
  };
}

const says = (page: Page, words: RegExp): Promise<void> =>
  expect.poll(() => page.locator("body").innerText(), { timeout: 20_000 }).toMatch(words);

test("a table says that its bout is being laid out, and lays it out once what scores has come", async () => {
  const { page, settle } = await without(RING, table);
  await says(page, /The bout is being laid out\./);
  expect(await page.getByRole("button", { name: "Stop" }).count()).toBe(0);
  await settle("go");
  await expect.poll(() => page.getByRole("button", { name: "Stop" }).count(), { timeout: 20_000 }).toBe(1);
  const late = await page.locator("svg.garland").getAttribute("aria-label");
  await page.reload();
  // Scored, not only drawn: what had come before the scorer is folded anew with it.
  expect(late).toMatch(/[1-9]\d* points?/);
  await expect
    .poll(() => page.locator("svg.garland").getAttribute("aria-label"), { timeout: 20_000 })
    .toBe(late);
  await page.context().close();
});

test("a table whose page came in part says so, and what to do; loaded again it is whole", async () => {
  const { page, settle } = await without(RING, table);
  await settle("lose");
  await says(page, /A part of this page did not arrive\. Load the page again; what waits here is kept\./);
  await page.reload();
  await expect.poll(() => page.getByRole("button", { name: "Stop" }).count(), { timeout: 20_000 }).toBe(1);
  await page.context().close();
});

test("the coach's board stands without the language, and the rule sets open when it has come", async () => {
  const { page, settle } = await without(RULES, hall.coach);
  await says(page, /Ring 1/);
  await page.getByRole("link", { name: "Rule sets" }).click();
  await says(page, /Opening the rule sets\./);
  await settle("go");
  await expect.poll(() => page.getByLabel("The rule set as text").count(), { timeout: 20_000 }).toBe(1);
  await page.context().close();
});

test("a coach whose rule sets did not arrive is told so, and the board stands all the same", async () => {
  const { page, settle } = await without(RULES, hall.coach);
  await settle("lose");
  await page.getByRole("link", { name: "Rule sets" }).click();
  await says(page, /The rule sets did not arrive\. Load this page again when the hall is in reach\./);
  await page.getByRole("link", { name: "Board" }).click();
  await says(page, /Ring 1/);
  await page.context().close();
});
