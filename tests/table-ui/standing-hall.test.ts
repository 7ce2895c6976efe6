/** A ledger in trouble under a hall with somebody in every seat: what is answered, what is shown, and what is recorded. */
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { openLedger, type Ledger } from "../../engine/ledger/open.ts";
import type { View } from "../../table-ui/wire/views.ts";
import { openTroubled, ticking, type Ticking, type Troubled } from "../support/troubled.ts";
import {
  must,
  newId,
  openTestHall,
  refusedAs,
  SEALED,
  setTheStage,
  type Device,
  type Stage,
  type TestHall,
} from "./server/hall.ts";

let kept: Ledger;
let troubled: Troubled;
let time: Ticking;
let hall: TestHall;
let stage: Stage;

beforeEach(async () => {
  kept = await openLedger({ memory: true });
  troubled = await openTroubled(true, kept);
  time = ticking();
  hall = await openTestHall({ ledger: troubled.ledger, again: time.again });
  stage = await setTheStage(hall, SEALED);
});
afterEach(() => hall.close());

const everySeat = (): readonly Device[] =>
  [
    hall.coach,
    stage.table,
    ...stage.judges,
    stage.redSeat,
    stage.blueSeat,
    stage.wall,
  ] as unknown as Device[];
const on = () => ({ bout: stage.bout });

/** All that the ledger holds, to compare with. */
async function recorded(): Promise<string> {
  const streams = await kept.streams();
  const events = await Promise.all(streams.map(({ stream }) => kept.read(stream)));
  return JSON.stringify([events, await kept.people(), await kept.seats(), await kept.ruleSets()]);
}

const pageOf = async (path: string): Promise<string> => (await fetch(hall.url + path)).text();
const pathOf = (device: { readonly view: View }): string =>
  Object.values(hall.coach.view.seats).find(({ id }) => id === device.view.seat)?.path ?? "";

describe.each([
  ["disk-full", "full"],
  ["disk-failed", "failed"],
  ["damaged", "damaged"],
  ["unreachable", "unreachable"],
] as const)("[W31] after %s", (code, state) => {
  test("every seat is told by a patch at once, in words of its own, and finished pages say it too", async () => {
    troubled.fail(code);
    expect(refusedAs(await stage.table.command(on(), { type: "StartFencing" }))).toBe("read-only");
    const said = new Map<string, string>();
    for (const seat of everySeat()) {
      const { standing, kind } = await seat.until((view) => view.standing?.state === state);
      said.set(kind, standing?.sentence ?? "");
      expect(seat.patches.at(-1)?.patch).toMatchObject({ standing: { state } });
    }
    expect(new Set(said.values()).size).toBe(5);
    expect(await pageOf(pathOf(stage.redSeat))).toContain(JSON.stringify(said.get("fencer")));
    expect(await pageOf(pathOf(stage.wall))).toContain(JSON.stringify(said.get("wall")));
  });

  test("nothing is answered ok and nothing is recorded, whoever asks for what", async () => {
    const before = await recorded();
    troubled.fail(code);
    const { coach } = hall;
    const [judge] = stage.judges;
    if (judge === undefined) throw new Error("no judge");
    const command = { type: "SetPick", pick: "secret target", side: "red", value: "leg" } as const;
    const answers = [
      await stage.table.command(on(), { type: "StartFencing" }),
      await stage.redSeat.command(on(), command),
      await judge.command(on(), { type: "Stop", why: "enough" }),
      await coach.command("meet", { type: "AddRing", ring: "r9", name: "Ring 9" }),
      await coach.coach({ ask: "add fencer", name: "Ilse Varga", shortName: "Ilse V.", consents: [] }),
      await coach.coach({ ask: "issue seat", kind: "wall" }),
      await coach.coach({ ask: "revoke seat", seat: stage.wall.view.seat }),
      await coach.coach({ ask: "erase fencer", person: stage.red }),
      await coach.coach({ ask: "save rule set", text: SEALED.replace("Sealed opening", "Another name") }),
    ];
    for (const answer of answers)
      expect(answer).toMatchObject({
        ok: false,
        refusal: { refused: "read-only", sentence: expect.stringMatching(/^Not recorded: /) },
      });
    expect(await recorded()).toBe(before);
    // What was not recorded is shown nowhere either.
    expect(stage.redSeat.view.choices[0]?.chosen).toBeUndefined();
    expect(coach.view.bouts[stage.bout]?.stage).toBe("called");
    expect(coach.view.seats[stage.wall.view.seat]?.revoked).toBe(false);
    expect(coach.view.people[stage.red]?.name).toBe("Mira Haldenquist");
  });
});

describe.each([
  ["disk-full", "full"],
  ["unreachable", "unreachable"],
] as const)("[W31] %s passes", (code, state) => {
  test("as soon as something can be written: every seat is told, and what waited is taken in, once", async () => {
    troubled.fail(code);
    const sent = { id: newId(), on: on(), command: { type: "StartFencing" }, pen: stage.table.pen } as const;
    expect(refusedAs(await stage.table.send(sent))).toBe("read-only");
    await stage.table.until(({ standing }) => standing?.state === state);
    troubled.fail(undefined);
    time.tick();
    for (const seat of everySeat()) await seat.until(({ standing }) => standing === undefined);
    expect(must(await stage.table.send(sent)).repeated).toBeUndefined();
    expect(must(await stage.table.send(sent)).repeated).toBe(true);
    const events = await kept.read(`bout/${stage.bout}`);
    expect(events.filter((event) => event.command === sent.id)).toHaveLength(1);
  });

  test("also by a command that goes through, without waiting for the next look", async () => {
    troubled.fail(code);
    expect(refusedAs(await stage.table.command(on(), { type: "StartFencing" }))).toBe("read-only");
    troubled.fail(undefined);
    must(await stage.table.command(on(), { type: "StartFencing" }));
    for (const seat of everySeat()) await seat.until(({ standing }) => standing === undefined);
    expect(time.waiting()).toBe(0);
  });
});

test.each(["disk-failed", "damaged"] as const)(
  "[W31] after %s nothing is taken in before a restart, though the disk may seem to work again",
  async (code) => {
    troubled.fail(code);
    expect(refusedAs(await stage.table.command(on(), { type: "StartFencing" }))).toBe("read-only");
    troubled.fail(undefined);
    time.tick();
    expect(refusedAs(await stage.table.command(on(), { type: "StartFencing" }))).toBe("read-only");
    const { running, coach } = hall;
    await running.stop();
    coach.socket.disconnect();
    hall = await openTestHall({ ledger: troubled.ledger });
    must(await hall.coach.command(on(), { type: "StartFencing" }));
  },
);

test("[W31] what was recorded before is still answered: the same command again is `repeated`", async () => {
  const sent = { id: newId(), on: on(), command: { type: "StartFencing" }, pen: stage.table.pen } as const;
  must(await stage.table.send(sent));
  troubled.fail("disk-full");
  const halt = await stage.table.command(on(), { type: "CallHalt" });
  expect(refusedAs(halt)).toBe("read-only");
  expect(must(await stage.table.send(sent)).repeated).toBe(true);
});
