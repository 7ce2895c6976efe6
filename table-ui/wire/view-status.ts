/** How the evening is being run, as the coach's page shows it: facts and times only; words and ages are made where they are read. */
import type { Millis } from "../../engine/index.ts";

/** The kinds of seats, in the order in which their screens are told of. */
export const SCREENS = ["table", "judge", "wall", "fencer", "coach"] as const;
export type Screen = (typeof SCREENS)[number];

/** Whether somebody sits in a seat. "not yet": nobody has since the server was started. */
export type Connection =
  | { readonly is: "here" }
  | { readonly is: "lost"; readonly since: Millis }
  | { readonly is: "not yet" }
  | { readonly is: "no seat" };

export interface RingStatus {
  readonly name: string;
  /** A bout is on it that has not ended. */
  readonly bout: boolean;
  /** The table that was heard last, where there are several. */
  readonly table: Connection;
  /** Some device holds the ring's pen. */
  readonly pen: boolean;
  /** What the table's tablet said last of the presses that wait on it. */
  readonly outbox?: { readonly waiting: number; readonly since?: Millis };
  /** Seats of judges and of the referee, by id. */
  readonly judges: Readonly<Record<string, { readonly title: string; readonly at: Connection }>>;
}

export interface StatusOnView {
  /** Server time of the start. */
  readonly startedAt: Millis;
  readonly version?: string;
  /** Server time when this process last wrote to the ledger; missing before. */
  readonly lastWrite?: Millis;
  /** The slowest of the last minute, from a press to another screen that shows it, milliseconds; missing where none was reported. */
  readonly slowestMs?: number;
  /** By kind of seat: seats that somebody sits in, and seats that are issued. */
  readonly screens: Readonly<Record<Screen, { readonly here: number; readonly seats: number }>>;
  /** Walls that were here and are not any more, by seat. */
  readonly lostWalls: Readonly<Record<string, Millis>>;
  readonly rings: Readonly<Record<string, RingStatus>>;
  readonly ledger: {
    readonly driver: string;
    /** The data folder's own name; missing where the ledger is no file. */
    readonly folder?: string;
    readonly bytes?: number;
    readonly freeBytes?: number;
    /** Server time of the last backup that this process made; missing before. */
    readonly lastBackup?: Millis;
  };
  /** Rule sets that this version cannot read. */
  readonly unread: number;
}
