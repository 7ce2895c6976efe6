/**
 * How long ago the actions were after which a phrase waits for the next one within a time, or after it. Whole
 * milliseconds, so that sums are exact; what nobody said is "at least so long".
 */

/** What the time is asked for after one step, in milliseconds; -1 where it is not. */
export interface Timed {
  readonly word: number;
  readonly bit: number;
  /** The next step comes within this. */
  within: number;
  /** The next step comes after this or later. */
  after: number;
  /** The longest "never" that holds for a time only. */
  window: number;
}

export const UNKNOWN_TIME = -1;
export const msOf = (seconds: number): number => Math.round(seconds * 1000);

/** An age: milliseconds times 2, plus 1 where it may be longer. */
const isOpen = (age: number): boolean => (age & 1) === 1;
const ms = (age: number): number => age >> 1;

/** No age at all. */
export const NONE = 0;
/** Seconds of a day are more than any exchange. */
const LONGEST = 86_400_000;

/** Decides what is not known: one way after the other. */
export type Fork = () => boolean;

/**
 * Lists of ages, the oldest first, each with a number; a state holds the number. Of many ages only those are kept that
 * can make a difference: the latest for "within", the earliest for "after"; all where a "never" may take the later ones.
 */
export class Ages {
  private readonly lists: (readonly number[])[] = [[]];
  private readonly numbers = new Map<string, number>([["", NONE]]);

  private number(list: readonly number[]): number {
    const key = list.join();
    let number = this.numbers.get(key);
    if (number === undefined) this.numbers.set(key, (number = this.lists.push(list) - 1));
    return number;
  }

  /** More lists than one exchange needs are forgotten before the next begins. */
  restart(): void {
    if (this.lists.length < 10_000) return;
    this.lists.length = 1;
    this.numbers.clear();
    this.numbers.set("", NONE);
  }

  /** The same ages when so much more time has gone. */
  later(number: number, elapsed: number, { within, after, window }: Timed): number {
    const list = this.lists[number] as readonly number[];
    const enough = Math.max(after, window + 1);
    const next: number[] = [];
    for (const age of list) {
      const known = Math.min(LONGEST, ms(age) + Math.max(0, elapsed));
      if (within >= 0 && known > within) continue;
      const open = isOpen(age) || elapsed < 0;
      const now = within < 0 && known >= enough ? enough << 1 : (known << 1) | (open ? 1 : 0);
      // Two that cannot be told apart have the same ways before them.
      if (next.at(-1) !== now) next.push(now);
    }
    return this.number(next);
  }

  /** One more action has just been taken. */
  with(number: number, { within, window }: Timed): number {
    const list = this.lists[number] as readonly number[];
    if (within < 0) return list.length > 0 ? number : this.number([0]);
    return window < 0 ? this.number([0]) : list.at(-1) === 0 ? number : this.number([...list, 0]);
  }

  isWithin(number: number, time: number, fork: Fork): boolean {
    const latest = (this.lists[number] as readonly number[]).at(-1);
    if (latest === undefined || ms(latest) > time) return false;
    return !isOpen(latest) || fork();
  }

  isAfter(number: number, time: number, fork: Fork): boolean {
    const earliest = (this.lists[number] as readonly number[])[0];
    if (earliest === undefined) return false;
    return ms(earliest) >= time || (isOpen(earliest) && fork());
  }

  /** What is left when something happens that must never happen within this time. */
  survivors(number: number, time: number, fork: Fork): number {
    const list = this.lists[number] as readonly number[];
    let left = 0;
    // The later ones fall with the first that falls.
    while (left < list.length) {
      const age = list[left] as number;
      if (ms(age) <= time && !(isOpen(age) && fork())) break;
      left++;
    }
    return left === list.length ? number : this.number(list.slice(0, left));
  }
}
