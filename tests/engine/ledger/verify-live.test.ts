/** An evening that is sound is found sound: whatever was commanded, and while it goes on. */
import * as fc from "fast-check";
import { expect, test } from "vitest";
import type { BoutCommand } from "../../../engine/index.ts";
import { openLedger, verifyLedger, type Ledger } from "../../../engine/ledger/open.ts";
import { hits, openTwoRings, type Hall } from "../../support/two-rings.ts";

const RUNS = process.env["LONG"] === "1" ? 400 : 4;

/** Recorded at each ring while the checks run. */
const EXCHANGES = 7;

const PURSE = `name: A purse for the hall
picks:
  luck:
    by: chance
    from:
      - pays
      - pays nothing
    when: after each exchange
bout:
  ends:
    - at 6 points
touches:
  I hit: 1
rules:
  - name: The purse
    when: I hit the head
    pays: 2 bonus to me
    at most: 5 bonus in the hall tonight
  - name: Lucky
    when: I hit
    if: the luck is pays
    pays: 1 bonus to me
`;

async function openHall(): Promise<{ hall: Hall; ledger: Ledger }> {
  const ledger = await openLedger({ memory: true });
  await ledger.putSeat({ id: "coach seat", kind: "coach", secretHash: "a".repeat(64), revoked: false });
  const hall = await openTwoRings(PURSE, ledger);
  await hall.call("a", "mira", "teo", "r1");
  await hall.call("b", "lena", "omar", "r2");
  return { hall, ledger };
}

const exchange = fc.constantFrom("x1", "x2", "x3", "x4", "x5");
const side = fc.constantFrom("red" as const, "blue" as const);
const record = fc.tuple(side, fc.constantFrom("head", "torso")).map(([by, target]) => hits(by, target));

/** Any order of commands that an official may press; many of them are refused. */
const command: fc.Arbitrary<BoutCommand> = fc.oneof(
  fc.record({ type: fc.constant("RecordExchange" as const), exchange, record }),
  fc.record({ type: fc.constant("ChangeExchange" as const), exchange, record }),
  fc.record({ type: fc.constant("InsertExchange" as const), exchange, after: fc.constant("start"), record }),
  fc.record({ type: fc.constant("RemoveExchange" as const), exchange }),
  fc.record({
    type: fc.constant("GivePenalty" as const),
    side,
    penalty: fc.constantFrom("warning" as const, "penalty hit" as const),
    why: fc.constant("Turned away."),
  }),
  fc.constantFrom<BoutCommand>(
    { type: "ConfirmCheck" },
    { type: "ComeOnGuard" },
    { type: "StartFencing" },
    { type: "CallHalt" },
    { type: "SwapFencers" },
    { type: "Undo" },
    { type: "DrawPick", pick: "luck" },
    { type: "EndBout" },
    { type: "EndBout", ending: "draw" },
    { type: "Reopen", why: "One exchange was left." },
    { type: "ConfirmResult" },
  ),
);
const commands = fc.array(fc.tuple(fc.constantFrom("a", "b"), command), { minLength: 20, maxLength: 40 });

test("no command brings an evening to something that the check would name", async () => {
  let accepted = 0;
  await fc.assert(
    fc.asyncProperty(commands, async (all) => {
      const { hall, ledger } = await openHall();
      for (const [bout, each] of all) if ((await hall.give(bout, each)).ok) accepted += 1;
      await hall.rest();
      expect((await verifyLedger(ledger)).differences).toEqual([]);
    }),
    { seed: 20_261_129, numRuns: RUNS },
  );
  expect(accepted).toBeGreaterThan(10 * RUNS);
});

test("[W29] while commands and the hall's answers stream in, nothing is named that is only under way", async () => {
  const { hall, ledger } = await openHall();
  const going = new Set(["a", "b"]);
  const rings = [...going].map(async (bout) => {
    for (let n = 1; n <= EXCHANGES; n += 1) {
      await hall.record(bout, `${bout}${n}`, hits(n % 2 === 0 ? "red" : "blue", "head"));
      if (n % 3 === 0) await hall.give(bout, { type: "RemoveExchange", exchange: `${bout}${n - 1}` });
      // The check must find something half done: commands come in the middle of it.
      await new Promise((done) => setImmediate(done));
    }
    going.delete(bout);
  });
  const sizes: number[] = [];
  while (going.size > 0) {
    const { differences, events } = await verifyLedger(ledger, { serving: true });
    expect(differences).toEqual([]);
    sizes.push(events);
  }
  await Promise.all(rings);
  expect(new Set(sizes).size).toBeGreaterThan(1);
});
