import { expect, test } from "vitest";
import { openLedger, verifyChain } from "../../../engine/ledger/open.ts";
import type { FencerView, WallView } from "../../../table-ui/wire/views.ts";
import { openTestHall } from "./hall.ts";

test("the demo evening loads through commands: three bouts over, one running, one called, some planned", async () => {
  const hall = await openTestHall({ evening: true });
  const { meet, bouts, seats, people, fencers } = hall.coach.view;
  expect(meet.name).toBe("Thursday at Millrace");
  expect(Object.keys(people)).toHaveLength(12);
  const stages = meet.called.map(({ bout }) => bouts[bout]?.stage);
  expect(stages).toEqual(["ended", "ended", "ended", "halted", "called"]);
  expect(meet.planned.length).toBeGreaterThanOrEqual(3);
  expect(meet.rings.map(({ bout }) => bouts[bout ?? ""]?.stage)).toEqual(["halted", "called"]);
  // A seat for everybody: each fencer, two tables, judges, a wall.
  const kinds = Object.values(seats).map(({ kind }) => kind);
  expect(kinds.filter((kind) => kind === "fencer")).toHaveLength(12);
  expect(kinds.filter((kind) => kind === "table")).toHaveLength(2);
  expect(kinds).toContain("wall");
  expect(Object.values(seats).every(({ path }) => path?.startsWith("/seat/"))).toBe(true);
  expect(fencers.some(({ landed }) => landed > 0)).toBe(true);
  await hall.close();
});

test("the running bout holds a double, an afterblow, an open award and a no exchange", async () => {
  const hall = await openTestHall({ evening: true });
  const { meet, bouts, waits } = hall.coach.view;
  const running = bouts[meet.rings[0]?.bout ?? ""];
  const exchanges = running?.order.map((id) => running.exchanges[id]) ?? [];
  expect(exchanges).toHaveLength(6);
  expect(exchanges.map((exchange) => exchange?.how)).toContain("double");
  expect(exchanges.map((exchange) => exchange?.how)).toContain("no exchange");
  expect(exchanges.some((exchange) => exchange?.sentence.includes("afterblow"))).toBe(true);
  expect(exchanges.some((exchange) => exchange?.awards.some(({ open }) => open !== undefined))).toBe(true);
  expect(running?.blue.openBonus).toBeGreaterThan(0);
  expect(waits.some(({ bout }) => bout === running?.id)).toBe(true);
  await hall.close();
});

test("a second start goes on with the same data and the chains verify", async () => {
  const ledger = await openLedger({ memory: true });
  const first = await openTestHall({ ledger, evening: true });
  const before = await ledger.streams();
  await first.close();
  const second = await openTestHall({ ledger, evening: true });
  expect(await ledger.streams()).toEqual(before);
  expect(second.coach.view.meet).toEqual(first.coach.view.meet);
  for (const { stream } of before) {
    expect(verifyChain(await ledger.read(stream)).ok).toBe(true);
  }
  await second.close();
});

test("the demo's pages show what they should: a fencer who agreed to a number only is one", async () => {
  const hall = await openTestHall({ evening: true });
  const path = (title: string): string =>
    Object.values(hall.coach.view.seats).find((seat) => seat.title === title)?.path ?? "";
  const mira = await hall.sit<FencerView>(path("Mira Halden"));
  expect(mira.view.bout?.red).toMatchObject({ you: true, points: mira.view.bout?.red.points });
  expect(mira.view.progress).toContain("Only you and your coach see this.");
  expect(mira.view.next?.ring).toBe("Ring 1");
  const wall = await hall.sit<WallView>(path("Wall"));
  expect(wall.view.rings["ring-1"]?.bout?.red.name).toBe("Mira Halden");
  expect(wall.view.rings["ring-1"]?.bout?.blue.name).toBe("Teo B.");
  expect(wall.heard).not.toContain("Marlow");
  await hall.close();
});
