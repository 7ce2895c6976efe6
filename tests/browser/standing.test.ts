/**
 * A disk that is full while real pages score in Chromium: the table scores on and delivers afterwards, and every page says
 * what holds for it. With PICTURES=folder it also writes down how each page looks, at both widths, light and dark.
 */
import { join } from "node:path";
import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { launchBrowser } from "../support/browser.ts";
import { smallDisk, whyNot } from "../support/disks.ts";
import { coachView, openHall, type Hall } from "../support/hall.ts";

const WAIT = { timeout: 30_000 };
const PICTURES = process.env["PICTURES"];

type Name = "coach" | "table" | "judge" | "fencer" | "wall";

/** What each page says while the disk is full. */
const SAYS: Readonly<Record<Name, RegExp>> = {
  coach: /is full, so nothing is recorded\. Free some room/,
  table: /disk is full\. Score on: this tablet keeps everything/,
  judge: /nothing you press counts now\. Say it to the table/,
  fencer: /what you send now does not count/,
  wall: /The tables score on/,
};
const NAMES = Object.keys(SAYS) as readonly Name[];

describe.skipIf(whyNot.smallDisk() !== undefined)("[W31] [W32] a full disk", () => {
  let disk: ReturnType<typeof smallDisk>;
  let hall: Hall;
  let browser: Browser;
  let context: BrowserContext;
  const pages = new Map<Name, Page>();
  const page = (name: Name): Page => {
    const found = pages.get(name);
    if (found === undefined) throw new Error(`no page ${name}`);
    return found;
  };
  const press = (name: RegExp | string): Promise<void> =>
    page("table")
      .getByRole("button", { name, exact: typeof name === "string" })
      .first()
      .click();
  const says = (name: Name, words: RegExp): Promise<void> =>
    expect
      .poll(async () => (await page(name).locator("body").innerText()).replace(/\s+/g, " "), {
        ...WAIT,
        message: name,
      })
      .toMatch(words);
  const saved = (words: RegExp): Promise<void> =>
    expect.poll(() => page("table").locator(".saved").innerText(), WAIT).toMatch(words);
  const exchanges = async (): Promise<number> => {
    const view = await coachView(hall);
    return view.bouts[view.meet.rings[0]?.bout ?? ""]?.order.length ?? 0;
  };
  async function takePictures(when: string): Promise<void> {
    if (PICTURES === undefined) return;
    for (const name of NAMES)
      for (const [width, height] of [
        [360, 740],
        [1280, 800],
      ] as const)
        for (const colorScheme of ["light", "dark"] as const) {
          await page(name).setViewportSize({ width, height });
          await page(name).emulateMedia({ colorScheme });
          await page(name).screenshot({
            path: join(PICTURES, `${when}-${name}-${width}-${colorScheme}.png`),
          });
        }
    for (const name of NAMES) await page(name).setViewportSize({ width: 1280, height: 800 });
  }

  beforeAll(async () => {
    disk = smallDisk(24);
    hall = await openHall({ data: disk.dir });
    browser = await launchBrowser();
    context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
    const { seats, meet } = await coachView(hall);
    const ring = meet.rings[0];
    const bout = meet.called.find((each) => each.bout === ring?.bout);
    const fencer = Object.values(seats).find(
      ({ kind, title }) => kind === "fencer" && title !== "" && bout !== undefined,
    );
    const ofRing = (kind: Name): string | undefined =>
      Object.values(seats).find((seat) => seat.kind === kind && seat.title.endsWith(ring?.name ?? "?"))?.path;
    const paths: Readonly<Record<Name, string | undefined>> = {
      coach: new URL(hall.coach).pathname,
      table: ofRing("table"),
      judge: ofRing("judge"),
      fencer: fencer?.path,
      wall: Object.values(seats).find(({ kind }) => kind === "wall")?.path,
    };
    for (const name of NAMES) {
      const opened = await context.newPage();
      await opened.goto(new URL(paths[name] ?? "", hall.coach).href);
      pages.set(name, opened);
    }
  });
  afterAll(async () => {
    await browser?.close();
    await hall?.stop();
    disk?.release();
  });

  test("every page says so, the table scores on and delivers all of it, once, when there is room", async () => {
    await saved(/Everything saved/);
    const before = await exchanges();
    disk.fill();
    await press(/^(Fence|Halt)/);
    for (const name of NAMES) await says(name, SAYS[name]);
    await press(/^(Halt|Fence)/);
    if (await page("table").getByRole("button", { name: /^Halt/ }).first().isVisible()) await press(/^Halt/);
    await press("Red Head 3");
    await press(/^Record exchange/);
    await saved(/[3-9] entries wait on this tablet/);
    // Not set aside, and no word of it.
    expect(await page("table").locator("body").innerText()).not.toMatch(/Set aside/);
    expect(await exchanges()).toBe(before);
    await page("judge").getByRole("button", { name: "Stop the bout" }).click();
    await says("judge", /Not recorded: the server's disk is full\. Try again when there is room/);
    await takePictures("full");
    // A page that is loaded anew says it before any script has run.
    const html = await (await fetch(page("fencer").url())).text();
    expect(html).toMatch(/data-notice>The server&#39;s disk is full/);
    disk.free();
    await saved(/Everything saved/);
    expect(await exchanges()).toBe(before + 1);
    for (const name of NAMES)
      await expect.poll(() => page(name).locator("body").innerText(), WAIT).not.toMatch(SAYS[name]);
    await page("table").reload();
    await saved(/Everything saved/);
    expect(await exchanges()).toBe(before + 1);
  });

  test("what the coach has typed stays when it could not be recorded", async () => {
    const coach = page("coach");
    await coach.goto(`${hall.coach}#fencers`);
    disk.fill();
    const name = coach.getByLabel("New fencer");
    for (let tries = 0; tries < 40; tries += 1) {
      await name.fill(`Ilse Varga ${tries}`);
      await coach.getByRole("button", { name: "Add fencer" }).click();
      await expect
        .poll(async () => (await name.inputValue()) === "" || coach.getByText(/Not recorded/).count(), WAIT)
        .toBeTruthy();
      if ((await coach.getByText(/Not recorded/).count()) > 0) break;
    }
    await says("coach", /Not recorded: the server's disk is full/);
    expect(await name.inputValue()).toMatch(/^Ilse Varga/);
    disk.free();
    await expect.poll(() => coach.locator("body").innerText(), WAIT).not.toMatch(/Not recorded|is full/);
    await coach.getByRole("button", { name: "Add fencer" }).click();
    await expect.poll(() => name.inputValue(), WAIT).toBe("");
  });
});
