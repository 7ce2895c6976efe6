/**
 * The whole chain in real Chromium: a coach calls a bout, a table scores it, judge, fencers and wall follow; the server is
 * killed in the middle. After every step every page must come to show the tally that its seat may see.
 */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { Browser, BrowserContext, Page } from "playwright-core";
import { launchBrowser } from "../support/browser.ts";
import { coachView, forget, openHall, type Hall } from "../support/hall.ts";

let hall: Hall;
let browser: Browser;
let context: BrowserContext;
const pages: Record<string, Page> = {};
const problems: string[] = [];

const page = (name: string): Page => {
  const found = pages[name];
  if (found === undefined) throw new Error(`no page ${name}`);
  return found;
};

async function open(name: string, link: string): Promise<void> {
  const opened = await context.newPage();
  opened.on("pageerror", (error) => problems.push(`${name}: ${error.message}`));
  opened.on("console", (message) => {
    // A lost server is part of the story; a broken policy or script is not.
    if (
      message.type() === "error" &&
      !/ERR_CONNECTION|WebSocket connection|Failed to load resource/.test(message.text())
    )
      problems.push(`${name}: ${message.text()}`);
  });
  await opened.goto(link);
  pages[name] = opened;
}

/** Waits until the page's words say so; the wait has no meaning beyond stopping a hang. */
async function shows(name: string, ...words: readonly RegExp[]): Promise<void> {
  for (const word of words)
    await expect
      .poll(async () => (await page(name).locator("body").innerText()).replace(/\s+/g, " "), {
        timeout: 20_000,
        message: `${name} shows ${word}`,
      })
      .toMatch(word);
}

const RED = "Ilse Varga";
const BLUE = "Kit Marlow";

/** Points and bonus as the table's staff says them, from the picture's own name. */
const standing = (points: readonly [number, number], bonus: readonly [number, number]): RegExp => {
  const say = (side: string, p: number, b: number): string =>
    `${side} ${p} points?${b === 0 ? "" : ` and ${b} bonus`}`;
  return new RegExp(`${say("Red", points[0], bonus[0])}, ${say("Blue", points[1], bonus[1])}\\.`);
};

async function everywhere(
  points: readonly [number, number],
  bonus: readonly [number, number],
): Promise<void> {
  for (const name of ["table", "red", "blue", "wall", "coach"])
    await expect
      .poll(
        async () =>
          page(name)
            .locator("svg.garland")
            .evaluateAll((all) => all.map((one) => one.getAttribute("aria-label") ?? "")),
        { timeout: 20_000, message: `${name} shows ${points.join(" to ")}, bonus ${bonus.join(" to ")}` },
      )
      .toContainEqual(expect.stringMatching(standing(points, bonus)));
}

const labels = (name: string): Promise<string[]> =>
  page(name)
    .locator("svg.garland")
    .evaluateAll((all) => all.map((one) => one.getAttribute("aria-label") ?? ""));

/** Every page comes to say what the table says; the judge, who may see no pay, stands at the same exchange. */
async function agree(judge: RegExp): Promise<void> {
  for (const name of ["red", "blue", "wall", "coach"])
    await expect
      .poll(async () => (await labels(name)).includes((await labels("table"))[0] ?? "no bout"), {
        timeout: 20_000,
        message: `${name} says what the table says`,
      })
      .toBe(true);
  await shows("judge", judge);
}

const press = (name: RegExp | string): Promise<void> =>
  page("table")
    .getByRole("button", { name, exact: typeof name === "string" })
    .first()
    .click();

/** "Fence!" closes the judges' window on what was recorded; then halt again. */
async function fence(): Promise<void> {
  await press(/^Fence/);
  await press(/^Halt/);
}

async function record(...keys: readonly (RegExp | string)[]): Promise<void> {
  for (const key of keys) await press(key);
  await press(/^Record exchange/);
  await expect
    .poll(() => page("table").locator(".saved").innerText(), { timeout: 20_000 })
    .toMatch(/Everything saved|Server lost/);
}

beforeAll(async () => {
  hall = await openHall();
  browser = await launchBrowser();
  context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
}, 120_000);

afterAll(async () => {
  await browser?.close();
  await hall?.stop();
  if (hall !== undefined) forget(hall);
});

describe("an evening", () => {
  test("the coach's page opens from the printed link and holds every seat", async () => {
    await open("coach", hall.coach);
    await shows("coach", /Thursday at Millrace/, /Ring 1/, /Ring 2/);
    const view = await coachView(hall);
    const ring2 = view.meet.rings[1];
    if (ring2 === undefined) throw new Error("no second ring");
    const seats = Object.values(view.seats);
    const link = (title: RegExp): string => {
      const seat = seats.find((each) => title.test(each.title) && each.path !== undefined);
      if (seat?.path === undefined)
        throw new Error(`no seat ${title}: ${seats.map((each) => each.title).join(", ")}`);
      return `http://127.0.0.1:${hall.port}${seat.path}`;
    };
    await open("table", link(new RegExp(`^Table, ${ring2.name}`)));
    await open("judge", link(new RegExp(`^Judge 1, ${ring2.name}`)));
    await open("wall", link(/^Wall/));
    await open("red", link(new RegExp(RED)));
    await open("blue", link(new RegExp(BLUE)));
  });

  test("the coach ends what is on ring 2 and calls a bout", async () => {
    const board = page("coach");
    const running = board.getByRole("region", { name: "Ring 2" });
    await running.getByRole("button", { name: /^Stop bout/ }).click();
    await running.getByRole("button", { name: /^Clear/ }).click();
    const call = board.getByRole("region", { name: "Call a bout" });
    await call.getByLabel("Ring", { exact: true }).selectOption({ label: "Ring 2" });
    await call.getByLabel("Red", { exact: true }).selectOption({ label: RED });
    await call.getByLabel("Blue", { exact: true }).selectOption({ label: BLUE });
    await call.getByRole("button", { name: "Call bout" }).click();
    await shows("table", new RegExp(RED), new RegExp(BLUE), /Check the gear/);
    await shows("red", /you are Red/);
    await shows("blue", /you are Blue/);
  });

  test("it is fenced: a touch with its bonus in four presses", async () => {
    await press("Gear is checked");
    await press("Fencers on guard");
    await press("Fence");
    await page("table").keyboard.press("Space");
    await shows("table", /halted/);
    await record("Red Head 3", /^Red: .*riposte/i);
    await everywhere([3, 0], [2, 1]);
    await agree(/Exchange 1/);
  });

  test("a double, and an afterblow that takes one off", async () => {
    await fence();
    await record("Double", "Red Torso 2", "Blue Head 3");
    await everywhere([3, 0], [2, 1]);
    await fence();
    await record("Blue Torso 2", "Afterblow", /^Red Arm, leg 1/);
    await everywhere([3, 1], [2, 1]);
    await agree(/Exchange 3/);
  });

  test("what only the judge saw stays open until it is answered", async () => {
    await fence();
    await record("Blue Head 3");
    await expect
      .poll(() => page("table").locator(".tray.open-box").innerText(), { timeout: 20_000 })
      .toMatch(/Exchange 4/);
    await shows("judge", /Watch (Red|Blue)/);
    const yes = page("table").locator(".tray").getByRole("button", { name: "Yes" });
    for (let asked = 0; asked < 6 && (await yes.count()) > 0; asked++) await yes.first().click();
    await expect
      .poll(
        () =>
          page("wall")
            .locator("svg.garland")
            .evaluateAll((all) => all.map((one) => one.getAttribute("aria-label") ?? "").join()),
        { timeout: 20_000 },
      )
      .toMatch(/Blue 4 points and \d/);
    await agree(/Exchange 4/);
  });

  test("the server is killed in the middle; the table goes on, and nothing acknowledged is missing", async () => {
    const before = await coachView(hall);
    const events = Object.values(before.bouts).map((bout) => [bout.id, bout.order.length] as const);
    await hall.kill();
    await shows("table", /out of reach/);
    await record("Red Arm, leg 1");
    await shows("table", /1 entry waits|entries wait/);
    hall = await openHall({ data: hall.data, port: hall.port });
    await expect
      .poll(() => page("table").locator(".saved").innerText(), { timeout: 30_000 })
      .toBe("Everything saved");
    const after = await coachView(hall);
    for (const [id, length] of events) expect(after.bouts[id]?.order.length).toBeGreaterThanOrEqual(length);
    const here = Object.values(after.bouts).find((bout) => bout.red.name === RED && bout.stage !== "ended");
    expect(here?.order.length).toBe(5);
    expect(here?.red.points).toBe(4);
    await agree(/Exchange 5/);
  });

  test("a correction recomputes what follows, and every page says so", async () => {
    const table = page("table");
    await table.getByText("All exchanges").click();
    await table.locator(".list li").nth(0).getByRole("button").click();
    await press("Red Torso 2");
    await press("Put exchange 1 right");
    for (const name of ["red", "blue", "wall"])
      await expect
        .poll(
          () =>
            page(name)
              .locator("svg.garland")
              .evaluateAll((all) => all.map((one) => one.getAttribute("aria-label") ?? "").join()),
          { timeout: 20_000 },
        )
        .toMatch(/Red 3 points/);
    await agree(/Exchange 5/);
  });

  test("the bout ends, and the thread hangs down the fencers' pages", async () => {
    await press(/^More/);
    await press("Blue wins by the referee's word");
    await shows("red", /final/, / won, 4 to 3/);
    await shows("blue", /You won, 4 to 3/);
    await press("Both fencers confirm");
    await shows("table", /have confirmed/);
    await agree(/Bout over/);
  });

  test("no page has met a fault or broken its policy", () => {
    expect(problems).toEqual([]);
  });
});
