import { once } from "node:events";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from "vitest";
import type { CoachView } from "../../../table-ui/wire/views.ts";
import { bundleServer, end, type ServerProgram, type Serving } from "../../support/serving.ts";
import { Device, eventually } from "./hall.ts";

let program: ServerProgram;
let dir: string;

beforeAll(async () => {
  program = await bundleServer();
});
afterAll(() => program.remove());
beforeEach(() => (dir = mkdtempSync(join(tmpdir(), "garland-data-"))));
afterEach(async () => {
  await program.endAll();
  rmSync(dir, { recursive: true, force: true });
});

const serving = (...args: string[]): Promise<Serving> => program.serve([dir, ...args]);

/** What a start that cannot be says, and its exit code. */
async function refused(args: readonly string[]): Promise<{ code: number | null; said: string }> {
  const child = program.start(args);
  let said = "";
  child.stderr?.on("data", (chunk: Buffer) => (said += chunk.toString()));
  await once(child, "close");
  return { code: child.exitCode, said };
}

test.each(["SIGTERM", "SIGINT"] as const)(
  "[W22] %s ends it in good order with exit code 0",
  async (signal) => {
    const { child, url, coachPath } = await serving("0", "evening");
    const coach = new Device<CoachView>(url, coachPath);
    await coach.until(({ meet }) => meet.name === "Thursday at Millrace");
    expect(await end(child, signal)).toBe(0);
    await eventually(() => coach.socket.disconnected);
    expect(coach.gone).toBe("closing");
  },
);

test("[W23] a second start has the same coach's link and the same evening", async () => {
  const first = await serving("0", "evening");
  const coach = new Device<CoachView>(first.url, first.coachPath);
  const before = await coach.until(({ meet }) => meet.called.length === 5);
  await end(first.child, "SIGTERM");
  const second = await serving("0", "evening");
  expect(second.coachPath).toBe(first.coachPath);
  const again = new Device<CoachView>(second.url, second.coachPath);
  const after = await again.until(({ meet }) => meet.called.length === 5);
  expect(after.bouts).toEqual(before.bouts);
  coach.socket.disconnect();
  again.socket.disconnect();
});

test("a port that is taken, a ledger that is held, a folder that is none: one sentence each and exit code 2", async () => {
  const { url } = await serving("0");
  const other = mkdtempSync(join(tmpdir(), "garland-other-"));
  const taken = await refused([other, new URL(url).port]);
  expect(taken.code).toBe(2);
  expect(taken.said).toMatch(/^Port \d+ is taken by another program[^\n]*\n$/);
  const held = await refused([dir, "0"]);
  expect(held.code).toBe(2);
  expect(held.said).toMatch(/^[^\n]+\n$/);
  writeFileSync(join(other, "a-file"), "");
  const none = await refused([join(other, "a-file"), "0"]);
  expect(none.code).toBe(2);
  expect(none.said).toMatch(/^[^\n]+\n$/);
  rmSync(other, { recursive: true });
});
