/** Ids are opaque strings; ledger ids come from nanoid at the edge, never from here. */
export type BoutId = string;
export type PersonId = string;
export type RingId = string;
export type ExchangeId = string;
export type SeatId = string;
export type CommandId = string;
/** Server time, integer milliseconds since 1970. */
export type Millis = number;

/** Who gave a command or a fact: the seat, and the person sitting in it if known. */
export interface Source {
  readonly seat: SeatId;
  /** "hall": the evening itself, which answers what concerns every ring. */
  readonly kind: "coach" | "table" | "judge" | "fencer" | "hall";
  /** Judge seats: 1, 2 ... */
  readonly judge?: number;
  readonly referee?: boolean;
  readonly person?: PersonId;
}
