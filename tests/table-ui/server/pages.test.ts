import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { request } from "node:http";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, describe, expect, test } from "vitest";
import { openTestHall, setTheStage, type TestHall } from "./hall.ts";

let hall: TestHall;
afterEach(() => hall.close());

/** A request with a Host of one's own, which fetch does not allow. */
const ask = (path: string, headers: Record<string, string>): Promise<{ status: number; body: string }> =>
  new Promise((done, fail) => {
    const { port } = hall.running;
    request({ host: "127.0.0.1", port, path, headers }, (answer) => {
      let body = "";
      answer.on("data", (chunk: Buffer) => (body += chunk.toString()));
      answer.on("end", () => done({ status: answer.statusCode ?? 0, body }));
    })
      .on("error", fail)
      .end();
  });

describe("[W2] headers", () => {
  test("a seat's page is never stored, sends no referrer and carries the policy", async () => {
    hall = await openTestHall();
    const page = await fetch(hall.url + hall.running.coachPath);
    expect(page.status).toBe(200);
    expect(page.headers.get("cache-control")).toBe("no-store");
    expect(page.headers.get("referrer-policy")).toBe("no-referrer");
    expect(page.headers.get("content-security-policy")).toMatch(/^default-src 'none'; script-src 'self'/);
    expect(page.headers.get("strict-transport-security")).toBeNull();
    expect(page.headers.get("set-cookie")).toBeNull();
    expect(await page.text()).toContain("<main>coach</main>");
  });

  test("assets may be kept for a year, and only what is in their folder is sent", async () => {
    const dir = mkdtempSync(join(tmpdir(), "assets-"));
    mkdirSync(join(dir, "assets"));
    writeFileSync(join(dir, "assets", "table-1a2b.js"), "export {};");
    writeFileSync(join(dir, "secret.txt"), "no");
    hall = await openTestHall({ assetsDir: join(dir, "assets") });
    const asset = await fetch(`${hall.url}/assets/table-1a2b.js`);
    expect(asset.headers.get("cache-control")).toContain("immutable");
    expect(await asset.text()).toBe("export {};");
    for (const path of ["/assets/../secret.txt", "/assets/%2e%2e/secret.txt", "/assets/..%2fsecret.txt"]) {
      expect((await ask(path, { host: "localhost" })).body).not.toBe("no");
    }
    rmSync(dir, { recursive: true });
  });

  test("a long page travels compressed", async () => {
    hall = await openTestHall();
    const stage = await setTheStage(hall);
    const path = hall.running.house.seats.pathOf(stage.redSeat.view.seat) ?? "";
    const page = await fetch(hall.url + path, { headers: { "accept-encoding": "br" } });
    expect(page.headers.get("content-encoding")).toBe("br");
    expect(await page.text()).toContain('"kind":"fencer"');
  });
});

describe("[W1] the door", () => {
  test("another Host or Origin is answered with nothing of ours", async () => {
    hall = await openTestHall();
    const { coachPath } = hall.running;
    for (const headers of [
      { host: "evil.example" },
      { host: "localhost", origin: "http://evil.example" },
      { host: "localhost", origin: "null" },
    ]) {
      const answer = await ask(coachPath, headers);
      expect(answer.status).toBe(421);
      expect(answer.body).not.toContain("coach");
      const socket = await ask("/socket.io/?EIO=4&transport=polling", headers);
      expect(socket.status).toBeGreaterThanOrEqual(400);
    }
    expect((await ask(coachPath, { host: "localhost" })).status).toBe(200);
  });

  test("a further name opens it when it was said at the start", async () => {
    hall = await openTestHall({ hosts: ["hall.test"] });
    expect((await ask("/health", { host: "hall.test:80" })).status).toBe(200);
  });
});

describe("pages", () => {
  test("[W3] a link that opens no seat is a page with status 404", async () => {
    hall = await openTestHall();
    for (const path of ["/seat/AAAAAAAAAAAAAAAAAAAAAA", "/seat/x", "/seat/", "/", "/nothing"]) {
      const page = await fetch(hall.url + path);
      expect(page.status).toBe(404);
      expect(await page.text()).toContain("no seat: unknown");
    }
  });

  test("health says how it is and nothing about anybody", async () => {
    hall = await openTestHall();
    await setTheStage(hall);
    const health = (await (await fetch(`${hall.url}/health`)).json()) as object;
    expect(health).toMatchObject({ ok: true, ledger: "memory", bouts: 1, screens: 7 });
    expect(JSON.stringify(health)).not.toContain("Mira");
  });

  test("the style page is there for whoever changes the look", async () => {
    hall = await openTestHall();
    expect(await (await fetch(`${hall.url}/style`)).text()).toContain("style");
  });

  test("the evening in one file is the coach's alone", async () => {
    hall = await openTestHall();
    const { bout, wall } = await setTheStage(hall);
    const file = await fetch(`${hall.url}${hall.running.coachPath}/evening.json`);
    const evening = (await file.json()) as {
      bouts: { bout: string; events: unknown[] }[];
      people: unknown[];
    };
    expect(evening.bouts.map((each) => each.bout)).toEqual([bout]);
    expect(evening.bouts[0]?.events).toHaveLength(1);
    expect(evening.people).toHaveLength(2);
    const path = hall.running.house.seats.pathOf(wall.view.seat) ?? "";
    expect((await fetch(`${hall.url}${path}/evening.json`)).status).toBe(404);
  });

  test("too many pages at once are refused, in words", async () => {
    hall = await openTestHall({ pagesAMinute: 5 });
    const pages = await Promise.all(
      Array.from({ length: 12 }, () => fetch(hall.url + hall.running.coachPath)),
    );
    expect(pages.filter(({ status }) => status === 429).length).toBe(7);
  });
});
