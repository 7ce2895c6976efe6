/** Finished pages go live, in a real browser under the strict policy: patches, gaps, loss, forms, motion. */
import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { launchBrowser } from "../support/browser.ts";
import { FENCER_VIEWS, JUDGE_VIEWS, MENDED_FIVE, WALL_VIEWS } from "../support/fixtures.ts";
import { openStage, type Stage } from "../support/stage.ts";

let browser: Browser;
let stage: Stage;
let page: Page;
let faults: string[];

beforeAll(async () => {
  browser = await launchBrowser();
}, 60_000);
afterAll(async () => {
  await browser?.close();
});
beforeEach(async () => {
  stage = await openStage({
    during: FENCER_VIEWS.during,
    after: FENCER_VIEWS.after,
    choosing: FENCER_VIEWS.choosing,
    wall: WALL_VIEWS.two,
    judge: JUDGE_VIEWS.vote,
  });
  page = await browser.newPage({ viewport: { width: 390, height: 844 } });
  faults = [];
  page.on("pageerror", (error) => faults.push(error.message));
  page.on("console", (said) => {
    // The browser itself reports a server that is away.
    if (said.type() === "error" && !/ERR_CONNECTION|WebSocket connection/.test(said.text()))
      faults.push(said.text());
  });
});
afterEach(async () => {
  await page?.close();
  await stage?.close();
  expect(faults).toEqual([]);
});

const part = (name: string): string => `[data-part="${name}"]`;
/** Opens a seat and waits until its socket has brought the first view. */
async function visit(name: string): Promise<void> {
  await page.goto(stage.url(name));
  if (name === "judge") await page.waitForSelector(".head");
  else if (name !== "wall") await page.waitForSelector("link[data-type][media=all]", { state: "attached" });
}
const mended = { bout: { exchanges: { x5: MENDED_FIVE }, blue: { bonus: 4, openBonus: 0 } } };

describe("the fencer's page", () => {
  test("is complete before any script has run", async () => {
    const context = await browser.newContext({ javaScriptEnabled: false });
    const still = await context.newPage();
    await still.goto(stage.url("during"));
    expect(await still.locator(part("title")).innerText()).toBe("R\nMira, you are Red");
    expect(await still.locator("svg.garland").count()).toBe(1);
    await context.close();
  });

  test("a patch changes the parts that it touches and no other", async () => {
    await visit("during");
    await page.evaluate(() => {
      for (const each of document.querySelectorAll("[data-part]"))
        each.firstElementChild?.setAttribute("data-old", "");
    });
    stage.patch(1, 2, mended);
    await page.waitForSelector(`${part("latest")}:has-text("Put right by judge 1")`);
    const kept = await page.$$eval("[data-part]:has(> [data-old])", (all) =>
      all.map((one) => one.getAttribute("data-part")),
    );
    expect(kept).toEqual(expect.arrayContaining(["title", "pays", "next", "progress"]));
    expect(kept).not.toContain("staff");
  });

  test("only what has just happened moves, and nothing under reduced motion", async () => {
    await visit("during");
    expect(await page.locator("[data-new]").count()).toBe(0);
    stage.patch(1, 2, mended);
    await page.waitForSelector("[data-new]", { state: "attached" });
    expect(
      await page.$$eval("svg.garland [data-new]", (all) => all.map((one) => one.getAttribute("data-x"))),
    ).toEqual(["x5"]);
    const moving = (): Promise<string> =>
      page.$eval("svg.garland [data-new] .g-l", (leaf) => getComputedStyle(leaf).animationName);
    expect(await moving()).toBe("unfold");
    await page.emulateMedia({ reducedMotion: "reduce" });
    expect(await moving()).toBe("none");
  });

  test("after a gap it asks for the whole view", async () => {
    await visit("during");
    stage.patch(7, 8, { name: "Nobody" });
    await expect.poll(() => stage.asked).toBe(1);
    expect(await page.locator(part("title")).innerText()).not.toContain("Nobody");
  });

  test("says when the server is lost, closes its forms, and both again when it is back", async () => {
    await visit("after");
    const form = page.locator("[data-agree] button");
    await expect.poll(() => form.isEnabled()).toBe(true);
    await stage.leave();
    await page.waitForSelector('.notice:has-text("No news from the hall since")');
    expect(await form.isDisabled()).toBe(true);
    await stage.comeBack();
    await expect.poll(() => form.isEnabled(), { timeout: 15_000 }).toBe(true);
    expect(await page.locator(".notice").innerText()).toBe("");
  }, 30_000);

  test("says for good that the link was replaced", async () => {
    await visit("during");
    stage.gone("revoked");
    await page.waitForSelector('.notice:has-text("This link has been replaced")');
  });

  test("sends a sealed choice, and keeps what is half chosen when the page changes", async () => {
    await visit("choosing");
    await page.getByLabel("high left").check();
    stage.patch(1, 2, { choices: [{ pick: "opening", from: ["high left", "low left"], closed: false }] });
    await expect.poll(() => page.getByRole("radio").count()).toBe(2);
    expect(await page.getByLabel("high left").isChecked()).toBe(true);
    await page.getByRole("button", { name: "Seal my choice" }).click();
    await expect.poll(() => stage.sent.length).toBe(1);
    expect(stage.sent[0]?.command).toEqual({
      type: "SetPick",
      pick: "opening",
      side: "red",
      value: "high left",
    });
    expect(stage.sent[0]?.id).toMatch(/^[\w-]{21}$/);
  });

  test("says with one press that they were not hit", async () => {
    await visit("during");
    const facts = [{ fact: "end", act: "x5a", end: "no hit" }] as const;
    stage.patch(1, 2, { calls: [{ exchange: "x5", no: 5, calls: [{ label: "I was not hit", facts }] }] });
    await page.getByRole("group", { name: "Exchange 5: were you hit?" }).waitFor();
    await page.getByRole("button", { name: "I was not hit" }).click();
    await expect.poll(() => stage.sent.length).toBe(1);
    expect(stage.sent[0]?.command).toEqual({ type: "GiveFacts", exchange: "x5", facts });
  });

  test("questions an exchange, and shows a refusal's sentence", async () => {
    await visit("after");
    stage.answer = ({ id }) => ({
      ok: false,
      id,
      refusal: { refused: "not-now", sentence: "The result is confirmed." },
    });
    await page.getByText("Question an exchange").click();
    await page.getByLabel("Which one").selectOption("x5");
    await page.getByLabel("What you saw").fill("My parry came first.");
    await page.getByRole("button", { name: "Send it to the referee" }).click();
    await page.waitForSelector("text=The result is confirmed.");
    expect(stage.sent[0]?.command).toEqual({
      type: "QuestionExchange",
      exchange: "x5",
      side: "red",
      why: "My parry came first.",
    });
  });
});

describe("the judge's page", () => {
  test("shows what was seen and never what it pays", async () => {
    await visit("judge");
    expect(await page.getByRole("heading").innerText()).toBe("Parry, then hit");
    expect(await page.locator(".votes button").count()).toBe(4);
    expect(await page.locator(".g-leaf, .g-leafopen, .leaftag").count()).toBe(0);
    expect(await page.locator(".votes").innerText()).not.toMatch(/\d/);
  });

  test("a vote is sealed at once, can be changed, and a vote without an answer goes out again", async () => {
    await visit("judge");
    stage.answer = undefined;
    await page.getByRole("button", { name: "Not seen" }).click();
    await page.waitForSelector("text=Your vote is sealed");
    await expect.poll(() => stage.sent.length).toBe(1);
    expect(stage.sent[0]?.command).toMatchObject({ type: "Vote", exchange: "x6", facts: [], notSeen: true });
    await stage.leave();
    await page.waitForSelector("text=It is kept here");
    stage.answer = ({ id }) => ({ ok: true, id, version: 1 });
    await stage.comeBack();
    await expect.poll(() => stage.sent.length, { timeout: 15_000 }).toBe(2);
    expect(stage.sent[1]?.id).toBe(stage.sent[0]?.id);
    await page.getByRole("button", { name: "Change my vote" }).click();
    expect(await page.locator(".votes button").count()).toBe(4);
  }, 30_000);

  test("stop is one press", async () => {
    await visit("judge");
    await page.getByRole("button", { name: "Stop the bout" }).click();
    await expect
      .poll(() => stage.sent.at(-1)?.command)
      .toEqual({ type: "Stop", why: "Judge 2 called stop." });
  });
});

describe("the wall", () => {
  test("the clock runs from the server's time, and the rest stands still", async () => {
    await page.setViewportSize({ width: 1920, height: 1080 });
    await visit("wall");
    await expect
      .poll(() => page.locator(`${part("r2 clock")} text`).textContent(), { timeout: 8_000 })
      .not.toBe("1:12");
    expect(await page.locator(`${part("r1 clock")} text`).textContent()).toBe("0:48");
  });

  test("a bout that comes to a free ring appears, and a screen on the wall never scrolls", async () => {
    await page.setViewportSize({ width: 1920, height: 1080 });
    await visit("wall");
    stage.show(2, WALL_VIEWS.four);
    await page.waitForSelector("text=Lena Sorrel");
    expect(await page.locator(".lane").count()).toBe(4);
    expect(await page.evaluate(() => document.documentElement.scrollHeight)).toBeLessThanOrEqual(1080);
  });
});
