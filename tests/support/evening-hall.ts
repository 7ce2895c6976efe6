/** The hall of the simulated evening: the server in its own process, its network, and a robot in every seat. */
import { monitorEventLoopDelay } from "node:perf_hooks";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "vite";
import { shownMs } from "../../table-ui/screens/paint/clock.ts";
import type { View } from "../../table-ui/wire/views.ts";
import { SETS } from "../../rules/index.ts";
import type { Health, Lateness, Pace } from "../long/evening-child.ts";
import { startChild, type Child } from "./child.ts";
import { openAccessPoint, type AccessPoint } from "./evening-network.ts";
import { Coach, Fencer, Judge, Robot, Tablet, type Evening } from "./evening-robot.ts";

/** How much faster than life. */
export const TIMES = 10;
const RINGS = ["ring-1", "ring-2", "ring-3"] as const;
const JUDGES = 3;
/** Simulated times between one look of a robot and the next, milliseconds. */
const LOOKS = { table: 6_000, judge: 4_000, fencer: 8_000, coach: 4_000 } as const;

const root = fileURLToPath(new URL("../..", import.meta.url));
const sleep = (ms: number): Promise<void> => new Promise((done) => setTimeout(done, ms));

/** What one look at everything found, while nobody acted. */
export interface Found {
  readonly health: Health;
  /** Devices whose view is not what the ledger gives now: "fencer: ..." */
  readonly wrongViews: readonly string[];
  readonly views: number;
  /**
   * How far a device's idea of server time, or of a ring's clock, is off; simulated milliseconds: of the middle one of all
   * devices, and of the worst.
   */
  readonly middleTime: number;
  readonly worstTime: number;
  readonly worstClock: number;
  /** How long the server and the devices' own process did not come to their turn since the last look. */
  readonly lateness: { readonly server: Lateness; readonly devices: Lateness };
  /** Whose time was the worst: "fencer linked". */
  readonly whose: string;
}

/** The same with fencers who say themselves that they were hit. */
const onOnesHonour = (text: string): string =>
  text
    .replace("name: Answer from above", "name: Answer on one's honour")
    .replace("bout:\n", "bout:\n  panel: the one who is hit decides\n");

/** Bundles the server's program: Node 20 runs no TypeScript. */
async function bundle(into: string): Promise<string> {
  await build({
    configFile: false,
    root,
    logLevel: "warn",
    build: {
      ssr: join(root, "tests/long/evening-child.ts"),
      outDir: into,
      target: "node20",
      rolldownOptions: { output: { entryFileNames: "evening.mjs" } },
    },
  });
  return join(into, "evening.mjs");
}

/** A seeded row of numbers from 0 to 1 (mulberry32, public domain). */
function chanceFrom(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

export class EveningHall {
  readonly evening: Evening;
  readonly robots: Robot[] = [];
  readonly tablets: Tablet[] = [];
  readonly points: AccessPoint[] = [];
  private readonly dir: string;
  private readonly port: number;
  private readonly pace: Pace = { times: TIMES, from: Date.now(), wall: Date.now() };
  private readonly lives: Promise<void>[] = [];
  private server: Child | undefined;
  private program = "";
  private readonly late = monitorEventLoopDelay({ resolution: 10 });
  private held = false;
  private isOver = false;

  constructor(dir: string, port: number, seed: number) {
    this.dir = dir;
    this.port = port;
    this.evening = {
      chance: chanceFrom(seed),
      done: new Map(),
      over: () => this.isOver,
      wait: async (ms) => {
        await sleep(ms / TIMES);
        while (this.held && !this.isOver) await sleep(5);
      },
    };
  }

  ask<T>(word: string, asked?: unknown): Promise<T> {
    if (this.server === undefined) throw new Error("the server is not there");
    return this.server.ask<T>(word, asked);
  }

  private async start(): Promise<string> {
    this.server = startChild(this.program, "--expose-gc");
    const { dir, port, pace } = this;
    return (await this.ask<{ coachPath: string }>("open", { dir, port, pace })).coachPath;
  }

  /** Opens the hall with its rings and so many fencers; everybody sits down and begins. */
  async open(fencers: number): Promise<void> {
    this.late.enable();
    this.program = await bundle(join(this.dir, "program"));
    const coachPath = await this.start();
    // The coach is wired to the server; every ring has its own access point, and fencers and walls share one.
    for (let point = 0; point <= RINGS.length; point += 1) this.points.push(await openAccessPoint(this.port));
    const coach = new Coach(this.evening, this.port, coachPath);
    await this.linked(coach);
    await coach.say({ type: "OpenEvening", name: "An evening at speed" });
    const text = SETS.find(({ id }) => id === "answer-from-above")?.text ?? "";
    await coach.ask({ ask: "save rule set", text });
    await coach.ask({ ask: "save rule set", text: onOnesHonour(text) });
    for (const [at, ring] of RINGS.entries()) await this.openRing(coach, ring, at + 1);
    for (let no = 1; no <= fencers; no += 1) await this.comes(no, coach);
    const wall = (await coach.ask({ ask: "issue seat", kind: "wall" })).path;
    for (let no = 0; no < 2; no += 1) this.join(new Robot(this.evening, this.shared.port, wall), LOOKS.coach);
    this.join(coach, LOOKS.coach);
    for (const robot of this.robots) await this.linked(robot);
  }

  private get shared(): AccessPoint {
    const point = this.points[0];
    if (point === undefined) throw new Error("there is no network yet");
    return point;
  }

  /** How many fencers have come. */
  get fencers(): number {
    return this.robots.filter((robot) => robot instanceof Fencer).length;
  }

  get coach(): Coach {
    const coach = this.robots.find((robot) => robot instanceof Coach);
    if (coach === undefined) throw new Error("there is no coach");
    return coach;
  }

  private async openRing(coach: Coach, ring: string, no: number): Promise<void> {
    const port = this.points[no]?.port ?? 0;
    await coach.say({ type: "AddRing", ring, name: `Ring ${no}` });
    const { path } = await coach.ask({ ask: "issue seat", kind: "table", ring });
    for (const device of ["first", "second"]) {
      const tablet = new Tablet(this.evening, port, path, `${device} tablet of ${ring}`, device === "first");
      this.tablets.push(tablet);
      this.join(tablet, LOOKS.table);
    }
    for (let judge = 1; judge <= JUDGES; judge += 1) {
      const seat = await coach.ask({ ask: "issue seat", kind: "judge", ring, judge });
      this.join(new Judge(this.evening, port, seat.path), LOOKS.judge);
    }
  }

  /** A fencer comes, is entered, and sits down with their phone. */
  async comes(no: number, coach = this.coach): Promise<void> {
    const path = await coach.enter(`Fencer of number ${no}`);
    this.join(new Fencer(this.evening, this.shared.port, path), LOOKS.fencer);
  }

  private join(robot: Robot, everyMs: number): void {
    this.robots.push(robot);
    this.lives.push(robot.live(everyMs));
  }

  private async linked(robot: Robot): Promise<void> {
    while (robot.state !== "linked" || robot.view === undefined) await sleep(5);
  }

  /** An access point fails for so long. */
  async fail(point: AccessPoint, ms: number): Promise<void> {
    point.cut();
    await sleep(ms / TIMES);
    point.mend();
  }

  /** The other tablet of a ring scores from now on, and takes the pen. */
  changeHands(ring: string): void {
    for (const tablet of this.tablets) if (tablet.device.endsWith(ring)) tablet.scores = !tablet.scores;
  }

  /** Ends the server in good order, or by SIGKILL, and starts it again over the same ledger and port. */
  async restart(how: "in good order" | "killed"): Promise<void> {
    if (how === "killed") this.server?.process.kill("SIGKILL");
    await this.server?.end();
    await this.start();
  }

  /** Holds everybody, lets what is under way come to its end, and looks at everything. */
  async look(): Promise<Found> {
    const lateness = await this.lateness();
    this.held = true;
    for (const point of this.points) point.mend();
    for (const robot of this.robots) await this.linked(robot);
    const busy = (): boolean =>
      this.robots.some((robot) => robot.unanswered > 0) ||
      this.tablets.some((tablet) => tablet.holdsPen && tablet.waiting > 0);
    // Counted, not for ever: a command without its answer shows in what is compared.
    for (let tries = 0; tries < 2_000 && busy(); tries += 1) await sleep(5);
    let wrongViews = await this.compare();
    // A patch may still be on its way; what stays wrong is wrong.
    for (let tries = 0; tries < 40 && wrongViews.length > 0; tries += 1) {
      await sleep(50);
      wrongViews = await this.compare();
    }
    const off = await this.timeOff();
    const health = await this.ask<Health>("health");
    // Looking costs more than any evening does; it is not counted.
    await this.lateness();
    this.held = false;
    return { wrongViews, views: this.robots.length, ...off, lateness, health };
  }

  private async lateness(): Promise<Found["lateness"]> {
    const server = await this.ask<Lateness>("lateness");
    const devices = { p99: this.late.percentile(99) / 1e6, max: this.late.max / 1e6 };
    this.late.reset();
    return { server, devices };
  }

  private async compare(): Promise<readonly string[]> {
    const seats = [...new Set(this.robots.map(({ view }) => view?.seat ?? ""))];
    const fresh = await this.ask<Record<string, View>>("fresh views", seats);
    return this.robots.flatMap(({ view }) => {
      const wanted = view && fresh[view.seat];
      return settled(view) === settled(wanted)
        ? []
        : [`${view?.kind ?? "no view"}: ${firstDifference(view, wanted)}`];
    });
  }

  /** Asked between two looks at the device's own clock, so that the way there and back is no error of the device. */
  private async timeOff(): Promise<Pick<Found, "middleTime" | "worstTime" | "worstClock" | "whose">> {
    const off: number[] = [];
    let whose = "";
    let worstClock = 0;
    for (const { link, view, state } of this.robots) {
      const before = link.now();
      const server = await this.ask<number>("now");
      const after = link.now();
      const own = Math.max(0, before - server, server - after);
      if (own >= Math.max(0, ...off)) whose = `${view?.kind ?? "nobody"} ${state}`;
      off.push(own);
      for (const clock of clocksIn(view)) {
        const [one, other] = [shownMs(clock, before), shownMs(clock, after)].sort((a, b) => a - b);
        const real = shownMs(clock, server);
        worstClock = Math.max(worstClock, (one ?? real) - real, real - (other ?? real));
      }
    }
    off.sort((a, b) => a - b);
    return {
      middleTime: off[Math.floor(off.length / 2)] ?? Infinity,
      worstTime: off.at(-1) ?? Infinity,
      worstClock,
      whose,
    };
  }

  /** Everybody stops; what waits on any tablet is sent, each taking the pen once more. */
  async close(): Promise<void> {
    this.isOver = true;
    await Promise.all(this.lives);
    for (const tablet of this.tablets) {
      await tablet.takePen();
      // Counted, not for ever: what is still there then is told by the test.
      for (let tries = 0; tries < 2_000 && (!tablet.holdsPen || tablet.waiting > 0); tries += 1)
        await sleep(5);
    }
  }

  async end(): Promise<void> {
    this.isOver = true;
    for (const { link } of this.robots) link.close();
    for (const point of this.points) await point.close();
    await this.server?.end();
  }
}

const clocksIn = (view: View | undefined) => {
  if (view?.kind === "wall") return view.order.flatMap((ring) => view.rings[ring]?.bout?.clock ?? []);
  return view?.kind === "fencer" || view?.kind === "judge"
    ? view.bout === undefined
      ? []
      : [view.bout.clock]
    : [];
};

/** A view without what may differ from one drawing to the next: its time, and how the server fares. */
function settled(view: View | undefined): string {
  if (view === undefined) return "";
  const { at: _at, status: _status, ...rest } = view as View & { readonly status?: unknown };
  return JSON.stringify(sorted(rest));
}

function sorted(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(sorted);
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(
    Object.entries(value)
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([key, each]) => [key, sorted(each)]),
  );
}

/** Where two views differ, for whoever must find out why. */
function firstDifference(a: unknown, b: unknown, path = ""): string {
  if (typeof a !== "object" || typeof b !== "object" || a === null || b === null)
    return `${path}: ${JSON.stringify(a)} is not ${JSON.stringify(b)}`;
  const [one, other] = [a as Record<string, unknown>, b as Record<string, unknown>];
  const key = [...new Set([...Object.keys(one), ...Object.keys(other)])]
    .filter((each) => each !== "at" && each !== "status")
    .find((each) => JSON.stringify(sorted(one[each])) !== JSON.stringify(sorted(other[each])));
  return key === undefined ? `${path}: nothing` : firstDifference(one[key], other[key], `${path}/${key}`);
}
