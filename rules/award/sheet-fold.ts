/** Folds a whole bout sheet: the lines between the exchanges, the start, the end, and one bout after another. */
import type { ExchangeLine, SheetLine } from "../record.ts";
import { addPoint, applyMark, newBout, newEvening, setScore, settleChoices, startOfBout } from "./between.ts";
import { afterExchange, endWorld } from "./ending.ts";
import { type Folded, foldExchange, foldLost } from "./fold.ts";
import { withCorrections } from "./lines.ts";
import { type PickValues, pickValues } from "./picks.ts";
import type { Program } from "./program.ts";
import { newWorld, type Position, positionAfter } from "./run.ts";
import { Hull, type World, WorldSet } from "./worlds.ts";

export interface FoldedExchange {
  readonly line: ExchangeLine;
  readonly before: readonly World[];
  readonly position: Position;
  readonly picks: PickValues;
  readonly folded: Folded;
}

/** What was said of the score outright: a `score` line, or a penalty hit, before this exchange (by its place). */
export interface SaidScore {
  readonly at: number;
  readonly set?: { readonly red: number; readonly blue: number };
  readonly penalty?: "red" | "blue";
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
  readonly lost: boolean;
}

class Folder {
  worlds: readonly World[];
  position: Position = { fenced: 0, doubles: 0 };
  exchanges: FoldedExchange[] = [];
  said: SaidScore[] = [];
  end: Hull;
  beforeEnd: readonly World[] = [];
  lost = false;
  private started = false;
  private picks: readonly PickValues[] = [];
  private names: readonly [string, string] = ["red", "blue"];
  private readonly program: Program;

  constructor(program: Program) {
    this.program = program;
    this.worlds = [newWorld(program)];
    this.end = new Hull(program.keys);
  }

  openBout(lines: readonly SheetLine[]): void {
    this.picks = pickValues(this.program.env, lines);
  }

  take(line: SheetLine): void {
    switch (line.type) {
      case "exchange":
        this.start();
        return this.exchange(line);
      case "score":
        this.started = true;
        this.said.push({ at: this.exchanges.length, set: line });
        return this.map((world) => setScore(this.program, world, line.red, line.blue));
      case "penalty":
        this.start();
        this.said.push({ at: this.exchanges.length, penalty: line.side });
        return this.penalty(line.side);
      case "mark":
        return this.map((world) => applyMark(this.program, world, line));
      case "end":
        this.start();
        return this.finish(line.ending);
      case "bout":
        return this.nextBout([line.red ?? "red", line.blue ?? "blue"]);
      case "evening":
        this.map((world) => newEvening(this.program, world));
        return;
      case "pick":
        return;
    }
  }

  /** What the bout's "starts" gives, unless a `score` line said it. */
  private start(): void {
    if (this.started) return;
    this.started = true;
    this.worlds = settleChoices(this.program, this.worlds, (world) => startOfBout(this.program, world));
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

  private penalty(against: "red" | "blue"): void {
    const to = against === "red" ? 1 : 0;
    const { program, position } = this;
    this.worlds = settleChoices(program, this.worlds, (world) =>
      world.ended !== undefined
        ? world
        : afterExchange(program, addPoint(program, world, to), position, undefined, undefined, this.end),
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

  private nextBout(names: readonly [string, string]): void {
    this.worlds = this.worlds.map((world) => newBout(this.program, world, this.names, names));
    this.names = names;
    this.position = { fenced: 0, doubles: 0 };
    this.exchanges = [];
    this.said = [];
    this.end = new Hull(this.program.keys);
    this.started = false;
  }

  private map(change: (world: World) => World): void {
    const next = new WorldSet();
    for (const world of this.worlds) next.add(change(world));
    this.worlds = next.all;
  }
}

/** Folds every line; what it says is of the sheet's last bout. */
export function foldSheet(program: Program, sheet: readonly SheetLine[]): SheetFold {
  const folder = new Folder(program);
  const lines = withCorrections(sheet);
  for (let from = 0; from < lines.length;) {
    const next = lines.findIndex((line, i) => i > from && line.type === "bout");
    const to = next < 0 ? lines.length : next;
    const bout = lines.slice(from, to);
    folder.openBout(bout);
    for (const line of bout) folder.take(line);
    from = to;
  }
  return finished(program, folder);
}

function finished(program: Program, folder: Folder): SheetFold {
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
    lost: folder.lost,
  };
}
