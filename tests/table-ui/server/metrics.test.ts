import { afterEach, describe, expect, test } from "vitest";
import { REFUSAL_CODES } from "../../../engine/index.ts";
import { LedgerFault, openLedger, SEAT_KINDS, type Ledger } from "../../../engine/ledger/open.ts";
import { hallAddresses } from "../../../table-ui/server/main.ts";
import { mayReadMetrics } from "../../../table-ui/server/metrics.ts";
import type { Answered } from "../../../table-ui/wire/messages.ts";
import { readExposition, total, type Family } from "../../support/exposition.ts";
import { eventually, fenceOnce, hit, must, openTestHall, setTheStage, type TestHall } from "./hall.ts";

const halls: TestHall[] = [];
const open = async (options: Parameters<typeof openTestHall>[0] = {}): Promise<TestHall> => {
  const hall = await openTestHall(options);
  halls.push(hall);
  return hall;
};
afterEach(async () => {
  for (const hall of halls.splice(0)) await hall.close();
});

type Families = ReadonlyMap<string, Family>;
const scrape = async (hall: TestHall): Promise<Families> => {
  const answer = await fetch(`${hall.url}/metrics`);
  expect(answer.status).toBe(200);
  expect(answer.headers.get("content-type")).toMatch(/^text\/plain; (charset=utf-8; )?version=0\.0\.4/);
  return readExposition(await answer.text());
};

const own = (families: Families): Family[] =>
  [...families.values()].filter(({ name }) => name.startsWith("garland_"));

/** A busy bout with good commands, refused ones, repeated ones and messages that are none; what each was answered. */
async function busyBout(hall: TestHall): Promise<readonly Answered[]> {
  const stage = await setTheStage(hall);
  const { table, bout, blueSeat } = stage;
  const [judge = table] = stage.judges;
  const on = { bout };
  const answers: Answered[] = [];
  const said = async (answer: Promise<Answered>): Promise<void> => void answers.push(await answer);
  await said(table.command(on, { type: "StartFencing" }));
  await said(table.command(on, { type: "CallHalt" }));
  for (const exchange of ["x1", "x2", "x3"])
    await said(table.command(on, { type: "RecordExchange", exchange, record: hit("red") }));
  await said(table.command(on, { type: "CallHalt" }));
  const again = { id: "the-same-again", on, pen: table.pen, command: { type: "Undo" } };
  await said(table.send(again));
  await said(table.send(again));
  await said(blueSeat.command(on, { type: "Undo" }));
  await said(judge.command(on, { type: "EndBout" }));
  await said(table.send({ id: "no-such-command", on, command: { type: "Mira Haldenquist" } }));
  await said(table.send("nothing of ours"));
  return answers;
}

const outcome = (answer: Answered): string =>
  answer.ok ? (answer.repeated === true ? "repeated" : "ok") : answer.refusal.refused;

describe("[W38] what is counted", () => {
  test("commands add up to what devices were answered, by outcome", async () => {
    const hall = await open();
    const before = await scrape(hall);
    const answers = await busyBout(hall);
    const after = await scrape(hall);
    const grown = (labels: Record<string, string> = {}): number =>
      total(after, "garland_commands_total", labels) - total(before, "garland_commands_total", labels);
    // Beside these the stage itself was set by commands that all went well.
    const outcomes = new Set(answers.map(outcome));
    expect([...outcomes].toSorted()).toEqual(
      ["bad-message", "not-now", "not-your-seat", "ok", "repeated"].toSorted(),
    );
    for (const each of outcomes) {
      if (each === "ok") continue;
      expect([each, grown({ outcome: each })]).toEqual([
        each,
        answers.filter((a) => outcome(a) === each).length,
      ]);
    }
    expect(grown({ type: "RecordExchange", outcome: "ok" })).toBe(3);
    expect(grown({ type: "other" })).toBe(2);
    const staged = grown() - answers.length;
    expect(staged).toBe(grown({ outcome: "ok" }) - answers.filter((a) => a.ok && !a.repeated).length);
    expect(staged).toBe(total(after, "garland_commands_total", { type: "TakePen" }) + 6);
  });

  test("counters never fall, buckets add up, and every histogram counts what it sums", async () => {
    const hall = await open();
    let before = await scrape(hall);
    const stage = await setTheStage(hall);
    for (const exchange of ["x1", "x2", "x3"]) {
      await fenceOnce(stage, exchange, hit("blue"));
      const now = await scrape(hall);
      for (const { name, type, samples } of before.values()) {
        if (type !== "counter") continue;
        for (const { labels, value } of samples)
          expect(total(now, name, labels)).toBeGreaterThanOrEqual(value);
      }
      before = now;
    }
    const histograms = own(before).filter(({ type }) => type === "histogram");
    expect(histograms.map(({ name }) => name)).toContain("garland_append_seconds");
    for (const { name, samples } of histograms) {
      const series = samples.filter((each) => each.name === `${name}_count`);
      for (const { labels, value } of series) {
        const buckets = samples.filter(
          (each) =>
            each.name === `${name}_bucket` && Object.entries(labels).every(([k, v]) => each.labels[k] === v),
        );
        const counts = buckets.map((each) => each.value);
        expect(counts).toEqual(counts.toSorted((a, b) => a - b));
        expect(counts.at(-1)).toBe(value);
        expect(buckets.at(-1)?.labels["le"]).toBe("+Inf");
      }
    }
    const appends = (await hall.ledger.streams()).length;
    expect(appends).toBe(2);
    expect(total(before, "garland_append_seconds_count", { driver: "memory" })).toBeGreaterThan(9);
    expect(total(before, "garland_events")).toBe(
      (await hall.ledger.streams()).reduce((sum, { version }) => sum + version, 0),
    );
  });

  test("connected seats, patches and bytes by kind", async () => {
    const hall = await open();
    await busyBout(hall);
    const read = await scrape(hall);
    const kinds = SEAT_KINDS.map((kind) => total(read, "garland_seats_connected", { kind }));
    // coach, table, judges, fencers, wall
    expect(kinds).toEqual([1, 1, 2, 2, 1]);
    for (const kind of SEAT_KINDS) {
      expect(total(read, "garland_patches_sent_total", { kind })).toBeGreaterThan(0);
      expect(total(read, "garland_sent_bytes_total", { kind })).toBeGreaterThan(500);
    }
    const { coach } = hall;
    expect(total(read, "garland_patches_sent_total", { kind: "coach" })).toBe(coach.patches.length);
    expect(total(read, "garland_bouts")).toBe(1);
    expect(total(read, "garland_rooms")).toBe(7);
    expect(total(read, "garland_ledger_standing", { state: "sound" })).toBe(1);
    expect(total(read, "garland_ledger_standing")).toBe(1);
  });

  test("labels come from closed lists: nothing that somebody wrote becomes one", async () => {
    const hall = await open();
    await busyBout(hall);
    const text = await (await fetch(`${hall.url}/metrics`)).text();
    const { seat } = hall.coach.view;
    for (const planted of ["bout-one", seat, "Mira", "Haldenquist", "Brandtworth", "Ring 1", "Plain evening"])
      expect(text).not.toContain(planted);
    const outcomes = own(readExposition(text)).flatMap(({ samples }) =>
      samples.flatMap(({ labels }) => labels["outcome"] ?? []),
    );
    const closed = ["ok", "repeated", "other", ...REFUSAL_CODES];
    expect(outcomes.filter((each) => !closed.includes(each))).toEqual([]);
    expect(outcomes.length).toBeGreaterThan(5);
  });

  test("two servers of one process count apart, and the process is measured once", async () => {
    const one = await open();
    const two = await open();
    await busyBout(one);
    const [busy, idle] = [await scrape(one), await scrape(two)];
    expect(total(busy, "garland_commands_total")).toBeGreaterThan(10);
    expect(total(idle, "garland_commands_total")).toBe(0);
    for (const read of [busy, idle]) {
      expect(total(read, "process_cpu_seconds_total")).toBeGreaterThan(0);
      expect(read.get("nodejs_eventloop_lag_p99_seconds")?.type).toBe("gauge");
    }
  });

  test("whoever is not let in is counted by why", async () => {
    const hall = await open();
    const { wall } = await setTheStage(hall);
    const path = hall.running.house.seats.pathOf(wall.view.seat) ?? "";
    must(await hall.coach.coach({ ask: "revoke seat", seat: wall.view.seat }));
    await fetch(`${hall.url}${path}`);
    const late = hall.knock(path);
    await eventually(() => late.refused);
    await fetch(`${hall.url}/seat/0000000000000000000000`);
    await fetch(`${hall.url}/health`, { headers: { origin: "http://elsewhere.example" } });
    const read = await scrape(hall);
    const reasons = ["revoked-seat", "bad-seat", "bad-host"];
    // After a 421 fetch asks once more by itself (the Fetch standard, "HTTP-network-or-cache fetch"; from memory).
    expect(reasons.map((reason) => total(read, "garland_door_refusals_total", { reason }))).toEqual([
      2, 1, 2,
    ]);
  });

  test("a ledger that fails is counted by code, and stands so", async () => {
    const memory = await openLedger({ memory: true });
    let full = false;
    const ledger = new Proxy<Ledger>(memory, {
      get(target, name) {
        const member: unknown = Reflect.get(target, name, target);
        if (typeof member !== "function") return member;
        return (...args: unknown[]): unknown => {
          if (full && name === "append")
            return Promise.reject(new LedgerFault("disk-full", "The disk is full."));
          return Reflect.apply(member, target, args);
        };
      },
    });
    const hall = await open({ ledger });
    const { table, bout } = await setTheStage(hall);
    full = true;
    const answer = await table.command({ bout }, { type: "StartFencing" });
    expect(answer.ok).toBe(false);
    const read = await scrape(hall);
    expect(total(read, "garland_ledger_faults_total", { code: "disk-full" })).toBeGreaterThan(0);
    expect(total(read, "garland_ledger_standing", { state: "full" })).toBe(1);
    expect(total(read, "garland_ledger_standing", { state: "sound" })).toBe(0);
    expect(total(read, "garland_commands_total", { type: "StartFencing", outcome: "read-only" })).toBe(1);
  });
});

describe("[W38] who may read it", () => {
  const from = (address: string | undefined, headers: Record<string, string> = {}, token?: string): boolean =>
    mayReadMetrics({ address, headers }, token);

  test.each(["127.0.0.1", "127.8.8.8", "::1", "::ffff:127.0.0.1"])("this machine itself: %s", (address) => {
    expect(from(address)).toBe(true);
  });

  test.each(["10.0.0.7", "::ffff:10.0.0.7", "fe80::1", "1270.0.0.1", "127.0.0.1.example", undefined])(
    "nobody else: %s",
    (address) => {
      expect(from(address)).toBe(false);
      expect(from(address, { host: "127.0.0.1", authorization: "Bearer guess" })).toBe(false);
    },
  );

  test("nobody else through a proxy on this machine", () => {
    for (const name of ["x-forwarded-for", "forwarded", "x-real-ip", "via"])
      expect(from("127.0.0.1", { [name]: "127.0.0.1" })).toBe(false);
  });

  test("whoever shows the token, from anywhere; a wrong one opens nothing", () => {
    const shown = (word: string): boolean =>
      from("10.0.0.7", { authorization: word }, "right-token-right-token");
    expect(shown("Bearer right-token-right-token")).toBe(true);
    for (const wrong of [
      "Bearer right-token",
      "right-token-right-token",
      "Bearer ",
      "Basic right-token-right-token",
      "",
    ])
      expect(shown(wrong)).toBe(false);
  });

  const [address] = hallAddresses();
  test.skipIf(address === undefined)(
    "over the network there is no such page without the token (needs an address in a network)",
    async () => {
      const metricsToken = "a-token-of-an-engineer";
      const hall = await open({ host: "0.0.0.0", lan: true, metricsToken });
      const url = `http://${address}:${hall.running.port}`;
      const unknown = await fetch(`${url}/no-such-page`);
      const refused = await fetch(`${url}/metrics`);
      expect(refused.status).toBe(404);
      expect(await refused.text()).toBe(await unknown.text());
      const shown = await fetch(`${url}/metrics`, { headers: { authorization: `Bearer ${metricsToken}` } });
      expect(shown.status).toBe(200);
      expect(shown.headers.get("cache-control")).toBe("no-store");
      expect(own(readExposition(await shown.text())).length).toBeGreaterThan(15);
    },
  );
});
