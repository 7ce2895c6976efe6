/** Reads one sentence by one piece of the grammar. */
import { Cursor, NoFit, Wrong, type Expected, type Span } from "./cursor.ts";
import { diagnose, type Diagnosis } from "./diagnose.ts";
import { asAWhole, decimalComma, underIf } from "./faults-sentence.ts";
import { LONGEST_SENTENCE } from "./limits.ts";
import { mended } from "./mend.ts";
import type { Names } from "./names.ts";
import { parseAll } from "./parse-condition.ts";

export type Parsed<T> =
  | {
      readonly ok: true;
      readonly value: T;
      /** Where each piece of the tree stands in the sentence. */
      readonly spans: ReadonlyMap<object, Span>;
    }
  | ({ readonly ok: false } & Diagnosis);

/** A piece of the grammar: parsePhrase, parseAll, parsePay ... */
export type Rule<T> = (c: Cursor) => T;

function run<T>(c: Cursor, rule: Rule<T>): { readonly value: T } | Wrong | undefined {
  try {
    const value = rule(c);
    return c.atEnd() ? { value } : undefined;
  } catch (caught) {
    if (caught instanceof Wrong) return caught;
    if (caught instanceof NoFit) return undefined;
    throw caught;
  }
}

/** "0,5": a half as much of Europe writes it; "3,2,1" is a row of numbers. */
const DECIMAL_COMMA = /(?<![\d,.])\d+,5(?![\d,]|\s*,)/u;

/** The whole text by `rule`. Only a failure costs a second pass, which finds what to say. `isWhen`: it is a rule's "when". */
export function parseSentence<T>(text: string, rule: Rule<T>, names: Names, isWhen = false): Parsed<T> {
  if (text.length > LONGEST_SENTENCE) return tooLong();
  const comma = DECIMAL_COMMA.exec(text);
  if (comma)
    return { ok: false, said: decimalComma(), start: comma.index, end: comma.index + comma[0].length };
  const first = new Cursor(text, names, false);
  const outcome = run(first, rule);
  if (outcome && !(outcome instanceof Wrong)) return { ok: true, value: outcome.value, spans: first.spans };
  const reads = (other: string): boolean => {
    const again = run(new Cursor(other, names, false), rule);
    return again !== undefined && !(again instanceof Wrong);
  };
  if (outcome instanceof Wrong) {
    const [start, end] = first.span(outcome.from, outcome.to);
    return { ok: false, ...withMend({ said: outcome.said, start, end }, text, reads, names) };
  }
  const condition = isWhen ? asCondition(text, names) : undefined;
  if (condition !== undefined) return condition;
  const second = new Cursor(text, names, true);
  run(second, rule);
  return { ok: false, ...withMend(diagnose(second), text, reads, names) };
}

/** "I am ahead" where an action should stand: it would be read under "if". */
function asCondition(text: string, names: Names): ({ readonly ok: false } & Diagnosis) | undefined {
  const again = run(new Cursor(text, names, false), parseAll);
  if (again === undefined || again instanceof Wrong) return undefined;
  return { ok: false, said: underIf(text.trim()), start: 0, end: text.trimEnd().length };
}

/** Nobody wants a longer sentence back as a whole. */
const LONGEST_MEND = 300;

/** What is said, and the whole sentence as it can be read, where the cure of one place is not enough. */
function withMend(
  { said, start, end }: Diagnosis,
  text: string,
  reads: (text: string) => boolean,
  names: Names,
): Diagnosis {
  const enough = said.cure !== undefined && reads(text.slice(0, start) + said.cure + text.slice(end));
  if (enough || text.length > LONGEST_MEND) return { said, start, end };
  const whole = mended(text, reads, names);
  if (whole === undefined) return { said, start, end };
  return { said: asAWhole(said, whole), start, end };
}

const tooLong = (): { readonly ok: false } & Diagnosis => ({
  ok: false,
  said: {
    code: "too-long",
    text: `A sentence may have ${String(LONGEST_SENTENCE)} characters. Split it into several rules.`,
  },
  start: 0,
  end: 1,
});

/** What could stand after `text`, by the same grammar; for completion in a form. */
export function expectedAfter<T>(text: string, rule: Rule<T>, names: Names): readonly Expected[] {
  const c = new Cursor(text, names, true);
  run(c, rule);
  return c.furthest >= c.tokens.length ? c.expected : [];
}
