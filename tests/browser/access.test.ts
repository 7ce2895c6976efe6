/** axe at WCAG 2.2 AA on every page, at 360 and 1280 px, light and dark; and no page scrolls sideways at 360. */
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { Browser } from "playwright-core";
import { launchBrowser } from "../support/browser.ts";
import { coachView, forget, openHall, type Hall } from "../support/hall.ts";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];

interface Found {
  readonly id: string;
  readonly nodes: readonly { readonly target: readonly unknown[]; readonly failureSummary?: string }[];
}

let hall: Hall;
let browser: Browser;
let links: Readonly<Record<string, string>>;

beforeAll(async () => {
  hall = await openHall();
  browser = await launchBrowser();
  const view = await coachView(hall);
  const at = (path: string): string => `http://127.0.0.1:${hall.port}${path}`;
  const seat = (title: RegExp): string => {
    const found = Object.values(view.seats).find((each) => title.test(each.title));
    if (found?.path === undefined) throw new Error(`no seat ${title}`);
    return at(found.path);
  };
  links = {
    "coach, board": hall.coach,
    "coach, rule sets": `${hall.coach}#rules`,
    "coach, fencers": `${hall.coach}#fencers`,
    "coach, seats": `${hall.coach}#seats`,
    "coach, status": `${hall.coach}#status`,
    "table, in a bout": seat(/^Table, Ring 1/),
    "table, called": seat(/^Table, Ring 2/),
    judge: seat(/^Judge 1, Ring 1/),
    "fencer, in a bout": seat(/Mira Halden/),
    "fencer, waiting": seat(/Lena Sorrel/),
    wall: seat(/^Wall/),
    style: at("/style"),
    "no seat": at("/seat/0000000000000000000000"),
  };
}, 120_000);

afterAll(async () => {
  await browser?.close();
  await hall?.stop();
  if (hall !== undefined) forget(hall);
});

describe.each([360, 1280])("at %i px", (width) => {
  test.each(["light", "dark"] as const)("axe finds nothing on any page, %s", async (colorScheme) => {
    // The policy forbids injected scripts; the test steps around it, the pages never do.
    const context = await browser.newContext({
      viewport: { width, height: 800 },
      colorScheme,
      bypassCSP: true,
      reducedMotion: "reduce",
    });
    const found: string[] = [];
    for (const [name, link] of Object.entries(links)) {
      const page = await context.newPage();
      await page.goto(link);
      await page.locator("main").first().waitFor();
      await expect
        .poll(() => page.locator("body").innerText())
        .not.toMatch(/Waiting for the hall|is being laid out|Opening the rule sets/);
      await page.addScriptTag({ content: axe });
      const violations = await page.evaluate(async (tags) => {
        const { axe: run } = globalThis as unknown as {
          axe: { run(on: unknown, options: unknown): Promise<{ violations: Found[] }> };
        };
        return (await run.run(document, { runOnly: { type: "tag", values: tags } })).violations;
      }, TAGS);
      for (const each of violations)
        found.push(
          ...each.nodes.map(
            (node) => `${name}: ${each.id}: ${JSON.stringify(node.target)} ${node.failureSummary ?? ""}`,
          ),
        );
      const wide = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      if (wide > 0) found.push(`${name}: scrolls ${wide} px sideways`);
      await page.close();
    }
    await context.close();
    expect(found).toEqual([]);
  });
});
