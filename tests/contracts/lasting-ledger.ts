/** What a ledger in a SQLite file promises beyond the contract of every ledger. */
import { execFileSync } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { verifyChain } from "../../engine/ledger/chain.ts";
import { connect } from "../../engine/ledger/connection.ts";
import type { SqliteDriver } from "../../engine/ledger/connection.ts";
import { openSqlite } from "../../engine/ledger/sqlite.ts";
import type { SqliteLedger } from "../../engine/ledger/sqlite.ts";
import { halt, key, MIRA } from "./ledger.ts";

/** A folder for one test, with hands on the file that know nothing of the ledger. */
interface Place {
  readonly folder: string;
  readonly file: string;
  open(): Promise<SqliteLedger>;
  /** Runs SQL on the closed file and answers with the rows of the last query asked for. */
  byHand(sql: string, query?: string): unknown[];
}

export function lastingLedgerContract(driver: SqliteDriver): void {
  describe(`sqlite (${driver}), as a ledger in a file,`, () => {
    let place: Place;
    beforeEach(() => {
      place = newPlace(driver);
    });
    afterEach(() => rmSync(place.folder, { recursive: true, force: true }));

    describe("lasts", () => lasting(() => place));
    describe("[D3] is never rewritten", () => unchanging(() => place));
    describe("forgets", () => forgetting(() => place));
    describe("is cared for", () => caring(() => place));
  });
}

function newPlace(driver: SqliteDriver): Place {
  const folder = mkdtempSync(join(tmpdir(), "garland-ledger-"));
  const file = join(folder, "ledger.sqlite");
  return {
    folder,
    file,
    open: () => openSqlite(file, driver),
    byHand(sql, query) {
      const connection = connect(file, driver);
      try {
        connection.exec("PRAGMA locking_mode = EXCLUSIVE");
        connection.exec(sql);
        return query === undefined ? [] : connection.prepare(query).all();
      } finally {
        connection.close();
      }
    },
  };
}

async function fill(ledger: SqliteLedger): Promise<void> {
  await ledger.append("bout/1", 0, [halt(1), halt(2)], key("c-1"));
  await ledger.append("bout/1", 2, [halt(3)], key("c-2"));
  await ledger.append("bout/2", 0, [halt(1)], key("c-3"));
  await ledger.putRuleSet({ hash: "h-1", text: "name: Cover and answer\n" });
  await ledger.putPerson(MIRA);
  await ledger.putSeat({ id: "s-1", kind: "coach", secretHash: "a".repeat(64), revoked: false });
}

async function everything(ledger: SqliteLedger): Promise<unknown> {
  return {
    streams: await ledger.streams(),
    events: [await ledger.read("bout/1"), await ledger.read("bout/2")],
    outcomes: [await ledger.outcomeOf("c-1"), await ledger.outcomeOf("c-3")],
    ruleSets: await ledger.ruleSets(),
    people: await ledger.people(),
    seats: await ledger.seats(),
  };
}

function lasting(place: () => Place): void {
  test("what was written is there when it is opened again, and it goes on", async () => {
    const first = await place().open();
    await fill(first);
    const before = await everything(first);
    await first.close();

    const second = await place().open();
    expect(await everything(second)).toEqual(before);
    expect(await second.append("bout/1", 0, [halt(1), halt(2)], key("c-1"))).toMatchObject({
      outcome: "repeated",
      version: 2,
    });
    expect(await second.append("bout/1", 3, [halt(4)], key("c-4"))).toMatchObject({ outcome: "appended" });
    expect(verifyChain(await second.read("bout/1"))).toMatchObject({ ok: true, version: 4 });
    await second.close();
  });

  test("closed, it is one file that only its owner can read", async () => {
    const ledger = await place().open();
    await fill(ledger);
    await ledger.close();
    expect(readdirSync(place().folder)).toEqual(["ledger.sqlite"]);
    expect(statSync(place().file).mode & 0o777).toBe(0o600);
  });

  test("the same process cannot open it twice", async () => {
    const first = await place().open();
    await expect(place().open()).rejects.toMatchObject({ name: "LedgerCannotOpen", code: "held" });
    await first.append("bout/1", 0, [halt(1)], key("c-1"));
    await first.close();
    const second = await place().open();
    expect(await second.read("bout/1")).toHaveLength(1);
    await second.close();
  });

  test("says which driver keeps it", async () => {
    const ledger = await place().open();
    expect(ledger.driver).toMatch(/^sqlite \((node:sqlite|libsql)\)$/);
    await ledger.close();
  });
}

function unchanging(place: () => Place): void {
  test.each([
    ["UPDATE events SET data = '{}' WHERE version = 1", "events are never changed"],
    ["UPDATE events SET version = 9 WHERE version = 3", "events are never changed"],
    ["DELETE FROM events", "events are never deleted"],
    [
      "REPLACE INTO events SELECT stream, version, type, '{}', at, chain, command FROM events",
      "events follow one another without a gap",
    ],
    [
      "INSERT INTO events VALUES ('bout/1', 5, 'HaltCalled', '{}', 1, '', 'c-9')",
      "events follow one another without a gap",
    ],
    ["UPDATE commands SET digest = ''", "commands are never changed"],
    ["DELETE FROM commands", "commands are never deleted"],
    ["REPLACE INTO commands SELECT * FROM commands", "commands are never replaced"],
    ["UPDATE rule_sets SET text = ''", "rule_sets are never changed"],
    ["DELETE FROM rule_sets", "rule_sets are never deleted"],
    ["REPLACE INTO rule_sets VALUES ('h-1', '')", "rule sets are never replaced"],
    ["UPDATE people SET erased = 1", "CHECK constraint failed"],
  ])("%s is refused by the file itself", async (sql, why) => {
    const ledger = await place().open();
    await fill(ledger);
    const before = await everything(ledger);
    await ledger.close();

    expect(() => place().byHand(sql)).toThrow(why);

    const again = await place().open();
    expect(await everything(again)).toEqual(before);
    await again.close();
  });

  test("an event changed behind its back is named by the chain and by integrity()", async () => {
    const ledger = await place().open();
    await fill(ledger);
    expect(await ledger.integrity()).toEqual([]);
    await ledger.close();

    const [trigger] = place().byHand("", "SELECT sql FROM sqlite_schema WHERE name = 'events_never_change'");
    const { sql } = Object(trigger) as { sql: string };
    place().byHand(
      `DROP TRIGGER events_never_change;
       UPDATE events SET data = replace(data, 'p-table', 'p-other') WHERE stream = 'bout/1' AND version = 2; ${sql}`,
    );

    const again = await place().open();
    expect(verifyChain(await again.read("bout/1"))).toMatchObject({
      ok: false,
      stream: "bout/1",
      version: 2,
    });
    expect(verifyChain(await again.read("bout/2"))).toMatchObject({ ok: true });
    expect(await again.integrity()).toEqual([
      "Event 2 of bout/1 was changed: its chain value does not match.",
    ]);
    await again.close();
  });

  test("an event cut off at the end, which no chain can show, is missed by its command", async () => {
    const ledger = await place().open();
    await fill(ledger);
    await ledger.close();
    const [trigger] = place().byHand("", "SELECT sql FROM sqlite_schema WHERE name = 'events_never_go'");
    const { sql } = Object(trigger) as { sql: string };
    place().byHand(`DROP TRIGGER events_never_go; DELETE FROM events WHERE command = 'c-2'; ${sql}`);

    const again = await place().open();
    expect(verifyChain(await again.read("bout/1"))).toMatchObject({ ok: true, version: 2 });
    expect(await again.integrity()).toEqual(["The command c-2 does not match its events."]);
    await again.close();
  });
}

function forgetting(place: () => Place): void {
  test("an erased person is gone from the bytes on the disk, and the chains verify after a restart", async () => {
    const ledger = await place().open();
    await fill(ledger);
    await ledger.putPerson({ ...MIRA, id: "p-2", name: "Tovi Ansel", shortName: "", notes: "" });
    await ledger.putPerson({ ...MIRA, notes: "Second note; new knee." });
    // Read by another process: closing a second handle in this one would drop the lock.
    const onDisk = () =>
      readdirSync(place().folder)
        .map((name) => contentOf(join(place().folder, name)))
        .join("");
    expect(onDisk()).toContain("old knee");

    await ledger.erasePerson(MIRA.id);

    for (const state of ["open", "closed"]) {
      const bytes = onDisk();
      for (const kept of ["HaltCalled", "Tovi Ansel"]) expect(bytes, state).toContain(kept);
      for (const gone of ["Mira", "old knee", "new knee"]) expect(bytes, state).not.toContain(gone);
      await ledger.close();
    }

    const again = await place().open();
    expect((await again.people()).map(({ erased }) => erased)).toEqual([true, false]);
    await expect(again.putPerson(MIRA)).rejects.toMatchObject({ code: "erased" });
    expect(verifyChain(await again.read("bout/1"))).toMatchObject({ ok: true, version: 3 });
    expect(await again.integrity()).toEqual([]);
    await again.close();
  });
}

function caring(place: () => Place): void {
  test("a backup taken while it is open is a whole ledger of its own", async () => {
    const ledger = await place().open();
    await fill(ledger);
    const before = await everything(ledger);
    const copy = join(place().folder, "copy.sqlite");
    await ledger.backupTo(copy);
    await ledger.append("bout/2", 1, [halt(2)], key("after the backup"));

    const backup = await openSqlite(copy);
    expect(await everything(backup)).toEqual(before);
    expect(await backup.integrity()).toEqual([]);
    await backup.close();
    expect(statSync(copy).mode & 0o777).toBe(0o600);
    await ledger.close();
    expect(readdirSync(place().folder).sort()).toEqual(["copy.sqlite", "ledger.sqlite"]);
  });

  test("a backup never overwrites a file and leaves nothing half done", async () => {
    const ledger = await place().open();
    await fill(ledger);
    const copy = join(place().folder, "copy.sqlite");
    await ledger.backupTo(copy);
    await expect(ledger.backupTo(copy)).rejects.toMatchObject({ code: "backup-exists" });
    await expect(ledger.backupTo(join(place().folder, "none", "copy.sqlite"))).rejects.toMatchObject({
      code: "backup-failed",
    });
    expect(await ledger.append("bout/2", 1, [halt(2)], key("c-9"))).toMatchObject({ outcome: "appended" });
    await ledger.close();
    expect(readdirSync(place().folder).sort()).toEqual(["copy.sqlite", "ledger.sqlite"]);
  });
}

function contentOf(file: string): string {
  return execFileSync("cat", [file], { encoding: "latin1" });
}
