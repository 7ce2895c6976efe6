/** Where a condition or a sum stands, which decides what it may ask; and what compares numbers. */
import type { Amount, Condition, Phrase } from "../language/tree.ts";
import type { Environment, Test } from "./environment.ts";

export interface Context {
  /** The rule's or change's own phrases, for "at that moment". */
  readonly when: readonly Phrase[];
  /** At the end of the bout there is a winner. */
  readonly atTheEnd: boolean;
  /** In a change that names a payment: what was paid in the end. */
  readonly afterPayment: boolean;
  /** In a change of a mark. */
  readonly inChange: boolean;
}

export const PLAIN: Context = { when: [], atTheEnd: false, afterPayment: false, inChange: true };

/** Compiles one condition; handed to what conditions are made of. */
export type Compile = (env: Environment, condition: Condition, context: Context) => Test;

export const within = (n: number, { n: asked, cmp }: Amount): boolean =>
  cmp === "exactly" ? n === asked : cmp === "or more" ? n >= asked : n <= asked;
