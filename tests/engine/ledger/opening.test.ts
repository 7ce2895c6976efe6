/** When a ledger may not be opened: one clear sentence, and what lies there stays as it was. */
import { execFileSync } from "node:child_process";
import {
  chmodSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  truncateSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { verifyChain } from "../../../engine/ledger/chain.ts";
import { availableDrivers, connect, SQLITE_DRIVERS } from "../../../engine/ledger/connection.ts";
import type { Connection, SqliteDriver } from "../../../engine/ledger/connection.ts";
import { requireSafeSettings } from "../../../engine/ledger/hold.ts";
import { LEDGER_FILE, openLedger } from "../../../engine/ledger/open.ts";
import { SCHEMA_VERSION } from "../../../engine/ledger/schema.ts";
import { bundleLedgerProcess, startLedgerProcess } from "../../contracts/ledger-process.ts";
import { halt, key, MIRA } from "../../contracts/ledger.ts";

const KILLS = process.env["LONG"] === "1" ? 50 : 3;

let bundle: Awaited<ReturnType<typeof bundleLedgerProcess>>;
beforeAll(async () => {
  bundle = await bundleLedgerProcess();
});
afterAll(() => bundle.remove());

describe.each(availableDrivers())("with %s", (driver) => {
  let dir: string;
  let file: string;
  beforeEach(() => {
    dir = mkdtempSync(join(tmpdir(), "garland-opening-"));
    file = join(dir, LEDGER_FILE);
  });
  afterEach(() => rmSync(dir, { recursive: true, force: true }));

  const open = () => openLedger({ dir, driver });

  test("a second process on the same ledger is refused at once, and may come when the first is gone", async () => {
    const first = startLedgerProcess(bundle.program, ["hold", dir, driver]);
    expect(await first.next()).toEqual({ opened: `sqlite (${driver})` });

    const second = startLedgerProcess(bundle.program, ["hold", dir, driver]);
    expect(await second.next()).toEqual({
      refused: "held",
      sentence: `The ledger ${file} is held by a Garland that is running: stop that one, or start with another data folder.`,
    });
    expect(await second.ended).toBe("");
    await expect(open()).rejects.toMatchObject({ code: "held" });

    await first.kill();
    const ledger = await open();
    await ledger.close();
  });

  test("trying to open it twice in one process does not let another process in", async () => {
    const ledger = await open();
    for (const other of availableDrivers()) {
      await expect(openLedger({ dir, driver: other })).rejects.toMatchObject({ code: "held" });
    }
    const second = startLedgerProcess(bundle.program, ["hold", dir, driver]);
    expect(await second.next()).toMatchObject({ refused: "held" });
    await ledger.close();
  });

  test("a start that met another's passing lock tries again", async () => {
    await (await open()).close();
    const passing = connect(file, driver);
    passing.exec("BEGIN EXCLUSIVE");
    const opening = open();
    passing.close();
    await (await opening).close();
  });

  test("of two processes that start at the same moment, exactly one holds the ledger", async () => {
    const both = [1, 2].map(() => startLedgerProcess(bundle.program, ["hold", dir, driver]));
    const told = await Promise.all(both.map((one) => one.next()));
    await Promise.all(both.map((one) => one.kill()));
    expect(told.filter((one) => JSON.stringify(one).includes("opened"))).toHaveLength(1);
    expect(told.filter((one) => JSON.stringify(one).includes('"held"'))).toHaveLength(1);
  });

  test("after a kill, everything that was acknowledged is there and the chain goes on", async () => {
    let acknowledged = 0;
    for (let kill = 1; kill <= KILLS; kill += 1) {
      const writer = startLedgerProcess(bundle.program, ["append", dir, driver]);
      expect(await writer.next()).toEqual({ opened: `sqlite (${driver})` });
      for (let n = 0; n < 10 + 7 * kill; n += 1) {
        acknowledged = Number((Object(await writer.next()) as { version?: number }).version);
      }
      await writer.kill();
    }
    const ledger = await open();
    const events = await ledger.read("bout/1");
    expect(events.length).toBeGreaterThanOrEqual(acknowledged);
    expect(acknowledged).toBeGreaterThanOrEqual(10 * KILLS);
    expect(verifyChain(events)).toMatchObject({ ok: true, version: events.length });
    expect(await ledger.integrity()).toEqual([]);
    await ledger.close();
  });

  test("a ledger of a newer version is refused and stays as it was", async () => {
    const ledger = await open();
    await ledger.append("bout/1", 0, [halt(1)], key("c-1"));
    await ledger.close();
    byHand(file, driver, `PRAGMA user_version = ${SCHEMA_VERSION + 1}`);
    const before = readFileSync(file);

    await expect(open()).rejects.toMatchObject({
      code: "newer",
      message:
        `The ledger ${file} was written by a newer Garland (its schema is ${SCHEMA_VERSION + 1}, ` +
        `this one knows ${SCHEMA_VERSION}): start the newer one.`,
    });
    expect(readFileSync(file).equals(before)).toBe(true);
  });

  test.each([
    ["a text", "This is a letter, not a ledger.\n".repeat(40), "it is no SQLite file"],
    ["a file shorter than any database", "SQLite format 3\0", "it is no SQLite file"],
  ])("%s in the ledger's place is refused and stays as it was", async (_, content, why) => {
    writeFileSync(file, content);
    await expect(open()).rejects.toMatchObject({ code: "damaged", message: expect.stringContaining(why) });
    expect(readFileSync(file, "latin1")).toBe(content);
  });

  test("a database of another program is refused and stays as it was", async () => {
    byHand(file, driver, "CREATE TABLE recipes (title TEXT)");
    const before = readFileSync(file);
    await expect(open()).rejects.toMatchObject({
      code: "damaged",
      message: expect.stringContaining("it belongs to another program"),
    });
    expect(readFileSync(file).equals(before)).toBe(true);
  });

  test("a ledger that was cut short, or lost a trigger, is refused", async () => {
    const ledger = await open();
    for (let n = 0; n < 20; n += 1) await ledger.append("bout/1", n, [halt(n)], key(`c-${n}`));
    await ledger.close();
    byHand(file, driver, "DROP TRIGGER events_never_change");
    await expect(open()).rejects.toMatchObject({
      code: "damaged",
      message: expect.stringContaining("it lacks events_never_change"),
    });
    truncateSync(file, 4096);
    await expect(open()).rejects.toMatchObject({ code: "damaged" });
  });

  test("a folder that cannot be made, and a folder in the file's place, are refused as unwritable", async () => {
    const letter = join(dir, "letter");
    writeFileSync(letter, "Dear club");
    await expect(openLedger({ dir: join(letter, "data"), driver })).rejects.toMatchObject({
      code: "unwritable",
      message: expect.stringMatching(/^I cannot write the ledger .*: ENOTDIR.*Name a data folder/),
    });
    mkdirSync(file);
    await expect(open()).rejects.toMatchObject({ code: "unwritable" });
  });

  test("a folder that may only be read is refused as unwritable", async () => {
    const ledger = await open();
    await ledger.close();
    const undo = makeReadOnly(dir);
    try {
      await expect(open()).rejects.toMatchObject({
        name: "LedgerCannotOpen",
        code: "unwritable",
        message: expect.stringMatching(/EROFS|EACCES/),
      });
    } finally {
      undo();
    }
    await (await open()).close();
  });

  test("settings that are not safe when read back are refused: a database in memory has no log on disk", () => {
    const inMemory = connect(":memory:", driver);
    expect(() => requireSafeSettings(inMemory, "ledger.sqlite")).toThrow(
      "The ledger ledger.sqlite cannot be kept safely here: journal_mode is memory instead of WAL.",
    );
    inMemory.close();
  });

  test.each(["journal_mode", "synchronous", "locking_mode", "secure_delete"])(
    "a SQLite that answers something else for %s is refused as unsafe",
    (name) => {
      const lying = pretend(connect(join(dir, "other.sqlite"), driver), name);
      expect(() => requireSafeSettings(lying, file)).toThrow(expect.objectContaining({ code: "unsafe" }));
      lying.close();
    },
  );

  test("the safe settings are in force on an open ledger: no other connection gets in, no shared index", async () => {
    const ledger = await open();
    await ledger.putPerson(MIRA);
    expect(() => byHand(file, driver, "SELECT * FROM people")).toThrow("database is locked");
    expect(readdirSync(dir).sort()).toEqual([LEDGER_FILE, `${LEDGER_FILE}-wal`]);
    await ledger.close();
  });
});

test.each(SQLITE_DRIVERS.filter((driver) => !availableDrivers().includes(driver)))(
  "asked for %s, which is not here, it says so in one clear sentence",
  async (driver) => {
    const dir = mkdtempSync(join(tmpdir(), "garland-opening-"));
    await expect(openLedger({ dir, driver })).rejects.toMatchObject({
      code: "no-driver",
      message: `This Node (${process.version}) has no ${driver}: run npm install without --omit=optional, or use Node 24.`,
    });
    rmSync(dir, { recursive: true });
  },
);

function byHand(file: string, driver: SqliteDriver, sql: string): void {
  const connection = connect(file, driver);
  try {
    connection.exec(sql);
  } finally {
    connection.close();
  }
}

function pretend(connection: Connection, name: string): Connection {
  return {
    ...connection,
    prepare: (sql) => {
      const statement = connection.prepare(sql);
      return sql === `PRAGMA ${name}` ? { ...statement, get: () => ({ [name]: "off" }) } : statement;
    },
  };
}

/** Root may write anywhere except on a disk that is mounted read-only. */
function makeReadOnly(dir: string): () => void {
  if (process.getuid?.() !== 0) {
    const file = join(dir, LEDGER_FILE);
    chmodSync(file, 0o400);
    chmodSync(dir, 0o500);
    return () => {
      chmodSync(dir, 0o700);
      chmodSync(file, 0o600);
    };
  }
  execFileSync("mount", ["--bind", dir, dir]);
  execFileSync("mount", ["-o", "remount,bind,ro", dir]);
  return () => void execFileSync("umount", [dir]);
}
