/** The coach's status in plain words. Ages are reckoned from `now`, server time, so that no patch is needed to let them grow. */
import type { Millis } from "../../engine/index.ts";
import type { StandingOnView } from "./standing.ts";
import { SCREENS, type Connection, type RingStatus, type Screen, type StatusOnView } from "./view-status.ts";

/** One thing that is wrong, and one sentence on what to do about it. */
export interface TroubleTold {
  readonly id: string;
  /** Something is lost, or will be, unless somebody acts. */
  readonly grave: boolean;
  readonly what: string;
  readonly cure: string;
}

export interface Looked {
  readonly status: StatusOnView;
  readonly standing?: StandingOnView | undefined;
  /** Server time since when the page itself is out of the server's reach: then all of it is old. */
  readonly away?: Millis | undefined;
  readonly now: Millis;
}

const SECOND = 1_000;
const MINUTE = 60 * SECOND;
const HOUR = 60 * MINUTE;

/** A line that breaks off comes back by itself within seconds; only then is it worth a word. */
const TABLE_LOST_MS = 15 * SECOND;
/** Judges' phones sleep between exchanges; so long the hall counts them as there (W6). */
const JUDGE_LOST_MS = 2 * MINUTE;
const WALL_LOST_MS = MINUTE;
const OUTBOX_LATE_MS = 10 * SECOND;
const SLOW_MS = 2 * SECOND;
const MEGABYTE = 1_000_000;
const LITTLE_ROOM = 500 * MEGABYTE;

const counted = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;

/** "40 seconds", "3 minutes", "2 hours". */
export function lasting(ms: Millis): string {
  if (ms < 2 * MINUTE) return counted(Math.max(1, Math.floor(ms / SECOND)), "second");
  if (ms < 2 * HOUR) return counted(Math.floor(ms / MINUTE), "minute");
  return counted(Math.floor(ms / HOUR), "hour");
}

/** "just now", "3 s ago", "4 min ago", "2 h ago". */
export function ago(at: Millis, now: Millis): string {
  const ms = now - at;
  if (ms < 2 * SECOND) return "just now";
  if (ms < 2 * MINUTE) return `${Math.floor(ms / SECOND)} s ago`;
  return ms < 2 * HOUR ? `${Math.floor(ms / MINUTE)} min ago` : `${Math.floor(ms / HOUR)} h ago`;
}

/** "480 KB", "2.4 MB", "31 GB". */
export function size(bytes: number): string {
  if (bytes < MEGABYTE) return `${Math.ceil(bytes / 1_000)} KB`;
  if (bytes < 1_000 * MEGABYTE) return `${(bytes / MEGABYTE).toFixed(bytes < 10 * MEGABYTE ? 1 : 0)} MB`;
  return `${(bytes / (1_000 * MEGABYTE)).toFixed(bytes < 10_000 * MEGABYTE ? 1 : 0)} GB`;
}

const seconds = (ms: number): string => `${(ms / SECOND).toFixed(1)} s`;

const lostFor = (at: Connection, now: Millis): number => (at.is === "lost" ? now - at.since : 0);

const KEEPS = "It keeps what is scored on it, and sends it when it is back.";

function tableTrouble(ring: string, { name, bout, table, outbox }: RingStatus, now: Millis): TroubleTold[] {
  if (table.is === "lost" && now - table.since >= TABLE_LOST_MS && (bout || (outbox?.waiting ?? 0) > 0)) {
    return [
      {
        id: `table ${ring}`,
        grave: true,
        what: `${name}'s tablet has not been heard for ${lasting(now - table.since)}.`,
        cure: `Look whether it sleeps, is out of power or has left the Wi-Fi. ${KEEPS}`,
      },
    ];
  }
  if (table.is !== "not yet" || !bout) return [];
  return [
    {
      id: `table ${ring}`,
      grave: false,
      what: `${name} has a bout, and its table's page is not open.`,
      cure: "Open the table's link on its tablet; you find it under Seats.",
    },
  ];
}

function outboxTrouble(ring: string, { name, table, outbox }: RingStatus, now: Millis): TroubleTold[] {
  if (table.is !== "here" || outbox?.since === undefined || now - outbox.since < OUTBOX_LATE_MS) return [];
  const wait = outbox.waiting === 1 ? "1 press waits" : `${outbox.waiting} presses wait`;
  return [
    {
      id: `outbox ${ring}`,
      grave: false,
      what: `${wait} on ${name}'s tablet, the first for ${lasting(now - outbox.since)}.`,
      cure: "The tablet sends them by itself. If the number does not fall, see whether another device has the ring's pen.",
    },
  ];
}

const judgeTroubles = ({ bout, judges }: RingStatus, now: Millis): TroubleTold[] =>
  Object.entries(judges).flatMap(([seat, { title, at }]) =>
    bout && lostFor(at, now) >= JUDGE_LOST_MS
      ? [
          {
            id: `judge ${seat}`,
            grave: false,
            what: `${title} has not been heard for ${lasting(lostFor(at, now))}.`,
            cure: "Ask whether the phone sleeps. Votes are counted without this seat until it is back.",
          },
        ]
      : [],
  );

const wallTroubles = ({ lostWalls }: StatusOnView, now: Millis): TroubleTold[] =>
  Object.entries(lostWalls).flatMap(([seat, since]) =>
    now - since >= WALL_LOST_MS
      ? [
          {
            id: `wall ${seat}`,
            grave: false,
            what: `A wall has not been heard for ${lasting(now - since)}.`,
            cure: "Look whether its screen is on and in the Wi-Fi; reload its page.",
          },
        ]
      : [],
  );

function serverTroubles({ slowestMs, ledger, unread }: StatusOnView): TroubleTold[] {
  const found: TroubleTold[] = [];
  if (ledger.freeBytes !== undefined && ledger.freeBytes < LITTLE_ROOM) {
    found.push({
      id: "room",
      grave: true,
      what: `Only ${size(ledger.freeBytes)} are free on the server's disk.`,
      cure: "Free some room now: when the disk is full, nothing more is recorded.",
    });
  }
  if (slowestMs !== undefined && slowestMs > SLOW_MS) {
    found.push({
      id: "slow",
      grave: false,
      what: `Screens follow as late as ${seconds(slowestMs)} after a press.`,
      cure: "Bring the router nearer to the rings, and take devices off the Wi-Fi that nobody needs. What is scored is safe.",
    });
  }
  if (unread > 0) {
    found.push({
      id: "unread",
      grave: false,
      what: `${counted(unread, "rule set")} cannot be read by this version of Garland, so ${unread === 1 ? "its" : "their"} bouts are not shown.`,
      cure: "Start the Garland that wrote them over the same data folder. Nothing of them is lost.",
    });
  }
  return found;
}

const outOfReach = (since: Millis, now: Millis): TroubleTold => ({
  id: "reach",
  grave: true,
  what: `This page has not heard from the server for ${lasting(now - since)}.`,
  cure: "See that this device is in the Wi-Fi and that Garland runs. The tables score on meanwhile and send theirs afterwards.",
});

/** Everything that somebody should look at, the grave first. */
export function troublesIn({ status, standing, away, now }: Looked): readonly TroubleTold[] {
  // What was heard before may have changed since: nobody is sent to look after it.
  if (away !== undefined) return [outOfReach(away, now)];
  const rings = Object.entries(status.rings);
  const ledger: TroubleTold[] = standing
    ? [
        {
          id: "ledger",
          grave: true,
          what: `Nothing has been recorded for ${lasting(now - standing.since)}.`,
          cure: standing.sentence,
        },
      ]
    : [];
  const found = [
    ...ledger,
    ...rings.flatMap(([ring, each]) => tableTrouble(ring, each, now)),
    ...rings.flatMap(([ring, each]) => outboxTrouble(ring, each, now)),
    ...serverTroubles(status),
    ...rings.flatMap(([, each]) => judgeTroubles(each, now)),
    ...wallTroubles(status, now),
  ];
  return found.toSorted((a, b) => Number(b.grave) - Number(a.grave));
}

/** The first thing that the coach reads. */
export function summary({ status, standing, away, now }: Looked): string {
  if (away !== undefined) return "The server is out of reach. Below is how it was.";
  if (standing !== undefined) return "Nothing is recorded just now.";
  const { lastWrite } = status;
  const written =
    lastWrite === undefined ? "Nothing written since the start." : `Last write ${ago(lastWrite, now)}.`;
  return `Everything is recorded. ${written}`;
}

/** How the screens keep up. */
export const pace = ({ slowestMs }: StatusOnView): string =>
  slowestMs === undefined
    ? "No screen has told of a press in the last minute."
    : `Screens follow within ${seconds(slowestMs)}.`;

const connectionWords = (at: Connection, now: Millis): string => {
  switch (at.is) {
    case "here":
      return "connected";
    case "lost":
      return `not heard for ${lasting(now - at.since)}`;
    case "not yet":
      return "page not open";
    case "no seat":
      return "no link issued";
  }
};

export interface RingTold {
  readonly name: string;
  readonly rows: readonly (readonly [what: string, how: string])[];
}

function outboxWords({ outbox, table }: RingStatus, now: Millis): string {
  if (outbox === undefined) return "not told yet";
  const { waiting, since } = outbox;
  const then = table.is === "here" ? "" : " when it was last heard";
  if (waiting === 0) return `none${then}`;
  return `${waiting}${then}${since === undefined ? "" : `, the first for ${lasting(now - since)}`}`;
}

function judgesWords({ judges }: RingStatus): string {
  const all = Object.values(judges);
  const here = all.filter(({ at }) => at.is === "here").length;
  return all.length === 0 ? "none" : `${here} of ${all.length} connected`;
}

/** A ring's devices, row by row. */
export function ringTold(ring: RingStatus, now: Millis): RingTold {
  return {
    name: ring.name,
    rows: [
      ["Table", connectionWords(ring.table, now)],
      ["Pen", ring.pen ? "held" : "free"],
      ["Presses that wait", outboxWords(ring, now)],
      ["Judges", judgesWords(ring)],
    ],
  };
}

const NAMES: Readonly<Record<Screen, string>> = {
  table: "Tables",
  judge: "Judges",
  wall: "Walls",
  fencer: "Fencers",
  coach: "Coach",
};

/** Seats that somebody sits in, of those with a link. */
export const screensTold = ({ screens }: StatusOnView): RingTold["rows"] =>
  SCREENS.map((kind) => [NAMES[kind], `${screens[kind].here} of ${screens[kind].seats}`] as const);

/** Where the evening lies and what serves it. */
export function serverTold({ ledger, version, startedAt }: StatusOnView, now: Millis): RingTold["rows"] {
  const { driver, folder, bytes, freeBytes, lastBackup } = ledger;
  const rows: (readonly [string, string] | undefined)[] = [
    folder === undefined ? ["Ledger", driver] : ["Ledger", `in the folder ${folder}`],
    bytes === undefined ? undefined : ["Its size", size(bytes)],
    freeBytes === undefined ? undefined : ["Free on its disk", size(freeBytes)],
    ["Last backup", lastBackup === undefined ? "none since the start" : ago(lastBackup, now)],
    ["Running for", lasting(now - startedAt)],
    version === undefined ? undefined : ["Version", version],
  ];
  return rows.filter((row) => row !== undefined);
}
