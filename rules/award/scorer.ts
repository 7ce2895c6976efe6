/** What scores a bout under one rule set. */
import type { RuleSet } from "../language/tree.ts";
import type { BoutSheet } from "../record.ts";
import type { Program } from "./program.ts";
import type { Tally } from "./tally.ts";

/** A compiled rule set; opaque but for the tree that it was compiled from. One scorer scores one bout at a time. */
export interface Scorer {
  readonly ruleSet: RuleSet;
  readonly program: Program;
  /** As `scoreBout`: whoever is handed a scorer needs none of the code behind it. */
  readonly score: (sheet: BoutSheet) => Tally;
}
