/**
 * The socket's messages. The server checks every one at the door (checks.ts); PROTOCOL.md numbers what both sides promise.
 *
 * client -> server (each with an acknowledgement):
 *   "command"  Sent           -> Answered
 *   "coach"    CoachRequest   -> CoachAnswer
 *   "view"     {}             -> Shown          (a fresh view, after a gap)
 *   "time"     TimeAsked      -> { t: number, server: number }   (for the clock's offset)
 * server -> client:
 *   "view"     Shown
 *   "patch"    Patch          (only if `from` is the version that the client holds; else it asks for "view")
 *   "gone"     { why: "revoked" | "closing" }
 */
import type { BoutCommand, MeetCommand, Refusal } from "../../engine/index.ts";
import type { View } from "./views.ts";

export interface Sent {
  /** nanoid(21) made by the device: the idempotency key. */
  readonly id: string;
  /** Which stream: "meet" or a bout's id. */
  readonly on: "meet" | { readonly bout: string };
  readonly pen?: { readonly epoch: number; readonly seq: number };
  /** The device's idea of server time; the server keeps its own for what is sent at once. */
  readonly at?: number;
  readonly command: BoutCommand | MeetCommand;
}

export type Answered =
  | { readonly ok: true; readonly id: string; readonly version: number; readonly repeated?: true }
  | { readonly ok: false; readonly id: string; readonly refusal: Refusal };

/** What only the coach's page asks, beside commands. */
export type CoachRequest =
  | { readonly ask: "read rule set"; readonly text: string }
  | { readonly ask: "save rule set"; readonly text: string }
  | {
      readonly ask: "add fencer";
      readonly name: string;
      readonly shortName: string;
      readonly consents: readonly string[];
    }
  | { readonly ask: "erase fencer"; readonly person: string }
  | {
      readonly ask: "issue seat";
      readonly kind: "table" | "judge" | "fencer" | "wall";
      readonly ring?: string;
      readonly judge?: number;
      readonly referee?: boolean;
      readonly person?: string;
    }
  | { readonly ask: "reissue seat"; readonly seat: string }
  | { readonly ask: "revoke seat"; readonly seat: string }
  /** Calls the planned bout: both streams in one step. */
  | { readonly ask: "call bout"; readonly bout: string }
  /** Scores a sheet under a rule set without a bout: the coach tries it on typical exchanges. */
  | { readonly ask: "try"; readonly text: string; readonly sheet: string };

export interface FaultOnView {
  readonly line: number;
  readonly column: number;
  readonly severity: "fault" | "warning";
  readonly message: string;
  readonly source: string;
}

export type CoachAnswer =
  | {
      readonly ok: true;
      readonly faults?: readonly FaultOnView[];
      readonly explained?: readonly string[];
      readonly hash?: string;
      readonly path?: string;
      readonly id?: string;
      readonly said?: readonly string[];
    }
  | { readonly ok: false; readonly refusal: Refusal; readonly faults?: readonly FaultOnView[] };

/** What a device may tell of itself; only ever shown, and nothing is decided by it. */
export interface Report {
  /** A table's: commands in its outbox. */
  readonly waiting?: number;
  /** How long the first of them has waited, milliseconds. */
  readonly oldest?: number;
  /** The version of the view that was painted last, and when, in server time. */
  readonly shown?: { readonly v: number; readonly at: number };
}

export interface TimeAsked extends Report {
  /** The device's own clock, as it likes; it comes back as it is. */
  readonly t: number;
}

/** A whole view at a version of this seat's own count. */
export interface Shown {
  readonly v: number;
  readonly view: View;
}

/** RFC 7396 merge patch from version `from` to `v`. */
export interface Patch {
  readonly from: number;
  readonly v: number;
  readonly patch: unknown;
}
