/**
 * The ledger port: append-only streams of events, and beside them the few things that may change
 * (names, notes, seats). Every driver passes the one contract suite in tests/contracts/ledger.ts.
 */
import type { Difference } from "../verify/difference.ts";

/** An event as a caller hands it over; `data` is JSON and holds person ids only, never names. */
export interface NewEvent {
  readonly type: string;
  readonly data: unknown;
  /** Server time, integer milliseconds since 1970. */
  readonly at: number;
}

export interface StoredEvent extends NewEvent {
  readonly stream: string;
  /** 1 for a stream's first event, then without a gap. */
  readonly version: number;
  /** SHA-256 (hex) over the previous event's chain value and this event's canonical bytes. */
  readonly chain: string;
  /** The id of the command that caused it. */
  readonly command: string;
}

/** The command behind an append: its id is the idempotency key, `digest` a hash of the request. */
export interface CommandKey {
  readonly id: string;
  readonly digest: string;
}

export type AppendResult =
  /** Committed to disk; `version` is the stream's version afterwards. */
  | { readonly outcome: "appended"; readonly version: number; readonly events: readonly StoredEvent[] }
  /** The same command was appended before: the answer of that time. */
  | { readonly outcome: "repeated"; readonly version: number; readonly events: readonly StoredEvent[] }
  /** The same key with another request: a fault of the caller. */
  | { readonly outcome: "key-reused" }
  /** The stream is at `version`, not where the caller expected it. */
  | { readonly outcome: "stale"; readonly version: number };

export interface StoredRuleSet {
  readonly hash: string;
  readonly text: string;
}

/** What may be erased: the empty row stays, every chain still verifies. */
export interface Person {
  readonly id: string;
  readonly name: string;
  /** What walls and opponents see, e.g. "Mira H."; empty where only a number is consented. */
  readonly shortName: string;
  readonly notes: string;
  readonly consents: readonly string[];
  readonly erased: boolean;
}

export const SEAT_KINDS = ["coach", "table", "judge", "fencer", "wall"] as const;
export type SeatKind = (typeof SEAT_KINDS)[number];

export interface StoredSeat {
  readonly id: string;
  readonly kind: SeatKind;
  /** SHA-256 (hex) of the secret; the secret itself is never stored. */
  readonly secretHash: string;
  readonly ring?: string;
  /** Judge seats: 1, 2 ...; the referee's is marked. */
  readonly judge?: number;
  readonly referee?: boolean;
  /** Fencer seats: whose. */
  readonly person?: string;
  readonly revoked: boolean;
}

/** What may be asked of a ledger by whoever has a stream for themselves. */
export type HeldStream = Pick<Ledger, "append" | "read" | "outcomeOf">;

export interface Ledger {
  /** "memory", "sqlite (node:sqlite)", "sqlite (libsql)", "postgres". */
  readonly driver: string;
  /** Whether other processes may write to it as well: then what was read may be old already. */
  readonly shared: boolean;
  append(
    stream: string,
    expected: number,
    events: readonly NewEvent[],
    command: CommandKey,
  ): Promise<AppendResult>;
  /** Events with version > `after`, in order. */
  read(stream: string, after?: number): Promise<readonly StoredEvent[]>;
  streams(): Promise<readonly { readonly stream: string; readonly version: number }[]>;
  /**
   * Runs `work` while nobody else, in any process, appends to this stream: for a stream on which appends keep coming too
   * late. What `work` appends through `held` is committed once `inTurn` has resolved, and not before; where it rejects,
   * the command's key tells whether it was. Turns of one stream come one after the other; a turn within a turn of the
   * same stream never ends.
   */
  inTurn<T>(stream: string, work: (held: HeldStream) => Promise<T>): Promise<T>;
  /** What a command id led to ("repeated"), for an answer lost on the way; undefined if never appended. */
  outcomeOf(commandId: string): Promise<AppendResult | undefined>;

  /** The same hash and text again is no change; the same hash with another text is refused. */
  putRuleSet(ruleSet: StoredRuleSet): Promise<void>;
  ruleSet(hash: string): Promise<StoredRuleSet | undefined>;
  ruleSets(): Promise<readonly StoredRuleSet[]>;

  /** Enters or replaces; with `erased` it empties the row. Refused for a person already erased. */
  putPerson(person: Person): Promise<void>;
  /** Empties the row for good; an unknown id is no change. */
  erasePerson(id: string): Promise<void>;
  people(): Promise<readonly Person[]>;

  putSeat(seat: StoredSeat): Promise<void>;
  seats(): Promise<readonly StoredSeat[]>;

  /** A number that differs whenever a rule set, a person or a seat was written in between, by whichever process. */
  beside(): Promise<number>;

  /** Writes as an append does, and changes nothing: resolves where a command could be written now. */
  probe?(): Promise<void>;

  close(): Promise<void>;
}

/** What the check of a ledger's own file found. */
export interface Examined {
  readonly differences: readonly Difference[];
  /** Nothing more may be read of it: the damage would end the program. */
  readonly unreadable: boolean;
  /** What was not looked at, and why, a sentence each. */
  readonly leftOut: readonly string[];
}

/** A ledger kept in a file. */
export interface LastingLedger extends Ledger {
  readonly file: string;
  /** What was done to an older file as it was opened, in a sentence for whoever started it. */
  readonly grown: string | undefined;
  /** What its log lacked as it was opened, in a sentence for whoever started it. */
  readonly cut: string | undefined;
  /**
   * Looks at the file itself, not at what its events mean: pages, commands without their events, streams that were cut off
   * or written anew since they were noted, rows that were changed by another hand. With `serving` it leaves out what would
   * keep everybody waiting.
   */
  examine(serving?: boolean): Promise<Examined>;
  /** Notes where every stream stands (`at`: server time), so that an end that is cut off later is found. */
  noteHeads(at: number): Promise<void>;
  /** Every flaw found in the file and in its chains, a sentence each; empty when it is sound. */
  integrity(): Promise<readonly string[]>;
  /** Writes a whole copy, on disk when this resolves; an existing file is never overwritten. */
  backupTo(path: string): Promise<void>;
}

/** Why a ledger could not do what was asked, once open. */
export const LEDGER_FAULTS = [
  /** Nothing was written; the same command may be tried again when there is room. */
  "disk-full",
  /** The disk refused a write: what it holds is unknown, so nothing more is written until a restart. */
  "disk-failed",
  "damaged",
  /** A database that is out of reach: whether the command was written is unknown, so it must be sent again. */
  "unreachable",
  "closed",
  /** The person was erased and stays so. */
  "erased",
  "not-storable",
  "rule-set-differs",
  "backup-exists",
  /** No backup was made; the ledger itself is as before. */
  "backup-failed",
] as const;
export type LedgerFaultCode = (typeof LEDGER_FAULTS)[number];

export class LedgerFault extends Error {
  readonly code: LedgerFaultCode;
  constructor(code: LedgerFaultCode, sentence: string, cause?: unknown) {
    super(sentence, cause === undefined ? undefined : { cause });
    this.name = "LedgerFault";
    this.code = code;
  }
}

/** Why a ledger could not be opened: one clear sentence for the person at the keyboard. */
export const LEDGER_REFUSALS = [
  "held",
  "newer",
  "unwritable",
  "damaged",
  "unsafe",
  "no-driver",
  "unreachable",
] as const;
export type LedgerRefusal = (typeof LEDGER_REFUSALS)[number];

export class LedgerCannotOpen extends Error {
  readonly code: LedgerRefusal;
  constructor(code: LedgerRefusal, sentence: string) {
    super(sentence);
    this.name = "LedgerCannotOpen";
    this.code = code;
  }
}
