/** What the check of a ledger says: one difference at a time, in plain sentences. */

/** One thing that is not as it must be. */
export interface Difference {
  /** A stream ("bout/...", "meet"), "people", "seats", "rule sets" or "file". */
  readonly where: string;
  /** The event of the stream that it is about; missing: all of it. */
  readonly version?: number;
  /** What was found. */
  readonly sentence: string;
  /** What to do about it. */
  readonly cure: string;
}

/** The cures, each a sentence for whoever keeps the evening. */
export const CURES = {
  goBack:
    "Keep this file aside as it is, and go on from the latest sound backup: garland restore FILE --replace.",
  goBackOrKeep:
    "Compare it with a sound backup; if nobody can explain it, go on from that backup: garland restore FILE --replace.",
  otherVersion: "Open it with the version of Garland that wrote it, or with a newer one.",
  askReferee:
    "Look at the bout with its referee: what was recorded stands, and a correction puts the figures right.",
  drawAgain: "Ask those who saw the draw; a correction can set the value that was drawn.",
  restart: "Start Garland once on this ledger: it settles what was left open, then verify again.",
} as const;
