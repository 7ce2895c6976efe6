/** Two `garland serve` over one PostgreSQL and one Redis, as an organiser starts them; and what is said when one cannot be had. */
import { copyFileSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import type { CoachView } from "../../table-ui/wire/views.ts";
import { garland } from "../support/hall.ts";
import { startPostgres, type TestPostgres } from "../support/postgres.ts";
import { startRedis, type TestRedis } from "../support/redis.ts";
import { describeWith } from "../support/with-services.ts";
import { Device, eventually } from "../table-ui/server/hall.ts";

let dir: string;
const running: ReturnType<typeof garland>[] = [];
beforeEach(() => (dir = mkdtempSync(join(tmpdir(), "garland-command-"))));
afterEach(async () => {
  for (const each of running.splice(0)) {
    each.child.kill("SIGTERM");
    await each.left;
  }
  rmSync(dir, { recursive: true });
});

/** What a start says before it ends by itself, and its exit code. */
async function refused(...args: readonly string[]): Promise<{ said: string; code: number | null }> {
  const { said, left } = garland(["serve", "--data", dir, "--port", "0", ...args]);
  const code = await left;
  return { said: said().trim(), code };
}

describe("addresses that are none", () => {
  test("are refused in one sentence, with exit code 2", async () => {
    expect(await refused("--ledger", "evening.sqlite")).toEqual({
      said: expect.stringContaining("a ledger is an address that begins with postgres:// or postgresql://."),
      code: 2,
    });
    expect(await refused("--fanout", "redis://127.0.0.1:6379")).toEqual({
      said: expect.stringContaining("name that ledger too, with --ledger postgres://..."),
      code: 2,
    });
  });
});

describeWith(["postgres", "redis"], "two servers over one ledger", () => {
  let postgres: TestPostgres;
  let redis: TestRedis;
  beforeAll(async () => {
    [postgres, redis] = await Promise.all([startPostgres(), startRedis()]);
  });
  afterAll(() => Promise.all([postgres.stop(), redis.stop()]));

  async function serve(address: string, data: string): Promise<string> {
    const args = ["serve", "--demo", "--data", data, "--port", "0", "--ledger", address];
    const server = garland([...args, "--fanout", redis.address]);
    running.push(server);
    await eventually(() => server.said().includes("Stop with Ctrl+C"));
    return server.said();
  }
  const linkIn = (said: string): { url: string; path: string } => {
    const [, url = "", path = ""] = /(http:\/\/127\.0\.0\.1:\d+)(\/seat\/[\w-]{22})/.exec(said) ?? [];
    return { url, path };
  };

  test("say the coach's link where the house's secret lies, and show the same evening", async () => {
    const address = (await postgres.fresh()).replace("@", ":hidden-word@");
    const [first, second] = [join(dir, "first"), join(dir, "second")];
    const said = await serve(address, first);
    expect(said).not.toContain("hidden-word");
    const elsewhere = await serve(address, second);
    expect(linkIn(elsewhere).path).toBe("");
    expect(elsewhere).toContain("Another process of this ledger gave out the coach's link");

    running[1]?.child.kill("SIGTERM");
    await running.splice(1)[0]?.left;
    copyFileSync(join(first, "house.secret"), join(second, "house.secret"));
    const again = await serve(address, second);
    expect(linkIn(again).path).toBe(linkIn(said).path);

    const coaches = [said, again].map((each) => new Device<CoachView>(linkIn(each).url, linkIn(each).path));
    const views = await Promise.all(
      coaches.map((coach) => coach.until(({ meet }) => meet.called.length === 5)),
    );
    expect(views[1]?.bouts).toEqual(views[0]?.bouts);
    for (const coach of coaches) coach.socket.disconnect();

    const verify = garland(["verify", "--data", first]);
    expect(await verify.left, verify.said()).toBe(0);
    expect(verify.said()).toMatch(/all sound/);
  });

  test("a database that is not there is said in one sentence, without its password", async () => {
    const address = (await postgres.fresh()).replace("@", ":hidden-word@").replace(/\/\w+$/, "/nowhere");
    const { said, code } = await refused("--ledger", address);
    expect(code).toBe(2);
    expect(said).toMatch(/^garland: .*"nowhere" does not exist/);
    expect(said.split("\n")).toHaveLength(1);
    expect(said).not.toContain("hidden-word");
  });
});
