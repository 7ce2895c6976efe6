/** A hall to shoot at: a bout that is halted, one that has ended, and a seat of every kind; and all that must not change. */
import type { ServerOptions } from "../../../table-ui/server/start.ts";
import { LIMITS } from "../../../table-ui/server/limits.ts";
import {
  newId,
  hit,
  must,
  openTestHall,
  setTheStage,
  type Device,
  type Stage,
  type TestHall,
} from "../../table-ui/server/hall.ts";
import type { From, Target } from "./messages.ts";
import { RawSeat } from "./raw.ts";

/** No bucket empties: what is refused is refused for what it says. */
export const NO_COUNTING = { burst: Infinity, patience: Infinity } as const;

export interface Besieged {
  readonly hall: TestHall;
  readonly stage: Stage;
  readonly target: Target;
  /** A device of every seat that speaks by hand. */
  readonly raw: Readonly<Record<From, RawSeat>>;
  close(): Promise<void>;
}

const pathOf = (hall: TestHall, device: Device): string =>
  hall.running.house.seats.pathOf(device.view.seat) ?? "";

/** The table's commands as they were sent, so that they can be sent again. */
async function carryOut(stage: Stage, bout: string): Promise<Target["done"]> {
  const done: (object & { id: string })[] = [];
  const give = async (command: object): Promise<void> => {
    const sent = { id: newId(), on: { bout }, pen: stage.table.pen, command };
    must(await stage.table.send(sent));
    done.push(sent);
  };
  await give({ type: "StartFencing" });
  await give({ type: "CallHalt" });
  await give({ type: "RecordExchange", exchange: "x1", record: hit("red") });
  return done;
}

/** Ends the stage's bout and calls the next one to the ring. */
async function endAndCallNext({ coach, running }: TestHall, stage: Stage): Promise<string> {
  const { red, blue, bout: first } = stage;
  const bout = "bout-two";
  const ruleSet = running.house.streams.bout(first)?.bout.ruleSet ?? "";
  must(await stage.table.command({ bout: first }, { type: "Stop", why: "the end" }));
  must(await stage.table.command("meet", { type: "ClearRing", ring: "r1" }));
  must(await coach.command("meet", { type: "PlanBout", bout, ring: "r1", red, blue, ruleSet }));
  must(await coach.coach({ ask: "call bout", bout }));
  return bout;
}

export async function besiege(options: Partial<ServerOptions> = {}): Promise<Besieged> {
  const hall = await openTestHall({ limits: { ...LIMITS, ...NO_COUNTING }, ...options });
  const stage = await setTheStage(hall);
  const ended = stage.bout;
  const bout = await endAndCallNext(hall, stage);
  const done = await carryOut(stage, bout);
  const { table, redSeat, wall, judges } = stage;
  const [judge] = judges;
  if (judge === undefined || table.pen === undefined)
    throw new Error("nobody judges, or nobody holds the pen");
  const sit = (device: Device): Promise<RawSeat> => RawSeat.sit(hall.url, pathOf(hall, device));
  const raw = {
    coach: await RawSeat.sit(hall.url, hall.running.coachPath),
    table: await sit(table as unknown as Device),
    judge: await sit(judge as unknown as Device),
    fencer: await sit(redSeat as unknown as Device),
    wall: await sit(wall as unknown as Device),
  };
  return {
    hall,
    stage,
    target: { bout, ended, pen: table.pen, done },
    raw,
    async close() {
      for (const seat of Object.values(raw)) seat.leave();
      await hall.close();
    },
  };
}

/** All that hostile messages must leave as it was: every stream, the tables beside them, and what every seat sees. */
export async function everything({ hall, stage }: Besieged): Promise<string> {
  const { ledger, coach } = hall;
  const streams = await ledger.streams();
  const devices: readonly Device[] = [
    coach,
    stage.table,
    stage.redSeat,
    stage.blueSeat,
    stage.wall,
    ...stage.judges,
  ].map((device) => device as unknown as Device);
  const shown = await Promise.all(devices.map((device) => device.ask("view", {})));
  return JSON.stringify(
    {
      streams: await Promise.all(streams.map(async ({ stream }) => [stream, await ledger.read(stream)])),
      people: await ledger.people(),
      seats: await ledger.seats(),
      ruleSets: await ledger.ruleSets(),
      shown,
    },
    // No news: the time of drawing, how often was drawn, and the coach's status, which counts what was refused.
    (key, value: unknown) =>
      key === "status" || key === "v" || (key === "at" && typeof value === "number") ? 0 : value,
  );
}
