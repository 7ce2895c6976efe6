/** Speed of reading: a file of twenty rules in 5 ms, a sentence in 50 us. Median of many, after a warm-up. */
import { Names } from "../../rules/language/names.ts";
import { parsePhrase } from "../../rules/language/parse-phrase.ts";
import { parseSentence } from "../../rules/language/parse.ts";
import { readRuleSet } from "../../rules/language/read.ts";
import { wordsFor } from "../../rules/language/words.ts";

export interface Row {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly goal: number;
  readonly ok: boolean;
}

const SENTENCE = "they cut to the head from the right, then I parry high, then I riposte and hit";

const rule = (no: number): string =>
  [
    `  - name: Cover and answer ${String(no)}`,
    `    when: ${SENTENCE}`,
    "    if: I am behind, and 30 s or less are left",
    "    unless: they land an afterblow",
    "    pays: 2 bonus to me",
    "    at most: 4 bonus a bout, 6 bonus a pair tonight",
    "    watch: judge 1",
  ].join("\n");

function twentyRules(): string {
  const rules = Array.from({ length: 20 }, (_, no) => rule(no + 1));
  return `name: Twenty rules\nweapon: longsword\ntouches:\n  I hit: 1\nrules:\n${rules.join("\n")}\n`;
}

/** Milliseconds of one call: the median of `rounds` rounds of `calls` calls. */
function timed(calls: number, rounds: number, work: () => boolean): number {
  const times: number[] = [];
  for (let round = 0; round < rounds; round++) {
    const before = performance.now();
    for (let call = 0; call < calls; call++) if (!work()) throw new Error("the text did not read");
    times.push((performance.now() - before) / calls);
  }
  times.sort((a, b) => a - b);
  return times[Math.floor(rounds / 2)] ?? Number.NaN;
}

const row = (name: string, value: number, unit: string, goal: number): Row => ({
  name,
  value: Math.round(value * 100) / 100,
  unit,
  goal,
  ok: value <= goal,
});

export async function rows(): Promise<readonly Row[]> {
  const text = twentyRules();
  const names = new Names(wordsFor("longsword", []));
  const sentence = (): boolean => parseSentence(SENTENCE, parsePhrase, names).ok;
  const file = (): boolean => readRuleSet(text, "twenty.yaml").ok;
  timed(5_000, 1, sentence);
  timed(100, 1, file);
  return [
    row("read a rule set of 20 rules", timed(20, 15, file), "ms", 5),
    row("parse a sentence", timed(2_000, 15, sentence) * 1000, "us", 50),
  ];
}
