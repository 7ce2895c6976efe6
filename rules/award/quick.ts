/** Scoring of exchanges in which everything is known, one after the other: no sets, no worlds, nothing allocated. */
import type { Scorer } from "./compile.ts";
import type { CodedExchange } from "./code.ts";
import { scoreExchange } from "./exchange.ts";
import { HOW, type Machine } from "./machine.ts";
import { coded } from "./run.ts";
import type { ExchangeLine } from "../record.ts";

/** An exchange as small integers. */
export interface QuickExchange {
  readonly codes: Int32Array;
  readonly seconds: readonly number[];
  readonly how: number;
  readonly left: number;
}

/** Undefined where something is not known, or where it needs more than codes. */
export function quicken({ program }: Scorer, line: ExchangeLine): QuickExchange | undefined {
  const exchange: CodedExchange = coded(program, line);
  const [way] = exchange.ways;
  program.tables.grow();
  if (exchange.over || exchange.ways.length > 1 || !way?.codes || exchange.unrecorded.codes.length > 0) return undefined;
  return {
    codes: way.codes,
    seconds: exchange.seconds,
    how: HOW[line.how ?? "plain"],
    left: line.left ?? Number.NaN,
  };
}

/** A bout that is scored exchange by exchange; its machine holds the awards of the latest one. */
export class QuickBout {
  readonly machine: Machine;
  private readonly scorer: Scorer;
  private readonly state: Int32Array;

  constructor(scorer: Scorer) {
    this.scorer = scorer;
    const { program } = scorer;
    this.machine = program.machine;
    this.state = new Int32Array(program.tables.size);
    this.restart();
  }

  restart(): void {
    const { fields } = this.scorer.program.env;
    for (const { index, initial } of fields.all) this.machine.mem[index] = initial;
    this.machine.number = 0;
    this.machine.winner = -1;
    this.machine.candidates = undefined;
  }

  /** Scores one exchange; the memory moves on to the next. */
  exchange({ codes, seconds, how, left }: QuickExchange): void {
    const { program } = this.scorer;
    const { machine: m, tables, choose } = program;
    m.how = how;
    m.left = left;
    m.calls = NO_CALLS;
    if (how !== HOW["no exchange"]) m.number++;
    tables.run(this.state, codes, seconds, choose, tables.all);
    m.state = this.state;
    scoreExchange(program);
    const { mem } = m;
    m.mem = m.now;
    m.now = mem;
  }
}

const NO_CALLS: readonly never[] = [];
