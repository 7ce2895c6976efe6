/** Which missing fact opens which award, and which answers settle it. */
import type { Rule } from "../language/tree.ts";
import type { BoutSheet, ExchangeLine, SheetLine } from "../record.ts";
import { SIDES, UNITS } from "../vocabulary.ts";
import { type Candidate, candidatesOf } from "./candidates.ts";
import { applyFacts } from "./facts.ts";
import { foldExchange } from "./fold.ts";
import { withCorrections } from "./lines.ts";
import { exchangePicks, valueCandidates } from "./value-questions.ts";
import type { Program } from "./program.ts";
import { foldSheet, type FoldedExchange, type SheetFold } from "./sheet-fold.ts";
import { keyOf } from "./run.ts";
import type { Fact, OpenAward, Question, ScoredExchange } from "./tally.ts";
import { amountText } from "./trace.ts";
import { Hull } from "./worlds.ts";

export function questionsOf(
  program: Program,
  sheet: BoutSheet,
  fold: SheetFold,
  exchanges: readonly ScoredExchange[],
  endOpen: readonly OpenAward[],
): readonly Question[] {
  const asked = new Asking(program, sheet, fold, exchanges, endOpen);
  return asked.open.length === 0 ? [] : asked.questions();
}

class Asking {
  readonly open: readonly OpenAward[];
  private readonly found: Question[] = [];
  private readonly program: Program;
  private readonly sheet: readonly SheetLine[];
  private readonly fold: SheetFold;
  private readonly exchanges: readonly ScoredExchange[];

  constructor(
    program: Program,
    sheet: BoutSheet,
    fold: SheetFold,
    exchanges: readonly ScoredExchange[],
    endOpen: readonly OpenAward[],
  ) {
    this.program = program;
    this.sheet = withCorrections(sheet);
    this.fold = fold;
    this.exchanges = exchanges;
    this.open = [...exchanges.flatMap(({ open }) => open), ...endOpen];
  }

  questions(): readonly Question[] {
    const { fold, exchanges } = this;
    const later: (() => void)[] = [];
    fold.exchanges.forEach((one, i) => {
      const own = exchanges[i]?.open ?? [];
      for (const candidate of [...exchangePicks(this.program, one), ...candidatesOf(this.program, one.line)]) {
        const here = own.length > 0 && candidate.wholeSheet !== true;
        const stake = here ? this.stakeHere(one, own, candidate) : [];
        if (stake.length > 0) this.add(one, candidate, stake);
        else later.push(() => this.elsewhere(i, candidate));
      }
    });
    for (const candidate of valueCandidates(this.program, fold)) this.value(candidate);
    // An unknown may change nothing in its own exchange and something in a later one.
    if (this.isLeft()) for (const ask of later) ask();
    fold.exchanges.forEach((one, i) => this.wasThatAll(one, exchanges[i]?.open ?? []));
    return [...this.found].sort((a, b) => a.exchange - b.exchange || worth(b) - worth(a));
  }

  private isLeft(): boolean {
    return this.open.some((award) => !this.covers(award));
  }

  private covers(award: OpenAward): boolean {
    return this.found.some(({ stake }) => stake.some((one) => isSame(one, award)));
  }

  private stakeHere(one: FoldedExchange, own: readonly OpenAward[], { answers }: Candidate): readonly OpenAward[] {
    const { program } = this;
    const hulls = answers.map(({ facts }) => {
      const line = applyFacts(one.line, facts);
      return foldExchange(program, one.before, line, one.picks, one.position, new Hull(program.keys)).hull;
    });
    return own.filter((award) => {
      const key = keyOfAward(program, award);
      return hulls.some((hull) => hull.least[key] !== award.span.least || hull.most[key] !== award.span.most);
    });
  }

  private elsewhere(i: number, candidate: Candidate): void {
    const { line } = this.fold.exchanges[i] as FoldedExchange;
    const stake = this.stakeOf(candidate.answers.map(({ facts }) => this.with(line, facts)));
    if (stake.some((award) => !this.covers(award))) this.add(this.fold.exchanges[i] as FoldedExchange, candidate, stake);
  }

  /** The open awards of the whole bout that some of these sheets would change. */
  private stakeOf(sheets: readonly (readonly SheetLine[])[]): readonly OpenAward[] {
    const { program } = this;
    const folds = sheets.map((sheet) => foldSheet(program, sheet));
    return this.open.filter((award) => {
      const key = keyOfAward(program, award);
      const at = this.exchanges.findIndex(({ no }) => no === award.exchange);
      return folds.some((fold) => {
        const hull = award.exchange === 0 ? fold.end : fold.exchanges[at]?.folded.hull;
        return hull !== undefined && (hull.least[key] !== award.span.least || hull.most[key] !== award.span.most);
      });
    });
  }

  private with(line: ExchangeLine, facts: readonly Fact[]): readonly SheetLine[] {
    return this.sheet.map((one) => (one === line ? applyFacts(line, facts) : one));
  }

  private value(candidate: ReturnType<typeof valueCandidates>[number]): void {
    const stake = this.stakeOf(candidate.sheets.map((lines) => [...this.upToBout(), ...lines, ...this.ofBout()]));
    if (stake.length === 0) return;
    const exchange = stake[0]?.exchange ?? 0;
    const { id, text, answers, ask } = candidate;
    this.found.push({ id, exchange, text, stake, answers, ask });
  }

  /** The lines before the last bout's own, and its own. */
  private upToBout(): readonly SheetLine[] {
    return this.sheet.slice(0, this.boutStart());
  }

  private ofBout(): readonly SheetLine[] {
    return this.sheet.slice(this.boutStart());
  }

  private boutStart(): number {
    return this.sheet.reduce((at, line, i) => (line.type === "bout" ? i + 1 : at), 0);
  }

  private add(one: FoldedExchange, candidate: Candidate, stake: readonly OpenAward[]): void {
    const { line } = one;
    this.found.push({
      id: `${line.id ?? String(line.no)}/${candidate.id}`,
      exchange: line.no,
      text: `Exchange ${String(line.no)}: ${candidate.text}${spansIn(stake)}`,
      stake,
      answers: candidate.answers,
      ask: candidate.ask ?? whoKnows(this.program, stake),
    });
  }

  /** Where nothing smaller is left to ask. */
  private wasThatAll(one: FoldedExchange, own: readonly OpenAward[]): void {
    const stake = own.filter((award) => !this.covers(award));
    if (stake.length === 0 || one.line.open === false) return;
    const answers = [{ label: "Yes", facts: [{ fact: "nothing else" } as const] }];
    this.add(one, { id: "all", text: "was that all?", answers }, stake);
  }
}

/** How much hangs on a question. */
const worth = ({ stake }: Question): number =>
  stake.reduce((sum, { span }) => sum + span.most - span.least, 0);

const isSame = (a: OpenAward, b: OpenAward): boolean =>
  a.exchange === b.exchange && a.to === b.to && a.rule === b.rule && a.unit === b.unit;

function keyOfAward({ rules, own }: Program, { rule, to, unit }: OpenAward): number {
  const named = rules.findIndex((one) => one.rule.name === rule);
  const number = named >= 0 ? named : rule === "double" ? own.double : rule === "conversion" ? own.conversion : own.touch;
  return keyOf(number, SIDES.indexOf(to), UNITS.indexOf(unit));
}

/** An award that is certain in part still waits; the question says between what (S17). */
function spansIn(stake: readonly OpenAward[]): string {
  const certain = stake.filter(({ span }) => span.least * span.most > 0);
  if (certain.length === 0) return "";
  const spans = certain.map(({ rule, unit, span }) => `${rule}: ${String(span.least)} to ${amountText(span.most, unit)}`);
  return ` (${spans.join("; ")})`;
}

function whoKnows({ env }: Program, stake: readonly OpenAward[]): Question["ask"] {
  const watch = (name: string): Rule["watch"] => env.ruleSet.rules.find((rule) => rule.name === name)?.watch;
  const watchers = stake.map(({ rule }) => watch(rule)?.is);
  return watchers.some((is) => is === "judge" || is === "second judge") ? "judge" : "table";
}
