/** The bit tables of a rule set: for each code which steps it takes and which waits it breaks, for both fencers as "I". */
import { UNKNOWN_TIME } from "./ages.ts";
import type { Coder, CodeSet, Said } from "./code.ts";
import { actsAs, Dynamic, type ChoiceTest } from "./dynamic.ts";
import type { Bit, Layout } from "./pattern.ts";

export interface HookStep {
  readonly state: Int32Array;
  readonly fresh: Int32Array;
  readonly kept: Int32Array;
  readonly code: number;
  /** Seconds that it lasted, -1 where nobody said. */
  readonly seconds: number;
  /** False for an action that may have happened unrecorded. */
  readonly recorded: boolean;
}

/** Follows a phrase's last steps while an exchange runs: counts, tokens, notes. Slots stand behind the bits. */
export interface Hook {
  /**
   * Called after each action with the bits that this action has just accepted, in both halves, and with those that
   * were accepted before it and that it has not cancelled.
   */
  readonly after: (step: HookStep) => void;
  /** At the halt: forgets what later reading cannot tell apart. */
  readonly finish?: (state: Int32Array) => void;
  /** What it asks more of an action than which steps it takes: a number for an action that takes one of these bits. */
  readonly tells?: { readonly bits: readonly Bit[]; readonly value: (code: number) => number };
}

/** What of the tables is looked at: everything, or the phrases and hooks of one part of the rule set. */
export interface View {
  readonly final: Int32Array;
  readonly hooks: readonly Hook[];
  readonly starts: readonly ((state: Int32Array) => void)[];
  /** Some phrase says "begin", so who has acted counts. */
  readonly begins: boolean;
  /** How phrases match depends on picks or marks, so that it must be found anew in each world. */
  readonly readsMemory: boolean;
}

/** What the recorded actions tell beside their codes. */
export interface Told {
  readonly seconds: readonly number[];
  readonly elapsed: readonly number[];
  readonly said: readonly Said[];
}

const UNKNOWN_SECONDS = -1;
const NOTHING_SAID: Said = [];

export class Tables {
  /** Words of one half; a state has two halves, then the hooks' slots. */
  readonly words: number;
  readonly size: number;
  readonly init: Int32Array;
  readonly start: Int32Array;
  readonly final: Int32Array;
  readonly loop: Int32Array;
  readonly all: View;
  /** Steps that ask more than a code tells; undefined where there are none. */
  readonly dynamic: Dynamic | undefined;
  /** For each code 2 * words numbers; built when a code is first met. */
  steps: Int32Array;
  waits: Int32Array;
  /** 4 where some phrase says "begin" (neither, Red, Blue, both have acted), else 1. */
  readonly variants: number;
  private readonly kinds = new WeakMap<View, WeakMap<CodeSet, Map<string, readonly number[]>>>();
  private readonly layout: Layout;
  private readonly coder: Coder;
  private built = 0;
  private readonly fresh: Int32Array;
  private readonly kept: Int32Array;

  constructor(layout: Layout, coder: Coder, slots: number, all: Omit<View, "final" | "begins">) {
    this.layout = layout;
    this.coder = coder;
    const { words } = layout;
    this.words = words;
    this.variants = layout.uses.some((use) => use.test.begin) ? 4 : 1;
    const dynamic = new Dynamic(layout, coder, 2 * words + slots);
    this.dynamic = dynamic.isEmpty ? undefined : dynamic;
    this.size = 2 * words + slots + dynamic.slots + (this.variants === 4 ? 1 : 0);
    const twice = (list: readonly number[]): Int32Array => Int32Array.from([...list, ...list]);
    this.init = twice(layout.init);
    this.start = twice(layout.start);
    this.final = twice(layout.final);
    this.loop = twice(layout.loop);
    this.all = {
      ...all,
      final: this.final,
      begins: this.variants === 4,
      readsMemory: all.readsMemory || dynamic.readsMemory,
    };
    this.steps = new Int32Array(0);
    this.waits = new Int32Array(0);
    this.fresh = new Int32Array(2 * words);
    this.kept = new Int32Array(2 * words);
  }

  /** Builds the rows of every code up to the coder's latest signature. */
  grow(): void {
    const signatures = this.coder.signatures.length;
    if (signatures === this.built) return;
    const row = 2 * this.words;
    const total = signatures * 3 * this.variants * row;
    if (total > this.steps.length) {
      const room = Math.max(total, 2 * this.steps.length);
      this.steps = grown(this.steps, room);
      this.waits = grown(this.waits, room);
    }
    for (let signature = this.built; signature < signatures; signature++)
      for (let by = 0; by < 3; by++)
        for (let variant = 0; variant < this.variants; variant++)
          this.row(signature, by, variant, ((signature * 3 + by) * this.variants + variant) * row);
    this.built = signatures;
  }

  private row(signature: number, by: number, variant: number, at: number): void {
    const truths = this.coder.signatures[signature] as Uint8Array;
    for (let half = 0; half < 2; half++) {
      for (let word = 0; word < this.words; word++)
        this.waits[at + half * this.words + word] = this.loop[word] as number;
      for (const use of this.layout.uses) {
        if (truths[use.test.predicate] !== 1 || !actsAs(use, by, half, variant)) continue;
        const place = at + half * this.words + use.word;
        if (!use.never) this.steps[place]! |= 1 << use.bit;
        // What depends on a pick or on the time is decided when it is met.
        else if (use.test.choices.length === 0 && use.gap === undefined)
          this.waits[place]! &= ~(1 << use.bit);
      }
    }
  }

  /** For a set of codes and a view: which of them differ, by live bits. The rows of a code never change. */
  kindsOf(set: CodeSet, view: View): Map<string, readonly number[]> {
    let sets = this.kinds.get(view);
    if (!sets) this.kinds.set(view, (sets = new WeakMap()));
    let known = sets.get(set);
    if (!known) sets.set(set, (known = new Map()));
    return known;
  }

  /** What an action does to the live bits, as a key; who acts counts too, where some phrase says "begin". */
  effectOf(code: number, live: Int32Array, view: View): string {
    const row = 2 * this.words;
    let key = view.begins ? String(code % 3) : "";
    for (let variant = 0; variant < (view.begins ? this.variants : 1); variant++) {
      const at = (code * this.variants + variant) * row;
      for (let word = 0; word < row; word++) {
        const mask = live[word] as number;
        key += `,${String(this.steps[at + word]! & mask)},${String(this.waits[at + word]! & mask)}`;
      }
    }
    if (this.dynamic) key += this.dynamic.effectOf(code);
    for (const { tells } of view.hooks)
      if (tells && this.takes(code, tells.bits)) key += `;${String(tells.value(code))}`;
    return key;
  }

  private takes(code: number, bits: readonly Bit[]): boolean {
    const at = code * this.variants * 2 * this.words;
    return bits.some(
      ({ word, mask }) => ((this.steps[at + word]! | this.steps[at + this.words + word]!) & mask) !== 0,
    );
  }

  reset(state: Int32Array, { starts }: View): void {
    const { start } = this;
    for (let i = 0; i < start.length; i++) state[i] = start[i] as number;
    for (let i = start.length; i < state.length; i++) state[i] = 0;
    for (let i = 0; i < starts.length; i++) starts[i]?.(state);
    this.dynamic?.restart();
  }

  /** A whole exchange in which every action is known. */
  run(
    state: Int32Array,
    codes: Int32Array,
    count: number,
    told: Told | undefined,
    choose: ChoiceTest,
    view: View,
  ): void {
    this.reset(state, view);
    const isPlain = this.dynamic === undefined && view.hooks.length === 0 && this.variants === 1;
    if (isPlain && this.words === 1) this.runOne(state, codes, count);
    else if (isPlain && this.words === 2) this.runTwo(state, codes, count);
    else for (let i = 0; i < count; i++) this.advance(state, codes[i] as number, i, told, choose, view);
  }

  // The two loops below are `advance` written out for rule sets that fit in one or two words, which nearly all do.

  private runOne(state: Int32Array, codes: Int32Array, count: number): void {
    const { steps, waits, init } = this;
    const [i0, i1] = [init[0] as number, init[1] as number];
    let d0 = state[0] as number;
    let d1 = state[1] as number;
    for (let i = 0; i < count; i++) {
      const at = (codes[i] as number) * 2;
      d0 = (((d0 << 1) | i0) & (steps[at] as number)) | (d0 & (waits[at] as number));
      d1 = (((d1 << 1) | i1) & (steps[at + 1] as number)) | (d1 & (waits[at + 1] as number));
    }
    state[0] = d0;
    state[1] = d1;
  }

  private runTwo(state: Int32Array, codes: Int32Array, count: number): void {
    const { steps, waits, init } = this;
    const i0 = init[0] as number;
    const i1 = init[1] as number;
    let d0 = state[0] as number;
    let d1 = state[1] as number;
    let d2 = state[2] as number;
    let d3 = state[3] as number;
    for (let i = 0; i < count; i++) {
      const at = (codes[i] as number) * 4;
      d0 = (((d0 << 1) | i0) & (steps[at] as number)) | (d0 & (waits[at] as number));
      d1 = (((d1 << 1) | i1) & (steps[at + 1] as number)) | (d1 & (waits[at + 1] as number));
      d2 = (((d2 << 1) | i0) & (steps[at + 2] as number)) | (d2 & (waits[at + 2] as number));
      d3 = (((d3 << 1) | i1) & (steps[at + 3] as number)) | (d3 & (waits[at + 3] as number));
    }
    state[0] = d0;
    state[1] = d1;
    state[2] = d2;
    state[3] = d3;
  }

  /** One action: every phrase advances. `index` is its place among those that were recorded, -1 where it was not. */
  advance(
    state: Int32Array,
    code: number,
    index: number,
    told: Told | undefined,
    choose: ChoiceTest,
    view: View,
  ): void {
    const row = 2 * this.words;
    let at = code * row;
    if (this.variants === 4) {
      const seen = state[this.size - 1] as number;
      at = (code * 4 + seen) * row;
      const by = code % 3;
      if (view.begins) state[this.size - 1] = seen | (by === 0 ? 1 : by === 1 ? 2 : 3);
    }
    if (this.dynamic) this.advanceWithChoices(this.dynamic, state, at, code, index, told, choose);
    else
      for (let word = 0; word < row; word++) {
        const before = state[word] as number;
        const taken = ((before << 1) | (this.init[word] as number)) & (this.steps[at + word] as number);
        const waiting = before & (this.waits[at + word] as number);
        this.fresh[word] = taken & (this.final[word] as number);
        this.kept[word] = waiting & (this.final[word] as number);
        state[word] = taken | waiting;
      }
    const { hooks } = view;
    if (hooks.length === 0) return;
    const { fresh, kept } = this;
    const step: HookStep = {
      state,
      fresh,
      kept,
      code,
      seconds: told?.seconds[index] ?? UNKNOWN_SECONDS,
      recorded: index >= 0,
    };
    for (let i = 0; i < hooks.length; i++) (hooks[i] as Hook).after(step);
  }

  private advanceWithChoices(
    dynamic: Dynamic,
    state: Int32Array,
    at: number,
    code: number,
    index: number,
    told: Told | undefined,
    choose: ChoiceTest,
  ): void {
    const row = 2 * this.words;
    const { steps, waits } = dynamic;
    for (let word = 0; word < row; word++) {
      steps[word] = this.steps[at + word] as number;
      waits[word] = this.waits[at + word] as number;
    }
    dynamic.narrow(
      state,
      this.init,
      code,
      Math.floor(at / row) % this.variants,
      told?.elapsed[index] ?? UNKNOWN_TIME,
      told?.said[index] ?? NOTHING_SAID,
      choose,
    );
    for (let word = 0; word < row; word++) {
      const before = state[word] as number;
      const taken = ((before << 1) | (this.init[word] as number)) & (steps[word] as number);
      const waiting = before & (waits[word] as number);
      this.fresh[word] = taken & (this.final[word] as number);
      this.kept[word] = waiting & (this.final[word] as number);
      state[word] = taken | waiting;
      steps[word] = taken;
      waits[word] = waiting;
    }
    dynamic.settle(state, code);
  }
}

function grown(from: Int32Array, length: number): Int32Array {
  const to = new Int32Array(length);
  to.set(from);
  return to;
}
