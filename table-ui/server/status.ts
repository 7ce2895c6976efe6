/** Looks over the house every few seconds: what the coach's page shows of how the evening is run, and what metrics read. */
import { stat, statfs } from "node:fs/promises";
import { basename, dirname } from "node:path";
import type { Millis } from "../../engine/index.ts";
import { SEAT_KINDS, type Ledger, type SeatKind, type StoredSeat } from "../../engine/ledger/open.ts";
import { sameJson } from "../wire/patch.ts";
import type { Connection, RingStatus, StatusOnView } from "../wire/view-status.ts";
import { seatTitle, type House } from "./house.ts";
import type { Gauged } from "./metrics.ts";
import type { Observer } from "./observer.ts";

/** How often the coach's page may be drawn anew for it. */
const LOOK_MS = 2_000;
/** How often the disk is asked. */
const DISK_MS = 10_000;

/** Sizes are told no finer than this, so that a page is not drawn anew for a few bytes. */
const MEGABYTE = 1_000_000;
const upTo = (step: number, value: number): number => Math.ceil(value / step) * step;
const downTo = (step: number, value: number): number => Math.floor(value / step) * step;

export interface StatusIn {
  readonly house: House;
  readonly observer: Observer;
  readonly version?: string | undefined;
  /** Runs `work` every so many milliseconds until the answer is called. */
  readonly every?: (ms: number, work: () => void) => () => void;
}

export interface Status {
  /** As it was looked over last. */
  onView(): StatusOnView;
  /** Looks over the house now; the coach's page hears of it if anything is different. */
  look(): void;
  /** Asks the disk how much there is and how much is left; then looks. */
  askDisk(): Promise<void>;
  close(): void;
}

const everySo = (ms: number, work: () => void): (() => void) => {
  const timer = setInterval(work, ms);
  timer.unref();
  return () => clearInterval(timer);
};

interface Disk {
  readonly bytes?: number;
  readonly freeBytes?: number;
}

/** The file is never opened here: closing a second handle of it would let go the lock that its ledger holds. */
async function diskOf(file: string): Promise<Disk> {
  const sizes = await Promise.all(
    [file, `${file}-wal`].map((path) =>
      stat(path).then(
        (found) => found.size,
        () => 0,
      ),
    ),
  );
  const { bavail, bsize } = await statfs(dirname(file));
  return {
    bytes: upTo(
      MEGABYTE / 10,
      sizes.reduce((sum, each) => sum + each, 0),
    ),
    freeBytes: downTo(100 * MEGABYTE, bavail * bsize),
  };
}

const fileOf = (ledger: Ledger): string | undefined =>
  "file" in ledger && typeof ledger.file === "string" ? ledger.file : undefined;

const NO_SEAT: Connection = { is: "no seat" };
const ORDER: readonly Connection["is"][] = ["here", "lost", "not yet", "no seat"];

/** Of several devices the one that is best known: here, else the one that was lost last. */
function best(all: readonly Connection[]): Connection {
  return all.reduce((one, other) => {
    const closer = ORDER.indexOf(one.is) - ORDER.indexOf(other.is);
    if (closer !== 0) return closer < 0 ? one : other;
    return one.is === "lost" && other.is === "lost" && other.since > one.since ? other : one;
  }, NO_SEAT);
}

export function openStatus({ house, observer, version, every = everySo }: StatusIn): Status {
  const { ledger, seats, presence, streams, shelf, now } = house;
  const startedAt: Millis = now();
  const file = fileOf(ledger);
  let disk: Disk = {};

  const connection = ({ id }: StoredSeat): Connection => {
    if (presence.connected(id) > 0) return { is: "here" };
    const since = presence.leftAt(id);
    return since === undefined ? { is: "not yet" } : { is: "lost", since };
  };

  function screensOf(issued: readonly StoredSeat[]): StatusOnView["screens"] {
    const kinds = SEAT_KINDS.map((kind) => {
      const own = issued.filter((seat) => seat.kind === kind);
      const here = own.filter(({ id }) => presence.connected(id) > 0).length;
      return [kind, { here, seats: own.length }] as const;
    });
    return Object.fromEntries(kinds) as StatusOnView["screens"];
  }

  /** Where a ring has several tables, the one that spoke last. */
  function outboxOf(own: readonly StoredSeat[]): RingStatus["outbox"] {
    const said = own.flatMap(({ id }) => observer.outbox(id) ?? []);
    const latest = said.toSorted((a, b) => b.saidAt - a.saidAt)[0];
    if (latest === undefined) return undefined;
    const { waiting, since } = latest;
    return { waiting, ...(since === undefined ? {} : { since }) };
  }

  function ringsOf(issued: readonly StoredSeat[]): StatusOnView["rings"] {
    const rings = streams.meet.rings.map((ring) => {
      const own = issued.filter((seat) => seat.ring === ring.id);
      const tables = own.filter(({ kind }) => kind === "table");
      const judges = own.filter(({ kind }) => kind === "judge");
      const bout = ring.bout === undefined ? undefined : streams.bout(ring.bout)?.bout;
      const outbox = outboxOf(own);
      const told: RingStatus = {
        name: ring.name,
        bout: bout !== undefined && bout.stage !== "ended",
        table: best(tables.map(connection)),
        pen: ring.pen !== undefined,
        judges: Object.fromEntries(
          judges.map((seat) => [seat.id, { title: seatTitle(seat, house), at: connection(seat) }]),
        ),
        ...(outbox === undefined ? {} : { outbox }),
      };
      return [ring.id, told] as const;
    });
    return Object.fromEntries(rings);
  }

  function lostWalls(issued: readonly StoredSeat[]): StatusOnView["lostWalls"] {
    const walls = issued.filter(({ kind }) => kind === "wall");
    return Object.fromEntries(
      walls.flatMap((seat) => {
        const at = connection(seat);
        return at.is === "lost" ? [[seat.id, at.since] as const] : [];
      }),
    );
  }

  function facts(): StatusOnView {
    const issued = seats.all().filter(({ revoked }) => !revoked);
    const lastWrite = observer.lastWrite();
    const lastBackup = observer.lastBackup();
    const slowest = observer.presses.slowest();
    return {
      startedAt,
      ...(version === undefined ? {} : { version }),
      ...(lastWrite === undefined ? {} : { lastWrite }),
      ...(slowest === undefined ? {} : { slowestMs: Math.max(100, upTo(100, slowest)) }),
      screens: screensOf(issued),
      lostWalls: lostWalls(issued),
      rings: ringsOf(issued),
      ledger: {
        driver: ledger.driver,
        ...(file === undefined ? {} : { folder: basename(dirname(file)) }),
        ...disk,
        ...(lastBackup === undefined ? {} : { lastBackup }),
      },
      unread: shelf.unread.length,
    };
  }

  let seen = facts();
  function look(): void {
    const next = facts();
    if (sameJson(seen, next)) return;
    seen = next;
    house.changed("status");
  }
  async function askDisk(): Promise<void> {
    if (file === undefined) return;
    // A disk that cannot be asked is not shown; whether it can be written to is the standing's matter.
    disk = await diskOf(file).catch(() => ({}));
    look();
  }

  void askDisk();
  const stops = [every(LOOK_MS, look), every(DISK_MS, () => void askDisk())];
  return { onView: () => seen, look, askDisk, close: () => stops.forEach((stop) => stop()) };
}

/** What the metrics read at the moment of asking. */
export function gaugesOf(house: House, observer: Observer, rooms: number, version: string): Gauged {
  const { streams, seats, presence } = house;
  const connected = Object.fromEntries(SEAT_KINDS.map((kind) => [kind, 0])) as Record<SeatKind, number>;
  for (const [seat, count] of Object.entries(presence.own())) {
    const kind = seats.get(seat)?.kind;
    if (kind !== undefined) connected[kind] += count;
  }
  const outboxes = streams.meet.rings.flatMap(({ id }, at) => {
    const atRing = seats.all().filter((seat) => seat.ring === id && !seat.revoked);
    const said = atRing.flatMap((seat) => observer.outbox(seat.id) ?? []);
    if (said.length === 0) return [];
    const since = Math.min(house.now(), ...said.flatMap((each) => each.since ?? []));
    const presses = said.reduce((sum, { waiting }) => sum + waiting, 0);
    return [{ ring: at + 1, presses, oldestSeconds: (house.now() - since) / 1000 }];
  });
  const events = streams.bouts().reduce((sum, each) => sum + each.events.length, streams.meet.version);
  return {
    version,
    driver: house.ledger.driver,
    connected,
    outboxes,
    rooms,
    standing: house.standing().state,
    unread: house.shelf.unread.length,
    bouts: streams.meet.called.length,
    events,
  };
}
