/** What the table's tablet knows (desk.ts), before the server's own house: the real rules, engine, ledger and views. */
import { describe, expect, test } from "vitest";
import type { BoutCommand } from "../../engine/index.ts";
import { nextToSend, waiting } from "../../table-ui/screens/table/desk.ts";
import { answer, change, end, fence, halt, hit, NIGHT, record, undo } from "../support/given.ts";
import { openRing, openTablet, type Ring, type Tablet } from "../support/ring.ts";

/** Long enough for ten exchanges, with a bonus and a cap that corrections can move. */
const LONG_NIGHT = NIGHT.replace("at 7 points", "at 60 points").replace("after 3 min", "after 30 min");

const must = (tablet: Tablet, ...commands: readonly BoutCommand[]): void => {
  for (const command of commands) expect(tablet.give(command)).toBeUndefined();
};
const fenced = (id: string, what: Parameters<typeof record>[1]): readonly BoutCommand[] => [
  fence,
  halt,
  record(id, what),
];
const set = async (text = NIGHT): Promise<{ readonly ring: Ring; readonly tablet: Tablet }> => {
  const ring = await openRing(text);
  return { ring, tablet: await openTablet(ring) };
};
const exchanges = ({ desk }: Tablet): readonly string[] => desk.bout?.exchanges.map(({ id }) => id) ?? [];
const onServer = (ring: Ring, bout = "b1"): readonly string[] =>
  ring.fold(bout)?.exchanges.map(({ id }) => id) ?? [];
const types = (ring: Ring, bout = "b1"): readonly string[] => ring.events(bout).map(({ data }) => data.type);

describe("a press", () => {
  test("shows at once, and the server need not know", async () => {
    const { ring, tablet } = await set();
    must(tablet, fence);
    expect(tablet.screen?.stage).toBe("fencing");
    must(tablet, halt, record("x1", answer("red", "head")));
    expect(tablet.screen?.red).toMatchObject({ points: 3, bonus: 2 });
    expect(waiting(tablet.desk)).toBe(3);
    expect(types(ring)).toEqual(["BoutCalled"]);
  });

  test("that the rules refuse says why, and nothing is queued", async () => {
    const { tablet } = await set();
    const before = tablet.desk;
    expect(tablet.give(halt)).toMatchObject({
      refused: "not-now",
      sentence: expect.stringMatching(/^You cannot/),
    });
    expect(tablet.desk).toBe(before);
  });

  test("without a bout on the ring is refused", async () => {
    const { ring, tablet } = await set();
    await ring.coach({ type: "Stop", why: "The hall closes." }, "b1");
    await ring.coach({ type: "ClearRing", ring: "r1" });
    tablet.receive();
    expect(tablet.give(fence)).toMatchObject({ refused: "no-such-bout" });
  });
});

describe("commands wait", () => {
  test("in the order of the presses, and one at a time: the next goes when the one before it has its answer", async () => {
    const { ring, tablet } = await set();
    must(tablet, ...fenced("x1", hit("red", "arm")));
    for (const type of ["StartFencing", "CallHalt", "RecordExchange"]) {
      expect(nextToSend(tablet.desk)?.command.type).toBe(type);
      const said = (await tablet.send()) ?? expect.fail();
      expect(nextToSend(tablet.desk)?.command.type).toBe(type);
      tablet.answer(said);
    }
    expect(nextToSend(tablet.desk)).toBeUndefined();
    expect(types(ring)).toEqual(["BoutCalled", "FencingStarted", "HaltCalled", "ExchangeRecorded"]);
  });

  test("until the event arrives: an acknowledgement alone drops none, nor do older news", async () => {
    const { ring, tablet } = await set();
    must(tablet, ...fenced("x1", hit("red", "arm")));
    const older = ring.view;
    await tablet.sendAll();
    expect(waiting(tablet.desk)).toBe(0);
    expect(tablet.desk.pending.map(({ acknowledged }) => acknowledged)).toEqual([true, true, true]);
    tablet.receive(older);
    expect(tablet.desk.pending.length).toBe(3);
    expect(exchanges(tablet)).toEqual(["x1"]);
    tablet.receive();
    expect(tablet.desk.pending).toEqual([]);
    expect(exchanges(tablet)).toEqual(["x1"]);
  });

  test("not twice: an event that arrives before its acknowledgement does not double the exchange", async () => {
    const { ring, tablet } = await set();
    must(tablet, ...fenced("x1", hit("red", "arm")));
    for (let said = await tablet.send(); said !== undefined; said = await tablet.send()) {
      tablet.receive();
      const before = tablet.desk;
      tablet.answer(said);
      expect(tablet.desk).toBe(before);
    }
    expect(exchanges(tablet)).toEqual(["x1"]);
    expect(tablet.desk.pending).toEqual([]);
    expect(tablet.desk.bout).toEqual(ring.fold("b1"));
  });

  test("[W15] an answer that was lost: the command goes again, and happened once", async () => {
    const { ring, tablet } = await set();
    must(tablet, ...fenced("x1", hit("red", "arm")));
    await tablet.send();
    tablet.answer((await tablet.send()) ?? expect.fail());
    await tablet.sendAll();
    tablet.receive();
    expect(types(ring)).toEqual(["BoutCalled", "FencingStarted", "HaltCalled", "ExchangeRecorded"]);
    expect(tablet.desk.bout).toEqual(ring.fold("b1"));
  });
});

describe("a refused command", () => {
  /** Another device takes the pen, and this tablet has not heard of it. */
  const behindItsBack = async () => {
    const { ring, tablet } = await set();
    must(tablet, ...fenced("x1", hit("red", "arm")));
    await tablet.sendAll();
    await ring.takePen("another tablet");
    must(tablet, fence);
    tablet.answer((await tablet.send()) ?? expect.fail());
    return { ring, tablet };
  };

  test("[W16] is set aside with its sentence, and its effect is gone from the screen; nothing else is", async () => {
    const { tablet } = await behindItsBack();
    expect(tablet.desk.setAside).toMatchObject([
      {
        pending: { command: fence },
        refusal: { refused: "no-pen", sentence: expect.stringMatching(/[.]$/) },
      },
    ]);
    expect(tablet.screen?.stage).toBe("halted");
    expect(exchanges(tablet)).toEqual(["x1"]);
  });

  test("can be given again, under an id of its own", async () => {
    const { ring, tablet } = await behindItsBack();
    const first = tablet.desk.setAside[0]?.pending.id;
    await tablet.takePen();
    expect(tablet.giveAgain(0)).toBeUndefined();
    expect(tablet.desk.setAside).toEqual([]);
    expect(tablet.desk.pending.at(-1)?.id).not.toBe(first);
    await tablet.sendAll();
    tablet.receive();
    expect(types(ring).at(-1)).toBe("FencingStarted");
    expect(tablet.desk.bout).toEqual(ring.fold("b1"));
  });

  test("that is refused again stays set aside", async () => {
    const { ring, tablet } = await behindItsBack();
    await ring.coach({ type: "Stop", why: "Time for the hall to close." }, "b1");
    await tablet.takePen();
    expect(tablet.giveAgain(0)).toMatchObject({ refused: "bout-is-over" });
    expect(tablet.desk.setAside.map(({ pending }) => pending.command)).toEqual([fence]);
  });

  test("takes nothing along: what was pressed after it is still sent, and the server decides each anew", async () => {
    const { ring, tablet } = await set();
    must(tablet, fence, halt);
    await tablet.sendAll();
    tablet.receive();
    must(tablet, record("x1", hit("red", "arm")), { type: "RemoveExchange", exchange: "x1" });
    must(tablet, record("x2", hit("blue", "arm")));
    await ring.coach(record("x1", hit("red", "head")), "b1");
    await tablet.sendAll();
    tablet.receive();
    expect(tablet.desk.setAside.map(({ refusal }) => refusal.refused)).toEqual(["exchange-exists"]);
    expect(onServer(ring)).toEqual(["x2"]);
    expect(tablet.desk.bout).toEqual(ring.fold("b1"));
  });
});

describe("a reload", () => {
  test("before the server is heard keeps all that waits, in order, and what was set aside", async () => {
    const { ring, tablet } = await set();
    must(tablet, ...fenced("x1", hit("red", "arm")));
    tablet.answer((await tablet.send()) ?? expect.fail());
    await ring.takePen("another tablet");
    tablet.answer((await tablet.send()) ?? expect.fail());
    const before = tablet.desk;
    tablet.reload();
    expect(tablet.desk.bout).toBeUndefined();
    expect(tablet.desk.pending.map(({ command }) => command.type)).toEqual(["RecordExchange"]);
    expect(tablet.desk.setAside).toEqual(before.setAside);
    await tablet.takePen();
    expect(exchanges(tablet)).toEqual(["x1"]);
    expect(tablet.giveAgain(0)).toBeUndefined();
    expect(tablet.desk.setAside).toEqual([]);
    await tablet.sendAll();
    tablet.receive();
    // The table decides when it gives a refused halt again; what had waited behind it went first.
    expect(types(ring).slice(1)).toEqual(["FencingStarted", "ExchangeRecorded", "HaltCalled"]);
    expect(tablet.desk.bout).toEqual(ring.fold("b1"));
    tablet.reload();
    expect(tablet.desk).toEqual({ confirmed: [], pending: [], setAside: [] });
  });

  test("then the server's view: the screen shows what it showed before", async () => {
    const { ring, tablet } = await set();
    must(tablet, ...fenced("x1", answer("blue")), ...fenced("x2", hit("red", "head")));
    const before = tablet.screen;
    tablet.reload();
    tablet.receive();
    expect(tablet.screen).toEqual(before);
    await tablet.sendAll();
    tablet.receive();
    expect(tablet.desk.bout).toEqual(ring.fold("b1"));
    expect(tablet.desk.bout?.exchanges.map(({ record: { acts } }) => acts.length)).toEqual([3, 1]);
  });
});

test("while the server is away ten exchanges are recorded, corrected and undone; it then makes the same of them", async () => {
  const { ring, tablet } = await set(LONG_NIGHT);
  for (let no = 1; no <= 10; no += 1)
    must(tablet, ...fenced(`x${no}`, no % 3 === 0 ? answer("red", "head") : hit("blue", "torso")));
  expect(tablet.screen?.red).toMatchObject({ points: 9, bonus: 4 });
  must(tablet, change("x3", hit("red", "arm")), { type: "RemoveExchange", exchange: "x5" }, undo);
  must(tablet, { type: "InsertExchange", exchange: "late", after: "x1", record: hit("red", "head") });
  must(tablet, change("x10", hit("red", "arm")), undo);
  expect(exchanges(tablet)).toEqual(["x1", "late", ...[2, 3, 4, 5, 6, 7, 8, 9, 10].map((no) => `x${no}`)]);
  const away = { tally: tablet.desk.bout?.tally, red: tablet.screen?.red, blue: tablet.screen?.blue };
  expect(away.red).toMatchObject({ points: 10, bonus: 4 });
  expect(types(ring)).toEqual(["BoutCalled"]);

  await tablet.sendAll();
  tablet.receive();
  expect(tablet.desk.setAside).toEqual([]);
  expect(tablet.desk.pending).toEqual([]);
  expect({ tally: tablet.desk.bout?.tally, red: tablet.screen?.red, blue: tablet.screen?.blue }).toEqual(
    away,
  );
  expect(tablet.desk.bout).toEqual(ring.fold("b1"));
  expect(types(ring).length).toBe(1 + 30 + 6);
});

describe("a bout that has been cleared from the ring meanwhile", () => {
  /** The tablet has corrected exchange x1, and the server does not know it yet. */
  const cleared = async () => {
    const { ring, tablet } = await set();
    must(tablet, ...fenced("x1", hit("red", "arm")));
    await tablet.sendAll();
    tablet.receive();
    must(tablet, change("x1", hit("red", "head")), fence);
    await ring.coach({ type: "Stop", why: "The hall closes." }, "b1");
    await ring.coach({ type: "ClearRing", ring: "r1" });
    await ring.call("b2");
    tablet.receive();
    return { ring, tablet };
  };

  test("takes its commands with it: they reach it, and never the next bout", async () => {
    const { ring, tablet } = await cleared();
    expect(tablet.desk.bout).toMatchObject({ id: "b2", stage: "called", exchanges: [] });
    expect(waiting(tablet.desk)).toBe(2);
    must(tablet, fence, halt);
    await tablet.sendAll();
    expect(tablet.desk.pending.map(({ bout }) => bout)).toEqual(["b2", "b2"]);
    tablet.receive();
    expect(ring.fold("b1")?.tally.points).toEqual({ red: 3, blue: 0 });
    expect(types(ring, "b2")).toEqual(["BoutCalled", "FencingStarted", "HaltCalled"]);
    expect(tablet.desk.bout).toEqual(ring.fold("b2"));
    expect(tablet.desk.pending).toEqual([]);
  });

  test("and what was refused of it is not given to the next bout; it stays set aside", async () => {
    const { ring, tablet } = await cleared();
    await tablet.sendAll();
    expect(tablet.desk.setAside).toMatchObject([
      { pending: { bout: "b1", command: fence }, refusal: { refused: "bout-is-over" } },
    ]);
    expect(tablet.giveAgain(0)).toMatchObject({ refused: "no-such-bout" });
    expect(tablet.desk.setAside.length).toBe(1);
    await tablet.sendAll();
    expect(types(ring, "b2")).toEqual(["BoutCalled"]);
  });
});

describe("[W5] a sealed choice that the table takes for a fencer", () => {
  const SEALED = NIGHT.replace("when: before the bout", "when: before the bout\n    seen by: the fencer");
  const choose: BoutCommand = { type: "SetPick", pick: "named target", side: "red", value: "head" };

  test("is sent and not known to the tablet itself, not even while the server is away", async () => {
    const { ring, tablet } = await set(SEALED);
    must(tablet, choose, ...fenced("x1", hit("red", "head")));
    expect(tablet.desk.bout?.picks).toEqual([]);
    expect(waiting(tablet.desk)).toBe(4);
    await tablet.sendAll();
    tablet.receive();
    expect(ring.fold("b1")?.picks.map(({ value }) => value)).toEqual(["head"]);
    expect(tablet.desk.bout?.picks).toEqual([]);
    expect(tablet.desk.pending).toEqual([]);
  });

  test("is there once the bout has ended and choices are shown", async () => {
    const { ring, tablet } = await set(SEALED);
    must(tablet, choose, ...fenced("x1", hit("red", "head")));
    must(tablet, ...fenced("x2", hit("red", "head")), ...fenced("x3", hit("red", "head")), end);
    await tablet.sendAll();
    tablet.receive();
    expect(tablet.desk.bout?.picks.map(({ value }) => value)).toEqual(["head"]);
    expect(tablet.desk.bout).toEqual(ring.fold("b1"));
  });

  test("an open choice shows at once like any press", async () => {
    const { tablet } = await set();
    must(tablet, choose);
    expect(tablet.desk.bout?.picks.map(({ value }) => value)).toEqual(["head"]);
  });
});
