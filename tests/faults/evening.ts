/** An evening in a real server process: bouts to send to, somebody in every kind of seat, and what was said `ok`. */
import { expect } from "vitest";
import type { BoutCommand } from "../../engine/index.ts";
import type { Answered } from "../../table-ui/wire/messages.ts";
import type { CoachView, View } from "../../table-ui/wire/views.ts";
import type { Serving } from "../support/serving.ts";
import { Device, eventually, must, newId } from "../table-ui/server/hall.ts";

/** Bouts on rings of their own, each halted after its first "Fence!": a clock can be set and an exchange recorded. */
export async function callBouts(coach: Device<CoachView>, count: number): Promise<readonly string[]> {
  const { meet, people } = await coach.until((view) => view.meet.called.length === 5);
  const fencing = meet.rings.flatMap(({ bout }) => meet.called.filter((each) => each.bout === bout));
  const free = Object.keys(people).filter(
    (person) => !fencing.some(({ red, blue }) => red === person || blue === person),
  );
  const bouts = Array.from({ length: count }, (_, n) => `bout-${n}`);
  for (const [n, bout] of bouts.entries()) {
    const ring = `fault-ring-${n}`;
    const [red = "", blue = ""] = free.slice(2 * n);
    const ruleSet = meet.shelf[0]?.ruleSet ?? "";
    must(await coach.command("meet", { type: "AddRing", ring, name: `Ring ${n + 3}` }));
    must(await coach.command("meet", { type: "PlanBout", bout, ring, red, blue, ruleSet }));
    must(await coach.coach({ ask: "call bout", bout }));
    for (const type of ["StartFencing", "CallHalt"] as const) must(await coach.command({ bout }, { type }));
  }
  return bouts;
}

export interface Asked {
  readonly id: string;
  readonly on: { readonly bout: string };
  readonly command: BoutCommand;
}

export interface Evening {
  readonly coach: Device<CoachView>;
  /** One device in each kind of seat. */
  readonly screens: readonly Device[];
  readonly bouts: readonly string[];
  readonly acknowledged: Map<string, { readonly bout: string; readonly version: number }>;
  /** Refused as `read-only`: to be sent again. */
  readonly kept: Asked[];
  /** Sends one more command, to each bout in turn. */
  sendOne(): Promise<Answered>;
  /** Sends until something is refused; fails where nothing ever is. */
  sendUntilRefused(): Promise<void>;
  /** Sends what was refused again, in order; every one of them must be taken in now. */
  sendKept(): Promise<void>;
  /** Every screen comes to show that the ledger stands so. */
  allShow(state: string): Promise<void>;
  leave(): void;
}

/** Far more than fit on the disks of these tests. */
const ENOUGH = 6_000;

/** `before`: the same evening before a restart, which goes on. */
export async function openEvening({ url, coachPath }: Serving, before?: Evening): Promise<Evening> {
  const coach = new Device<CoachView>(url, coachPath);
  const bouts = before?.bouts ?? (await callBouts(coach, 2));
  await coach.until(({ meet }) => meet.called.length > 0);
  const seats = Object.values(coach.view.seats);
  const screens: Device[] = [coach as unknown as Device];
  for (const kind of ["table", "judge", "fencer", "wall"])
    screens.push(new Device<View>(url, seats.find((seat) => seat.kind === kind)?.path ?? ""));
  await eventually(() => screens.every(({ v }) => v > 0));
  const acknowledged = before?.acknowledged ?? new Map<string, { bout: string; version: number }>();
  const kept = before?.kept ?? [];
  let count = acknowledged.size + kept.length;

  async function send(asked: Asked): Promise<Answered> {
    const answer = await coach.send(asked);
    if (answer.ok) acknowledged.set(asked.id, { bout: asked.on.bout, version: answer.version });
    else {
      expect(answer.refusal.refused).toBe("read-only");
      kept.push(asked);
    }
    return answer;
  }

  const sendOne = (): Promise<Answered> => {
    count += 1;
    const on = { bout: bouts[count % bouts.length] ?? "" };
    // No time is set twice, so that each of these is an event.
    return send({ id: newId(), on, command: { type: "SetClock", leftMs: count } });
  };

  return {
    coach,
    screens,
    bouts,
    acknowledged,
    kept,
    sendOne,
    async sendUntilRefused() {
      for (let sent = 0; sent < ENOUGH; sent += 1) if (!(await sendOne()).ok) return;
      throw new Error("nothing was ever refused");
    },
    async sendKept() {
      for (const asked of kept.splice(0)) must(await send(asked));
    },
    async allShow(state) {
      for (const screen of screens)
        await screen.until(({ standing }) => (standing?.state ?? "sound") === state);
    },
    leave: () => screens.forEach(({ socket }) => socket.disconnect()),
  };
}
