/**
 * Every way in which an exchange may have gone, as far as the phrases can tell: the set of states at the halt. Ways
 * that no phrase tells apart are one; bits that can no longer lead anywhere are dropped, so that the set stays small.
 */
import { CAP, type CodedExchange, type CodedWay, type CodeSet } from "./code.ts";
import type { ChoiceTest } from "./dynamic.ts";
import type { Tables, View } from "./tables.ts";

/** The states at the halt that a view tells apart, or undefined where there are more than CAP. */
export function statesAtHalt(
  tables: Tables,
  exchange: CodedExchange,
  choose: ChoiceTest,
  view: View,
): readonly Int32Array[] | undefined {
  if (exchange.over) return undefined;
  tables.grow();
  const run = new Run(tables, exchange, choose, view);
  const [only] = exchange.ways;
  if (exchange.ways.length === 1 && only) return run.way(only);
  const states = new StateSet();
  for (const way of exchange.ways) {
    const done = run.way(way);
    if (!done) return undefined;
    for (const state of done) states.add(state);
  }
  return states.all.length > CAP ? undefined : states.all;
}

/** Between two actions more states may be open than at the halt, where many of them come to the same. */
const MOST_BETWEEN = 4 * CAP;

/** States by value, in the order in which they were found. */
class StateSet {
  readonly all: Int32Array[] = [];
  /** Places in `all`, plus 1, by hash; 0 is free. Never more than half full. */
  private table = new Int32Array(16);

  get over(): boolean {
    return this.all.length > MOST_BETWEEN;
  }

  /** Keeps a copy; what was there already changes nothing. */
  add(state: Int32Array): void {
    const mask = this.table.length - 1;
    let at = hashOf(state) & mask;
    for (let known = this.table[at] as number; known !== 0; known = this.table[at] as number) {
      if (isSame(this.all[known - 1] as Int32Array, state)) return;
      at = (at + 1) & mask;
    }
    this.table[at] = this.all.push(state.slice());
    if (this.all.length * 2 > this.table.length) this.grow();
  }

  private grow(): void {
    this.table = new Int32Array(this.table.length * 4);
    const mask = this.table.length - 1;
    this.all.forEach((state, i) => {
      let at = hashOf(state) & mask;
      while (this.table[at] !== 0) at = (at + 1) & mask;
      this.table[at] = i + 1;
    });
  }
}

function hashOf(state: Int32Array): number {
  let hash = 0;
  for (let i = 0; i < state.length; i++) {
    hash = Math.imul(hash ^ (state[i] as number), 0x9e3779b1);
    hash ^= hash >>> 15;
  }
  return hash;
}

function isSame(a: Int32Array, b: Int32Array): boolean {
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
  return true;
}

/** The place of an action that nobody recorded. */
const UNRECORDED = -1;

class Run {
  private readonly tables: Tables;
  private readonly exchange: CodedExchange;
  private readonly choose: ChoiceTest;
  private readonly view: View;
  private readonly scratch: Int32Array;

  constructor(tables: Tables, exchange: CodedExchange, choose: ChoiceTest, view: View) {
    this.tables = tables;
    this.exchange = exchange;
    this.choose = choose;
    this.view = view;
    this.scratch = new Int32Array(tables.size);
  }

  way(way: CodedWay): readonly Int32Array[] | undefined {
    if (way.codes === undefined || this.exchange.unrecorded.codes.length > 0) return this.unknown(way);
    const known = this.known(way.codes);
    return known ? [known] : this.unknown(way);
  }

  private start(): Int32Array {
    const state = new Int32Array(this.tables.size);
    this.tables.reset(state, this.view);
    return state;
  }

  /** Undefined where the time between actions, or what two have in common, leaves more than one way. */
  private known(codes: Int32Array): Int32Array | undefined {
    const state = new Int32Array(this.tables.size);
    const { dynamic } = this.tables;
    if (dynamic) {
      dynamic.wanted = undefined;
      dynamic.forks.restart();
    }
    this.tables.run(state, codes, codes.length, this.exchange, this.choose, this.view);
    if (dynamic && dynamic.forks.soFar().length > 0) return undefined;
    dynamic?.forget(state, true);
    return state;
  }

  private unknown(way: CodedWay): readonly Int32Array[] | undefined {
    const { unrecorded } = this.exchange;
    const live = this.liveBits(way.acts);
    const at = (i: number): Int32Array => live[i] as Int32Array;
    let states = new StateSet();
    states.add(pruned(this.start(), at(0)));
    if (!this.close(states, at(0))) return undefined;
    for (let i = 0; i < way.acts.length; i++) {
      const codes = this.different(way.acts[i] as CodeSet, at(i + 1));
      const next = new StateSet();
      for (const state of states.all)
        for (const code of codes) {
          this.step(state, code, i, at(i + 1), next);
          if (next.over) return undefined;
        }
      states = next;
    }
    if (unrecorded.codes.length > 0 && !this.close(states, at(way.acts.length))) return undefined;
    return this.atHalt(states.all);
  }

  /** Only what was accepted counts at the halt. */
  private atHalt(states: readonly Int32Array[]): readonly Int32Array[] | undefined {
    const { view } = this;
    const finals = new StateSet();
    for (const state of states) {
      for (const hook of view.hooks) hook.finish?.(state);
      this.tables.dynamic?.forget(state, true);
      finals.add(pruned(state, view.final));
    }
    return finals.all.length > CAP ? undefined : finals.all;
  }

  /** Adds the states after an action: more than one where the code does not tell all that is asked. */
  private step(from: Int32Array, code: number, index: number, live: Int32Array, into: StateSet): void {
    const { scratch: after, tables, exchange } = this;
    const { dynamic } = tables;
    if (dynamic) {
      dynamic.wanted = live;
      dynamic.forks.restart();
    }
    for (let isMore = true; isMore; isMore = dynamic?.mayFork === true && dynamic.forks.next()) {
      after.set(from);
      tables.advance(after, code, index, exchange, this.choose, this.view);
      pruned(after, live);
      dynamic?.forget(after, false);
      into.add(after);
    }
  }

  /** Adds every state that unrecorded actions can lead to. */
  private close(states: StateSet, live: Int32Array): boolean {
    const codes = this.different(this.exchange.unrecorded, live);
    for (let i = 0; i < states.all.length; i++)
      for (const code of codes) {
        this.step(states.all[i] as Int32Array, code, UNRECORDED, live, states);
        if (states.over) return false;
      }
    return true;
  }

  /** One code of each kind that the live bits tell apart. */
  private different(set: CodeSet, live: Int32Array): readonly number[] {
    const { codes } = set;
    if (codes.length < 2) return codes;
    const { tables, view } = this;
    const known = tables.kindsOf(set, view);
    const key = live.join();
    let kinds = known.get(key);
    if (!kinds) {
      const byEffect = new Map<string, number>();
      for (const code of codes) byEffect.set(tables.effectOf(code, live, view), code);
      known.set(key, (kinds = [...byEffect.values()]));
    }
    return kinds;
  }

  /** For each place between two actions the bits from which some phrase can still be accepted. */
  private liveBits(acts: readonly CodeSet[]): readonly Int32Array[] {
    const { unrecorded } = this.exchange;
    const live: Int32Array[] = [];
    let here: Int32Array = this.view.final.slice();
    if (unrecorded.codes.length > 0) here = this.fixpoint(here, unrecorded);
    live[acts.length] = here;
    for (let i = acts.length - 1; i >= 0; i--) {
      here = this.before(here, acts[i] as CodeSet);
      if (i === 0 && unrecorded.codes.length > 0) here = this.fixpoint(here, unrecorded);
      live[i] = here;
    }
    return live;
  }

  private fixpoint(from: Int32Array, codes: CodeSet): Int32Array {
    let here = from;
    for (;;) {
      const next = this.before(here, codes);
      let grew = false;
      for (let word = 0; word < here.length; word++) {
        next[word]! |= here[word] as number;
        if (next[word] !== here[word]) grew = true;
      }
      if (!grew) return here;
      here = next;
    }
  }

  /** Bits live before an action: those that wait through it, those that take it, and every accepted one. */
  private before(after: Int32Array, codes: CodeSet): Int32Array {
    const { tables, view } = this;
    const row = 2 * tables.words;
    const steps = new Int32Array(row);
    const waits = new Int32Array(row);
    for (const code of codes.codes)
      for (let variant = 0; variant < tables.variants; variant++) {
        const at = (code * tables.variants + variant) * row;
        for (let word = 0; word < row; word++) {
          steps[word]! |= tables.steps[at + word] as number;
          waits[word]! |= tables.waits[at + word] as number;
        }
      }
    return after.map(
      (bits, word) => ((steps[word]! & bits) >>> 1) | (waits[word]! & bits) | (view.final[word] as number),
    );
  }
}

function pruned(state: Int32Array, live: Int32Array): Int32Array {
  for (let word = 0; word < live.length; word++) state[word]! &= live[word] as number;
  return state;
}
