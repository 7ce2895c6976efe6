/** A disk that is full or fails under an open ledger: nothing acknowledged is lost, nothing unknown is acknowledged. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { availableDrivers, SQLITE } from "../../../engine/ledger/connection.ts";
import type { Connection } from "../../../engine/ledger/connection.ts";
import { takeHold } from "../../../engine/ledger/hold.ts";
import { openSqlite, SqliteLedger } from "../../../engine/ledger/sqlite.ts";
import { halt, key, MIRA } from "../../contracts/ledger.ts";

describe.each(availableDrivers())("with %s", (driver) => {
  let dir: string;
  let file: string;
  beforeEach(() => {
    dir = mkdtempSync(join(tmpdir(), "garland-failing-"));
    file = join(dir, "ledger.sqlite");
  });
  afterEach(() => rmSync(dir, { recursive: true, force: true }));

  test("a full disk writes nothing of an append, and the same command goes through when there is room", async () => {
    const hold = await takeHold(file, driver);
    const ledger = new SqliteLedger(hold);
    await ledger.append("bout/1", 0, [halt(1)], key("c-1"));
    // SQLite answers "full" at this many pages just as at the end of the disk.
    hold.connection.exec("PRAGMA max_page_count = 20");
    const big = { type: "Noted", data: { text: "x".repeat(200_000) }, at: 1 };

    await expect(ledger.append("bout/1", 1, [halt(2), big], key("c-2"))).rejects.toMatchObject({
      name: "LedgerFault",
      code: "disk-full",
      message: `The disk of ${file} is full; nothing was written.`,
    });
    expect(await ledger.read("bout/1")).toHaveLength(1);
    expect(await ledger.outcomeOf("c-2")).toBeUndefined();

    hold.connection.exec("PRAGMA max_page_count = 100000");
    expect(await ledger.append("bout/1", 1, [halt(2), big], key("c-2"))).toMatchObject({
      outcome: "appended",
      version: 3,
    });
    expect(await ledger.integrity()).toEqual([]);
    await ledger.close();
  });

  test("after a failed commit nothing more is written until it is opened again; reading goes on", async () => {
    const hold = await takeHold(file, driver);
    const ledger = new SqliteLedger({ ...hold, connection: failingAt("COMMIT", 2, hold.connection) });
    await ledger.append("bout/1", 0, [halt(1)], key("c-1"));

    const failed = {
      code: "disk-failed",
      message: `The disk of ${file} failed while writing; nothing more is recorded until Garland is started again.`,
    };
    await expect(ledger.append("bout/1", 1, [halt(2)], key("c-2"))).rejects.toMatchObject(failed);
    await expect(ledger.append("bout/1", 1, [halt(2)], key("c-2"))).rejects.toMatchObject(failed);
    await expect(ledger.putPerson(MIRA)).rejects.toMatchObject(failed);
    expect(await ledger.read("bout/1")).toHaveLength(1);
    await ledger.close();

    const again = await openSqlite(file, driver);
    expect(await again.append("bout/1", 1, [halt(2)], key("c-2"))).toMatchObject({ outcome: "appended" });
    await again.close();
  });
});

/** The nth run of one statement fails as a flush does that the disk refuses. */
function failingAt(sql: string, nth: number, connection: Connection): Connection {
  let runs = 0;
  return {
    ...connection,
    prepare(asked) {
      const statement = connection.prepare(asked);
      if (asked !== sql) return statement;
      return {
        get: (...values) => statement.get(...values),
        all: (...values) => statement.all(...values),
        run(...values) {
          runs += 1;
          if (runs === nth)
            throw Object.assign(new Error("disk I/O error"), { errcode: SQLITE.IOERR | (4 << 8) });
          return statement.run(...values);
        },
      };
    },
  };
}
