/** The numbered cases of the rule language: a rule set each, with bout sheets and the tally that each must give. */
import { isMap, isScalar, parseAllDocuments } from "yaml";
import {
  compile,
  formatFaults,
  readRuleSet,
  readSheet,
  scoreBout,
  type Outcome,
  type Tally,
} from "../../rules/index.ts";

export interface Case {
  readonly name: string;
  /** The rule set as it is written. */
  readonly text: string;
  readonly sheets: readonly { readonly bout: string; readonly gives: string }[];
}

/** The cases of one file, one YAML document each, with their sheets under the key `sheets`. */
export function casesOf(text: string): readonly Case[] {
  return parseAllDocuments(text).map((document) => {
    const { name, sheets } = document.toJS() as Pick<Case, "name" | "sheets">;
    const root = document.contents;
    if (!isMap(root)) throw new Error(`${name} is no rule set`);
    root.items = root.items.filter(({ key }) => !(isScalar(key) && key.value === "sheets"));
    return { name, text: String(document).replace(/^(?:#.*\n)*---\n/, ""), sheets };
  });
}

function must<T>(outcome: Outcome<T>): T {
  if (!outcome.ok) throw new Error(formatFaults(outcome.faults));
  return outcome.value;
}

/** Scores each sheet of a case, as `garland score` does. Throws the faults of what cannot be read. */
export function scored({
  name,
  text,
  sheets,
}: Case): readonly { readonly tally: Tally; readonly gives: string }[] {
  const ruleSet = must(readRuleSet(text, `${name}.yaml`));
  const scorer = compile(ruleSet);
  return sheets.map(({ bout, gives }) => ({
    tally: scoreBout(scorer, must(readSheet(bout, ruleSet, `${name}.sheet`))),
    gives,
  }));
}

const PAIR = /^(-?\d+(?:\.\d+)?)-(-?\d+(?:\.\d+)?)$/;
const pairOf = (text: string): { red: number; blue: number } => {
  const match = PAIR.exec(text);
  if (!match) throw new Error(`"${text}" is no pair`);
  return { red: Number(match[1]), blue: Number(match[2]) };
};

/** "points 1-0 bonus 6-0 open 1 warn 0-1 ended both lose mark head start R 1" as what to compare with. */
export function wanted(gives: string): Partial<Record<string, unknown>> {
  const found: Record<string, unknown> = {};
  const part =
    /(points|bonus|warn) (\S+)|open (\d+)|ended (null|both lose|draw|no winner|red wins|blue wins)|mark (.+?) ([RB]) (-?\d+)/g;
  let rest = gives;
  for (const match of gives.matchAll(part)) {
    if (match[1] !== undefined) found[match[1]] = pairOf(match[2] ?? "");
    if (match[3] !== undefined) found["open"] = Number(match[3]);
    if (match[4] !== undefined) found["ended"] = match[4] === "null" ? null : match[4];
    if (match[5] !== undefined) found[`mark ${match[5]} ${match[6]}`] = Number(match[7]);
    rest = rest.replace(match[0], "");
  }
  if (rest.trim() !== "" || Object.keys(found).length === 0) throw new Error(`cannot read "${gives}"`);
  return found;
}

/** The same keys of a tally. */
export function given(tally: Tally, keys: readonly string[]): Record<string, unknown> {
  const values: Record<string, unknown> = {
    points: tally.points,
    bonus: tally.bonus,
    warn: tally.warned,
    open: tally.open,
    ended: tally.ended,
  };
  for (const key of keys) {
    const mark = /^mark (.+) ([RB])$/.exec(key);
    if (!mark) continue;
    const value = tally.marks[mark[1] ?? ""];
    const side = mark[2] === "R" ? "red" : "blue";
    values[key] =
      typeof value === "object" && side in value ? (value as { red: unknown; blue: unknown })[side] : value;
  }
  return Object.fromEntries(keys.map((key) => [key, values[key]]));
}

/** True where the tally is what the sheet must give. */
export function isRight(tally: Tally, gives: string): boolean {
  const expected = wanted(gives);
  const keys = Object.keys(expected);
  const got = given(tally, keys);
  return keys.every((key) => JSON.stringify(got[key]) === JSON.stringify(expected[key]));
}

const pair = (value: { readonly red: number; readonly blue: number }): string => `${value.red}-${value.blue}`;

/** A tally in the words in which a case says what it must give. */
export function told(tally: Tally): string {
  const { points, bonus, open, warned, ended } = tally;
  const warn = warned.red + warned.blue > 0 ? ` warn ${pair(warned)}` : "";
  return `points ${pair(points)} bonus ${pair(bonus)} open ${open}${warn}${ended === null ? "" : ` ended ${ended}`}`;
}
