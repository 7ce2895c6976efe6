/** The key of an award that a tally names. */
import { SIDES, UNITS } from "../vocabulary.ts";
import { keyOf } from "./keys.ts";
import type { Program } from "./program.ts";
import type { OpenAward } from "./tally.ts";

export function keyOfAward({ rules, own }: Program, { rule, to, unit }: OpenAward): number {
  const named = rules.findIndex((one) => one.rule.name === rule);
  const number =
    named >= 0 ? named : rule === "double" ? own.double : rule === "conversion" ? own.conversion : own.touch;
  return keyOf(number, SIDES.indexOf(to), UNITS.indexOf(unit));
}
