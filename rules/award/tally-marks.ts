/** The marks of a tally: what every world agrees on. */
import type { Mark } from "../language/tree.ts";
import { SIDES } from "../vocabulary.ts";
import { isCarried } from "./fencers.ts";
import { ANOTHER, markPlace, NOBODY } from "./fields.ts";
import { baseOf, keptBy, parkingKey } from "./follow.ts";
import { valueOf } from "./mark-values.ts";
import type { Field } from "./memory.ts";
import type { Program } from "./program.ts";
import type { SheetFold } from "./sheet-fold.ts";
import type { MarkValue, Tally } from "./tally.ts";

export function marksOf(program: Program, fold: SheetFold): Tally["marks"] {
  const values = program.env.ruleSet.marks.map((mark) => {
    const { index, each } = markPlace(program.env, mark);
    const read = (at: number): MarkValue => markValue(program, mark, fold, at);
    return [mark.name, each ? { red: read(index), blue: read(index + 1) } : read(index)] as const;
  });
  return Object.fromEntries(values);
}

/** Where worlds differ nobody knows yet: "unknown". */
function markValue({ env }: Program, mark: Mark, fold: SheetFold, at: number): MarkValue {
  const { worlds, met } = fold;
  const value = worlds[0]?.mem[at] as number;
  if (Number.isNaN(value) || worlds.some(({ mem }) => mem[at] !== value)) return "unknown";
  if (mark.is !== "token" && mark.is !== "roles") return valueOf(mark, value, env, met);
  if (value !== ANOTHER) return value === NOBODY ? "nobody" : (SIDES[value - 1] ?? "nobody");
  return isCarried(mark) ? elsewhere(env.fields.all[at] as Field, mark, fold, env) : "nobody";
}

/** Who has it without fencing in this bout. */
function elsewhere(
  field: Field,
  mark: Mark,
  { worlds, fencers, met }: SheetFold,
  env: Program["env"],
): MarkValue {
  const kept = keptBy(field, fencers);
  const key = kept && parkingKey(baseOf(field), kept);
  const numbers = new Set(
    worlds.flatMap(({ parked }) => (key === undefined ? [] : (parked?.get(key) ?? []))),
  );
  const [only] = numbers;
  return only !== undefined && numbers.size === 1 ? valueOf(mark, only, env, met) : "unknown";
}
