/**
 * Steps that ask more of an action than its code tells: what it is compared with from outside, how long after the step
 * before it came, and what it has in common with an earlier one. Rule sets without such steps never come here.
 */
import { Ages, type Fork, NONE, type Timed } from "./ages.ts";
import type { Coder, Said } from "./code.ts";
import type { DynamicChoice, StepTest } from "./doing.ts";
import { type LikeTest, type Likes, NOTHING_SAID, VERDICTS } from "./likes.ts";
import { Chooser } from "./memory.ts";
import type { Layout, Use } from "./pattern.ts";

/** What stands around an action when a step's choices are tried. */
interface Moment {
  /** Just before the action. */
  readonly state: Int32Array;
  readonly like: (test: LikeTest) => boolean;
}

/** Whether an action of this code satisfies a step's choices, for the fencer who is "I" (0 Red, 1 Blue). */
export type ChoiceTest = (
  choices: StepTest["choices"],
  signature: Uint8Array,
  side: 0 | 1,
  moment: Moment,
) => boolean;

const HALVES = [0, 1] as const;
/** "none before", in a slot that holds the number of what was said, plus 1. */
const NONE_BEFORE = 0;

export class Dynamic {
  /** Slots that it needs behind the others: ages of either half, then what each fencer's latest strike or feint was. */
  readonly slots: number;
  readonly isEmpty: boolean;
  /** Some step is compared with a pick or a mark. */
  readonly readsMemory: boolean;
  /** What is not known is tried one way after the other. */
  readonly forks = new Chooser();
  /** Whether anything may be tried so. */
  readonly mayFork: boolean;
  /** Bits that can still lead somewhere after the action; undefined for all. */
  wanted: Int32Array | undefined = undefined;
  private readonly ages = new Ages();
  private readonly uses: readonly Use[];
  private readonly timed: readonly Timed[];
  private readonly likes: Likes;
  private readonly coder: Coder;
  private readonly words: number;
  private readonly first: number;
  private readonly firstLike: number;
  /** The ages when the action comes, and those that it leaves. */
  private readonly aged: Int32Array;
  private readonly left: Int32Array;
  /** The rows of the action that is met: what it takes, and what waits through it. */
  readonly steps: Int32Array;
  readonly waits: Int32Array;
  private said: Said = [];
  private actor: 0 | 1 = 0;
  private isStrike = false;
  private readonly found: ((typeof VERDICTS)[number] | undefined)[] = [];
  private readonly fork: Fork = () => this.forks.choose(2) === 1;
  private readonly moment: { state: Int32Array; readonly like: Moment["like"] };

  constructor(layout: Layout, coder: Coder, first: number) {
    this.uses = layout.uses.filter(({ test, gap }) => test.choices.length > 0 || gap !== undefined);
    this.timed = layout.timed;
    this.likes = coder.likes;
    this.coder = coder;
    this.words = layout.words;
    this.first = first;
    this.firstLike = first + 2 * this.timed.length;
    this.slots = 2 * this.timed.length + 2 * this.likes.compared.length;
    this.isEmpty = this.uses.length === 0;
    this.mayFork = this.slots > 0;
    this.readsMemory = this.uses.some(({ test }) => test.choices.some(({ refs }) => refs.length > 0));
    this.aged = new Int32Array(2 * this.timed.length);
    this.left = new Int32Array(2 * this.timed.length);
    this.steps = new Int32Array(2 * this.words);
    this.waits = new Int32Array(2 * this.words);
    this.moment = { state: this.steps, like: (test) => this.like(test) };
  }

  restart(): void {
    this.ages.restart();
  }

  /** Forgets what no later action and no reading at the halt can tell apart. */
  forget(state: Int32Array, atHalt: boolean): void {
    for (let i = 0; i < this.slots; i++) {
      const at = this.first + i;
      if (atHalt) state[at] = 0;
      else if (at < this.firstLike && !this.stands(state, i)) state[at] = NONE;
    }
  }

  private stands(state: Int32Array, slot: number): boolean {
    const { word, bit } = this.timed[slot >> 1] as Timed;
    return (((state[(slot & 1) * this.words + word] as number) >>> bit) & 1) === 1;
  }

  /** Takes from the action's rows, `steps` and `waits`, what the time and the choices forbid. */
  narrow(
    state: Int32Array,
    init: Int32Array,
    code: number,
    variant: number,
    elapsed: number,
    said: Said,
    choose: ChoiceTest,
  ): void {
    this.said = said;
    this.moment.state = state;
    for (let i = 0; i < this.found.length; i++) this.found[i] = undefined;
    for (let i = 0; i < this.aged.length; i++) {
      const ages = state[this.first + i] as number;
      this.aged[i] = ages === NONE ? NONE : this.ages.later(ages, elapsed, this.timed[i >> 1] as Timed);
    }
    this.left.set(this.aged);
    const signature = this.coder.signatures[Math.floor(code / 3)] as Uint8Array;
    this.isStrike = signature[this.likes.strike] === 1;
    for (let i = 0; i < this.uses.length; i++) {
      const use = this.uses[i] as Use;
      if (signature[use.test.predicate] !== 1) continue;
      for (const half of HALVES)
        if (!use.never) this.allow(use, half, init, code, signature, choose);
        else if (actsAs(use, code % 3, half, variant)) this.forbid(use, half, code, signature, choose);
    }
  }

  private allow(
    use: Use,
    half: 0 | 1,
    init: Int32Array,
    code: number,
    signature: Uint8Array,
    choose: ChoiceTest,
  ): void {
    const { steps } = this;
    const place = half * this.words + use.word;
    const bit = 1 << use.bit;
    const before = this.moment.state[place] as number;
    // A choice is read only where it can matter, so that no unknown pick is settled without need.
    const reached = (((before << 1) | (init[place] as number)) & bit) !== 0;
    if ((steps[place]! & bit) === 0 || !reached) return;
    const holds =
      this.isWanted(place, bit) &&
      this.isInTime(use, half) &&
      this.chosen(use, half, code % 3, signature, choose);
    if (!holds) steps[place]! &= ~bit;
  }

  private isInTime({ gap }: Use, half: 0 | 1): boolean {
    if (!gap) return true;
    const ages = this.aged[gap.timed * 2 + half] as number;
    return gap.is === "within"
      ? this.ages.isWithin(ages, gap.time, this.fork)
      : this.ages.isAfter(ages, gap.time, this.fork);
  }

  private forbid(use: Use, half: 0 | 1, code: number, signature: Uint8Array, choose: ChoiceTest): void {
    const { waits } = this;
    const place = half * this.words + use.word;
    const bit = 1 << use.bit;
    if ((this.moment.state[place]! & waits[place]! & bit) === 0 || !this.isWanted(place, bit)) return;
    if (!this.chosen(use, half, code % 3, signature, choose)) return;
    const { gap } = use;
    if (gap) {
      const slot = gap.timed * 2 + half;
      this.left[slot] = this.ages.survivors(this.left[slot] as number, gap.time, this.fork);
      if (this.left[slot] !== NONE) return;
    }
    waits[place]! &= ~bit;
  }

  private isWanted(place: number, bit: number): boolean {
    return this.wanted === undefined || ((this.wanted[place] as number) & bit) !== 0;
  }

  /** "They hit another target" compares with their own; of "we both" each with the own. */
  private chosen(use: Use, half: 0 | 1, by: number, signature: Uint8Array, choose: ChoiceTest): boolean {
    const { choices } = use.test;
    if (choices.length === 0) return true;
    const holds = (actor: 0 | 1): boolean => {
      this.actor = actor;
      return choose(choices, signature, half, this.moment);
    };
    const they = (1 - half) as 0 | 1;
    if (use.subject === "I" || (use.subject === "either" && by === half)) return holds(half);
    if (use.subject === "they" || (use.subject === "either" && by === they)) return holds(they);
    return use.subject === "both" ? holds(half) && holds(they) : holds(half) || holds(they);
  }

  private like({ what, another, theirs }: LikeTest): boolean {
    const who = theirs ? 1 - this.actor : this.actor;
    const before = this.moment.state[this.firstLike + what * 2 + who] as number;
    if (before === NONE_BEFORE) return false;
    const now = this.said[what] ?? NOTHING_SAID;
    const known = this.likes.verdict(what, before - 1, now);
    const verdict = known === "open" ? this.tried(what, who) : known;
    return verdict === (another ? "another" : "the same");
  }

  /** What is unknown of one action is the same for all that ask; every strike has a target, but not a blow with a name. */
  private tried(what: number, who: number): (typeof VERDICTS)[number] {
    const key = what * 2 + who;
    let verdict = this.found[key];
    if (verdict === undefined) {
      const ways = this.isStrike && this.likes.isOfEveryStrike(what) ? 2 : VERDICTS.length;
      verdict = VERDICTS[this.forks.choose(ways)] as (typeof VERDICTS)[number];
      this.found[key] = verdict;
    }
    return verdict;
  }

  /** Moves the slots on, once it is decided which bits were taken and which still wait. */
  settle(state: Int32Array, code: number): void {
    const { steps: taken, waits: waiting } = this;
    for (let i = 0; i < this.aged.length; i++) {
      const timed = this.timed[i >> 1] as Timed;
      const place = (i & 1) * this.words + timed.word;
      const bit = 1 << timed.bit;
      let ages = (waiting[place]! & bit) === 0 ? NONE : (this.left[i] as number);
      if ((taken[place]! & bit) !== 0) ages = this.ages.with(ages, timed);
      else if (ages === NONE) state[place]! &= ~bit;
      state[this.first + i] = ages;
    }
    const { compared, strike } = this.likes;
    if (compared.length === 0 || this.coder.signatures[Math.floor(code / 3)]?.[strike] !== 1) return;
    const by = code % 3;
    for (let what = 0; what < compared.length; what++)
      for (const side of HALVES)
        if (by === 2 || by === side)
          state[this.firstLike + what * 2 + side] = (this.said[what] ?? NOTHING_SAID) + 1;
  }

  /** What else of an action makes a difference, as a key. */
  effectOf(code: number): string {
    const signature = this.coder.signatures[Math.floor(code / 3)] as Uint8Array;
    let key = "";
    for (const { test, never } of this.uses) {
      if (signature[test.predicate] !== 1) continue;
      key += `;${never ? String(code % 3) : ""}${test.choices.map((one) => truthsOf(one, signature)).join("")}`;
    }
    return this.likes.compared.length > 0 && signature[this.likes.strike] === 1
      ? `${key};${String(code % 3)}`
      : key;
  }
}

/** The truth of everything that an action may be compared with. */
function truthsOf({ words, refs }: DynamicChoice, signature: Uint8Array): string {
  const asked = [words, ...refs.flatMap(({ predicates }) => predicates)];
  return asked.map((predicate) => signature[predicate] ?? 0).join("");
}

/** Whether the acting fencer is the step's subject where `half` is "I", and, for "begin", acts for the first time. */
export function actsAs(use: Use, by: number, half: number, variant: number): boolean {
  const mine = by === 2 || by === half;
  const theirs = by === 2 || by !== half;
  const { begin } = use.test;
  const seenMine = (variant >> half) & 1;
  const seenTheirs = (variant >> (1 - half)) & 1;
  const iAct = mine && !(begin && seenMine === 1);
  const theyAct = theirs && !(begin && seenTheirs === 1);
  switch (use.subject) {
    case "I":
      return iAct;
    case "they":
      return theyAct;
    case "either":
      return iAct || theyAct;
    case "both":
      return by === 2 && iAct && theyAct;
  }
}
