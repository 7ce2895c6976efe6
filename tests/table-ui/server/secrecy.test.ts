import { afterEach, describe, expect, test } from "vitest";
import {
  fenceOnce,
  hit,
  must,
  openTestHall,
  refusedAs,
  SEALED,
  setTheStage,
  type Device,
  type Stage,
  type TestHall,
} from "./hall.ts";

let hall: TestHall;
afterEach(() => hall.close());

const everybody = ({ table, judges, redSeat, blueSeat, wall }: Stage): Record<string, Device<never>> =>
  ({
    coach: hall.coach,
    table,
    "judge 1": judges[0],
    "judge 2": judges[1],
    red: redSeat,
    blue: blueSeat,
    wall,
  }) as never;

/** Who was ever sent this text. */
const whoHeard = (stage: Stage, text: string): string[] =>
  Object.entries(everybody(stage)).flatMap(([name, device]) => (device.heard.includes(text) ? [name] : []));

/** Sends something that everybody sees, and waits until everybody has seen it. */
async function settle(stage: Stage): Promise<void> {
  must(
    await hall.coach.command("meet", {
      type: "AddRing",
      ring: `r-${Math.trunc(hall.running.house.now())}`,
      name: "x",
    }),
  );
  for (const device of Object.values(everybody(stage))) await device.ask("view", {});
}

describe("[W4] names", () => {
  test("full for coach and table, short for others, a fencer's own in full", async () => {
    hall = await openTestHall();
    const stage = await setTheStage(hall);
    await settle(stage);
    expect(whoHeard(stage, "Mira Haldenquist")).toEqual(["coach", "table", "red"]);
    expect(whoHeard(stage, "Teo Brandtworth")).toEqual(["coach", "table", "blue"]);
    expect(stage.wall.view.rings["r1"]?.bout?.red.name).toBe("Mira H.");
    expect(stage.blueSeat.view.bout?.red.name).toBe("Mira H.");
    expect(stage.blueSeat.view.bout?.blue).toMatchObject({ name: "Teo Brandtworth", you: true });
  });

  test("whoever was erased is a number everywhere", async () => {
    hall = await openTestHall();
    const stage = await setTheStage(hall);
    must(await hall.coach.coach({ ask: "erase fencer", person: stage.red }));
    const wall = await stage.wall.until((view) => view.rings["r1"]?.bout?.red.name !== "Mira H.");
    expect(wall.rings["r1"]?.bout?.red.name).toBe("Fencer 1");
    const table = await stage.table.until((view) => view.names.red === "Fencer 1");
    expect(JSON.stringify(table)).not.toContain("Mira");
    await hall.coach.until((view) => !JSON.stringify(view).includes("Mira"));
  });
});

test("[W8] health notes go to coach and owner, gear notes of the pair to the table", async () => {
  hall = await openTestHall();
  const stage = await setTheStage(hall);
  await settle(stage);
  expect(whoHeard(stage, "Asthma")).toEqual(["coach", "red"]);
  expect(whoHeard(stage, "knee")).toEqual(["coach", "blue"]);
  expect(whoHeard(stage, "check the bib")).toEqual(["coach", "table", "red"]);
});

/** A called bout in which Red has chosen in secret. */
const redHasChosen = async (): Promise<Stage> => {
  hall = await openTestHall();
  const stage = await setTheStage(hall, SEALED, 2);
  const on = { bout: stage.bout };
  await stage.redSeat.until((view) => view.choices.length === 1);
  must(
    await stage.redSeat.command(on, { type: "SetPick", pick: "secret target", side: "red", value: "leg" }),
  );
  return stage;
};

describe("[W5] sealed choices", () => {
  test("the value reaches its fencer and nobody else", async () => {
    const stage = await redHasChosen();
    await stage.redSeat.until((view) => view.choices[0]?.chosen === "leg");
    await settle(stage);
    expect(whoHeard(stage, '"chosen":"leg"')).toEqual(["red"]);
    expect(whoHeard(stage, '"PickSet"')).toEqual([]);
    expect(whoHeard(stage, '"value":"leg"')).toEqual([]);
  });

  test("what depends on it goes only to the fencer who knows it; others see the exchange as sealed", async () => {
    const stage = await redHasChosen();
    await fenceOnce(stage, "x1", hit("red", "leg"));
    must(await stage.table.command({ bout: stage.bout }, { type: "StartFencing" }));
    const red = await stage.redSeat.until((view) => view.bout?.red.bonus === 3);
    const blue = await stage.blueSeat.until((view) => view.bout?.order.length === 1);
    const wall = await stage.wall.until((view) => view.rings["r1"]?.bout?.order.length === 1);
    expect(red.bout?.exchanges["x1"]?.sealed).toBeUndefined();
    expect(red.bout?.exchanges["x1"]?.awards.some(({ rule }) => rule === "Own secret")).toBe(true);
    for (const seen of [blue.bout, wall.rings["r1"]?.bout, hall.coach.view.bouts[stage.bout]]) {
      expect(seen?.exchanges["x1"]?.sealed).toBe(true);
      expect(seen?.exchanges["x1"]?.awards.map(({ rule }) => rule)).toEqual(["touch"]);
      expect(seen?.red).toMatchObject({ points: 1, bonus: 0, openBonus: 0 });
    }
    await settle(stage);
    // Nor do the table's events say it: neither the choice nor a stamp made with it.
    for (const event of Object.values(stage.table.view.events)) {
      if ("tally" in event) expect(event.tally?.bonus).toEqual({ red: 0, blue: 0 });
    }
    expect(whoHeard(stage, '"bonus":3')).toEqual(["red"]);
  });

  test("another choice of the same fencer would have looked the same to everybody else", async () => {
    const seen: string[] = [];
    for (const value of ["leg", "head"]) {
      hall = await openTestHall({ now: () => 1_900_000_000_000 });
      const stage = await setTheStage(hall, SEALED, 0);
      const on = { bout: stage.bout };
      must(await stage.redSeat.command(on, { type: "SetPick", pick: "secret target", side: "red", value }));
      await fenceOnce(stage, "x1", hit("red", "leg"));
      await stage.wall.until((view) => view.rings["r1"]?.bout?.order.length === 1);
      await stage.blueSeat.until((view) => view.bout?.order.length === 1);
      await stage.table.until((view) => Object.keys(view.events).length > 3);
      const { wall, blueSeat, table } = stage;
      const texts = [wall.view.rings, blueSeat.view.bout, table.view.events, table.view.votes];
      seen.push(
        JSON.stringify(texts, null, 1)
          .replaceAll(stage.red, "RED")
          .replaceAll(stage.blue, "BLUE")
          .replaceAll(table.view.seat, "TABLE")
          .replaceAll(hall.coach.view.seat, "COACH"),
      );
      await hall.close();
    }
    expect(seen[0]).toBe(seen[1]);
    expect(seen[0]).toContain("sealed");
  });

  test("at the end it is shown to all", async () => {
    const stage = await redHasChosen();
    await fenceOnce(stage, "x1", hit("red", "leg"));
    must(await stage.table.command({ bout: stage.bout }, { type: "EndBout", ending: "red wins" }));
    const wall = await stage.wall.until((view) => view.rings["r1"]?.bout?.ending);
    expect(wall.rings["r1"]?.bout?.red.bonus).toBe(3);
    expect(wall.rings["r1"]?.bout?.exchanges["x1"]?.sealed).toBeUndefined();
    const table = await stage.table.until((view) => JSON.stringify(view.events).includes("PickSet"));
    expect(JSON.stringify(table.events)).toContain('"value":"leg"');
  });

  test("an opponent cannot choose for one, and after the first Fence! the choice is closed", async () => {
    const stage = await redHasChosen();
    const on = { bout: stage.bout };
    const forRed = { type: "SetPick", pick: "secret target", side: "red", value: "head" } as const;
    expect(refusedAs(await stage.blueSeat.command(on, forRed))).toBe("not-your-seat");
    await fenceOnce(stage, "x1", hit("red", "leg"));
    expect(refusedAs(await stage.redSeat.command(on, forRed))).toBe("pick-closed");
    expect((await stage.redSeat.until((view) => view.choices[0]?.closed)).choices[0]?.chosen).toBe("leg");
  });
});

const vote = (label: string) =>
  ({
    type: "Vote",
    exchange: "x1",
    facts: [{ fact: "end", act: "a1", end: "no hit" }],
    label,
  }) as const;

describe("[W6] votes under way", () => {
  test("the table sees how many, a judge the own, nobody else anything, until all have voted", async () => {
    hall = await openTestHall();
    const stage = await setTheStage(hall);
    await fenceOnce(stage, "x1", hit("red"));
    const [first, second] = stage.judges as [Device<never>, Device<never>];
    const on = { bout: stage.bout };
    must(await first.command(on, vote("Quite unlike a hit")));
    const table = await stage.table.until((view) => view.votes.exchange === "x1" && view.votes.cast === 1);
    expect(table.votes).toEqual({ exchange: "x1", cast: 1, seats: 2 });
    await settle(stage);
    expect(whoHeard(stage, "Quite unlike a hit")).toEqual(["judge 1"]);
    expect(whoHeard(stage, '"VoteCast"')).toEqual([]);
    must(
      await second.command(on, { type: "Vote", exchange: "x1", facts: [], notSeen: true, label: "Not seen" }),
    );
    await stage.table.until((view) => view.votes.exchange === undefined);
    const shown = Object.values(stage.table.view.events).filter(({ type }) => type === "VoteCast");
    expect(shown).toHaveLength(2);
  });

  test("the next Fence! opens them too", async () => {
    hall = await openTestHall();
    const stage = await setTheStage(hall);
    await fenceOnce(stage, "x1", hit("red"));
    const on = { bout: stage.bout };
    const notSeen = { type: "Vote", exchange: "x1", facts: [], notSeen: true, label: "Not seen" } as const;
    must(await (stage.judges[0] as Device<never>).command(on, notSeen));
    must(await stage.table.command(on, { type: "StartFencing" }));
    const table = await stage.table.until((view) => JSON.stringify(view.events).includes("VoteCast"));
    expect(table.votes).toEqual({});
  });
});

test("[W7] a judge's page has no pay in it", async () => {
  hall = await openTestHall();
  const stage = await setTheStage(hall);
  await fenceOnce(stage, "x1", {
    acts: [
      { id: "a1", by: "blue", kind: "attack", form: "cut" },
      { id: "a2", by: "red", kind: "parry" },
      { id: "a3", by: "red", kind: "riposte", end: "hit" },
    ],
    open: false,
  });
  must(await stage.table.command({ bout: stage.bout }, { type: "StartFencing" }));
  await stage.redSeat.until((view) => view.bout?.red.bonus === 2);
  for (const judge of stage.judges) {
    await judge.until((view) => view.bout?.stage === "fencing");
    expect(judge.heard).not.toContain('"unit":"bonus"');
    expect(judge.heard).not.toContain("2 bonus");
    expect(judge.view.bout?.pays).toEqual([]);
  }
  expect(stage.redSeat.heard).toContain('"unit":"bonus"');
});
