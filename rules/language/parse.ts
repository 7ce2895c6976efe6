/** Reads one sentence by one piece of the grammar. */
import { Cursor, NoFit, Wrong, type Expected, type Span } from "./cursor.ts";
import { diagnose, type Diagnosis } from "./diagnose.ts";
import type { Names } from "./names.ts";

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

/** The longest sentence that is read, in characters; a rule that a coach can say is far shorter. */
const LONGEST = 2000;

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

/** The whole text by `rule`. Only a failure costs a second pass, which finds what to say. */
export function parseSentence<T>(text: string, rule: Rule<T>, names: Names): Parsed<T> {
  if (text.length > LONGEST) return tooLong();
  const first = new Cursor(text, names, false);
  const outcome = run(first, rule);
  if (outcome && !(outcome instanceof Wrong)) return { ok: true, value: outcome.value, spans: first.spans };
  if (outcome instanceof Wrong) {
    const [start, end] = first.span(outcome.from, outcome.to);
    return { ok: false, said: outcome.said, start, end };
  }
  const second = new Cursor(text, names, true);
  run(second, rule);
  return { ok: false, ...diagnose(second) };
}

const tooLong = (): { readonly ok: false } & Diagnosis => ({
  ok: false,
  said: {
    code: "too-long",
    text: `A sentence may have ${String(LONGEST)} characters. Split it into several rules.`,
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
