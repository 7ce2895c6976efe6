/** Sums: "my blots plus my warnings", and what they are compared with. */
import type { Cursor } from "./cursor.ts";
import { notThatKind, unknownName } from "./faults-sentence.ts";
import { checkOwner, parseOwner } from "./parse-phrase.ts";
import {
  COUNTED_BOUT,
  COUNTED_EACH,
  type Amount,
  type Counted,
  type Owner,
  type Quantity,
  type Term,
  type Times,
} from "./tree.ts";

const MIRRORED: Readonly<Record<Owner, Owner>> = {
  my: "their",
  their: "my",
  the: "the",
  "my team's": "their team's",
  "their team's": "my team's",
};

/** The same sum of the other fencer: "my blots" gives "their blots". */
export const mirrored = (quantity: Quantity): Quantity =>
  quantity.map((term) => ("owner" in term ? { ...term, owner: MIRRORED[term.owner] } : term));

export const sameQuantity = (a: Quantity, b: Quantity): boolean => JSON.stringify(a) === JSON.stringify(b);

export function parseAmount(c: Cursor): Amount {
  const n = c.needNumber();
  return { n, cmp: c.oneOf(["or more", "or less"]) ?? "exactly" };
}

/** What is counted without a mark; undefined where none is named, and the cursor stays. */
export function parseCounted(c: Cursor, owner: Owner): Term | undefined {
  const from = c.at;
  const kinds: readonly Counted[] = owner === "the" ? COUNTED_BOUT : COUNTED_EACH;
  const counted = c.oneOf(kinds);
  if (counted === undefined) {
    c.at = from;
    return undefined;
  }
  if (counted === "bouts" || counted === "wins") {
    c.need("tonight");
    return { owner, counted, tonight: true };
  }
  const may =
    counted === "points" || counted === "bonus" || counted === "warnings" || counted === "penalties";
  return may && c.take("tonight") ? { owner, counted, tonight: true } : { owner, counted };
}

function parseTerm(c: Cursor): Term {
  const from = c.at;
  if (c.token()?.kind === "number") return { n: c.needNumber() };
  const owner = parseOwner(c);
  const mark = c.name(["mark"]);
  if (mark !== undefined) {
    if (mark.is !== undefined && mark.is !== "count" && mark.is !== "set")
      c.wrong(notThatKind(mark.name, mark.is), from, c.at);
    checkOwner(c, owner, mark, from);
    return { owner, mark: mark.name };
  }
  const counted = parseCounted(c, owner);
  if (counted !== undefined) return counted;
  const token = c.token();
  if (token?.kind === "word") c.wrong(unknownName(token.text, [...c.names.list("mark"), ...COUNTED_EACH]));
  return c.fail();
}

/** More terms after the first: "... plus my warnings minus 1". */
export function parseMoreTerms(c: Cursor, first: Term): Quantity {
  const terms: Quantity[number][] = [first];
  for (let sign = c.oneOf(["plus", "minus"]); sign !== undefined; sign = c.oneOf(["plus", "minus"])) {
    const term = parseTerm(c);
    terms.push(sign === "minus" ? { ...term, minus: true } : term);
  }
  return terms;
}

export const parseQuantity = (c: Cursor): Quantity => parseMoreTerms(c, parseTerm(c));

/** "times my streak now": behind "times". */
export function parseTimes(c: Cursor): Times {
  const quantity = parseQuantity(c);
  return c.take("now") ? { quantity, now: true } : { quantity };
}
