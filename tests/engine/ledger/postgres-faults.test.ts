/** Two processes on one PostgreSQL ledger, and everything that may break between them and it. */
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import {
  verifyChain,
  type AppendResult,
  type Ledger,
  type LedgerFault,
} from "../../../engine/ledger/open.ts";
import { openPostgres, type PostgresLedger } from "../../../engine/ledger/postgres.ts";
import { halt, key } from "../../contracts/ledger.ts";
import { chances } from "../../support/chances.ts";
import { openCuttingProxy, type CuttingProxy } from "../../support/cutting-proxy.ts";
import { startPostgres, type TestPostgres } from "../../support/postgres.ts";
import { describeWith } from "../../support/with-services.ts";

const LONG = process.env["LONG"] === "1";
const RACED = LONG ? 20_000 : 2_000;
const KILLS = LONG ? 20 : 1;
const ENDED = LONG ? 400 : 40;

/** Only ends a test that hangs. */
const PATIENT = { timeout: 60_000 };

const STREAMS = ["bout/1", "bout/2", "bout/3"];

interface Told {
  readonly stream: string;
  readonly id: string;
  readonly result: AppendResult;
}

/** Appends one event wherever the stream stands now, until it is answered for good. */
async function appendSomewhere(
  ledger: Ledger,
  stream: string,
  id: string,
  from: number,
): Promise<AppendResult> {
  for (let expected = from; ;) {
    const result = await ledger.append(stream, expected, [halt(1)], key(id));
    if (result.outcome !== "stale") return result;
    expected = result.version;
  }
}

/** What must hold whatever happened: every answer is in its stream, once, at the version that was said. */
async function expectOnce(ledger: PostgresLedger, told: readonly Told[]): Promise<void> {
  expect(await ledger.integrity()).toEqual([]);
  for (const stream of STREAMS) {
    const events = await ledger.read(stream);
    expect(verifyChain(events)).toMatchObject({ ok: true, version: events.length });
    const commands = events.map(({ command }) => command);
    expect(new Set(commands).size).toBe(commands.length);
    const here = told.filter((each) => each.stream === stream);
    for (const { id, result } of here) {
      if (result.outcome !== "appended" && result.outcome !== "repeated") throw new Error(result.outcome);
      expect(commands[result.version - 1]).toBe(id);
    }
    expect(new Set(here.map(({ id }) => id))).toEqual(new Set(commands));
  }
}

describeWith(["postgres"], "processes that share a PostgreSQL ledger", () => {
  let postgres: TestPostgres;
  let schemas = 0;
  let schema: string;
  const opened: Ledger[] = [];
  beforeAll(async () => {
    postgres = await startPostgres();
  });
  afterAll(() => postgres.stop());
  beforeEach(() => void (schema = `shared_${(schemas += 1)}`));
  afterEach(async () => {
    await Promise.all(opened.splice(0).map((each) => each.close()));
  });
  const open = async (port = postgres.port, patienceMs = 30_000): Promise<PostgresLedger> => {
    const ledger = await openPostgres({
      postgres: `postgres://postgres@127.0.0.1:${port}/postgres`,
      schema,
      patienceMs,
    });
    opened.push(ledger);
    return ledger;
  };

  /** Every command is sent to both ledgers, by `senders` at a time; `during` hears how many are answered. */
  async function race(
    ledgers: readonly Ledger[],
    count: number,
    during: (answered: () => number) => Promise<void> = async () => undefined,
  ): Promise<readonly Told[]> {
    const told: Told[] = [];
    const chance = chances(11);
    const commands = Array.from({ length: count }, (_, n) => ({
      id: `c-${Math.floor(n / 2)}`,
      stream: STREAMS[Math.floor(n / 2) % STREAMS.length] ?? "",
      ledger: ledgers[chance() < 0.5 ? 0 : 1] ?? ledgers[0],
    }));
    const at = new Map<string, number>();
    const sender = async (): Promise<void> => {
      for (let next = commands.shift(); next !== undefined; next = commands.shift()) {
        const { id, stream, ledger } = next;
        if (ledger === undefined) return;
        const result = await appendSomewhere(ledger, stream, id, at.get(stream) ?? 0);
        if ("version" in result) at.set(stream, result.version);
        told.push({ id, stream, result });
      }
    };
    await Promise.all([during(() => told.length), ...Array.from({ length: 6 }, sender)]);
    return told;
  }

  test(`${RACED} appends through two ledgers, each command sent twice, are there once`, async () => {
    const ledgers = [await open(), await open()] as const;
    const told = await race(ledgers, RACED);
    expect(told).toHaveLength(RACED);
    expect(told.filter(({ result }) => result.outcome === "appended")).toHaveLength(RACED / 2);
    expect(told.filter(({ result }) => result.outcome === "repeated")).toHaveLength(RACED / 2);
    await expectOnce(ledgers[0], told);
  });

  test("one key sent for two streams at once, through two ledgers, is written in one of them", async () => {
    const ledgers = [await open(), await open()] as const;
    for (let n = 0; n < 20; n += 1) {
      const results = await Promise.all(
        ledgers.map((ledger, at) => appendSomewhere(ledger, STREAMS[at] ?? "", `c-${n}`, 0)),
      );
      expect(results.map(({ outcome }) => outcome).sort()).toEqual(["appended", "key-reused"]);
    }
    expect(await ledgers[0].integrity()).toEqual([]);
  });

  test("turns through two ledgers come one after the other, and appends wait for them", async () => {
    const ledgers = [await open(), await open()] as const;
    const turn = (ledger: Ledger, no: number): Promise<void> =>
      ledger.inTurn("bout/1", async (held) => {
        const version = (await held.read("bout/1")).length;
        const { outcome } = await held.append("bout/1", version, [halt(no)], key(`turn-${no}`));
        expect(outcome).toBe("appended");
      });
    const turns = Array.from({ length: 16 }, (_, no) => turn(ledgers[no % 2] ?? ledgers[0], no));
    const appends = Array.from({ length: 16 }, (_, no) =>
      appendSomewhere(ledgers[no % 2] ?? ledgers[0], "bout/1", `c-${no}`, 0),
    );
    await Promise.all([...turns, ...appends]);
    expect(await ledgers[1].read("bout/1")).toHaveLength(32);
    expect(await ledgers[1].integrity()).toEqual([]);
  });

  test("more turns at once than there are connections end, each asking for something else meanwhile", async () => {
    const ledger = await open();
    const turn = (no: number): Promise<unknown> =>
      ledger.inTurn(`bout/${no}`, async (held) => {
        await Promise.all([ledger.people(), ledger.append(`other/${no}`, 0, [halt(no)], key(`o-${no}`))]);
        return held.append(`bout/${no}`, 0, [halt(no)], key(`t-${no}`));
      });
    await Promise.all(Array.from({ length: 30 }, (_, no) => turn(no)));
    expect(await ledger.streams()).toHaveLength(60);
  });

  test("a turn whose work overlooks that a statement failed is not committed", async () => {
    const ledger = await open();
    await postgres.query(
      `CREATE FUNCTION ${schema}.fail() RETURNS trigger LANGUAGE plpgsql AS
         $$ BEGIN IF NEW.id = 'bad' THEN RAISE EXCEPTION 'no room'; END IF; RETURN NEW; END $$;
       CREATE TRIGGER fail BEFORE INSERT ON ${schema}.commands FOR EACH ROW EXECUTE FUNCTION ${schema}.fail()`,
    );
    const turn = ledger.inTurn("bout/1", async (held) => {
      await held.append("bout/1", 0, [halt(1)], key("c-1"));
      await held.append("bout/1", 1, [halt(2)], key("bad")).catch(() => undefined);
    });
    await expect(turn).rejects.toMatchObject({
      code: "damaged",
      message: expect.stringContaining("no room"),
    });
    expect(await ledger.outcomeOf("c-1")).toBeUndefined();
    expect(await ledger.append("bout/1", 0, [halt(2)], key("c-3"))).toMatchObject({ outcome: "appended" });
  });

  test("a turn whose connection is ended in between is undone, and tells so", async () => {
    const ledger = await open();
    const turn = ledger.inTurn("bout/1", async (held) => {
      await held.append("bout/1", 0, [halt(1)], key("c-1"));
      await postgres.query(
        "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE state = 'idle in transaction'",
      );
      await held.append("bout/1", 1, [halt(2)], key("c-2"));
    });
    await expect(turn).rejects.toMatchObject({ code: "unreachable" });
    expect(await ledger.streams()).toEqual([]);
  });

  test("a turn that meets what cannot be stored, or a key of another stream, goes on", async () => {
    const ledger = await open();
    await ledger.append("bout/2", 0, [halt(1)], key("c-1"));
    const nothing = { type: "Noted", data: undefined, at: 1 };
    const outcomes = await ledger.inTurn("bout/1", async (held) => [
      await held.append("bout/1", 0, [nothing], key("c-0")).catch(({ code }: LedgerFault) => code),
      (await held.append("bout/1", 0, [halt(1)], key("c-1"))).outcome,
      (await held.append("bout/1", 0, [halt(1)], key("c-2"))).outcome,
    ]);
    expect(outcomes).toEqual(["not-storable", "key-reused", "appended"]);
    expect(await ledger.read("bout/1")).toHaveLength(1);
  });

  test("PostgreSQL is killed in the middle of appends, and comes back: all is there once", async () => {
    const ledgers = [await open(), await open()] as const;
    let killed = 0;
    const each = 120;
    const told = await race(ledgers, each * (KILLS + 1), async (answered) => {
      while (killed < KILLS) {
        await expect.poll(answered, PATIENT).toBeGreaterThan(each * (killed + 0.5));
        await postgres.kill();
        await postgres.start();
        killed += 1;
      }
    });
    expect(killed).toBe(KILLS);
    expect(told).toHaveLength(each * (KILLS + 1));
    await expectOnce(ledgers[0], told);
  });

  test("connections are ended at random in the middle of appends: all is there once", async () => {
    const ledgers = [await open(), await open()] as const;
    let ended = 0;
    const told = await race(ledgers, 10 * ENDED, async (answered) => {
      while (answered() < 10 * ENDED && ended < ENDED) {
        const gone = await postgres.query(
          `SELECT pg_terminate_backend(pid) FROM pg_stat_activity
           WHERE application_name = 'garland' AND state = 'active' ORDER BY random() LIMIT 1`,
        );
        ended += gone.length;
      }
    });
    // It did happen, in the middle of statements.
    expect(ended).toBeGreaterThan(ENDED / 4);
    await expectOnce(ledgers[1], told);
  });

  describe("behind a network that cuts the connection", () => {
    let proxy: CuttingProxy;
    let ledger: PostgresLedger;
    beforeEach(async () => {
      proxy = await openCuttingProxy(postgres.port);
      ledger = await open(proxy.port);
      await ledger.append("bout/1", 0, [halt(1)], key("c-1"));
    });
    afterEach(() => proxy.close());

    test.each([
      ["before the statement arrives", "before", "appended"],
      ["after the commit and before its answer", "after", "repeated"],
    ] as const)("%s: the append is answered and there once", async (_, how, outcome) => {
      const cutting = proxy.cut("c-2", how);
      const result = await ledger.append("bout/1", 1, [halt(2)], key("c-2"));
      await cutting.done;
      expect(result).toMatchObject({ outcome, version: 2 });
      expect(await ledger.read("bout/1")).toHaveLength(2);
      expect(await ledger.append("bout/1", 2, [halt(3)], key("c-3"))).toMatchObject({ outcome: "appended" });
      expect(await ledger.integrity()).toEqual([]);
    });

    test.each([
      ["with an event", [halt(2)], 2],
      ["without events", [], 1],
    ] as const)(
      "a statement %s that arrives after it was sent again is not written twice",
      async (_, events, version) => {
        const cutting = proxy.cut("c-2", "late");
        const result = await ledger.append("bout/1", 1, events, key("c-2"));
        await cutting.deliver();
        expect(result).toMatchObject({ outcome: "appended", version });
        expect(await ledger.outcomeOf("c-2")).toEqual({ ...result, outcome: "repeated" });
        expect(await ledger.read("bout/1")).toHaveLength(version);
        expect(await ledger.integrity()).toEqual([]);
      },
    );

    const turn = (stream: string): Promise<AppendResult> =>
      ledger.inTurn(stream, (held) => held.append(stream, 0, [halt(1)], key("turn")));

    test("after a turn's commit and before its answer: the turn has succeeded", async () => {
      const cutting = proxy.cut("COMMIT", "after");
      expect(await turn("bout/2")).toMatchObject({ outcome: "appended" });
      await cutting.done;
      expect(await ledger.read("bout/2")).toHaveLength(1);
    });

    test("before a turn's commit arrives: it is refused, and the key tells that nothing was written", async () => {
      const cutting = proxy.cut("COMMIT", "before");
      await expect(turn("bout/2")).rejects.toMatchObject({ code: "unreachable" });
      await cutting.done;
      expect(await ledger.outcomeOf("turn")).toBeUndefined();
      expect(await turn("bout/2")).toMatchObject({ outcome: "appended" });
    });

    test("a turn's commit that arrives late is waited for: nobody is told that it was not written", async () => {
      const cutting = proxy.cut("COMMIT", "late");
      const answer = turn("bout/2");
      await cutting.done;
      // Whoever looks now waits for the lock of the old transaction.
      await expect
        .poll(() => postgres.query("SELECT FROM pg_stat_activity WHERE wait_event_type = 'Lock'"), PATIENT)
        .not.toEqual([]);
      await cutting.deliver();
      expect(await answer).toMatchObject({ outcome: "appended" });
      expect(await ledger.read("bout/2")).toHaveLength(1);
    });
  });

  test("a database that stays away is told after the time that was said, and is used again when it is back", async () => {
    const ledger = await open(postgres.port, 400);
    await ledger.append("bout/1", 0, [halt(1)], key("c-1"));
    await postgres.kill();
    const all = await Promise.allSettled([
      ledger.read("bout/1"),
      ledger.inTurn("bout/1", (held) => held.read("bout/1")),
      ...Array.from({ length: 8 }, (_, n) => ledger.append("bout/1", 1, [halt(2)], key(`late-${n}`))),
    ]);
    const sentence = `The database 127.0.0.1:${postgres.port}/postgres is out of reach`;
    for (const each of all)
      expect(each).toMatchObject({
        status: "rejected",
        reason: { code: "unreachable", message: expect.stringContaining(sentence) },
      });
    await postgres.start();
    await expect
      .poll(() => ledger.append("bout/1", 1, [halt(2)], key("c-2")).catch(() => undefined), PATIENT)
      .toMatchObject({ version: 2 });
    expect(await ledger.read("bout/1")).toHaveLength(2);
  });

  test("a holder of a turn that is gone without a word does not keep the stream", async () => {
    const proxy = await openCuttingProxy(postgres.port);
    const [gone, other] = [await open(proxy.port, 1_500), await open(postgres.port, 6_000)];
    // Its machine is lost: the server still believes in the connection, and no further word comes.
    const cutting = proxy.cut("ROLLBACK", "late");
    const turn = gone.inTurn("bout/1", () => Promise.reject(new Error("lost")));
    await expect(turn).rejects.toThrow("lost");
    await cutting.done;
    expect(await other.append("bout/1", 0, [halt(1)], key("c-1"))).toMatchObject({ outcome: "appended" });
    await proxy.close();
  });
});
