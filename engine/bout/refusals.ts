/** Expected refusals are values: a code that programs read and one sentence that people read. */
export const REFUSAL_CODES = [
  "no-such-bout",
  "already-called",
  "bout-is-over",
  "bout-not-over",
  "not-now",
  "no-such-exchange",
  "exchange-exists",
  "nothing-to-undo",
  "not-your-seat",
  "no-pen",
  "pick-closed",
  "no-such-pick",
  "not-a-value",
  "no-such-rule-set",
  "same-fencer",
  "fencer-busy",
  "fencer-out",
  "ring-busy",
  "no-such-person",
  "no-such-ring",
  "no-such-seat",
  "bad-message",
  "stale",
  "key-reused",
  "read-only",
  "too-many",
] as const;
export type RefusalCode = (typeof REFUSAL_CODES)[number];

export interface Refusal {
  readonly refused: RefusalCode;
  readonly sentence: string;
}

export const refusal = (refused: RefusalCode, sentence: string): Refusal => ({ refused, sentence });
export const isRefusal = (x: unknown): x is Refusal => typeof x === "object" && x !== null && "refused" in x;
