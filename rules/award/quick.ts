/** Scoring of exchanges in which everything is known, one after the other: no sets, no worlds, nothing allocated. */
import type { Act, ExchangeLine } from "../record.ts";
import type { Scorer } from "./scorer.ts";
import { scoreExchange } from "./exchange.ts";
import type { Standing } from "./known.ts";
import { HOW, type Machine } from "./machine.ts";
import type { Program } from "./program.ts";
import { lastedBetween } from "./run.ts";

/** An exchange as small integers. */
export interface QuickExchange {
  readonly codes: Int32Array;
  readonly how: number;
  readonly left: number;
}

/** A step on the way from an action's words to its code; `undefined` is a word too: nobody wrote it. */
type Branch = Map<string | undefined, Branch | number>;

const UNKNOWN = -1;
/** It did not land and nobody said how, it hit, it missed, it fell short. */
const ENDS = 4;
/** Leads to the word that it was not; no target has a line break in its name. */
const NOT = "\n";
const NO_LEFT_HANDERS: readonly never[] = [];
/** The words that nearly every action is told by, in this order; with any other word it takes the longer way. */
const isShort = (act: Act): boolean =>
  act.blow === undefined &&
  act.manners === undefined &&
  (act.not === undefined || act.not.length === 1) &&
  act.from === undefined &&
  act.footwork === undefined &&
  act.direction === undefined &&
  act.hand === undefined &&
  act.edge === undefined &&
  act.for === undefined;

/** Turns recorded actions into codes, remembering every kind of action that it has met. */
export class QuickCoder {
  private readonly program: Program;
  /** One for who acts, how it ended, and whether both landed. */
  private readonly branches: readonly Branch[] = Array.from({ length: 3 * ENDS * 2 }, () => new Map());

  constructor(program: Program) {
    this.program = program;
  }

  /** Writes the codes of a closed line; -1 where something is not known, else how many. */
  codes(line: ExchangeLine, into: Int32Array): number {
    const { acts, open, how } = line;
    // What is compared with earlier actions, or measured from them, takes the longer way.
    if (this.program.tables.dynamic?.mayFork === true) return UNKNOWN;
    if ((open !== false && how !== "no exchange") || acts.length > into.length) return UNKNOWN;
    // Left-handers take the longer way.
    if (line.leftHanded !== undefined) return UNKNOWN;
    let red = false;
    let blue = false;
    for (let i = 0; i < acts.length; i++) {
      const { end, by, kind } = acts[i] as Act;
      if (end === "perhaps") return UNKNOWN;
      if (end !== "hit" && (end !== undefined || kind !== "afterblow")) continue;
      if (by !== "blue") red = true;
      if (by !== "red") blue = true;
    }
    for (let i = 0; i < acts.length; i++) {
      const code = this.code(acts, i, red && blue);
      if (code < 0) return UNKNOWN;
      into[i] = code;
    }
    return acts.length;
  }

  private code(acts: readonly Act[], i: number, bothHit: boolean): number {
    const act = acts[i] as Act;
    // What a strike without its kind is depends on the action before it.
    if (act.kind === undefined || !isShort(act)) return this.longer(acts, i, bothHit);
    const { by, end, target, not } = act;
    const who = by === "red" ? 0 : by === "blue" ? 1 : 2;
    const landed = end === undefined ? 0 : end === "hit" ? 1 : end === "miss" ? 2 : 3;
    let branch = this.branches[((bothHit ? 3 : 0) + who) * ENDS + landed] as Branch;
    branch = next(branch, act.kind);
    branch = next(branch, act.form);
    if (not !== undefined) branch = next(next(branch, NOT), not[0]);
    const known = branch.get(target);
    if (known !== undefined) return known as number;
    const code = this.longer(acts, i, bothHit);
    branch.set(target, code);
    return code;
  }

  private longer(acts: readonly Act[], i: number, bothHit: boolean): number {
    const { coder, isParry, tables } = this.program;
    const act = acts[i] as Act;
    const before = acts[i - 1];
    const end: Standing["end"] =
      act.end === undefined || act.end === "perhaps"
        ? act.kind === "afterblow"
          ? "hit"
          : "no hit"
        : act.end;
    const set = coder.act(act, {
      open: false,
      afterOwnParry: before?.kind !== undefined && before.by === act.by && isParry(before.kind),
      end,
      clean: end === "hit" && !bothHit,
      leftHanded: NO_LEFT_HANDERS,
    });
    tables.grow();
    return set.only;
  }
}

function next(branch: Branch, word: string | undefined): Branch {
  const known = branch.get(word);
  if (known !== undefined) return known as Branch;
  const made: Branch = new Map();
  branch.set(word, made);
  return made;
}

/** More actions than this in one exchange take the longer way. */
const MOST_ACTS = 64;

/** A bout that is scored exchange by exchange; its machine holds the awards of the latest one. */
export class QuickBout {
  readonly machine: Machine;
  private readonly program: Program;
  private readonly coder: QuickCoder;
  private readonly state: Int32Array;
  private readonly codes = new Int32Array(MOST_ACTS);
  private leftBefore: number | undefined;
  private readonly timed: boolean;

  constructor({ program }: Scorer) {
    this.program = program;
    this.machine = program.machine;
    this.coder = new QuickCoder(program);
    this.timed = program.env.lengthCuts.size > 0;
    this.state = new Int32Array(program.tables.size);
    this.restart();
  }

  restart(): void {
    const { all } = this.program.env.fields;
    const m = this.machine;
    for (let i = 0; i < all.length; i++) m.mem[i] = all[i]?.initial ?? 0;
    m.number = 0;
    m.doubles = 0;
    this.leftBefore = undefined;
    m.winner = -1;
    m.candidates = undefined;
    m.calls = NO_CALLS;
  }

  /** The line as small integers; undefined where something is not known. */
  coded(line: ExchangeLine): QuickExchange | undefined {
    const count = this.coder.codes(line, this.codes);
    if (count < 0) return undefined;
    return {
      codes: this.codes.slice(0, count),
      how: HOW[line.how ?? "plain"],
      left: line.left ?? Number.NaN,
    };
  }

  /** Scores one exchange; the memory moves on to the next. */
  exchange({ codes, how, left }: QuickExchange): void {
    this.run(codes, codes.length, how, left);
  }

  /** Scores one line as it was recorded; false, and nothing done, where something is not known. */
  line(line: ExchangeLine): boolean {
    const count = this.coder.codes(line, this.codes);
    if (count < 0) return false;
    this.run(this.codes, count, HOW[line.how ?? "plain"], line.left ?? Number.NaN);
    return true;
  }

  private run(codes: Int32Array, count: number, how: number, left: number): void {
    const { program, state } = this;
    const { machine: m, tables } = program;
    m.how = how;
    m.left = left;
    if (this.timed) m.lasted = lastedBetween(program.env.ruleSet.bout, this.leftBefore, left);
    this.leftBefore = left;
    if (how !== HOW["no exchange"]) m.number++;
    tables.run(state, codes, count, undefined, program.choose, tables.all);
    m.state = state;
    scoreExchange(program);
    if (how === HOW.double) m.doubles++;
    const { mem } = m;
    m.mem = m.now;
    m.now = mem;
  }
}

const NO_CALLS: readonly never[] = [];
