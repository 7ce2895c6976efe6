/** The values of marks as numbers in a bout's memory, and as whoever reads a sheet or a tally meets them. */
import type { Mark } from "../language/tree.ts";
import type { Environment } from "./environment.ts";
import type { Fencers } from "./entry.ts";
import { type Met, remembersFencers } from "./fencers.ts";
import { NOBODY } from "./fields.ts";
import type { MarkValue } from "./tally.ts";

const SIDE_WORDS: Readonly<Record<string, "red" | "blue">> = {
  red: "red",
  r: "red",
  blue: "blue",
  b: "blue",
};
/** What a sheet writes for a set or a note that is empty. */
export const NOTHING = "nothing";

/** Written with semicolons where a name has a comma of its own. */
export const written = (names: readonly string[]): string =>
  names.length === 0
    ? NOTHING
    : names.some((name) => name.includes(","))
      ? `${names.join("; ")};`
      : names.join(", ");

const listed = (text: string): readonly string[] =>
  text
    .split(text.includes(";") ? ";" : ",")
    .map((one) => one.trim())
    .filter((one) => one !== "" && one.toLowerCase() !== NOTHING);

/** The names of fencers that a mark's written value gives, for the numbers by which the evening knows them. */
export function fencersIn(mark: Mark, value: number | string | boolean): readonly string[] {
  if (typeof value !== "string") return [];
  if (mark.is === "token" || mark.is === "roles") return [value];
  if (!remembersFencers(mark)) return [];
  return mark.is === "set" ? listed(value) : [value];
}

interface Reading {
  readonly env: Environment;
  readonly met: Met;
  readonly fencers: Fencers;
}

/** A token's holder as he is met from bout to bout: 0 nobody, else his number and one. */
function fencerNumber(word: string, { met, fencers }: Reading): number {
  const lower = word.toLowerCase();
  if (lower === "nobody" || lower === NOTHING) return NOBODY;
  const side = SIDE_WORDS[lower];
  return met.number(side ? fencers[side] : met.as(word)) + 1;
}

/**
 * A written value as the memory holds it; for a token that may be with somebody who does not fence, and for notes of
 * fencers, by the fencer's number. Undefined where the value is none of this mark's.
 */
export function numberOf(mark: Mark, value: number | string | boolean, reading: Reading): number | undefined {
  if (typeof value === "number") return value;
  if (typeof value === "boolean") return value ? 1 : 0;
  const word = value.toLowerCase();
  if (mark.is === "token" || mark.is === "roles") return fencerNumber(value, reading);
  if (mark.is === "count") return undefined;
  if (mark.is === "flag") return word === "on" ? 1 : word === "off" ? 0 : undefined;
  if (word === NOTHING) return 0;
  const numbers = remembersFencers(mark)
    ? fencersIn(mark, value).map((name) => fencerNumber(name, reading) - 1)
    : wordsIn(mark, word, reading.env);
  const known = numbers.filter((at) => at >= 0);
  return mark.is === "note"
    ? (known[0] ?? -1) + 1
    : [...new Set(known)].reduce((sum, at) => sum + 2 ** at, 0);
}

function wordsIn(mark: Mark, word: string, env: Environment): readonly number[] {
  const { values } = env.doings.domain(mark);
  return (mark.is === "set" ? listed(word) : [word]).map((name) => values.indexOf(name));
}

/** A number of the memory as a tally shows it; tokens by the holder's number, as `numberOf` gives it. */
export function valueOf(mark: Mark, value: number, env: Environment, met: Met): MarkValue {
  switch (mark.is) {
    case "count":
      return value;
    case "flag":
      return value === 1;
    case "token":
    case "roles":
      return value === NOBODY ? "nobody" : (met.names[value - 1] ?? "nobody");
    case "note":
      return valuesFor(mark, env, met)[value - 1] ?? "";
    case "set":
      return membersOf(mark, valuesFor(mark, env, met), value);
  }
}

/** Fencers in alphabetical order, whenever they were met. */
function membersOf(mark: Mark, values: readonly string[], bits: number): readonly string[] {
  const members = values.filter((_, i) => Math.floor(bits / 2 ** i) % 2 === 1);
  return remembersFencers(mark) ? [...members].sort() : members;
}

const valuesFor = (mark: Mark, env: Environment, met: Met): readonly string[] =>
  remembersFencers(mark) ? met.names : env.doings.domain(mark).values;
