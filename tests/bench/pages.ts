/**
 * The pages in Chromium: a fencer's page on a bad line and a slow phone, the table's scripts, and how soon a press shows.
 * Chromium's own emulation makes the line and the phone. It slows sockets down too, since version 99 (from memory).
 */
import { existsSync, statSync } from "node:fs";
import { basename, join } from "node:path";
import type { Browser, Request } from "playwright-core";
import { launchBrowser } from "../support/browser.ts";
import { coachView, forget, openHall, type Hall } from "../support/hall.ts";
import { atMost, median, quantile, rounded, type BenchRow } from "./parts/rows.ts";
import { pressAtTheTable } from "./parts/table-presses.ts";

const LOADS = 7;
/** A hall's line and a cheap phone: 300 ms of latency, 400 kbit/s each way, a processor four times slower. */
const LINE = {
  offline: false,
  latency: 300,
  downloadThroughput: 400_000 / 8,
  uploadThroughput: 400_000 / 8,
};
const SLOWER = 4;

/** What one load of the fencer's page came to; milliseconds since the navigation began, bytes as they travelled. */
interface Load {
  readonly painted: number;
  readonly live: number;
  readonly bytes: number;
}

export async function rows(): Promise<BenchRow[]> {
  const hall = await openHall();
  const browser = await launchBrowser();
  try {
    const { bouts, seats } = await coachView(hall);
    const running = Object.values(bouts).find(({ stage }) => stage === "halted" || stage === "on guard");
    if (running === undefined) throw new Error("no bout of the demo evening is under way");
    const pathOf = (title: string): string =>
      Object.values(seats).find((seat) => seat.title === title)?.path ?? "";
    return [
      // A fencer whose bout is under way: the fullest page that a fencer sees.
      ...(await fencerRows(browser, hall, pathOf(running.red.name))),
      ...(await tableRows(browser, hall, pathOf(`Table, ${running.ringName}`))),
    ];
  } finally {
    await browser.close();
    await hall.stop();
    forget(hall);
  }
}

const at = (hall: Hall, path: string): string => `http://127.0.0.1:${hall.port}${path}`;

async function fencerRows(browser: Browser, hall: Hall, path: string): Promise<BenchRow[]> {
  const loads: Load[] = [];
  for (let load = 0; load < LOADS; load += 1) loads.push(await loadFencer(browser, at(hall, path)));
  const of = (what: keyof Load): number => median(loads.map((load) => load[what]));
  const line = `latency ${LINE.latency} ms, 400 kbit/s, processor ${SLOWER}x slower, Chromium ${browser.version()}`;
  return [
    atMost(`fencer page, first paint (${line})`, rounded(of("painted") / 1000), "s", 1),
    atMost("fencer page, live", rounded(of("live") / 1000), "s", 2),
    atMost("fencer page, HTML, CSS and script as they travelled", rounded(of("bytes") / 1000), "kB", 20),
  ];
}

/** Notes when the page first shows what its socket was sent: only then does it let the type in. */
const NOTE_LIVE = `addEventListener("DOMContentLoaded", () => {
  new MutationObserver((_, observer) => {
    if (document.querySelector('link[data-type][media="all"]') === null) return;
    globalThis.liveAt = performance.now();
    observer.disconnect();
  }).observe(document, { subtree: true, attributes: true, attributeFilter: ["media"] });
});`;

/** A first visit: nothing is kept from an earlier one. */
async function loadFencer(browser: Browser, url: string): Promise<Load> {
  const context = await browser.newContext({ viewport: { width: 360, height: 740 } });
  try {
    const page = await context.newPage();
    await page.addInitScript(NOTE_LIVE);
    const devtools = await context.newCDPSession(page);
    await devtools.send("Network.enable");
    await devtools.send("Network.emulateNetworkConditions", LINE);
    await devtools.send("Emulation.setCPUThrottlingRate", { rate: SLOWER });
    const counted: Promise<number>[] = [];
    page.on("requestfinished", (request) => counted.push(bytesOf(request)));
    await page.goto(url);
    // Functions, not texts: the page's policy lets nothing be evaluated.
    await page.waitForFunction(() => "liveAt" in globalThis);
    const live = await page.evaluate(() => (globalThis as { liveAt?: number }).liveAt ?? Number.NaN);
    const painted = await page.evaluate(
      () => performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? Number.NaN,
    );
    const bytes = (await Promise.all(counted)).reduce((sum, each) => sum + each, 0);
    return { painted, live, bytes };
  } finally {
    await context.close();
  }
}

/** Compressed bytes of a page's own parts; type comes after the first paint and is not counted. */
async function bytesOf(request: Request): Promise<number> {
  const counts = ["document", "stylesheet", "script"].includes(request.resourceType());
  if (!counts || /\/type-[^/]*\.css$/.test(request.url())) return 0;
  return (await request.sizes()).responseBodySize;
}

async function tableRows(browser: Browser, hall: Hall, path: string): Promise<BenchRow[]> {
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
  try {
    const page = await context.newPage();
    const scripts: string[] = [];
    page.on("requestfinished", (request) => {
      if (request.resourceType() === "script") scripts.push(basename(new URL(request.url()).pathname));
    });
    await page.goto(at(hall, path));
    const presses = await pressAtTheTable(page);
    const sent = scripts.map(brotliBytes).reduce((sum, each) => sum + each, 0);
    const many = `${presses.length} presses, p50 ${quantile(presses, 0.5).toFixed(2)} ms`;
    return [
      atMost(`table page, scripts in brotli (${scripts.length} files)`, rounded(sent / 1000, 1), "kB", 60),
      atMost(`table page, press to DOM, p95 (${many})`, quantile(presses, 0.95), "ms", 2),
    ];
  } finally {
    await context.close();
  }
}

/** The brotli file that the build has laid beside a script. */
function brotliBytes(script: string): number {
  const file = join(".build", "pages", "assets", `${script}.br`);
  if (!existsSync(file)) throw new Error(`the build has no ${script}.br`);
  return statSync(file).size;
}
