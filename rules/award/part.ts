/** One part of a rule set that can be scored apart from the others. */
import type { Phrase } from "../language/tree.ts";
import type { View } from "./tables.ts";

export interface Part {
  readonly rules: Uint8Array;
  readonly marks: Uint8Array;
  readonly touch: boolean;
  /** It keeps who hit first or last. */
  readonly hits: boolean;
  /** It may end the bout. */
  readonly ends: boolean;
  /** Who is tried as "I": both, or one where fencers do not depend on each other. */
  readonly sides: readonly (0 | 1)[];
  /** By its id: which conditions this part keeps for those that look back. */
  readonly kept: ReadonlySet<number>;
  readonly made: Uint8Array;
  /** Memory that only this part changes. */
  readonly fields: readonly number[];
  /** The awards that it can give, and the phrases that it asks for. */
  readonly keys: ReadonlySet<number>;
  readonly phrases: readonly Phrase[];
  readonly view: View;
}
