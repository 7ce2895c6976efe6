/**
 * A real server process is killed again and again while several clients send to several bouts: at any moment of its work,
 * while it starts, and while a backup is made. KILLS counts the kills: 10 here, 100 by `npm run test:kills`, 1,000 in the long run.
 */
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { BoutCommand } from "../../engine/index.ts";
import { LEDGER_FILE } from "../../engine/ledger/open.ts";
import type { CoachView } from "../../table-ui/wire/views.ts";
import { openSender, type Sender } from "../processes/senders.ts";
import { flawsAgainst, readCopy, type Held } from "../support/acknowledged.ts";
import { chances } from "../support/chances.ts";
import { bundleServer, end, type ServerProgram, type Serving } from "../support/serving.ts";
import { Device, eventually, hit } from "../table-ui/server/hall.ts";
import { callBouts } from "./evening.ts";

const KILLS = Number(process.env["KILLS"] ?? (process.env["LONG"] === "1" ? 1_000 : 10));
const SEED = Number(process.env["SEED"] ?? 7);
const CLIENTS = 4;
const BOUTS = 3;
/** Between two kills at least one and at most this many commands are acknowledged. */
const MOST = 40;
/** One command in so many records an exchange; the others set the clock, which costs the score nothing. */
const RECORDS = 20;
/** One kill in three comes while the next start is under way, within so many milliseconds. */
const START_MS = 900;

/** Proves nothing; it only stops a run that hangs. */
const HANGS_MS = 60_000 + KILLS * 12_000;

let program: ServerProgram;
beforeAll(async () => void (program = await bundleServer()));
afterAll(() => program.remove());

/** No two commands say the same, so that each of them is an event. */
function commandOf(client: number, n: number): BoutCommand {
  if (n % RECORDS !== 0) return { type: "SetClock", leftMs: 1_000 + n * CLIENTS + client };
  return {
    type: "RecordExchange",
    exchange: `x-${client}-${n}`,
    record: hit(client % 2 === 0 ? "red" : "blue"),
  };
}

/** What a client sends until it is told that it is enough. */
function* commandsOf(client: number, bouts: readonly string[], isOver: () => boolean) {
  for (let n = 0; !isOver(); n += 1)
    yield { bout: bouts[(n + client) % bouts.length] ?? "", command: commandOf(client, n) };
}

const acknowledgedBy = (senders: readonly Sender[]): Map<string, { bout: string; version: number }> =>
  new Map(senders.flatMap(({ acknowledged }) => [...acknowledged]));

/** Asks for a whole copy of the ledger, and does not wait for it. */
const takeBackup = ({ url, coachPath }: Serving): Promise<unknown> =>
  fetch(`${url}${coachPath}/ledger.sqlite`)
    .then((answer) => answer.arrayBuffer())
    .catch(() => undefined);

/** What must hold of the file that a kill has left. */
async function expectSound(file: string, senders: readonly Sender[], what: string): Promise<Held> {
  // First what was said, then what is there: the process is dead, nothing more is said.
  const acknowledged = acknowledgedBy(senders);
  const held = await readCopy(file);
  expect(flawsAgainst(held, acknowledged), what).toEqual([]);
  return held;
}

test(
  `[W14] [W15] after each of ${KILLS} kills all that was acknowledged is there, once, and nothing twice`,
  async () => {
    const chance = chances(SEED);
    const dir = mkdtempSync(join(tmpdir(), "garland-kills-"));
    const file = join(dir, LEDGER_FILE);
    const senders: Sender[] = [];
    try {
      let serving: Serving = await program.serve([dir, "0", "evening"]);
      const port = new URL(serving.url).port;
      const coach = new Device<CoachView>(serving.url, serving.coachPath);
      const bouts = await callBouts(coach, BOUTS);
      coach.socket.disconnect();
      for (let n = 0; n < CLIENTS; n += 1)
        senders.push(openSender(serving.url, serving.coachPath, `client-${n}`));
      let over = false;
      const sending = senders.map((sender, client) => sender.send(commandsOf(client, bouts, () => over)));
      const count = (): number => senders.reduce((sum, { acknowledged }) => sum + acknowledged.size, 0);
      const kinds = { working: 0, starting: 0, "backing up": 0 };
      for (let kill = 1; kill <= KILLS; kill += 1) {
        const what = `kill ${kill} of seed ${SEED}`;
        const until = count() + 1 + Math.floor(chance() * MOST);
        await eventually(() => count() >= until);
        const isBackedUp = chance() < 1 / 3;
        if (isBackedUp) void takeBackup(serving);
        await new Promise((done) => setTimeout(done, chance() * (isBackedUp ? 40 : 8)));
        await end(serving.child, "SIGKILL");
        kinds[isBackedUp ? "backing up" : "working"] += 1;
        await expectSound(file, senders, what);
        if (chance() < 1 / 3 && kill < KILLS) {
          kill += 1;
          const starting = program.start([dir, port, "evening"]);
          await new Promise((done) => setTimeout(done, chance() * START_MS));
          await end(starting, "SIGKILL");
          kinds.starting += 1;
          await expectSound(file, senders, `${what}, then at the start`);
        }
        serving = await program.serve([dir, port, "evening"]);
      }
      over = true;
      // Whatever was without an answer is sent again by each client itself, under its id.
      await Promise.all(sending);
      expect(await end(serving.child, "SIGTERM")).toBe(0);
      const held = await expectSound(file, senders, `at the end, seed ${SEED}`);
      expect(senders.flatMap(({ refused }) => refused)).toEqual([]);
      expect(senders.flatMap(({ back }) => back)).toEqual([]);
      expect(kinds.working + kinds.starting + kinds["backing up"]).toBe(KILLS);
      expect(Math.min(...Object.values(kinds))).toBeGreaterThan(0);
      // What a kill left of a backup is swept away by the next start.
      expect(readdirSync(dir).filter((name) => name.includes(".copy-"))).toEqual([]);
      expect(senders.reduce((sum, { again }) => sum + again, 0)).toBeGreaterThan(0);
      // Everything that was sent is there in the end, acknowledged before a kill or after it.
      const clocks = [...held.log].filter(([stream]) => bouts.some((bout) => stream === `bout/${bout}`));
      expect(clocks.reduce((sum, [, events]) => sum + events.length, 0)).toBeGreaterThanOrEqual(count());
    } finally {
      for (const sender of senders) sender.close();
      await program.endAll();
      rmSync(dir, { recursive: true });
    }
  },
  HANGS_MS,
);

describe("the check itself", () => {
  const at = (version: number, command: string) => ({
    stream: "bout/b1",
    version,
    type: "ClockSet",
    data: {},
    at: 1,
    chain: "",
    command,
  });
  const flawsOf = (...events: readonly ReturnType<typeof at>[]): readonly string[] =>
    flawsAgainst(
      { log: new Map([["bout/b1", events]]), flaws: [] },
      new Map([["c-1", { bout: "b1", version: 1 }]]),
    ).filter((flaw) => !flaw.includes("chain"));

  test("finds nothing where nothing is wrong", () => {
    expect(flawsOf(at(1, "c-1"), at(2, "c-2"))).toEqual([]);
  });
  test.each([
    [
      "an acknowledged command that is missing",
      [at(1, "c-2")],
      /c-1 was acknowledged at 1 of b1 and is not there/,
    ],
    ["one that stands at another version", [at(1, "c-2"), at(2, "c-1")], /c-1 was acknowledged at 1/],
    ["one that happened twice", [at(1, "c-1"), at(2, "c-2"), at(3, "c-1")], /c-1 happened twice/],
    ["a gap", [at(1, "c-1"), at(3, "c-2")], /a gap before event 3/],
  ] as const)("finds %s", (_, events, flaw) => {
    expect(flawsOf(...events).join("\n")).toMatch(flaw);
  });
});
