/** Disks that fail under a real server in the middle of a bout, with somebody in every kind of seat. */
import { join } from "node:path";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { afterAll, afterEach, beforeAll, describe, expect, test } from "vitest";
import { LEDGER_FILE } from "../../engine/ledger/open.ts";
import { openSqlite } from "../../engine/ledger/sqlite.ts";
import { flawsAgainst, readCopy } from "../support/acknowledged.ts";
import { failCalls, faultyDisk, smallDisk, whyNot } from "../support/disks.ts";
import { bundleServer, end, type ServerProgram, type Serving } from "../support/serving.ts";
import { must } from "../table-ui/server/hall.ts";
import { openEvening, type Evening } from "./evening.ts";

let program: ServerProgram;
let evening: Evening | undefined;
beforeAll(async () => void (program = await bundleServer()));
afterAll(() => program.remove());
afterEach(async () => {
  evening?.leave();
  await program.endAll();
});

const LONG = process.env["LONG"] === "1";

/** Calls that fail, and how. */
const FAILING: readonly (readonly [string, string])[] = [
  ["fsync,fdatasync", "EIO"],
  ...(LONG
    ? ([
        ["pwrite64", "EIO"],
        ["pwrite64", "EROFS"],
      ] as const)
    : []),
];

const serve = (dir: string): Promise<Serving> => program.serve([dir, "0", "evening"]);

/** Some commands go through, so that there is something to lose. */
async function begin(serving: Serving): Promise<Evening> {
  evening = await openEvening(serving);
  for (let sent = 0; sent < 10; sent += 1) must(await evening.sendOne());
  return evening;
}

/** The process ends in good order, and what its file holds is what it had said. */
async function stopAndCheck({ child }: Serving, dir: string, told: Evening): Promise<void> {
  expect(await end(child, "SIGTERM")).toBe(0);
  expect(flawsAgainst(await readCopy(join(dir, LEDGER_FILE)), told.acknowledged)).toEqual([]);
}

/** After a failure that lasts: nothing is taken in any more, and a new start goes on, with what the tables kept. */
async function restartAndCheck(
  serving: Serving,
  dir: string,
  told: Evening,
  mend: () => void | Promise<void>,
) {
  const { acknowledged, kept } = told;
  told.leave();
  await end(serving.child, "SIGTERM");
  await mend();
  const file = join(dir, LEDGER_FILE);
  expect(flawsAgainst(await readCopy(file), acknowledged)).toEqual([]);
  const next = await serve(dir);
  evening = await openEvening(next, told);
  await evening.allShow("sound");
  expect(kept.length).toBeGreaterThan(3);
  await evening.sendKept();
  must(await evening.sendOne());
  await stopAndCheck(next, dir, evening);
}

describe.skipIf(whyNot.smallDisk() !== undefined)("a full disk in mid-bout", () => {
  test("[W31] [W32] nothing more is acknowledged, every seat is told; when there is room it goes on, nothing lost, nothing twice", async () => {
    const disk = smallDisk(24);
    try {
      const serving = await serve(disk.dir);
      const told = await begin(serving);
      disk.fill();
      await told.sendUntilRefused();
      await told.allShow("full");
      expect(told.coach.view.standing?.sentence).toMatch(/Free some room/);
      const before = told.acknowledged.size;
      for (let sent = 0; sent < 5; sent += 1) expect((await told.sendOne()).ok).toBe(false);
      expect(told.acknowledged.size).toBe(before);
      disk.free();
      // By itself: nobody sends anything.
      await told.allShow("sound");
      await told.sendKept();
      must(await told.sendOne());
      await stopAndCheck(serving, disk.dir, told);
    } finally {
      await program.endAll();
      disk.release();
    }
  });

  test("a ledger is tried by a true write: it fails while there is no room, and leaves nothing behind", async () => {
    const disk = smallDisk(8);
    const ledger = await openSqlite(join(disk.dir, LEDGER_FILE));
    try {
      const event = { type: "Noted", data: { text: "thread ".repeat(400) }, at: 1 };
      const append = (n: number) => ledger.append("bout/1", n, [event], { id: `c-${n}`, digest: "d" });
      const refusedBy = (work: Promise<unknown>): Promise<unknown> =>
        work.then(
          () => undefined,
          (error: unknown) => error,
        );
      await append(0);
      await ledger.probe();
      disk.fill();
      let room = 1;
      while (room < 1_000 && (await refusedBy(append(room))) === undefined) room += 1;
      // What the refused commit had begun to write may leave room for a page or two.
      let probed: unknown;
      for (let tries = 0; tries < 4; tries += 1) probed = await refusedBy(ledger.probe());
      expect(probed).toMatchObject({ name: "LedgerFault", code: "disk-full" });
      disk.free();
      await ledger.probe();
      expect(await append(room)).toMatchObject({ outcome: "appended", version: room + 1 });
      expect(await ledger.integrity()).toEqual([]);
    } finally {
      await ledger.close();
      disk.release();
    }
  });

  test.runIf(LONG)(
    "what the coach asks for is refused in a sentence, and a start on a full disk serves what is there",
    async () => {
      const disk = smallDisk(24);
      try {
        const serving = await serve(disk.dir);
        const told = await begin(serving);
        disk.fill();
        await told.sendUntilRefused();
        const { coach } = told;
        for (const answer of [
          await coach.coach({ ask: "add fencer", name: "Ilse Varga", shortName: "Ilse V.", consents: [] }),
          await coach.coach({ ask: "issue seat", kind: "wall" }),
        ])
          expect(answer).toMatchObject({
            ok: false,
            refusal: { sentence: expect.stringMatching(/disk is full/) },
          });
        told.leave();
        await end(serving.child, "SIGKILL");
        const next = await serve(disk.dir);
        evening = await openEvening(next, told);
        await evening.sendUntilRefused();
        await evening.allShow("full");
        disk.free();
        await evening.allShow("sound");
        await evening.sendKept();
        await stopAndCheck(next, disk.dir, evening);
      } finally {
        await program.endAll();
        disk.release();
      }
    },
  );
});

describe.skipIf(whyNot.faultyDisk() !== undefined)("a disk that turns read-only in mid-bout", () => {
  test("[W31] [W32] nothing more is acknowledged until a restart, and then all of it is there", async () => {
    const disk = faultyDisk();
    try {
      const serving = await serve(disk.dir);
      const told = await begin(serving);
      disk.turnReadOnly();
      await told.sendUntilRefused();
      await told.allShow("failed");
      for (let sent = 0; sent < 5; sent += 1) expect((await told.sendOne()).ok).toBe(false);
      await restartAndCheck(serving, disk.dir, told, () => disk.mend());
    } finally {
      await program.endAll();
      disk.release();
    }
  });
});

describe.skipIf(whyNot.strace() !== undefined)("a flush that the disk refuses in mid-bout", () => {
  test.each(FAILING)(
    "[W31] [W32] %s answers %s: nothing more is acknowledged until a restart, and then all of it is there",
    async (calls, error) => {
      const dir = mkdtempSync(join(tmpdir(), "garland-flush-"));
      try {
        const serving = await serve(dir);
        const told = await begin(serving);
        const failing = await failCalls(serving.child.pid ?? 0, calls, error);
        await told.sendUntilRefused();
        await told.allShow("failed");
        for (let sent = 0; sent < 5; sent += 1) expect((await told.sendOne()).ok).toBe(false);
        // The disk answers again: nobody knows what it kept, so nothing is taken in before a restart.
        await failing.end();
        for (let sent = 0; sent < 5; sent += 1) expect((await told.sendOne()).ok).toBe(false);
        await told.allShow("failed");
        await restartAndCheck(serving, dir, told, () => undefined);
      } finally {
        await program.endAll();
        rmSync(dir, { recursive: true });
      }
    },
  );
});
