/** The server of the simulated evening: its clock runs as much faster as it is told, and it answers what the test asks. */
import { monitorEventLoopDelay } from "node:perf_hooks";
import { join } from "node:path";
import { foldBout, type Bout } from "../../engine/index.ts";
import { openLedger } from "../../engine/ledger/open.ts";
import { openEarlier } from "../../table-ui/server/earlier.ts";
import { sittingIn } from "../../table-ui/server/seats.ts";
import { startServer } from "../../table-ui/server/start.ts";
import { openStreams } from "../../table-ui/server/streams.ts";
import type { View } from "../../table-ui/wire/views.ts";
import { viewFor } from "../../table-ui/wire/view.ts";
import { answerParent, usage, type Usage } from "../support/child.ts";
import { plainPages } from "../table-ui/server/hall.ts";

/** How the evening's time runs: this many times faster, from this server time at this wall time. */
export interface Pace {
  readonly times: number;
  readonly from: number;
  readonly wall: number;
}

export interface EveningAsked {
  readonly dir: string;
  readonly port: number;
  readonly pace: Pace;
}

/** What the server holds and how it fares. */
export interface Health extends Usage {
  readonly bouts: number;
}

/** Milliseconds that the event loop was late since the last question: 99th percentile, and at the worst. */
export interface Lateness {
  readonly p99: number;
  readonly max: number;
}

async function open({ dir, port, pace }: EveningAsked) {
  const now = (): number => Math.round(pace.from + (Date.now() - pace.wall) * pace.times);
  const ledger = await openLedger({ dir });
  const running = await startServer({
    ledger,
    pages: plainPages,
    port,
    now,
    secretFile: join(dir, "coach.seat"),
    houseFile: join(dir, "house.secret"),
    log: { level: "error" },
  });
  return { ledger, running, now };
}
let opened: Awaited<ReturnType<typeof open>> | undefined;

function evening(): Awaited<ReturnType<typeof open>> {
  if (opened === undefined) throw new Error("the evening is not open yet");
  return opened;
}

/** Everything folded anew from what the ledger holds. */
const fresh = () => {
  const { ledger, running } = evening();
  return openStreams(ledger, running.house.shelf.scorers, async () => undefined);
};

/** The view of each of these seats as the ledger's events give it now, whatever the server has drawn before. */
async function freshViews(seats: readonly string[]): Promise<Record<string, View>> {
  const { house } = evening().running;
  const streams = await fresh();
  const earlier = openEarlier(streams, house.shelf);
  const hall = { ...house.hall(), meet: streams.meet, since: streams.since, bout: streams.bout, earlier };
  return Object.fromEntries(
    seats.flatMap((id): [string, View][] => {
      const seat = house.seats.get(id);
      const sitting = seat && sittingIn(seat);
      return sitting === undefined ? [] : [[id, viewFor(hall, sitting)]];
    }),
  );
}

/** Bouts whose state in memory is another than a fold of their whole stream: their ids; and how many were compared. */
async function replay(): Promise<{ differ: readonly string[]; bouts: number; exchanges: number }> {
  const { ledger, running } = evening();
  const { bouts, meet } = running.house.streams;
  const differ: string[] = [];
  let exchanges = 0;
  for (const { bout } of bouts()) {
    const stored = await ledger.read(`bout/${bout.id}`);
    const events = stored.map(({ version, data }) => ({ version, data: data as never }));
    const again: Bout | undefined = foldBout(events, running.house.shelf.scorers);
    exchanges += bout.exchanges.length;
    const same = JSON.stringify(again?.tally) === JSON.stringify(bout.tally) && again?.stage === bout.stage;
    if (!same) differ.push(bout.id);
  }
  return { differ, bouts: meet.called.length, exchanges };
}

const late = monitorEventLoopDelay({ resolution: 10 });
late.enable();

function lateness(): Lateness {
  const found = { p99: late.percentile(99) / 1e6, max: late.max / 1e6 };
  late.reset();
  return found;
}

const health = (): Health => ({
  ...usage(true),
  bouts: evening().running.house.streams.meet.called.length,
});

const words = {
  async open(asked: EveningAsked) {
    opened = await open(asked);
    return { url: opened.running.url, coachPath: opened.running.coachPath };
  },
  now: () => evening().now(),
  "fresh views": freshViews,
  replay,
  health,
  lateness,
  integrity: () => evening().ledger.integrity(),
};
answerParent(words, async () => {
  await opened?.running.stop();
  await opened?.ledger.close();
});
