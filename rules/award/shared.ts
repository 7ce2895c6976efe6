/** Limits that are one for several fencers. */
import type { Limit } from "../language/tree.ts";

/** One limit for the whole hall, or for both fencers of a bout together. */
export const isShared = ({ scope, together }: Limit): boolean => scope === "hall" || together === true;
