/** Who is connected, seat by seat. */
import type { Millis, SeatsHeld, Source } from "../../engine/index.ts";
import type { StoredSeat } from "../../engine/ledger/open.ts";
import type { HeldJudge } from "../wire/hall.ts";

/** A judge whose phone slept or changed its Wi-Fi is still at the ring this long. */
const STILL_THERE_MS = 120_000;

export interface Presence {
  came(seat: string): void;
  left(seat: string): void;
  /** Devices in each seat of this process. */
  own(): Readonly<Record<string, number>>;
  /** What another process says of itself; true if that is news. */
  elsewhere(process: string, seats: Readonly<Record<string, number>>): boolean;
  /** Forgets processes that have said nothing for long; true if there were any. */
  forgetSilent(): boolean;
  connected(seat: string): number;
  /** Server time when the last device of a seat left; undefined where none has since the start. */
  leftAt(seat: string): Millis | undefined;
  total(): number;
  /** Judges at a ring: connected, or gone only just now. */
  judges(ring: string): readonly HeldJudge[];
  /** The same as the engine asks it. */
  held(ring: string): SeatsHeld;
}

/** A process that has said nothing for so long has ended; its devices come to another one. */
const SILENT_MS = 15_000;

interface Elsewhere {
  readonly seats: Readonly<Record<string, number>>;
  readonly at: Millis;
}

export function openPresence(seats: () => readonly StoredSeat[], now: () => Millis): Presence {
  const counts = new Map<string, number>();
  const others = new Map<string, Elsewhere>();
  const leftAt = new Map<string, Millis>();

  const connected = (seat: string): number => {
    let sum = counts.get(seat) ?? 0;
    for (const other of others.values()) sum += other.seats[seat] ?? 0;
    return sum;
  };
  const sumOf = (all: Iterable<number>): number => [...all].reduce((sum, count) => sum + count, 0);
  const isHere = (seat: string): boolean =>
    connected(seat) > 0 || now() - (leftAt.get(seat) ?? -Infinity) < STILL_THERE_MS;
  const judges = (ring: string): readonly HeldJudge[] =>
    seats()
      .filter((seat) => seat.kind === "judge" && seat.ring === ring && !seat.revoked && isHere(seat.id))
      .map((seat) => ({ seat: seat.id, judge: seat.judge ?? 1, referee: seat.referee === true }));

  return {
    came(seat) {
      counts.set(seat, (counts.get(seat) ?? 0) + 1);
    },
    left(seat) {
      const rest = (counts.get(seat) ?? 1) - 1;
      if (rest > 0) counts.set(seat, rest);
      else {
        counts.delete(seat);
        leftAt.set(seat, now());
      }
    },
    own: () => Object.fromEntries(counts),
    elsewhere(process, said) {
      const before = others.get(process)?.seats ?? {};
      others.set(process, { seats: said, at: now() });
      const gone = Object.keys(before).filter((seat) => (said[seat] ?? 0) === 0);
      for (const seat of gone) leftAt.set(seat, now());
      return gone.length > 0 || Object.entries(said).some(([seat, count]) => before[seat] !== count);
    },
    forgetSilent() {
      const silent = [...others].filter(([, { at }]) => now() - at > SILENT_MS);
      for (const [process, { seats: had, at }] of silent) {
        others.delete(process);
        for (const seat of Object.keys(had)) leftAt.set(seat, at);
      }
      return silent.length > 0;
    },
    connected,
    leftAt: (seat) => leftAt.get(seat),
    total: () =>
      sumOf(counts.values()) + sumOf([...others.values()].flatMap((each) => Object.values(each.seats))),
    judges,
    held(ring) {
      const there = judges(ring);
      const present = there
        .filter(({ referee }) => !referee)
        .map(({ seat, judge }): Source => ({ seat, kind: "judge", judge }));
      return { referee: there.some(({ referee }) => referee), judges: present };
    },
  };
}
