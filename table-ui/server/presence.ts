/** Who is connected, seat by seat. */
import type { Millis, SeatsHeld, Source } from "../../engine/index.ts";
import type { StoredSeat } from "../../engine/ledger/open.ts";
import type { HeldJudge } from "../wire/hall.ts";

/** A judge whose phone slept or changed its Wi-Fi is still at the ring this long. */
const STILL_THERE_MS = 120_000;

export interface Presence {
  came(seat: string): void;
  left(seat: string): void;
  connected(seat: string): number;
  total(): number;
  /** Judges at a ring: connected, or gone only just now. */
  judges(ring: string): readonly HeldJudge[];
  /** The same as the engine asks it. */
  held(ring: string): SeatsHeld;
}

export function openPresence(seats: () => readonly StoredSeat[], now: () => Millis): Presence {
  const counts = new Map<string, number>();
  const leftAt = new Map<string, Millis>();

  const isHere = (seat: string): boolean =>
    (counts.get(seat) ?? 0) > 0 || now() - (leftAt.get(seat) ?? -Infinity) < STILL_THERE_MS;
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
    connected: (seat) => counts.get(seat) ?? 0,
    total: () => [...counts.values()].reduce((sum, count) => sum + count, 0),
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
