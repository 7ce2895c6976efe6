/** [D7] Ledgers of every earlier version replay to the same tallies, and nothing in them differs. */
import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { foldBout, type Bout, type BoutEvent } from "../../../engine/index.ts";
import { verifyChain, verifyLedger, type Ledger, type StoredEvent } from "../../../engine/ledger/open.ts";
import { checkShelf } from "../../../engine/verify/shelf.ts";
import { goldenText, readGolden, talliesText } from "../../support/ledger-golden.ts";

const folder = new URL("../../golden/ledgers/", import.meta.url);
const names = readdirSync(folder)
  .filter((name) => name.endsWith(".jsonl"))
  .map((name) => name.replace(/\.jsonl$/, ""));
const textOf = (name: string): string => readFileSync(new URL(name, folder), "utf8");

async function boutsOf(ledger: Ledger): Promise<readonly Bout[]> {
  const { scorers } = checkShelf(await ledger.ruleSets());
  const bouts: Bout[] = [];
  for (const { stream } of await ledger.streams()) {
    if (!stream.startsWith("bout/")) continue;
    const events = (await ledger.read(stream)).map(({ version, data }) => ({
      version,
      data: data as BoutEvent,
    }));
    const bout = foldBout(events, scorers);
    if (bout !== undefined) bouts.push(bout);
  }
  return bouts;
}

function streamsOf(events: readonly StoredEvent[]): ReadonlyMap<string, readonly StoredEvent[]> {
  const streams = new Map<string, StoredEvent[]>();
  for (const event of events) streams.set(event.stream, [...(streams.get(event.stream) ?? []), event]);
  return streams;
}

test("there is a golden of every version in which the shape of events grew", () => {
  expect(names).toEqual(["claims-and-chance", "first-whole-chain"]);
});

describe.each(names)("the ledger of %s", (name) => {
  test("replays to the tallies that its own version computed, byte for byte", async () => {
    const { ledger } = await readGolden(textOf(`${name}.jsonl`));
    const bouts = await boutsOf(ledger);
    expect(bouts.length).toBeGreaterThan(6);
    expect(talliesText(bouts)).toBe(textOf(`${name}.tallies.txt`));
  });

  test("has chains that verify, and writes the same chains again", async () => {
    const { ledger, events } = await readGolden(textOf(`${name}.jsonl`));
    for (const [stream, stored] of streamsOf(events)) {
      expect(verifyChain(stored), stream).toMatchObject({ ok: true, version: stored.length });
      expect(await ledger.read(stream)).toEqual(stored);
    }
  });

  test("is the text that its ledger is written as", async () => {
    const { ledger, header } = await readGolden(textOf(`${name}.jsonl`));
    expect(await goldenText(ledger, header)).toBe(textOf(`${name}.jsonl`));
  });

  test("is found sound by the whole check", async () => {
    const { ledger, header } = await readGolden(textOf(`${name}.jsonl`));
    const report = await verifyLedger(ledger);
    expect(header.commit).toMatch(/^[0-9a-f]{7}$/);
    expect(report.differences).toEqual([]);
    expect(report.events).toBeGreaterThan(150);
  });
});
