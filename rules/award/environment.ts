/** What the parts of the compiler share while a rule set is compiled. */
import type { Condition, Doing, Mark, Phrase, Pick, Rule, RuleSet } from "../language/tree.ts";
import type { Coder } from "./code.ts";
import type { Doings, RefTest, StepTest } from "./doing.ts";
import { Joined, owner } from "./joined.ts";
import type { Fields } from "./memory.ts";
import type { Machine, SideIndex } from "./machine.ts";
import { type Accepts, type FlatPhrase, flatten, type Layout } from "./pattern.ts";

import { Unsupported } from "./refusal.ts";
import type { Hook } from "./tables.ts";

/** Asked for one fencer as "I". */
export type Test = (side: SideIndex) => boolean;

/** The value of a note or set just before an action, given its field. */
export type MomentReader = (field: number, state: Int32Array) => number;

/** Watches last steps while an exchange runs; its slots stand behind the bits of a state. */
export interface HookPlan {
  readonly slots: number;
  /** Runs before the hooks that move tokens. */
  readonly before?: boolean;
  readonly readsMemory?: boolean;
  /** Given the place of its first slot in a state and the number of words of a half. */
  readonly build: (first: number, words: number) => Hook;
  /** Sets the slots before the first action; they are 0. */
  readonly start: (state: Int32Array, first: number) => void;
}

/** A number of seconds that a condition tells from the others, and how it is asked. */
export interface Cut {
  readonly n: number;
  readonly cmp: "or less" | "or more";
  readonly text: string;
}

/** What an exchange has shown, kept for those that look back to it. */
export interface KeptCondition {
  readonly id: number;
  readonly condition: Condition;
  /** Red's of each pair; exchange n has pair (n - 1) modulo their number. */
  readonly fields: number[];
  readonly test: Test;
}

export class Environment {
  readonly ruleSet: RuleSet;
  readonly rules: readonly Rule[];
  readonly fields: Fields;
  readonly layout: Layout;
  readonly doings: Doings;
  readonly hooks: { plan: HookPlan; first: number; owner: string }[] = [];
  /** Which rules and marks cannot be scored apart. */
  readonly joined = new Joined();
  /** For each phrase who asks for it. */
  readonly askers = new Map<number, Set<string>>();
  private asker = "";
  /** What is kept of exchanges that are over, by the condition as text. */
  readonly kept = new Map<string, KeptCondition>();
  /** Seconds left that conditions tell apart, and lengths of an exchange. */
  readonly timeCuts = new Map<string, Cut>();
  readonly lengthCuts = new Map<string, Cut>();
  /** For each token and roles mark the slot that follows it. */
  readonly holderSlots = new Map<string, number>();
  readonly machine: Machine;
  private readonly coder: Coder;
  /** Where the value is that a step's word from outside names. */
  private readonly refFields = new Map<RefTest, (side: SideIndex) => number>();
  private readonly moments = new Map<RefTest, MomentReader>();
  private readonly flats = new WeakMap<Phrase, readonly FlatPhrase[]>();
  private readonly stepTests = new WeakMap<Doing, StepTest>();
  /** First slot behind the bits; known once every phrase is laid out. */
  private slots = 0;

  constructor(
    ruleSet: RuleSet,
    rules: readonly Rule[],
    fields: Fields,
    layout: Layout,
    doings: Doings,
    machine: Machine,
    coder: Coder,
  ) {
    this.coder = coder;
    this.machine = machine;
    this.ruleSet = ruleSet;
    this.rules = rules;
    this.fields = fields;
    this.layout = layout;
    this.doings = doings;
  }

  ruleNumber(name: string): number {
    const found = this.rules.findIndex((rule) => rule.name === name);
    if (found < 0) throw new Unsupported(`No rule is named "${name}".`);
    return found;
  }

  mark(name: string): Mark {
    const found = this.ruleSet.marks.find((mark) => mark.name === name);
    if (!found) throw new Unsupported(`No mark is named "${name}".`);
    return found;
  }

  pick(name: string): Pick {
    const found = this.ruleSet.picks.find((pick) => pick.name === name);
    if (!found) throw new Unsupported(`No pick is named "${name}".`);
    return found;
  }

  /** A phrase written out, and what a step asks; kept, because sentences and questions ask again and again. */
  flat(phrase: Phrase): readonly FlatPhrase[] {
    let known = this.flats.get(phrase);
    if (!known) this.flats.set(phrase, (known = flatten(this.ruleSet, phrase)));
    return known;
  }

  stepTest(doing: Doing): StepTest {
    let known = this.stepTests.get(doing);
    if (!known) this.stepTests.set(doing, (known = this.doings.test(doing)));
    return known;
  }

  /** Compiles something in the name of a rule, a mark or the touches. */
  as<T>(asker: string, compile: () => T): T {
    const before = this.asker;
    this.asker = asker;
    this.joined.root(asker);
    try {
      return compile();
    } finally {
      this.asker = before;
    }
  }

  /** Whoever is being compiled needs this one in the same exchange. */
  needs(other: string): void {
    if (this.asker !== "") this.joined.join(this.asker, other);
  }

  get askerName(): string {
    return this.asker;
  }

  add(phrase: Phrase): Accepts {
    const accepts = this.layout.add(phrase);
    for (const mark of accepts.marksAtThatMoment) this.needs(owner.mark(mark));
    const askers = this.askers.get(accepts.id) ?? new Set();
    this.askers.set(accepts.id, askers.add(this.asker));
    return accepts;
  }

  /** A slot behind the bits, counted from 0; `slot` gives its place in a state. */
  hook(plan: HookPlan): number {
    const first = this.slots;
    this.slots += plan.slots;
    this.hooks.push({ plan, first, owner: this.asker });
    return first;
  }

  get slotCount(): number {
    return this.slots;
  }

  slot(first: number): number {
    return 2 * this.layout.words + first;
  }

  /** The truth of every predicate for an action of this code. */
  signature(code: number): Uint8Array {
    return this.coder.signatures[Math.floor(code / 3)] as Uint8Array;
  }

  /** Compile-time: remembers where the value of a step's pick, note or set is kept. */
  bindRef(ref: RefTest, field: (side: SideIndex) => number): void {
    this.refFields.set(ref, field);
  }

  /** Compile-time: remembers how a note or set is read with this exchange's earlier actions in it. */
  bindMoment(ref: RefTest, read: MomentReader): void {
    this.moments.set(ref, read);
  }

  /** Whether the action has the value that the pick or mark has now, for one fencer as "I". */
  refHolds(ref: RefTest, signature: Uint8Array, side: SideIndex, state: Int32Array): boolean {
    const field = (this.refFields.get(ref) as (side: SideIndex) => number)(side);
    const value = this.moments.get(ref)?.(field, state) ?? this.machine.read(field);
    switch (ref.source) {
      case "pick":
        return signature[ref.predicates[value] as number] === 1;
      case "note":
        return value > 0 && signature[ref.predicates[value - 1] as number] === 1;
      case "set":
        return ref.predicates.some(
          (predicate, i) => Math.floor(value / 2 ** i) % 2 === 1 && signature[predicate] === 1,
        );
    }
  }

  /** True where the phrase is accepted at the halt. */
  accepted(phrase: Phrase): Test {
    return this.acceptedBits(this.add(phrase));
  }

  acceptedBits({ tests }: Accepts): Test {
    const [only] = tests;
    const { layout } = this;
    if (tests.length === 1 && only) {
      const { word, mask } = only;
      return (side) => ((this.machine.state[side * layout.words + word] as number) & mask) !== 0;
    }
    return (side) =>
      tests.some(
        ({ word, mask }) => ((this.machine.state[side * layout.words + word] as number) & mask) !== 0,
      );
  }
}

/** Whether these bits were accepted by the latest action, with that fencer as "I". */
export function freshFor(
  tests: Accepts["tests"],
  fresh: Int32Array,
  words: number,
  side: SideIndex,
): boolean {
  for (const { word, mask } of tests) if (((fresh[side * words + word] as number) & mask) !== 0) return true;
  return false;
}
