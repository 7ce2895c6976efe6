/** A ledger of an earlier form grows, keeps everything, and is whole whatever happens on the way. */
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { availableDrivers, connect } from "../../../engine/ledger/connection.ts";
import { takeHold } from "../../../engine/ledger/hold.ts";
import { LEDGER_FILE, openLedger, verifyLedger } from "../../../engine/ledger/open.ts";
import { SCHEMA_VERSION, STEPS } from "../../../engine/ledger/schema.ts";
import { bundleLedgerProcess, startLedgerProcess } from "../../contracts/ledger-process.ts";
import { halt, key } from "../../contracts/ledger.ts";
import { readGolden } from "../../support/ledger-golden.ts";
import { eventually } from "../../table-ui/server/hall.ts";

/** A ledger's file as the first whole Garland wrote it, schema 1; its events stand beside it as text. */
const golden = (ending: string): string =>
  new URL(`../../golden/ledgers/first-whole-chain.${ending}`, import.meta.url).pathname;

const TABLES = {
  events: "SELECT * FROM events ORDER BY stream, version",
  commands: "SELECT * FROM commands ORDER BY id",
  rule_sets: "SELECT * FROM rule_sets ORDER BY hash",
  people: "SELECT * FROM people ORDER BY id",
  seats: "SELECT * FROM seats ORDER BY id",
} as const;

interface Contents {
  readonly version: unknown;
  /** Tables, triggers and indexes. */
  readonly parts: readonly unknown[];
  readonly rows: Readonly<Record<string, readonly unknown[]>>;
}

let bundle: Awaited<ReturnType<typeof bundleLedgerProcess>>;
beforeAll(async () => {
  bundle = await bundleLedgerProcess();
});
afterAll(() => bundle.remove());

describe.each(availableDrivers())("with %s", (driver) => {
  let dir: string;
  let file: string;
  beforeEach(() => {
    dir = mkdtempSync(join(tmpdir(), "garland-upgrade-"));
    file = join(dir, LEDGER_FILE);
    copyFileSync(golden("sqlite"), file);
  });
  afterEach(() => rmSync(dir, { recursive: true, force: true }));

  /** Everything in a file that nobody holds, and its version. */
  function contents(of = file): Contents {
    const connection = connect(of, driver);
    try {
      const [version] = Object.values(Object(connection.prepare("PRAGMA user_version").get()) as object);
      const rows = Object.entries(TABLES).map(
        ([name, sql]) => [name, connection.prepare(sql).all()] as const,
      );
      const parts = connection.prepare("SELECT name FROM sqlite_schema ORDER BY name").all();
      return { version, parts, rows: Object.fromEntries(rows) };
    } finally {
      connection.close();
    }
  }

  test("it opens, grows, and keeps every event, command, rule set, person and seat", async () => {
    const before = contents();
    expect(before.version).toBe(1);
    expect(before.rows["events"]?.length).toBeGreaterThan(150);
    for (const table of Object.keys(TABLES)) expect(before.rows[table]?.length, table).toBeGreaterThan(0);

    const ledger = await openLedger({ dir, driver });
    const { events } = await readGolden(readFileSync(golden("jsonl"), "utf8"));
    for (const event of events) {
      const [stored] = await ledger.read(event.stream, event.version - 1);
      expect(stored).toEqual(event);
    }
    expect((await verifyLedger(ledger)).differences).toEqual([]);
    await ledger.close();
    expect(contents()).toMatchObject({ version: SCHEMA_VERSION, rows: before.rows });
  });

  test("it goes on: new events follow the old chain, and what is noted is found again", async () => {
    const ledger = await openLedger({ dir, driver });
    const [first] = await ledger.streams();
    const { stream, version } = first ?? { stream: "", version: 0 };
    expect(await ledger.append(stream, version, [halt(1)], key("after growing"))).toMatchObject({
      outcome: "appended",
    });
    await ledger.noteHeads(1_764_000_000_000);
    expect(await ledger.integrity()).toEqual([]);
    expect(await ledger.examine()).toMatchObject({ differences: [], leftOut: [] });
    await ledger.close();
  });

  test("a whole copy is put aside first, for its owner's eyes only, and a sentence says so, once", async () => {
    const before = contents();
    const ledger = await openLedger({ dir, driver });
    const aside = `${ledger.file}.before-2`;
    expect(ledger.grown).toBe(
      `The ledger was brought from form 1 to form 2. As it was, it lies in ${aside}: ` +
        "delete that copy once all is well, for it holds names and notes.",
    );
    await ledger.close();
    expect(contents(aside)).toEqual(before);
    expect(statSync(aside).mode & 0o777).toBe(0o600);

    const again = await openLedger({ dir, driver });
    expect(again.grown).toBeUndefined();
    await again.close();
    expect(readdirSync(dir).sort()).toEqual([LEDGER_FILE, `${LEDGER_FILE}.before-2`]);
  });

  test("a step that fails in its middle leaves the old form, and the next start grows it", async () => {
    const before = contents();
    const failing = [...STEPS.slice(0, -1), `${STEPS.at(-1)} INSERT INTO nowhere VALUES (1);`];
    await expect(takeHold(file, driver, failing)).rejects.toThrow(/nowhere/);
    expect(contents()).toEqual(before);

    const ledger = await openLedger({ dir, driver });
    // What was recorded between two tries would be missing in the first copy.
    expect(ledger.grown).toContain(`${LEDGER_FILE}.before-2-2`);
    expect((await verifyLedger(ledger)).differences).toEqual([]);
    await ledger.close();
  });

  test("killed in the middle of the step, it is of the old form, and the next start grows it", async () => {
    const before = contents();
    const growing = startLedgerProcess(bundle.program, ["grow", dir, driver]);
    expect(await growing.next()).toEqual({ growing: true });
    // Rows of a transaction that never ends fill the log: it is far inside.
    await eventually(() => existsSync(`${file}-wal`) && statSync(`${file}-wal`).size > 4_000_000);
    await growing.kill();
    expect(contents()).toEqual(before);

    const ledger = await openLedger({ dir, driver });
    expect((await verifyLedger(ledger)).differences).toEqual([]);
    await ledger.close();
  });

  test("where no copy can be put aside, it is refused and stays as it was", async () => {
    const before = contents();
    // The copy's own name while it is being written is a folder that is not empty.
    const blocked = `${file}.before-2.part`;
    mkdirSync(blocked);
    writeFileSync(join(blocked, "something"), "");
    await expect(openLedger({ dir, driver })).rejects.toMatchObject({
      code: "unwritable",
      message: expect.stringMatching(/is of an older form, and the copy .* failed: .* Make room for it/),
    });
    expect(contents()).toEqual(before);
  });

  test("an upgraded ledger is refused by the version before, which says why", async () => {
    await (await openLedger({ dir, driver })).close();
    await expect(takeHold(file, driver, STEPS.slice(0, 1))).rejects.toMatchObject({
      code: "newer",
      message:
        `The ledger ${file} was written by a newer Garland (its schema is ${SCHEMA_VERSION}, ` +
        "this one knows 1): start the newer one.",
    });
  });
});
