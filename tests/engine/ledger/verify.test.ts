/** `garland verify` on a damaged ledger: whatever was changed is named, with its stream and what to do. */
import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { connect } from "../../../engine/ledger/connection.ts";
import { openCopy, openLedger, verifyLedger, type LedgerReport } from "../../../engine/ledger/open.ts";
import { canonicalJson, seal } from "../../../engine/ledger/chain.ts";
import { openHouse } from "../../../table-ui/server/house.ts";
import { tellFurther } from "../../support/telling-further.ts";
import { tellEvening } from "../../support/telling.ts";

const NOTED_AT = Date.parse("2026-11-29T20:14:00Z");

let folder: string;
let whole: string;
let dir: string;
let file: string;

/** One evening with corrections, votes, claims and draws, noted and backed up; each test damages a copy of the backup. */
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "garland-verify-"));
  const ledger = await openLedger({ dir: folder });
  let now = NOTED_AT - 3_600_000;
  const house = await openHouse(ledger, { now: () => (now += 250) });
  await tellFurther(await tellEvening(house));
  await house.rest();
  await ledger.noteHeads(NOTED_AT);
  whole = join(folder, "whole.sqlite");
  await ledger.backupTo(whole);
  await ledger.close();
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), "garland-damaged-"));
  file = join(dir, "damaged.sqlite");
  copyFileSync(whole, file);
});
afterEach(() => rmSync(dir, { recursive: true, force: true }));

async function verified(): Promise<LedgerReport> {
  const { ledger, remove } = await openCopy(file);
  try {
    return await verifyLedger(ledger);
  } finally {
    await remove();
  }
}

/** Where, and which event, of each difference. */
const places = ({ differences }: LedgerReport): readonly string[] =>
  differences.map(({ where, version }) => (version === undefined ? where : `${where} ${version}`));

type Sql = (sql: string, ...values: (string | number)[]) => readonly Record<string, unknown>[];

/** Works on the file by hand, with its triggers taken away and put back. */
function byHand<T>(work: (sql: Sql) => T): T {
  const connection = connect(file);
  try {
    const sql: Sql = (text, ...values) =>
      connection.prepare(text).all(...values) as readonly Record<string, unknown>[];
    const triggers = sql("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'");
    for (const { name } of triggers) connection.exec(`DROP TRIGGER ${String(name)}`);
    const answer = work((text, ...values) => {
      const statement = connection.prepare(text);
      if (/^\s*(SELECT|WITH)/.test(text))
        return statement.all(...values) as readonly Record<string, unknown>[];
      statement.run(...values);
      return [];
    });
    for (const trigger of triggers) connection.exec(String(trigger["sql"]));
    return answer;
  } finally {
    connection.close();
  }
}

/** Turns one bit of the byte where `text` begins in the file, plus `at`; the text must stand there once. */
function flip(text: string, at = 0, bit = 1): void {
  const bytes = readFileSync(file);
  const found = bytes.indexOf(text);
  expect(found, text).toBeGreaterThan(0);
  expect(bytes.indexOf(text, found + 1), `${text} stands there once`).toBe(-1);
  bytes.writeUInt8(bytes.readUInt8(found + at) ^ bit, found + at);
  writeFileSync(file, bytes);
}

/** One column of one row. */
const one = (sql: string, ...values: (string | number)[]): string =>
  byHand((run) => String(Object.values(run(sql, ...values)[0] ?? {})[0]));

const EVENT = "FROM events WHERE stream = ? AND version = ?";

test("a whole evening is sound, and the report counts it", async () => {
  const report = await verified();
  expect(report.differences).toEqual([]);
  expect(report.remarks).toEqual([]);
  expect(report).toMatchObject({ bouts: 11, people: 12, driver: expect.stringMatching(/^sqlite/) });
  expect(report.events).toBeGreaterThan(250);
});

describe("one byte flipped", () => {
  test("in an event's data names the stream and the event", async () => {
    flip("It was the other fencer.", 3);
    const report = await verified();
    expect(places(report)).toEqual(["bout/corrected 16"]);
    expect(report.differences[0]?.sentence).toBe(
      "Event 16 of bout/corrected was changed: its chain value does not match.",
    );
    expect(report.differences[0]?.cure).toContain("garland restore");
  });

  test("in an event's data so that it is no JSON any more", async () => {
    // An opening bracket becomes "z"; the text is found by what follows it.
    flip('{"at":' + one(`SELECT at ${EVENT}`, "bout/sealed", 5), 0, 1);
    expect(places(await verified())).toContain("bout/sealed 5");
  });

  test("in an event's data so that it is no Unicode any more", async () => {
    flip("A broken blade.", 2, 0x80);
    const report = await verified();
    expect(report.differences).toMatchObject([
      { where: "bout/sealed", sentence: "A text of event 12 is no Unicode any more." },
    ]);
    expect(report.remarks).toHaveLength(1);
  });

  test("in a chain value names the stream and the event", async () => {
    flip(one(`SELECT chain ${EVENT}`, "bout/sealed", 7) + "told", 5);
    const report = await verified();
    expect(places(report)).toContain("bout/sealed 7");
  });

  test("in a rule set's text names the rule set, and the bout that is scored otherwise", async () => {
    flip("I hit my secret target\n    pays: 3 bonus", "I hit my secret target\n    pays: ".length);
    const report = await verified();
    expect(places(report)).toEqual(expect.arrayContaining(["rule sets", "bout/sealed 8"]));
    expect(report.differences.map(({ sentence }) => sentence)).toEqual(
      expect.arrayContaining([
        expect.stringMatching(/^The rule set [0-9a-f]{64} was changed by another hand than Garland's\.$/),
        expect.stringMatching(/^Event \d+ says points .*; computed anew under "Sealed opening" it is points/),
      ]),
    );
  });

  test("in a person's row names the person", async () => {
    const id = one("SELECT id FROM people WHERE name = 'Ilse Varga'");
    flip("Left shoulder", 0);
    const report = await verified();
    expect(report.differences).toMatchObject([
      { where: "people", sentence: `The person ${id} was changed by another hand than Garland's.` },
    ]);
  });

  test("in a seat's secret names the seat", async () => {
    const { id, hash } = byHand((sql) =>
      sql("SELECT id, secret_hash AS hash FROM seats WHERE kind = 'wall'"),
    )[0] as {
      id: string;
      hash: string;
    };
    flip(hash, 1);
    expect((await verified()).differences).toMatchObject([
      { where: "seats", sentence: expect.stringContaining(id) },
    ]);
  });
});

describe("rows moved, cut or written anew", () => {
  test("two events that changed places", async () => {
    byHand((sql) => {
      sql("UPDATE events SET version = -1 WHERE stream = 'bout/corrected' AND version = 8");
      sql("UPDATE events SET version = 8 WHERE stream = 'bout/corrected' AND version = 9");
      sql("UPDATE events SET version = 9 WHERE stream = 'bout/corrected' AND version = -1");
    });
    expect(places(await verified())).toContain("bout/corrected 8");
  });

  test("a tail that was cut off with its commands, which no chain shows", async () => {
    byHand((sql) => {
      const [row] = sql("SELECT command FROM events WHERE stream = 'bout/sealed' AND version = 12");
      sql("DELETE FROM events WHERE stream = 'bout/sealed' AND version = 12");
      sql("DELETE FROM commands WHERE id = ?", String(row?.["command"]));
    });
    const report = await verified();
    expect(report.differences).toMatchObject([
      {
        where: "bout/sealed",
        version: 12,
        sentence:
          "Event 12, noted on 2026-11-29 at 20:14 UTC, is missing: the end of the stream was cut off.",
      },
    ]);
  });

  test("a tail whose commands are still there", async () => {
    byHand((sql) => {
      sql("DELETE FROM heads");
      sql("DELETE FROM events WHERE stream = 'bout/sealed' AND version = 12");
    });
    const report = await verified();
    expect(places(report)).toEqual(["bout/sealed 12"]);
    expect(report.differences[0]?.sentence).toMatch(
      /^The command told-\d+ does not match its events: it wrote up to event 12, and the stream ends at 11\.$/,
    );
  });

  test("an event whose command is gone", async () => {
    byHand((sql) => sql("DELETE FROM commands WHERE stream = 'meet' AND first = 2"));
    expect(places(await verified())).toEqual(["meet 2"]);
  });

  test("a whole bout that is gone", async () => {
    byHand((sql) => {
      for (const table of ["events", "commands", "heads"])
        sql(`DELETE FROM ${table} WHERE stream = 'bout/sealed'`);
    });
    const { differences } = await verified();
    expect(differences).toMatchObject([
      { where: "meet", sentence: "The bout sealed was called, and the ledger has no event of it." },
    ]);
  });

  test("a person, a seat and a rule set that events name and the tables lack", async () => {
    byHand((sql) => {
      sql("DELETE FROM digests");
      sql("DELETE FROM people WHERE name = 'Wim Derrick'");
      sql("DELETE FROM seats WHERE judge = 2 AND ring = 'ring-1'");
      sql("DELETE FROM rule_sets WHERE text LIKE '%Sealed opening%'");
    });
    const report = await verified();
    expect(places(report)).toEqual(expect.arrayContaining(["meet 7", "bout/sealed 1", "bout/corrected 11"]));
    const said = report.differences.map(({ sentence }) => sentence).join("\n");
    expect(said).toMatch(/Event 7 names the person \S+, and the ledger has no such person\./);
    expect(said).toMatch(/Event 11 names the seat \S+, and the ledger has no such seat\./);
    expect(said).toMatch(/Event 1 names the rule set [0-9a-f]{12}, whose text the ledger lacks\./);
  });
});

/** Writes one event anew, as whoever holds the file could: with a chain that verifies to its end. */
function rewrite(stream: string, version: number, change: (data: Record<string, unknown>) => object): void {
  byHand((sql) => {
    const rows = sql("SELECT * FROM events WHERE stream = ? ORDER BY version", stream);
    let head = { version: 0, chain: "" };
    for (const row of rows) {
      const data = JSON.parse(String(row["data"])) as Record<string, unknown>;
      const next = row["version"] === version ? change(data) : data;
      const event = { type: String(row["type"]), data: next, at: Number(row["at"]) };
      const [sealed] = seal(stream, head, [event], String(row["command"]));
      if (sealed === undefined) throw new Error("nothing sealed");
      head = sealed;
      sql(
        "UPDATE events SET data = ?, chain = ? WHERE stream = ? AND version = ?",
        canonicalJson(next),
        sealed.chain,
        stream,
        sealed.version,
      );
    }
    sql("DELETE FROM heads WHERE stream = ?", stream);
  });
}

/** The version of the nth event of a kind. */
const versionOf = (stream: string, type: string, nth = 1): number =>
  byHand((sql) =>
    Number(
      sql("SELECT version FROM events WHERE stream = ? AND type = ? ORDER BY version", stream, type)[
        nth - 1
      ]?.["version"],
    ),
  );

describe("written anew with chains that verify", () => {
  test("a stored award: the figures computed anew differ", async () => {
    const version = versionOf("bout/corrected", "ExchangeRecorded", 2);
    rewrite("bout/corrected", version, (data) => {
      const { tally, ...rest } = data as { tally: { points: object } };
      return { ...rest, tally: { ...tally, points: { red: 9, blue: 0 } } };
    });
    const report = await verified();
    expect(places(report)).toEqual([`bout/corrected ${version}`]);
    expect(report.differences[0]?.sentence).toMatch(
      /says points 9 to 0, .* computed anew .* it is points 3 to 0/,
    );
  });

  test("an end by the score that the score does not give", async () => {
    const stream = one(
      "SELECT stream FROM events WHERE type = 'BoutEnded' AND data NOT LIKE '%said%' LIMIT 1",
    );
    const version = versionOf(stream, "BoutEnded");
    rewrite(stream, version, (data) => ({
      ...data,
      ending: data["ending"] === "red wins" ? "blue wins" : "red wins",
    }));
    expect((await verified()).differences).toMatchObject([
      { where: stream, version, sentence: expect.stringContaining("by the score computed anew it is") },
    ]);
  });

  test("a drawn value: drawn again from the shown seed it is another", async () => {
    const version = versionOf("bout/purse-1", "PickSet");
    const was = one(`SELECT data ->> 'value' ${EVENT}`, "bout/purse-1", version);
    rewrite("bout/purse-1", version, (data) => ({
      ...data,
      value: was === "pays" ? "pays nothing" : "pays",
    }));
    const { differences } = await verified();
    expect(differences.map(({ sentence }) => sentence)).toEqual(
      expect.arrayContaining([
        expect.stringMatching(/^The draw of "luck" does not hold\. Drawn again, it is ".*" and not ".*"\.$/),
      ]),
    );
  });

  test("a shown seed that was not committed to", async () => {
    const version = versionOf("bout/purse-2", "SeedShown");
    rewrite("bout/purse-2", version, (data) => ({ ...data, seed: "00".repeat(32) }));
    expect(places(await verified())).toContain(`bout/purse-2 ${version}`);
  });

  test("an answer of the hall that the evening never gave", async () => {
    const version = versionOf("bout/purse-2", "ClaimsAnswered");
    rewrite("bout/purse-2", version, (data) => {
      const [first, ...others] = data["granted"] as { n: number }[];
      return { ...data, granted: [{ ...first, n: 1 }, ...others] };
    });
    const report = await verified();
    expect(places(report)).toContain(`bout/purse-2 ${version}`);
    expect(report.differences.map(({ sentence }) => sentence).join("\n")).toContain("the evening never gave");
  });

  test("a grant in the evening's stream that does not follow from the claims", async () => {
    const version = versionOf("meet", "HallAnswered");
    rewrite("meet", version, (data) => {
      const [first, ...others] = data["grants"] as { n: number }[];
      return { ...data, grants: [{ ...first, n: 1 }, ...others] };
    });
    expect(places(await verified())).toContain(`meet ${version - 1}`);
  });

  test("a claim that its bout never made", async () => {
    const version = versionOf("meet", "HallClaimed");
    rewrite("meet", version, (data) => {
      const [first, ...others] = data["claims"] as { exchange: string }[];
      return { ...data, claims: [{ ...first, exchange: "other" }, ...others] };
    });
    const { differences } = await verified();
    expect(differences.map(({ sentence }) => sentence).join("\n")).toContain("computed anew, it never had");
  });

  test("a bout that was called with other fencers than the evening planned", async () => {
    const other = one("SELECT id FROM people WHERE name = 'Mira Halden'");
    rewrite("bout/sealed", 1, (data) => ({ ...data, red: other }));
    expect(places(await verified())).toEqual(["bout/sealed 1"]);
  });

  test("a kind of event that this version does not know", async () => {
    const version = versionOf("bout/sealed", "HaltCalled");
    rewrite("bout/sealed", version, (data) => ({ ...data, type: "HaltWhispered" }));
    const report = await verified();
    expect(report.differences).toMatchObject([
      { where: "bout/sealed", version, cure: expect.stringContaining("with a newer one") },
    ]);
  });

  test("a stream that was written anew after it was noted, figures and all", async () => {
    byHand((sql) => sql("CREATE TABLE kept AS SELECT * FROM heads WHERE stream = 'bout/sealed'"));
    rewrite("bout/sealed", versionOf("bout/sealed", "BoutForfeited"), (data) => ({
      ...data,
      why: "Another reason.",
    }));
    byHand((sql) => {
      sql("INSERT INTO heads SELECT * FROM kept");
      sql("DROP TABLE kept");
    });
    expect((await verified()).differences).toMatchObject([
      {
        where: "bout/sealed",
        sentence: expect.stringMatching(/is another one now: the stream was written anew/),
      },
    ]);
  });
});
