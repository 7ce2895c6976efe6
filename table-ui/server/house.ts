/** The house of one ledger: streams, rule sets, people, seats and who is here, and the hall that views are drawn from. */
import type { Millis } from "../../engine/index.ts";
import type { Ledger, StoredSeat } from "../../engine/ledger/open.ts";
import type { Hall } from "../wire/hall.ts";
import type { Standing } from "../wire/standing.ts";
import type { SeatOnView } from "../wire/views.ts";
import { openBeside } from "./beside.ts";
import type { Changed } from "./changed.ts";
import { openEarlier } from "./earlier.ts";
import { openBouts, type Bouts } from "./bouts.ts";
import { openFollowing } from "./following.ts";
import { noHints, type OpenHints } from "./hints.ts";
import { openPeople, type People } from "./people.ts";
import { openPresence, type Presence } from "./presence.ts";
import { openProcesses } from "./processes.ts";
import { openQueues, type Queues } from "./queue.ts";
import { openSeeds } from "./seeds.ts";
import { openSecret } from "./secret.ts";
import { openSeats, type Seats } from "./seats.ts";
import { openShelf, type Shelf } from "./shelf.ts";
import { watchLedger, type Timing } from "./standing.ts";
import { MEET, openStreams, type Streams } from "./streams.ts";

export interface House {
  /** Watched: what comes of its calls is the standing. */
  readonly ledger: Ledger;
  readonly standing: () => Standing;
  readonly streams: Streams;
  readonly shelf: Shelf;
  readonly people: People;
  readonly seats: Seats;
  readonly presence: Presence;
  readonly bouts: Bouts;
  readonly queues: Queues;
  readonly now: () => Millis;
  /** The evening as it stands. */
  hall(): Hall;
  /** Hears of every change after it is on disk. */
  onChange(listener: (changed: Changed) => void): void;
  changed(what: Changed): void;
  /** Hears of seats whose old links open nothing any more because another process ended them. */
  onEnded(listener: (seats: readonly string[]) => void): void;
  /**
   * Resolves when memory holds at least all that was committed before the call, by whichever process; rejects where a shared
   * ledger cannot be read. At once where nobody else writes.
   */
  catchUp(): Promise<void>;
  /** Runs what only one process at a time may do. */
  alone<T>(work: () => Promise<T>): Promise<T>;
  /** Ends when nothing is under way any more: no command, no reading. */
  rest(): Promise<void>;
}

/** "Judge 2, Ring 1". */
export function seatTitle(seat: StoredSeat, house: Pick<House, "streams" | "people">): string {
  const ring = house.streams.meet.rings.find(({ id }) => id === seat.ring)?.name ?? seat.ring ?? "";
  switch (seat.kind) {
    case "coach":
      return "Coach";
    case "wall":
      return "Wall";
    case "table":
      return `Table, ${ring}`;
    case "judge":
      return seat.referee === true ? `Referee, ${ring}` : `Judge ${seat.judge ?? 1}, ${ring}`;
    case "fencer":
      return house.people.get(seat.person ?? "")?.name || "A fencer";
  }
}

export interface HouseOptions {
  /** Where the coach's secret is kept between starts (mode 0600). */
  readonly secretFile?: string;
  /** Where the house's own secret is kept between starts (mode 0600); processes of one ledger share it. */
  readonly houseFile?: string;
  readonly now?: () => Millis;
  /** The way to the other processes of a shared ledger. */
  readonly hints?: OpenHints;
  /** Runs its argument every few seconds: how a ledger that is not sound is tried. */
  readonly again?: Timing["again"];
  /** How the evening is being run, as it was looked over last. */
  readonly status?: () => Hall["status"];
}

/** The stream whose turn is taken for what only one process at a time may do; nothing is ever written to it. */
const HOUSE = "house";

/** Opens the house of a ledger. Reads everything once; afterwards memory follows the ledger's commits. */
export async function openHouse(kept: Ledger, options: HouseOptions = {}): Promise<House> {
  const now = options.now ?? Date.now;
  const { secretFile } = options;
  const watch = watchLedger(kept, { now, ...(options.again === undefined ? {} : { again: options.again }) });
  const { ledger } = watch;
  const alone = <T>(work: () => Promise<T>): Promise<T> =>
    ledger.shared ? ledger.inTurn(HOUSE, work) : work();
  const listeners: ((changed: Changed) => void)[] = [];
  const changed = (what: Changed): void => {
    for (const listener of listeners) listener(what);
  };
  const endedListeners: ((seats: readonly string[]) => void)[] = [];

  const known = await ledger.beside();
  const shelf = await openShelf(ledger);
  const people = await openPeople(ledger);
  const secret = openSecret(options.houseFile);
  const seats = await alone(() => openSeats(ledger, { secretFile, secret }));
  const beside = openBeside({
    ledger,
    shelf,
    people,
    seats,
    known,
    told(ended) {
      for (const listener of endedListeners) listener(ended);
      changed("people");
      changed("seats");
    },
  });
  const streams = await openStreams(ledger, shelf.scorers, beside.knowFor);
  const presence = openPresence(seats.all, now);
  const queues = openQueues();
  const following = openFollowing({ ledger, streams, beside, changed });
  const bouts = openBouts({
    ledger,
    streams,
    shelf,
    queues,
    seeds: openSeeds(secret),
    now,
    held: presence.held,
    knowsPerson: (id) => people.get(id)?.erased === false,
    following,
    grew(stream) {
      processes.grew(stream);
      changed(stream);
    },
  });
  const processes = await openProcesses({
    ledger,
    streams,
    presence,
    following,
    changed,
    settle: () => bouts.settle(),
    openHints: options.hints ?? noHints,
  });

  const seatOnView = (seat: StoredSeat): SeatOnView => {
    const { id, kind, revoked } = seat;
    const title = seatTitle(seat, { streams, people });
    const path = seats.pathOf(id);
    const shown = { id, kind, title, connected: presence.connected(id), revoked };
    return path === undefined ? shown : { ...shown, path };
  };
  watch.onChange(({ state }) => {
    changed("standing");
    // What rings share could not be answered meanwhile.
    if (state === "sound") bouts.settle();
  });
  const earlier = openEarlier(streams, shelf);
  let resting = false;
  const reading = streams
    .readOn(() => resting)
    .then(
      () => {
        bouts.settle();
        changed(MEET);
      },
      // What cannot be read now is read, or refused aloud, when somebody asks for it.
      () => undefined,
    );
  return {
    ledger,
    standing: watch.standing,
    streams,
    shelf,
    people,
    seats,
    presence,
    bouts,
    async rest() {
      resting = true;
      watch.stop();
      await reading;
      await queues.idle();
      await processes.close();
    },
    catchUp: following.catchUp,
    alone,
    queues,
    now,
    hall: () => ({
      now: now(),
      since: streams.since,
      meet: streams.meet,
      bout: streams.bout,
      ruleSet: shelf.get,
      scorers: shelf.scorers,
      earlier,
      person: people.get,
      judges: presence.judges,
      seats: () => seats.all().map(seatOnView),
      standing: watch.standing(),
      status: options.status?.(),
    }),
    onChange: (listener) => void listeners.push(listener),
    onEnded: (listener) => void endedListeners.push(listener),
    changed(what) {
      if (what === "people" || what === "seats") processes.wroteBeside();
      if (what === "presence" || what === "judges") processes.presenceChanged();
      changed(what);
    },
  };
}
