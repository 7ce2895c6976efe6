/** Folds a whole bout sheet: the lines between the exchanges, the start, the end, and one bout after another. */
import type { ExchangeLine, HadLine, SheetLine, Weaker } from "../record.ts";
import { type Side, SIDES } from "../vocabulary.ts";
import { beginBout, newBout, newEvening, setScore, settleChoices } from "./between.ts";
import { applyHad, applyMark, applyPick } from "./brought.ts";
import { withoutEarlier } from "./earlier.ts";
import type { Fencers } from "./entry.ts";
import { type EveningPaid, payEvening } from "./evening-end.ts";
import { type Evenings, eveningsOf } from "./evenings.ts";
import { fencersOf, type Met, NAMELESS } from "./fencers.ts";
import { joinElsewhere } from "./follow.ts";
import { grantKey } from "./limits.ts";
import { afterExchange, endWorld } from "./ending.ts";
import { type Folded, foldExchange, foldLost } from "./fold.ts";
import { withCorrections } from "./lines.ts";
import { type PickValues, pickValues } from "./picks.ts";
import type { Program } from "./program.ts";
import { addPenalty, addWarning } from "./penalties.ts";
import { type HeadStart, headStartIn, startOfBout } from "./starting.ts";
import { weakerIn } from "./weaker.ts";
import { type Position, positionAfter } from "./run.ts";
import { Hull, type World, WorldSet } from "./worlds.ts";

export interface FoldedExchange {
  readonly line: ExchangeLine;
  readonly before: readonly World[];
  readonly position: Position;
  readonly picks: PickValues;
  readonly folded: Folded;
}

/** What was said outright: a `score` line, a penalty hit or a warning, before this exchange (by its place). */
export interface SaidScore {
  readonly at: number;
  readonly set?: { readonly red: number; readonly blue: number };
  readonly penalty?: Side;
  readonly warning?: Side;
}

/** The sheet's last bout, scored after those before it. */
export interface SheetFold {
  readonly exchanges: readonly FoldedExchange[];
  readonly worlds: readonly World[];
  readonly end: Hull;
  /** Some world reached the end of the bout. */
  readonly someEnded: boolean;
  /** Worlds as the end began, for explaining it. */
  readonly beforeEnd: readonly World[];
  readonly position: Position;
  readonly said: readonly SaidScore[];
  /** Missing where nobody has a head start. */
  readonly headStart: HeadStart | undefined;
  readonly lost: boolean;
  readonly fencers: Fencers;
  readonly met: Met;
  /** Something of the last bout was written, beyond who fences and what was there before. */
  readonly begun: boolean;
  /** What the rules at the end of the evening pay, where the sheet's last line of that kind came after its last bout. */
  readonly evening?: EveningPaid;
}

/** Whether an answer of the hall is waited for, or all is taken to be granted. */
type Hall = "waits" | "grants";

class Folder {
  worlds: readonly World[];
  position: Position = { fenced: 0, doubles: 0 };
  exchanges: FoldedExchange[] = [];
  said: SaidScore[] = [];
  end: Hull;
  beforeEnd: readonly World[] = [];
  lost = false;
  fencers = NAMELESS;
  begun = false;
  evening: EveningPaid | undefined;
  readonly met: Met;
  headStart: HeadStart | undefined;
  private started = false;
  private weaker: Weaker | undefined;
  private picks: readonly PickValues[] = [];
  /** Everybody who has fenced in this evening's bouts, with his latest team. */
  private seen = new Map<string, Fencers>();
  private readonly program: Program;
  private readonly evenings: Evenings;
  private readonly hall: Hall;

  constructor(program: Program, evenings: Evenings, hall: Hall) {
    this.program = program;
    this.evenings = evenings;
    this.met = evenings.met;
    this.hall = hall;
    this.worlds = [beginBout(program, evenings.picks[0] ?? new Map(), NAMELESS, this.met)];
    this.end = new Hull(program.keys);
    this.meet(NAMELESS);
  }

  openBout(lines: readonly SheetLine[]): void {
    this.weaker = weakerIn(lines);
    this.picks = pickValues(this.program.env, lines);
    const { machine: m, rules } = this.program;
    m.hall = lines.some(({ type }) => type === "hall") ? this.hall : "alone";
    m.granted = new Map(
      lines.flatMap((line) => {
        const rule = line.type === "granted" ? rules.findIndex((one) => one.rule.name === line.rule) : -1;
        return line.type === "granted" && rule >= 0
          ? [[grantKey(line.exchange, rule, line.side === "red" ? 0 : 1), line.n]]
          : [];
      }),
    );
  }

  /** The machine knows the two by their numbers. */
  private meet(fencers: Fencers): void {
    this.fencers = fencers;
    this.program.machine.here = [this.met.number(fencers.red), this.met.number(fencers.blue)];
  }

  take(line: SheetLine): void {
    switch (line.type) {
      case "exchange":
        this.start();
        return this.exchange(line);
      case "score":
        this.start(false);
        this.said.push({ at: this.exchanges.length, set: line });
        return this.map((world) => setScore(this.program, world, line.red, line.blue));
      case "warning":
        this.start();
        this.said.push({ at: this.exchanges.length, warning: line.side });
        return this.map((world) => addWarning(this.program, world, line.side));
      case "penalty":
        this.start();
        this.said.push({ at: this.exchanges.length, penalty: line.side });
        return this.penalty(line.side);
      case "mark":
        return this.map((world) => applyMark(this.program, world, line, this));
      case "had":
        return this.had(line);
      case "end":
        this.start();
        return this.finish(line.ending);
      case "bout":
        return this.nextBout(fencersOf(line));
      case "evening":
        return this.endEvening();
      case "pick":
        return this.map((world) => applyPick(this.program, world, line));
      case "weaker":
      case "left-handed":
      case "hall":
      case "granted":
        return;
    }
  }

  private start(heads = true): void {
    this.begun = true;
    this.giveStart(heads);
  }

  /** What the bout's "starts" gives; no head start where the score was said, or had, outright. */
  giveStart(heads: boolean): void {
    if (this.started) return;
    this.started = true;
    const { program, weaker } = this;
    this.worlds = settleChoices(program, this.worlds, (world) => startOfBout(program, world, weaker, heads));
    this.headStart = heads ? headStartIn(program, this.worlds) : undefined;
  }

  private exchange(line: ExchangeLine): void {
    const picks = this.picks[this.exchanges.length] ?? [];
    const { program, worlds: before, position, end } = this;
    const folded = this.lost
      ? foldLost(program, before)
      : foldExchange(program, before, line, picks, position, end);
    this.exchanges.push({ line, before, position, picks, folded });
    this.worlds = folded.worlds;
    this.lost = folded.lost;
    this.position = positionAfter(position, line);
  }

  private penalty(against: Side): void {
    const { program, position } = this;
    this.worlds = settleChoices(program, this.worlds, (world) =>
      world.ended !== undefined
        ? world
        : afterExchange(
            program,
            addPenalty(program, world, against),
            position,
            undefined,
            undefined,
            this.end,
          ),
    );
  }

  private finish(said: Parameters<typeof endWorld>[5]): void {
    const { program, position } = this;
    this.beforeEnd = this.worlds;
    this.worlds = settleChoices(program, this.worlds, (world) =>
      world.ended !== undefined
        ? said === undefined
          ? world
          : { ...world, ended: said }
        : endWorld(program, world, position, this.end, undefined, said),
    );
  }

  /** What this bout had before it was handed over; what others had before it began. */
  private had(line: HadLine): void {
    const { position } = this;
    // Handed over in the middle: it has started.
    if (line.scope === "bout") this.start(false);
    if (line.of === "exchanges") {
      this.position = { ...position, fenced: line.least, left: Number.NaN };
      if (line.least > 0) this.map((world) => withoutEarlier(this.program, world));
    } else if (line.of === "doubles") this.position = { ...position, doubles: line.least };
    else this.map((world) => applyHad(this.program, world, line));
  }

  private nextBout(after: Fencers): void {
    const { program, fencers: before, begun, met } = this;
    this.remember();
    this.map((world) => newBout(program, world, { before, after, begun, met }));
    this.worlds = joinElsewhere(program, this.worlds);
    this.meet(after);
    this.begun = false;
    this.evening = undefined;
    this.position = { fenced: 0, doubles: 0 };
    this.exchanges = [];
    this.said = [];
    this.end = new Hull(program.keys);
    this.beforeEnd = [];
    this.started = false;
    this.headStart = undefined;
  }

  private remember(): void {
    if (!this.begun) return;
    for (const side of SIDES) this.seen.set(this.fencers[side], this.fencers);
  }

  private endEvening(): void {
    const { program, fencers, begun, met } = this;
    this.remember();
    this.evening = payEvening(program, this.worlds, { fencers, begun, met, seen: [...this.seen] });
    this.evenings.at++;
    const picks = this.evenings.picks[this.evenings.at] ?? new Map();
    this.map((world) => newEvening(program, world, picks));
    this.meet(fencers);
    this.begun = false;
    this.seen = new Map();
  }

  /** What the next bout begins with. */
  leave() {
    const { worlds, fencers, begun, lost, seen, evenings } = this;
    return { worlds, fencers, begun, lost, seen: new Map(seen), at: evenings.at };
  }

  /** As if the bouts before had just been folded. */
  goOn({ worlds, fencers, begun, lost, seen, at }: ReturnType<Folder["leave"]>): void {
    this.worlds = worlds;
    this.begun = begun;
    this.lost = lost;
    this.seen = new Map(seen);
    this.evenings.at = at;
    this.meet(fencers);
  }

  private map(change: (world: World) => World): void {
    const next = new WorldSet();
    for (const world of this.worlds) next.add(change(world));
    this.worlds = next.all;
  }
}

/** Folds every line; what it says is of the sheet's last bout. */
export function foldSheet(program: Program, sheet: readonly SheetLine[], hall: Hall = "waits"): SheetFold {
  const lines = withCorrections(sheet);
  const evenings = eveningsOf(program, lines);
  const last = Math.max(
    0,
    lines.findLastIndex(({ type }) => type === "bout"),
  );
  const folder = new Folder(program, evenings, hall);
  foldEarlier(
    program,
    folder,
    lines.slice(0, last),
    JSON.stringify([hall, evenings.met.names, picksText(evenings)]),
  );
  foldBouts(folder, lines.slice(last));
  return finished(program, folder);
}

function foldBouts(folder: Folder, lines: readonly SheetLine[]): void {
  for (let from = 0; from < lines.length;) {
    const next = lines.findIndex((line, i) => i > from && line.type === "bout");
    const to = next < 0 ? lines.length : next;
    const bout = lines.slice(from, to);
    folder.openBout(bout);
    for (const line of bout) folder.take(line);
    from = to;
  }
}

interface Earlier {
  readonly lines: readonly SheetLine[];
  readonly beside: string;
  readonly left: ReturnType<Folder["leave"]>;
}
const earlier = new WeakMap<Program, Earlier>();
const picksText = ({ picks }: Evenings): unknown => picks.map((evening) => [...evening]);

/** The bouts before the last are folded once: every question folds the sheet again, with another last bout. */
function foldEarlier(program: Program, folder: Folder, lines: readonly SheetLine[], beside: string): void {
  if (lines.length === 0) return;
  const known = earlier.get(program);
  const same =
    known?.beside === beside &&
    known.lines.length === lines.length &&
    known.lines.every((line, i) => line === lines[i]);
  if (known && same) return folder.goOn(known.left);
  foldBouts(folder, lines);
  earlier.set(program, { lines, beside, left: folder.leave() });
}

function finished(program: Program, folder: Folder): SheetFold {
  // Before the first exchange the score is what the start gives.
  folder.giveStart(true);
  const { worlds, end } = folder;
  const someEnded = worlds.some((world) => world.ended !== undefined);
  // Where one world has ended and another goes on, what the end pays is open.
  if (someEnded && worlds.some((world) => world.ended === undefined))
    end.include(new Float64Array(program.keys));
  return {
    exchanges: folder.exchanges,
    worlds,
    end,
    someEnded,
    beforeEnd: folder.beforeEnd,
    position: folder.position,
    said: folder.said,
    headStart: folder.headStart,
    lost: folder.lost,
    fencers: folder.fencers,
    met: folder.met,
    begun: folder.begun,
    ...(folder.evening ? { evening: folder.evening } : {}),
  };
}
