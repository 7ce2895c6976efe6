/**
 * Every way in which an exchange may have gone, as far as the phrases can tell: the set of states at the halt. Ways
 * that no phrase tells apart are one; bits that can no longer lead anywhere are dropped, so that the set stays small.
 */
import { CAP, type CodedExchange, type CodedWay, type CodeSet } from "./code.ts";
import type { ChoiceTest, Tables } from "./tables.ts";

/** The states at the halt, or undefined where there are more than CAP. */
export function statesAtHalt(
  tables: Tables,
  exchange: CodedExchange,
  choose: ChoiceTest,
): readonly Int32Array[] | undefined {
  if (exchange.over) return undefined;
  tables.grow();
  const states = new StateSet(tables);
  for (const way of exchange.ways) {
    const done =
      way.codes !== undefined && exchange.unrecorded.codes.length === 0
        ? [runKnown(tables, way.codes, exchange.seconds, choose)]
        : runUnknown(tables, way, exchange, choose);
    if (!done) return undefined;
    for (const state of done) states.add(state);
  }
  return states.over ? undefined : states.all;
}

function runKnown(
  tables: Tables,
  codes: Int32Array,
  seconds: readonly number[],
  choose: ChoiceTest,
): Int32Array {
  const state = new Int32Array(tables.size);
  tables.reset(state);
  for (let i = 0; i < codes.length; i++) tables.advance(state, codes[i] as number, seconds[i] as number, choose);
  return state;
}

class StateSet {
  readonly all: Int32Array[] = [];
  private readonly keys = new Set<string>();
  private readonly words: number;

  constructor(tables: Tables) {
    this.words = 2 * tables.words;
  }

  get over(): boolean {
    return this.all.length > CAP;
  }

  /** False where the state was there already. */
  add(state: Int32Array): boolean {
    const key = state.join();
    if (this.keys.has(key)) return false;
    this.keys.add(key);
    this.all.push(state);
    return true;
  }

  addPruned(state: Int32Array, live: Int32Array): boolean {
    for (let word = 0; word < this.words; word++) state[word]! &= live[word] as number;
    return this.add(state);
  }
}

function runUnknown(
  tables: Tables,
  way: CodedWay,
  exchange: CodedExchange,
  choose: ChoiceTest,
): readonly Int32Array[] | undefined {
  const { unrecorded, seconds } = exchange;
  const live = liveBits(tables, way.acts, unrecorded);
  let states = new StateSet(tables);
  const first = new Int32Array(tables.size);
  tables.reset(first);
  states.addPruned(first, live[0] as Int32Array);
  if (!close(tables, states, unrecorded, live[0] as Int32Array, choose)) return undefined;
  for (let i = 0; i < way.acts.length; i++) {
    const next = new StateSet(tables);
    for (const state of states.all)
      for (const code of (way.acts[i] as CodeSet).codes) {
        const after = state.slice();
        tables.advance(after, code, seconds[i] as number, choose);
        next.addPruned(after, live[i + 1] as Int32Array);
        if (next.over) return undefined;
      }
    states = next;
  }
  return close(tables, states, unrecorded, live[way.acts.length] as Int32Array, choose) ? states.all : undefined;
}

/** Adds every state that unrecorded actions can lead to. */
function close(
  tables: Tables,
  states: StateSet,
  unrecorded: CodeSet,
  live: Int32Array,
  choose: ChoiceTest,
): boolean {
  for (let i = 0; i < states.all.length; i++)
    for (const code of unrecorded.codes) {
      const after = (states.all[i] as Int32Array).slice();
      tables.advance(after, code, UNKNOWN_SECONDS, choose);
      states.addPruned(after, live);
      if (states.over) return false;
    }
  return true;
}

const UNKNOWN_SECONDS = -1;

/** For each place between two actions the bits from which some phrase can still be accepted. */
function liveBits(tables: Tables, acts: readonly CodeSet[], unrecorded: CodeSet): readonly Int32Array[] {
  const live: Int32Array[] = [];
  let here: Int32Array = tables.final.slice();
  if (unrecorded.codes.length > 0) here = fixpoint(tables, here, unrecorded);
  live[acts.length] = here;
  for (let i = acts.length - 1; i >= 0; i--) {
    here = before(tables, here, acts[i] as CodeSet);
    if (i === 0 && unrecorded.codes.length > 0) here = fixpoint(tables, here, unrecorded);
    live[i] = here;
  }
  return live;
}

function fixpoint(tables: Tables, from: Int32Array, codes: CodeSet): Int32Array {
  let here = from;
  for (;;) {
    const next = before(tables, here, codes);
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
function before(tables: Tables, after: Int32Array, codes: CodeSet): Int32Array {
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
    (bits, word) => ((steps[word]! & bits) >>> 1) | (waits[word]! & bits) | (tables.final[word] as number),
  );
}
