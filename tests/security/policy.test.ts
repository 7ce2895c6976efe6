/**
 * The headers of every kind of answer, against the list of the OWASP Secure Headers Project (its table of response headers;
 * from memory, the page was not at hand). Where we do otherwise the reason stands beside it.
 */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { headersFor } from "../../table-ui/server/door.ts";
import { openTestHall, type TestHall } from "../table-ui/server/hall.ts";
import { ask, page, type Heard } from "./support/line.ts";

const dir = mkdtempSync(join(tmpdir(), "headers-"));
let hall: TestHall;
beforeAll(async () => {
  mkdirSync(join(dir, "assets"));
  writeFileSync(join(dir, "assets", "a.js"), "export {};");
  hall = await openTestHall({
    lan: true,
    assetsDir: join(dir, "assets"),
    limits: { guesses: 3, guessesASecond: 0 },
  });
});
afterAll(async () => {
  await hall.close();
  rmSync(dir, { recursive: true });
});

const get = (path: string, host = "localhost"): Promise<Heard> =>
  ask(hall.running.port, page(path, `Host: ${host}`));

/** Every kind of answer, by what is asked. */
const ASKED = {
  "a seat's page": () => get(hall.running.coachPath),
  "the coach's file": () => get(`${hall.running.coachPath}/evening.json`),
  "no seat": () => get("/seat/AAAAAAAAAAAAAAAAAAAAAA"),
  "the look": () => get("/style"),
  health: () => get("/health"),
  "an asset": () => get("/assets/a.js"),
  "no asset": () => get("/assets/none.js"),
  "no page": () => get("/nothing"),
  "no icon": () => get("/favicon.ico"),
  "an address that cannot be read": () => get("/seat/%zz"),
  "another's name": () => get("/", "evil.example"),
  "a body": () => ask(hall.running.port, page("/health", "Host: localhost", "Content-Length: 3")),
} satisfies Record<string, () => Promise<Heard>>;

/** What each of them must carry. */
const ALWAYS: Readonly<Record<string, RegExp>> = {
  "content-security-policy": /^default-src 'none'.*frame-ancestors 'none'/,
  "x-content-type-options": /^nosniff$/,
  "x-frame-options": /^DENY$/,
  "x-permitted-cross-domain-policies": /^none$/,
  "referrer-policy": /^no-referrer$/,
  "cross-origin-resource-policy": /^same-origin$/,
  "permissions-policy": /camera=\(\), microphone=\(\), geolocation=\(\)/,
};

const NEVER: Readonly<Record<string, string>> = {
  "strict-transport-security":
    "a browser that remembers it finds the hall shut when the next evening has no certificate",
  "clear-site-data": "nobody logs out, and the table's outbox lies there",
  "set-cookie": "a seat is in its link",
  "x-powered-by": "tells what runs here",
  server: "tells what runs here",
  "access-control-allow-origin": "nobody else's page reads ours",
};

describe("[W2] the headers of every answer", () => {
  test.each(Object.entries(ASKED))("%s", async (what, send) => {
    const { headers, status } = await send();
    expect(status).toBeGreaterThan(0);
    for (const [name, must] of Object.entries(ALWAYS)) expect(headers[name], name).toMatch(must);
    for (const [name, reason] of Object.entries(NEVER)) expect(headers[name], reason).toBeUndefined();
    const isolates = status === 421 ? undefined : "same-origin";
    expect(headers["cross-origin-opener-policy"]).toBe(isolates);
    const kept = what === "an asset" || status === 421 || status === 413 || status === 400 || status === 204;
    if (!kept) expect(headers["cache-control"]).toBe("no-store");
  });

  test("a page says of itself what may run on it, and nothing inline may", async () => {
    const { headers } = await get(hall.running.coachPath);
    const policy = headers["content-security-policy"] ?? "";
    const directives = Object.fromEntries(
      policy.split("; ").map((each) => [each.split(" ")[0], each.split(" ").slice(1)]),
    );
    expect(directives).toEqual({
      "default-src": ["'none'"],
      "script-src": ["'self'"],
      "style-src": ["'self'"],
      "font-src": ["'self'"],
      "img-src": ["'self'", "data:", "blob:"],
      "connect-src": ["'self'", "ws://localhost", "wss://localhost"],
      "manifest-src": ["'self'"],
      "worker-src": ["'self'"],
      "base-uri": ["'none'"],
      "form-action": ["'none'"],
      "frame-ancestors": ["'none'"],
    });
  });

  test("what browsers heed only where it is secure is sent only there", () => {
    const hallOf = (secure: boolean) => ({ lan: true, hosts: ["hall.test"], secure });
    const isolates = (host: string, secure: boolean): boolean =>
      "cross-origin-opener-policy" in headersFor(host, hallOf(secure));
    expect(isolates("hall.test", true)).toBe(true);
    expect(isolates("localhost:80", false)).toBe(true);
    expect(isolates("hall.test", false)).toBe(false);
    expect(isolates("192.168.0.7", false)).toBe(false);
  });
});
