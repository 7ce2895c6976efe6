/** Which missing fact opens which award, and which answers settle it. */
import type { Rule } from "../language/tree.ts";
import type { BoutSheet, ExchangeLine, SheetLine } from "../record.ts";
import { other } from "../vocabulary.ts";
import type { Candidate } from "./candidate.ts";
import { candidatesOf } from "./candidates.ts";
import { keyOfAward } from "./award-keys.ts";
import type { Waiting } from "./claims.ts";
import { clockQuestion } from "./clock-questions.ts";
import { applyFacts } from "./facts.ts";
import { hullOfPart } from "./fold-parts.ts";
import { withCorrections } from "./lines.ts";
import { hadCandidates } from "./had-questions.ts";
import { exchangePicks, valueCandidates } from "./value-questions.ts";
import { HEAD_START } from "./outside.ts";
import type { Program } from "./program.ts";
import { foldSheet, type FoldedExchange, type SheetFold } from "./sheet-fold.ts";
import type { Fact, OpenAward, Question, ScoredExchange } from "./tally.ts";
import { amountText, sideWord } from "./trace.ts";
import type { Part } from "./part.ts";
import type { Hull } from "./worlds.ts";

export function questionsOf(
  program: Program,
  sheet: BoutSheet,
  fold: SheetFold,
  exchanges: readonly ScoredExchange[],
  endOpen: readonly OpenAward[],
  waiting: readonly Waiting[],
): readonly Question[] {
  const asked = new Asking(program, sheet, fold, exchanges, endOpen);
  return asked.open.length === 0 ? [] : asked.questions(waiting);
}

class Asking {
  readonly open: readonly OpenAward[];
  private readonly found: Question[] = [];
  private tries = 0;
  private folds = 0;
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

  questions(waiting: readonly Waiting[]): readonly Question[] {
    const { fold, exchanges } = this;
    for (const one of waiting) this.found.push(ofTheHall(one));
    fold.exchanges.forEach((one, i) => {
      const own = exchanges[i]?.open ?? [];
      if (own.length === 0) return;
      if (one.folded.lost) this.unsorted(one, own);
      else this.inExchange(one, own);
    });
    for (const candidate of [...valueCandidates(this.program, fold), ...hadCandidates(this.program, fold)])
      this.value(candidate);
    this.perExchangePicks();
    if (this.program.env.lengthCuts.size > 0) this.clock();
    // An unknown may change nothing in its own exchange and something in a later one.
    if (this.isLeft()) this.elsewhere();
    if (this.isLeft()) this.wasThatAll();
    return [...this.found].sort((a, b) => a.exchange - b.exchange || worth(b) - worth(a));
  }

  /** What each open part of the rule set could be told of this exchange. */
  private inExchange(one: FoldedExchange, own: readonly OpenAward[]): void {
    const { program } = this;
    const stakes = new Map<string, { candidate: Candidate; stake: OpenAward[] }>();
    for (const part of program.parts()) {
      const awards = own.filter((award) => part.keys.has(keyOfAward(program, award)));
      if (awards.length === 0) continue;
      const base = hullOfPart(
        program,
        one.before.slice(0, ENOUGH_WORLDS),
        one.line,
        one.picks,
        one.position,
        part,
      );
      for (const candidate of candidatesOf(program, one.line, part.phrases)) {
        if (this.tries++ > MOST_TRIES) break;
        const stake = this.stakeHere(one, awards, candidate, part, base);
        const known = stakes.get(candidate.id);
        if (known) known.stake.push(...stake);
        else stakes.set(candidate.id, { candidate, stake });
      }
    }
    for (const { candidate, stake } of stakes.values()) if (stake.length > 0) this.add(one, candidate, stake);
  }

  private stakeHere(
    one: FoldedExchange,
    awards: readonly OpenAward[],
    { answers, contrast }: Candidate,
    part: Part,
    base: Hull | undefined,
  ): OpenAward[] {
    const { program } = this;
    const hullOf = (facts: readonly Fact[]): Hull | undefined =>
      hullOfPart(
        program,
        one.before.slice(0, ENOUGH_WORLDS),
        applyFacts(one.line, facts),
        one.picks,
        one.position,
        part,
      );
    const hulls = (contrast ?? answers.map(({ facts }) => facts)).map(hullOf);
    const against = contrast ? hulls.at(-1) : base;
    return awards.filter((award) => {
      const key = keyOfAward(program, award);
      return hulls.some((hull) => hull && (!against || isNarrower(hull, against, key)));
    });
  }

  /** In an exchange with too many ways nothing can be tried; everything that nobody said is asked. */
  private unsorted(one: FoldedExchange, own: readonly OpenAward[]): void {
    const first = this.fold.exchanges.find(({ folded }) => folded.lost);
    if (one !== first) return;
    if (one.line.open !== false) return this.add(one, ALL, own);
    const phrases = this.program.env.layout.phrases.map(({ phrase }) => phrase);
    for (const candidate of candidatesOf(this.program, one.line, phrases)) this.add(one, candidate, own);
  }

  private perExchangePicks(): void {
    this.fold.exchanges.forEach((one, i) => {
      for (const candidate of exchangePicks(this.program, one)) this.inSheet(i, candidate);
    });
  }

  /** What the clock showed at the halts that nobody wrote, the earliest first: each is told from the one before. */
  private clock(): void {
    const { program, fold } = this;
    const lines = fold.exchanges.map(({ line }) => line);
    let tries = 0;
    lines.forEach((_line, i) => {
      const question = this.isLeft() ? clockQuestion(program, lines, i) : undefined;
      if (question === undefined || tries++ >= MOST_CLOCKS) return;
      const stake = this.stakeOf(
        question.trials.map((clocks) =>
          this.sheet.map((one) => {
            const left = one.type === "exchange" ? clocks.get(one) : undefined;
            return one.type === "exchange" && left !== undefined ? { ...one, left } : one;
          }),
        ),
      );
      const one = fold.exchanges[i];
      if (one && stake.some((award) => !this.covers(award))) this.add(one, question.candidate, stake);
    });
  }

  private elsewhere(): void {
    const { program, fold } = this;
    const phrases = program.env.layout.phrases.map(({ phrase }) => phrase);
    const worlds = fold.exchanges.reduce((n, { before }) => n + before.length, 0);
    // Each try scores the whole bout again, in all its worlds.
    const most = Math.min(MOST_FOLDS, Math.max(2, Math.floor(200 / worlds)));
    fold.exchanges.forEach((one, i) => {
      for (const candidate of this.isLeft() ? candidatesOf(program, one.line, phrases) : [])
        if (this.isLeft() && this.folds++ < most) this.inSheet(i, candidate);
    });
  }

  /** Adds a question if its answers change an open award that no other question settles. */
  private inSheet(i: number, candidate: Candidate): void {
    const one = this.fold.exchanges[i] as FoldedExchange;
    if (this.found.some(({ id }) => id === idOf(one.line, candidate))) return;
    const stake = this.stakeOf(candidate.answers.map(({ facts }) => this.with(one.line, facts)));
    if (stake.some((award) => !this.covers(award))) this.add(one, candidate, stake);
  }

  private isLeft(): boolean {
    return this.open.some((award) => !this.covers(award));
  }

  private covers(award: OpenAward): boolean {
    return this.found.some(({ stake }) => stake.some((one) => isSame(one, award)));
  }

  /** The open awards of the whole bout that some of these sheets would change. */
  private stakeOf(sheets: readonly (readonly SheetLine[])[]): readonly OpenAward[] {
    const { program } = this;
    const folds = sheets.map((sheet) => foldSheet(program, sheet));
    return this.open.filter((award) => {
      if (award.rule === HEAD_START) return folds.some((fold) => startsOtherwise(fold, award));
      const key = keyOfAward(program, award);
      const at = this.exchanges.findIndex(({ no }) => no === award.exchange);
      return folds.some((fold) => {
        const hull = award.exchange === 0 ? fold.end : fold.exchanges[at]?.folded.hull;
        return (
          hull !== undefined && (hull.least[key] !== award.span.least || hull.most[key] !== award.span.most)
        );
      });
    });
  }

  private with(line: ExchangeLine, facts: readonly Fact[]): readonly SheetLine[] {
    return this.sheet.map((one) => (one === line ? applyFacts(line, facts) : one));
  }

  private value(candidate: ReturnType<typeof valueCandidates>[number]): void {
    const stake = this.stakeOf(
      candidate.sheets.map((lines) => [...this.upToBout(), ...lines, ...this.ofBout()]),
    );
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

  /** Behind what was brought in, so that an answer stands for what was said of it there. */
  private boutStart(): number {
    const start = this.sheet.reduce((at, line, i) => (line.type === "bout" ? i + 1 : at), 0);
    const first = this.sheet.findIndex((line, i) => i >= start && BEGINS.has(line.type));
    return first < 0 ? this.sheet.length : first;
  }

  private add(one: FoldedExchange, candidate: Candidate, stake: readonly OpenAward[]): void {
    const { line } = one;
    this.found.push({
      id: idOf(line, candidate),
      exchange: line.no,
      text: `Exchange ${String(line.no)}: ${candidate.text}${spansIn(stake)}`,
      stake,
      answers: candidate.answers,
      ask: candidate.ask ?? whoKnows(this.program, stake),
    });
  }

  /** Where nothing smaller is left to ask: the earliest exchange that is still open. */
  private wasThatAll(): void {
    const left = this.open.filter((award) => !this.covers(award));
    const asked = new Set(this.found.map(({ id }) => id));
    const one = this.fold.exchanges.find(({ line }) => line.open !== false && !asked.has(idOf(line, ALL)));
    if (one) this.add(one, ALL, left);
  }
}

/** Nothing to press: the meet's answer comes as a `granted` line. */
function ofTheHall({ claim, stake }: Waiting): Question {
  const { exchange, rule, to, of, n } = claim;
  const what = of === "times" ? (n === 1 ? "" : ` ${String(n)} times`) : ` ${amountText(n, of)}`;
  const where = exchange === 0 ? "At the end of the bout" : `Exchange ${String(exchange)}`;
  return {
    id: `hall/${String(exchange)}/${rule}/${to}`,
    exchange,
    text: `${where}: the hall has to answer: does "${rule}" still pay ${sideWord(to)}${what}?`,
    stake,
    answers: [],
    ask: "table",
  };
}

const ALL: Candidate = {
  id: "all",
  text: "was that all?",
  answers: [{ label: "Yes", facts: [{ fact: "nothing else" }] }],
};

const BEGINS: ReadonlySet<SheetLine["type"]> = new Set(["exchange", "penalty", "end", "evening"]);

/** More trials than these and the rest is asked as it stands. */
const MOST_TRIES = 120;
const MOST_FOLDS = 12;
/** Halts whose clock is tried. */
const MOST_CLOCKS = 8;
/** What hangs on an answer shows in a few of the worlds that a bout may be in. */
const ENOUGH_WORLDS = 16;

const startsOtherwise = ({ headStart }: SheetFold, { to, span }: OpenAward): boolean =>
  headStart !== undefined && (headStart[to].least !== span.least || headStart[to].most !== span.most);

const isNarrower = (hull: Hull, than: Hull, key: number): boolean =>
  hull.least[key] !== than.least[key] || hull.most[key] !== than.most[key];

const idOf = (line: ExchangeLine, candidate: Candidate): string =>
  `${line.id ?? String(line.no)}/${candidate.id}`;

/** How much hangs on a question. */
const worth = ({ stake }: Question): number =>
  stake.reduce((sum, { span }) => sum + span.most - span.least, 0);

const isSame = (a: OpenAward, b: OpenAward): boolean =>
  a.exchange === b.exchange && a.to === b.to && a.rule === b.rule && a.unit === b.unit;

/** An award that is certain in part still waits; the question says between what (S17). */
function spansIn(stake: readonly OpenAward[]): string {
  const certain = stake.filter(({ span }) => span.least * span.most > 0);
  if (certain.length === 0) return "";
  const spans = certain.map(
    ({ rule, unit, span }) => `${rule}: ${String(span.least)} to ${amountText(span.most, unit)}`,
  );
  return ` (${spans.join("; ")})`;
}

function whoKnows({ env }: Program, stake: readonly OpenAward[]): Question["ask"] {
  const watch = (name: string): Rule["watch"] => env.ruleSet.rules.find((rule) => rule.name === name)?.watch;
  const watchers = stake.map(({ rule }) => watch(rule)?.is);
  if (watchers.some((is) => is === "judge" || is === "second judge")) return "judge";
  if (watchers.includes("referee")) return "referee";
  const first = stake.find(({ rule }) => watch(rule)?.is === "fencers");
  if (first === undefined) return "table";
  // Each calls it upon himself: what is good for one was done to the other.
  return first.span.most > 0 ? other(first.to) : first.to;
}
