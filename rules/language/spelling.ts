/** Spelling help: the nearest known word by Damerau-Levenshtein distance, from four letters up. */

const SHORTEST = 4;

/** Edits (insert, delete, replace, swap two neighbours) from `a` to `b`; anything above `most` comes out as more than it. */
export function distance(a: string, b: string, most: number): number {
  if (Math.abs(a.length - b.length) > most) return most + 1;
  let beforeLast: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    let least = i;
    for (let j = 1; j <= b.length; j++) {
      const same = a.charCodeAt(i - 1) === b.charCodeAt(j - 1);
      let cost = Math.min((last[j] ?? 0) + 1, (row[j - 1] ?? 0) + 1, (last[j - 1] ?? 0) + (same ? 0 : 1));
      const swapped =
        i > 1 &&
        j > 1 &&
        a.charCodeAt(i - 1) === b.charCodeAt(j - 2) &&
        a.charCodeAt(i - 2) === b.charCodeAt(j - 1);
      if (swapped) cost = Math.min(cost, (beforeLast[j - 2] ?? 0) + 1);
      row.push(cost);
      if (cost < least) least = cost;
    }
    if (least > most) return most + 1;
    beforeLast = last;
    last = row;
  }
  return last[b.length] ?? most + 1;
}

const letters = (word: string): string => [...word].sort().join("");

/**
 * The nearest of the candidates; of two as near, the one with the same letters, then with the same first letter.
 * undefined where none is near, or where the word has fewer letters than `shortest`.
 */
export function nearest(
  word: string,
  candidates: Iterable<string>,
  shortest: number = SHORTEST,
): string | undefined {
  if (word.length < shortest || word.length > 60) return undefined;
  const most = word.length < 6 ? 1 : 2;
  const rank = (candidate: string, edits: number): number =>
    edits * 4 - (letters(candidate) === letters(word) ? 2 : 0) - (candidate[0] === word[0] ? 1 : 0);
  let best: string | undefined;
  let least = Number.POSITIVE_INFINITY;
  for (const candidate of candidates) {
    if (candidate.length < shortest - 1 || candidate === word) continue;
    const edits = distance(word, candidate, most);
    if (edits > most) continue;
    const score = rank(candidate, edits);
    if (score < least) {
      best = candidate;
      least = score;
    }
  }
  return best;
}
