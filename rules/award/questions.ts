import type { BoutSheet } from "../record.ts";
import type { Program } from "./program.ts";
import type { SheetFold } from "./sheet-fold.ts";
import type { OpenAward, Question, ScoredExchange } from "./tally.ts";

export function questionsOf(
  _program: Program,
  _sheet: BoutSheet,
  _fold: SheetFold,
  _exchanges: readonly ScoredExchange[],
  _end: readonly OpenAward[],
): readonly Question[] {
  return [];
}
