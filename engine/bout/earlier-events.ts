/**
 * What events of earlier versions meant where they would mean something else today. An old bout must come to the tally that
 * was acknowledged, so what has changed since is told apart by the version that its first event names.
 */
import type { BoutEvent } from "./events.ts";

type BoutCalled = Extract<BoutEvent, { readonly type: "BoutCalled" }>;

/**
 * An official's warning stood in no sheet at first: the tally counted only warnings that rules gave. It counts from scorer 2
 * on, and in those bouts of scorer 1 that brought a roster in, for both came in one step.
 */
export const warningsStandApart = ({ scorer, brings }: BoutCalled): boolean =>
  scorer < 2 && brings?.roster === undefined;
