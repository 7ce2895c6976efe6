/** One tree for one meaning: "thrust and hit" and "hit with a thrust" come out equal. */
import type { Blow, Choice, Doing, Manner, Place, Result } from "./tree.ts";

/** What a sentence said of an action, in the order in which it said it. */
export interface Draft {
  kinds: string[];
  offence?: boolean;
  begin?: boolean;
  with: Choice<Blow>[];
  to: Choice<{ readonly target: string }>[];
  from: Choice<Place>[];
  manners: Manner[];
  seconds?: number;
  upTo?: number;
  result?: Result;
}

/** "cut", "cut or thrust": forms alone, which a sentence may use as its verb. */
export const isForms = (choice: Choice<Blow>): boolean =>
  choice.but !== true &&
  choice.any.every(
    (one) => !("ref" in one) && !("alike" in one) && one.form !== undefined && Object.keys(one).length === 1,
  );

const distinct = <T>(items: readonly T[]): readonly T[] => {
  if (items.length < 2) return items;
  const seen = new Set<string>();
  return items.filter((item) => {
    const key = JSON.stringify(item);
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  });
};

const distinctIn = <T>(choice: Choice<T>): Choice<T> => {
  const any = distinct(choice.any);
  return any === choice.any || any.length === choice.any.length ? choice : { ...choice, any };
};

const byName = (a: Manner, b: Manner): number =>
  a.manner === b.manner ? Number(a.not ?? false) - Number(b.not ?? false) : a.manner < b.manner ? -1 : 1;

/**
 * The canonical action. What hits or misses was a strike anyway, so "strike" is dropped there; the verb's forms stand
 * first among the blows; manners are sorted.
 */
export function canonicalDoing(draft: Draft): Doing {
  const kinds = distinct(draft.kinds);
  const blows = distinct(draft.with.map(distinctIn));
  const withs =
    blows.length < 2 ? blows : [...blows.filter(isForms), ...blows.filter((one) => !isForms(one))];
  const to = distinct(draft.to.map(distinctIn));
  const from = distinct(draft.from.map(distinctIn));
  const manners = distinct(draft.manners);
  const strikes = draft.offence === true && draft.result === undefined;
  return {
    ...(kinds.length > 0 ? { kinds } : {}),
    ...(strikes ? { offence: true } : {}),
    ...(draft.begin === true ? { begin: true } : {}),
    ...(withs.length > 0 ? { with: withs } : {}),
    ...(to.length > 0 ? { to } : {}),
    ...(from.length > 0 ? { from } : {}),
    ...(manners.length > 0 ? { manners: [...manners].sort(byName) } : {}),
    ...(draft.seconds === undefined ? {} : { seconds: draft.seconds }),
    ...(draft.upTo === undefined ? {} : { upTo: draft.upTo }),
    ...(draft.result === undefined ? {} : { result: draft.result }),
  };
}
