/**
 * Three server processes over one PostgreSQL and one Redis, behind a plain balancer, while sixteen clients send to a few
 * bouts. Any of them is killed: nothing acknowledged is lost, nothing happens twice, no screen is shown less than before.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from "vitest";
import type { BoutCommand } from "../../engine/index.ts";
import { openLedger, verifyChain, type StoredEvent } from "../../engine/ledger/open.ts";
import type { CoachView } from "../../table-ui/wire/views.ts";
import { openBalancer, type Balancer } from "../support/balancer.ts";
import { chances } from "../support/chances.ts";
import { startPostgres, type TestPostgres } from "../support/postgres.ts";
import { startRedis, type TestRedis } from "../support/redis.ts";
import { describeWith } from "../support/with-services.ts";
import { bundleServer, end, type ServerProgram, type Serving } from "../support/serving.ts";
import { Device, eventually, hit, must } from "../table-ui/server/hall.ts";
import { openSender, type Sender } from "./senders.ts";

const COMMANDS = Number(process.env["COMMANDS"] ?? (process.env["LONG"] === "1" ? 10_000 : 320));
const CLIENTS = 16;
const BOUTS = 4;
/** One command in so many records an exchange; the others set the clock, which costs the score nothing. */
const RECORDS = 20;

let program: ServerProgram;
let postgres: TestPostgres;
let redis: TestRedis;
interface Cluster {
  readonly processes: Serving[];
  readonly balancer: Balancer;
  readonly address: string;
  readonly bouts: readonly string[];
  /** Starts the n-th process again, at its old port. */
  again(n: number): Promise<void>;
}

let dir: string;
let cluster: Cluster;
let senders: Sender[] = [];

const portOf = ({ url }: Serving): string => new URL(url).port;

/** Bouts on rings of their own, each halted after its first "Fence!". */
async function callBouts(processes: readonly Serving[]): Promise<readonly string[]> {
  const [first] = processes;
  if (first === undefined) throw new Error("no process");
  expect(new Set(processes.map(({ coachPath }) => coachPath)).size).toBe(1);
  const coach = new Device<CoachView>(first.url, first.coachPath);
  const { meet, people } = await coach.until((view) => view.meet.called.length === 5);
  const ruleSet = meet.shelf[0]?.ruleSet ?? "";
  const free = Object.keys(people).filter(
    (person) => !meet.rings.some(({ bout }) => bout !== undefined && isIn(meet, bout, person)),
  );
  const bouts = Array.from({ length: BOUTS }, (_, n) => `bout-${n}`);
  for (const [n, bout] of bouts.entries()) {
    const ring = `test-ring-${n}`;
    const [red = "", blue = ""] = free.slice(2 * n);
    must(await coach.command("meet", { type: "AddRing", ring, name: `Ring ${n + 3}` }));
    must(await coach.command("meet", { type: "PlanBout", bout, ring, red, blue, ruleSet }));
    must(await coach.coach({ ask: "call bout", bout }));
    for (const type of ["StartFencing", "CallHalt"] as const) must(await coach.command({ bout }, { type }));
  }
  coach.socket.disconnect();
  return bouts;
}

const isIn = (meet: CoachView["meet"], bout: string, person: string): boolean =>
  meet.called.some((each) => each.bout === bout && (each.red === person || each.blue === person));

/** Sends everything, and hands over how far it has come, so that something can be killed in the middle. */
async function sendAll(during: (share: () => number) => Promise<void>): Promise<void> {
  const each = Math.ceil(COMMANDS / CLIENTS);
  const work = senders.map((sender, client) => {
    const chance = chances(client + 1);
    const commands = Array.from({ length: each }, (_, n) => {
      const bout = cluster.bouts[Math.floor(chance() * BOUTS)] ?? "";
      return { bout, command: commandOf(client, n, chance) };
    });
    return sender.send(commands);
  });
  const share = (): number =>
    senders.reduce((sum, { acknowledged }) => sum + acknowledged.size, 0) / (each * CLIENTS);
  await Promise.all([during(share), ...work]);
}

function commandOf(client: number, n: number, chance: () => number): BoutCommand {
  // No two clients ever set the same time, so that each of these is an event.
  if (n % RECORDS !== 0) return { type: "SetClock", leftMs: 1_000 + n * CLIENTS + client };
  return {
    type: "RecordExchange",
    exchange: `x-${client}-${n}`,
    record: hit(chance() < 0.5 ? "red" : "blue"),
  };
}

/** What must hold whatever was killed. */
async function expectAllThereOnce(): Promise<void> {
  expect(senders.flatMap(({ refused }) => refused)).toEqual([]);
  expect(senders.flatMap(({ back }) => back)).toEqual([]);
  const ledger = await openLedger({ postgres: cluster.address });
  const log = new Map<string, readonly StoredEvent[]>();
  for (const bout of cluster.bouts) log.set(bout, await ledger.read(`bout/${bout}`));
  const flaws = await ledger.integrity();
  await ledger.close();
  expect(flaws).toEqual([]);
  const acknowledged = senders.flatMap((sender) => [...sender.acknowledged]);
  expect(acknowledged).toHaveLength(Math.ceil(COMMANDS / CLIENTS) * CLIENTS);
  for (const [bout, events] of log) {
    // verifyChain also finds a gap.
    expect(verifyChain(events)).toMatchObject({ ok: true, version: events.length });
    const here = acknowledged.filter(([, said]) => said.bout === bout);
    const versions = here.map(([, { version }]) => version);
    expect(new Set(versions).size).toBe(versions.length);
    for (const [id, { version }] of here) {
      const caused = events.filter(({ command }) => command === id).map((event) => event.version);
      expect(caused.at(-1)).toBe(version);
    }
    const exchanges = events.flatMap(({ data }) => exchangeIn(data));
    expect(new Set(exchanges).size).toBe(exchanges.length);
  }
}

const exchangeIn = (data: unknown): readonly string[] =>
  typeof data === "object" &&
  data !== null &&
  "type" in data &&
  data.type === "ExchangeRecorded" &&
  "exchange" in data
    ? [String(data.exchange)]
    : [];

/** Every process shows the same at the end, whichever hints it missed. */
async function expectAllShowTheSame(): Promise<void> {
  const devices = cluster.processes.map(({ url, coachPath }) => new Device<CoachView>(url, coachPath));
  await eventually(() => devices.every((device) => device.v > 0));
  const shown = (device: Device<CoachView>): string =>
    JSON.stringify(cluster.bouts.map((bout) => device.view.bouts[bout]));
  await eventually(() => new Set(devices.map(shown)).size === 1);
  for (const device of devices) device.socket.disconnect();
}

describeWith(["postgres", "redis"], `${CLIENTS} clients, ${COMMANDS} commands, ${BOUTS} bouts:`, () => {
  beforeAll(async () => {
    [program, postgres, redis] = await Promise.all([bundleServer(), startPostgres(), startRedis()]);
  });
  afterAll(async () => {
    await program.remove();
    await Promise.all([postgres.stop(), redis.stop()]);
  });

  beforeEach(async () => {
    dir = mkdtempSync(join(tmpdir(), "garland-cluster-"));
    const address = await postgres.fresh();
    const serve = (port: string): Promise<Serving> =>
      program.serve([dir, port, "evening", address, redis.address]);
    // All three at once into an empty database: one evening, one coach.
    const processes = await Promise.all(["0", "0", "0"].map(serve));
    const balancer = await openBalancer(processes.map((each) => Number(portOf(each))));
    cluster = {
      processes,
      balancer,
      address,
      bouts: await callBouts(processes),
      async again(n) {
        const lost = processes[n];
        if (lost !== undefined) processes[n] = await serve(portOf(lost));
      },
    };
    senders = Array.from({ length: CLIENTS }, (_, n) =>
      openSender(balancer.url, processes[0]?.coachPath ?? "", `client-${n}`),
    );
  });
  afterEach(async () => {
    for (const sender of senders) sender.close();
    await cluster.balancer.close();
    await program.endAll();
    rmSync(dir, { recursive: true });
  });

  test("nothing is killed", async () => {
    await sendAll(async () => undefined);
    await expectAllThereOnce();
    await expectAllShowTheSame();
    expect([...cluster.balancer.carried.values()].every((count) => count > 0)).toBe(true);
    expect(cluster.balancer.carried.size).toBe(3);
  });

  test.each([0, 1, 2])("process %i is killed, and comes back", async (n) => {
    const before = senders.map(({ connections }) => connections);
    await sendAll(async (share) => {
      await eventually(() => share() > 0.3);
      const lost = cluster.processes[n];
      if (lost !== undefined) await end(lost.child, "SIGKILL");
      await eventually(() => share() > 0.6);
      await cluster.again(n);
    });
    // Those who sat there moved.
    expect(senders.some(({ connections }, at) => connections > (before[at] ?? 0) + 1)).toBe(true);
    await expectAllThereOnce();
    await expectAllShowTheSame();
  });

  test("PostgreSQL is killed, and comes back", async () => {
    await sendAll(async (share) => {
      await eventually(() => share() > 0.4);
      await postgres.kill();
      await postgres.start();
    });
    await expectAllThereOnce();
    await expectAllShowTheSame();
  });

  test("Redis is killed, and comes back empty", async () => {
    await sendAll(async (share) => {
      await eventually(() => share() > 0.3);
      await redis.kill();
      await eventually(() => share() > 0.6);
      await redis.start();
    });
    await expectAllThereOnce();
    await expectAllShowTheSame();
  });
});
