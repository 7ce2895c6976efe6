/** Several processes over one ledger: whoever sits down anywhere meets the same evening, and the same answers. */
import { afterEach, describe, expect, test } from "vitest";
import { LedgerFault, openLedger } from "../../../engine/ledger/open.ts";
import { openHalls, type Halls } from "../../support/processes.ts";
import { hintHub } from "../../support/hint-hub.ts";
import type { CoachView, FencerView, JudgeView, TableView } from "../../../table-ui/wire/views.ts";
import {
  Device,
  eventually,
  fenceOnce,
  hit,
  must,
  newId,
  plainPages,
  refusedAs,
  setTheStage,
  type TestHall,
} from "./hall.ts";

let halls: Halls;
afterEach(() => halls.close());

const hallAt = (at: number): TestHall => {
  const hall = halls.all[at];
  if (hall === undefined) throw new Error(`no hall ${at}`);
  return hall;
};
const pathOf = (seat: string): string => hallAt(0).running.house.seats.pathOf(seat) ?? "";

/** The stage stands at the first server; the same seats sit at others too. */
async function stageAt0(count = 3, hub = hintHub()): Promise<Awaited<ReturnType<typeof setTheStage>>> {
  halls = await openHalls(count, hub);
  return setTheStage(hallAt(0));
}

test("what is recorded at one process is seen at every other", async () => {
  const stage = await stageAt0();
  const red = await halls.sit<FencerView>(1, pathOf(stage.redSeat.view.seat));
  const coach = await halls.sit<CoachView>(2, hallAt(2).running.coachPath);
  await fenceOnce(stage, "x1", hit("red"));
  await red.until(({ bout }) => bout?.red.points === 1);
  await coach.until(({ bouts }) => bouts[stage.bout]?.order.length === 1);
});

test("[W41] a command is decided on all that was acknowledged before, at whichever process", async () => {
  const stage = await stageAt0(2);
  halls.hub.silent = true;
  const elsewhere = await halls.sit<CoachView>(1, hallAt(1).running.coachPath);
  const { running } = hallAt(0);
  const person = await running.house.people.enter({
    name: "Ada Finch",
    shortName: "",
    notes: "",
    consents: [],
  });
  must(await elsewhere.command("meet", { type: "AddFencer", person }));

  const text = "name: Two for a hit\ntouches:\n  I hit: 2\n";
  const { hash: ruleSet = "" } = must(await hallAt(0).coach.coach({ ask: "save rule set", text }));
  const plan = {
    type: "PlanBout",
    bout: "second",
    ring: "r2",
    red: person,
    blue: stage.blue,
    ruleSet,
  } as const;
  must(await elsewhere.command("meet", plan));
  // The first bout still has its fencer.
  const busy = await elsewhere.coach({ ask: "call bout", bout: "second" });
  expect(refusedAs(busy)).toBe("fencer-busy");

  const tablePath = pathOf(stage.table.view.seat);
  const table = await halls.sit<TableView>(1, tablePath);
  must(await table.takePen("r1", "another tablet"));
  const late = await stage.table.command({ bout: stage.bout }, { type: "StartFencing" });
  expect(refusedAs(late)).toBe("no-pen");
  must(await table.command({ bout: stage.bout }, { type: "StartFencing" }));
});

test("one command given to two processes happens once", async () => {
  const stage = await stageAt0(2);
  const table = await halls.sit<TableView>(1, pathOf(stage.table.view.seat));
  const on = { bout: stage.bout };
  const sent = { id: newId(), on, command: { type: "StartFencing" }, pen: stage.table.pen };
  const answers = await Promise.all([stage.table.send(sent), table.send(sent)]);
  expect(answers.map(({ ok }) => ok)).toEqual([true, true]);
  expect(answers.filter((answer) => answer.ok && answer.repeated === true)).toHaveLength(1);
});

test("three processes that write to one bout at once get every command in, none as stale", async () => {
  const stage = await stageAt0();
  must(await stage.table.command({ bout: stage.bout }, { type: "StartFencing" }));
  must(await stage.table.command({ bout: stage.bout }, { type: "CallHalt" }));
  const on = { bout: stage.bout };
  const coaches = await Promise.all([0, 1, 2].map((at) => halls.sit(at, hallAt(0).running.coachPath)));
  const given = coaches.flatMap((coach, at) =>
    Array.from({ length: 20 }, (_, n) =>
      coach.command(on, { type: "RecordExchange", exchange: `x-${at}-${n}`, record: hit("red") }),
    ),
  );
  const answers = await Promise.all(given);
  expect(answers.filter(({ ok }) => !ok)).toEqual([]);
  const versions = answers.map((answer) => (answer.ok ? answer.version : 0));
  expect(new Set(versions).size).toBe(60);
  const { running } = hallAt(0);
  await eventually(() => running.house.streams.bout(stage.bout)?.bout.exchanges.length === 60);
});

test("a seat that is revoked at one process is cut at every other, even when no hint arrives", async () => {
  const stage = await stageAt0(2);
  const path = pathOf(stage.wall.view.seat);
  const wall = await halls.sit(1, path);
  halls.hub.silent = true;
  must(await hallAt(0).coach.coach({ ask: "revoke seat", seat: stage.wall.view.seat }));
  await eventually(() => wall.gone);
  expect(wall.gone).toBe("revoked");
  const again = hallAt(1).knock(path);
  await eventually(() => again.refused);
});

test("[W6] votes stay sealed until the judges at every process have voted", async () => {
  const stage = await stageAt0(2);
  const second = await halls.sit<JudgeView>(1, pathOf(stage.judges[1]?.view.seat ?? ""));
  stage.judges[1]?.socket.disconnect();
  await hallAt(0).coach.until(({ seats }) => seats[second.view.seat]?.connected === 1);
  await fenceOnce(stage, "x1", { acts: [], open: true });
  const vote = { type: "Vote", exchange: "x1", facts: [], label: "Not seen", notSeen: true } as const;
  must(await (stage.judges[0] ?? second).command({ bout: stage.bout }, vote));
  const table = await stage.table.until(({ votes }) => votes.exchange !== undefined && votes.cast === 1);
  expect(table.votes).toMatchObject({ cast: 1, seats: 2 });
  must(await second.command({ bout: stage.bout }, vote));
  await stage.table.until(({ votes }) => votes.exchange === undefined || votes.cast === 2);
});

test("a process that ended is missed only once it has been silent for long", async () => {
  let at = 1_700_000_000_000;
  halls = await openHalls(2, hintHub(), { now: () => at });
  const stage = await setTheStage(hallAt(0));
  const { house } = hallAt(0).running;
  const seat = stage.judges[0]?.view.seat ?? "";
  house.presence.elsewhere("lost", { [seat]: 2 });
  expect(house.presence.connected(seat)).toBe(3);
  at += 10_000;
  expect(house.presence.forgetSilent()).toBe(false);
  at += 10_000;
  expect(house.presence.forgetSilent()).toBe(true);
  expect(house.presence.connected(seat)).toBe(1);
});

describe("[W40] what a device is shown when it sits down", () => {
  test("is never less than what was acknowledged before, wherever it moves", async () => {
    const stage = await stageAt0();
    // Not even a hint helps: what it is shown is read then.
    halls.hub.silent = true;
    must(await stage.table.command({ bout: stage.bout }, { type: "StartFencing" }));
    must(await stage.table.command({ bout: stage.bout }, { type: "CallHalt" }));
    const wall = pathOf(stage.wall.view.seat);
    for (let n = 1; n <= 12; n += 1) {
      const command = { type: "RecordExchange", exchange: `x${n}`, record: hit("blue") } as const;
      must(await stage.table.command({ bout: stage.bout }, command));
      const device = await halls.sit(n % 3, wall);
      expect(JSON.stringify(device.view)).toContain(`"x${n}"`);
      device.socket.disconnect();
      const page = await (await fetch(hallAt((n + 1) % 3).url + wall)).text();
      expect(page).toContain(`"x${n}"`);
    }
  });

  test("is nothing while the ledger cannot be read: the link stays good, and the page says so", async () => {
    const ledger = await openLedger({ memory: true, shared: true });
    halls = await openHalls(1, hintHub(), { ledger, pages: plainPages });
    const { url, running } = hallAt(0);
    const path = running.coachPath;
    const streams = ledger.streams.bind(ledger);
    ledger.streams = () => Promise.reject(new LedgerFault("unreachable", "The database is away."));
    const device = hallAt(0).knock(path);
    await eventually(() => device.refused);
    expect(device.refused).not.toMatchObject({ refused: "no-such-seat" });
    const page = await fetch(url + path);
    expect(page.status).toBe(503);
    expect(await page.text()).toContain("away");
    ledger.streams = streams;
    expect((await fetch(url + path)).status).toBe(200);
    const again = new Device(url, path);
    await eventually(() => again.v > 0);
    again.socket.disconnect();
  });
});
