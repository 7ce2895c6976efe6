/** Hints between processes that are lost, doubled and late: whoever looks comes to what the ledger holds, and never back. */
import { afterEach, expect, test } from "vitest";
import { chances } from "../support/chances.ts";
import { hintHub } from "../support/hint-hub.ts";
import { openHalls, type Halls } from "../support/processes.ts";
import { eventually, hit, must, setTheStage, type Device } from "../table-ui/server/hall.ts";
import type { BoutOnView, FencerView, View, WallView } from "../../table-ui/wire/views.ts";

const COMMANDS = process.env["LONG"] === "1" ? 3_000 : 150;
/** Of ten hints one is lost, one doubled, one late. */
const RATE = 0.1;
/** One command in so many records an exchange; the others set the clock, which costs a long bout's score nothing. */
const RECORDS = 10;
const PROCESSES = 3;

let halls: Halls;
afterEach(() => halls.close());

/** What two devices of the same seat must show alike. */
const shown = ({ at: _, seat: __, ...view }: View): unknown => view;

/** A device that notes whenever it is shown less than before. */
function watch(device: Device): { readonly back: string[] } {
  const back: string[] = [];
  let most = 0;
  device.socket.onAny(() => {
    if (device.v === 0) return;
    const bouts = boutsOn(device.view);
    const version = bouts.reduce((sum, bout) => sum + bout.order.length + bout.confirmed.length, 0);
    if (version < most) back.push(`${most} then ${version}`);
    most = Math.max(most, version);
  });
  return { back };
}

const boutsOn = (view: View): readonly BoutOnView[] => {
  if (view.kind === "wall") return Object.values(view.rings).flatMap(({ bout }) => bout ?? []);
  if (view.kind === "coach") return Object.values(view.bouts);
  return view.kind === "fencer" && view.bout !== undefined ? [view.bout] : [];
};

test("[W42] every viewer comes to what the ledger holds, and is never shown less than before", async () => {
  const hub = hintHub(RATE, 7);
  // A coach's seat stands for many tables here: no table sends so much.
  const limits = { burst: COMMANDS, aSecond: COMMANDS, patience: 4 * COMMANDS, patienceASecond: COMMANDS };
  halls = await openHalls(PROCESSES, hub, { limits });
  const [first] = halls.all;
  if (first === undefined) throw new Error("no process");
  const stage = await setTheStage(first);
  const pathOf = (seat: string): string => first.running.house.seats.pathOf(seat) ?? "";
  const places = Array.from({ length: PROCESSES }, (_, at) => at);
  const coaches = await Promise.all(places.map((at) => halls.sit(at, first.running.coachPath)));
  const viewers = [
    ...coaches,
    ...(await Promise.all(places.map((at) => halls.sit<WallView>(at, pathOf(stage.wall.view.seat))))),
    ...(await Promise.all(places.map((at) => halls.sit<FencerView>(at, pathOf(stage.redSeat.view.seat))))),
  ];
  const watched = viewers.map((device) => watch(device));
  const on = { bout: stage.bout };
  must(await stage.table.command(on, { type: "StartFencing" }));
  must(await stage.table.command(on, { type: "CallHalt" }));

  const chance = chances(11);
  let recorded = 0;
  const give = async (coach: Device, at: number): Promise<void> => {
    for (let n = 0; n < COMMANDS / PROCESSES; n += 1) {
      if (n % RECORDS !== 0) {
        must(await coach.command(on, { type: "SetClock", leftMs: 1_000 + PROCESSES * n + at }));
        continue;
      }
      const record = hit(chance() < 0.5 ? "red" : "blue", chance() < 0.5 ? "head" : "torso");
      must(await coach.command(on, { type: "RecordExchange", exchange: `x-${at}-${n}`, record }));
      recorded += 1;
    }
  };
  await Promise.all(coaches.map(give));

  for (const device of viewers) await device.until((view) => boutsOn(view)[0]?.order.length === recorded);
  for (const [at, device] of viewers.entries()) {
    const path = pathOf(device.view.seat);
    const fresh = await halls.sit((at + 1) % PROCESSES, path);
    // Who is connected is told by hints too; what was fenced is the ledger's.
    await eventually(() => JSON.stringify(boutsOn(device.view)) === JSON.stringify(boutsOn(fresh.view)));
    if (device.view.kind !== "coach") expect(shown(device.view)).toEqual(shown(fresh.view));
    fresh.socket.disconnect();
  }
  expect(watched.flatMap(({ back }) => back)).toEqual([]);
  // It did happen: hints of each kind.
  const { told } = hub;
  expect(Math.min(told.lost, told.doubled, told.late)).toBeGreaterThan(told.sent * RATE * 0.5);
});

test("[W42] with no hint at all, every viewer still comes to what the ledger holds", async () => {
  halls = await openHalls(2);
  halls.hub.silent = true;
  const [first] = halls.all;
  if (first === undefined) throw new Error("no process");
  const stage = await setTheStage(first);
  const wall = await halls.sit<WallView>(1, first.running.house.seats.pathOf(stage.wall.view.seat) ?? "");
  must(await stage.table.command({ bout: stage.bout }, { type: "StartFencing" }));
  const seen = await wall.until((view) => boutsOn(view)[0]?.stage === "fencing");
  expect(shown(seen)).toEqual(shown(stage.wall.view));
});
