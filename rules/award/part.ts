/** One part of a rule set that can be scored apart from the others. */
import type { View } from "./tables.ts";

export interface Part {
  readonly rules: Uint8Array;
  readonly marks: Uint8Array;
  readonly touch: boolean;
  /** By phrase id: what this part remembers for the next exchange. */
  readonly lasts: ReadonlySet<number>;
  readonly made: Uint8Array;
  /** Memory that only this part changes. */
  readonly fields: readonly number[];
  readonly view: View;
}

