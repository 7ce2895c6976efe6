/** A hall for tests: a server on loopback over a ledger in memory, and devices that sit down in it over real sockets. */
import { io, type Socket } from "socket.io-client";
import type { BoutCommand, MeetCommand, RecordedExchange, Side } from "../../../engine/index.ts";
import { openLedger, type Ledger } from "../../../engine/ledger/open.ts";
import { startServer, type Running, type ServerOptions } from "../../../table-ui/server/start.ts";
import type { Pages } from "../../../table-ui/server/pages.ts";
import type { Answered, CoachAnswer, CoachRequest, Patch, Shown } from "../../../table-ui/wire/messages.ts";
import { applyPatch } from "../../../table-ui/wire/patch.ts";
import type {
  CoachView,
  FencerView,
  JudgeView,
  TableView,
  View,
  WallView,
} from "../../../table-ui/wire/views.ts";

/** Pages as plain as can be: the view itself, so that tests can read it back. */
export const plainPages: Pages = {
  fencer: (view) => `<!doctype html><pre>${JSON.stringify(view)}</pre>`,
  wall: (view) => `<!doctype html><pre>${JSON.stringify(view)}</pre>`,
  app: (kind, title) => `<!doctype html><title>${title}</title><main>${kind}</main>`,
  lost: (kind) => `<!doctype html><main>no seat: ${kind}</main>`,
  style: () => "<!doctype html><main>style</main>",
};

/** Waits until it holds; a test that waits for ever is stopped by the runner's time limit. */
export async function eventually<T>(what: () => T | undefined | false): Promise<T> {
  for (;;) {
    const found = what();
    if (found !== undefined && found !== false) return found;
    await new Promise((done) => setTimeout(done, 5));
  }
}

let count = 0;
/** A fresh command id. */
export const newId = (): string => `test-command-${(count += 1)}`;

export type On = "meet" | { readonly bout: string };
export interface Pen {
  readonly epoch: number;
  readonly seq: number;
}

/** A device in a seat: what it was sent, as text, and what it makes of it. */
export class Device<V extends View = View> {
  readonly socket: Socket;
  /** Everything that the server sent, newest last. */
  readonly frames: string[] = [];
  readonly patches: Patch[] = [];
  gone: string | undefined;
  refused: unknown;
  v = 0;
  #view: View | undefined;
  pen: Pen | undefined;

  constructor(url: string, path: string) {
    this.socket = io(url, {
      transports: ["websocket"],
      auth: { secret: path.replace("/seat/", "") },
      forceNew: true,
      reconnection: false,
    });
    this.socket.onAny((...frame: unknown[]) => this.frames.push(JSON.stringify(frame)));
    this.socket.on("view", (shown: Shown) => this.show(shown));
    this.socket.on("patch", (patch: Patch) => {
      this.patches.push(patch);
      if (patch.from !== this.v) return;
      this.show({ v: patch.v, view: applyPatch(this.#view, patch.patch) as View });
    });
    this.socket.on("gone", ({ why }: { why: string }) => (this.gone = why));
    this.socket.on(
      "connect_error",
      (error: Error & { data?: unknown }) => (this.refused = error.data ?? error),
    );
  }

  private show({ v, view }: Shown): void {
    this.v = v;
    this.#view = view;
  }

  get view(): V {
    if (this.#view === undefined) throw new Error("no view yet");
    return this.#view as V;
  }

  /** The device shows what it must. */
  until(holds: (view: V) => unknown): Promise<V> {
    return eventually(() => this.#view !== undefined && Boolean(holds(this.view)) && this.view);
  }

  send(message: unknown): Promise<Answered> {
    return this.socket.emitWithAck("command", message) as Promise<Answered>;
  }

  command(on: On, command: BoutCommand | MeetCommand, more: object = {}): Promise<Answered> {
    const pen = this.pen === undefined ? {} : { pen: { ...this.pen } };
    return this.send({ id: newId(), on, command, ...pen, ...more });
  }

  coach(request: CoachRequest): Promise<CoachAnswer> {
    return this.socket.emitWithAck("coach", request) as Promise<CoachAnswer>;
  }

  /** Takes the pen of a ring for this device. */
  async takePen(ring: string, device = "tablet"): Promise<Answered> {
    const answer = await this.command("meet", { type: "TakePen", ring, device });
    const view = await this.until((each) => (each as unknown as TableView).pen?.device === device);
    this.pen = { epoch: (view as unknown as TableView).pen?.epoch ?? 0, seq: 1 };
    return answer;
  }

  ask(event: "view" | "time", message: unknown): Promise<unknown> {
    return this.socket.emitWithAck(event, message) as Promise<unknown>;
  }

  /** All that this device has ever been sent. */
  get heard(): string {
    return this.frames.join("\n");
  }
}

export interface TestHall {
  readonly running: Running;
  readonly ledger: Ledger;
  readonly url: string;
  sit<V extends View>(path: string): Promise<Device<V>>;
  /** Tries to sit down; the device may be refused. */
  knock(path: string): Device;
  readonly coach: Device<CoachView>;
  close(): Promise<void>;
}

export async function openTestHall(options: Partial<ServerOptions> = {}): Promise<TestHall> {
  const ledger = options.ledger ?? (await openLedger({ memory: true }));
  const running = await startServer({ pages: plainPages, log: { level: "silent" }, ...options, ledger });
  const devices: Device[] = [];
  const knock = (path: string): Device => {
    const device = new Device(running.url, path);
    devices.push(device);
    return device;
  };
  async function sit<V extends View>(path: string): Promise<Device<V>> {
    const device = knock(path);
    await eventually(() => device.v > 0 || device.refused !== undefined);
    if (device.refused !== undefined) throw new Error(`no seat: ${JSON.stringify(device.refused)}`);
    return device as unknown as Device<V>;
  }
  const coach = await sit<CoachView>(running.coachPath);
  return {
    running,
    ledger,
    url: running.url,
    sit,
    knock,
    coach,
    async close() {
      for (const device of devices) device.socket.disconnect();
      await running.stop();
    },
  };
}

/** What a command must have been answered with. */
export function must<A extends { readonly ok: boolean }>(answer: A): A & { readonly ok: true } {
  if (!answer.ok) throw new Error(`refused: ${JSON.stringify(answer)}`);
  return answer as A & { readonly ok: true };
}

export const refusedAs = (answer: Answered | CoachAnswer): string | undefined =>
  answer.ok ? undefined : answer.refusal.refused;

/** One hit, and nothing else happened. */
export const hit = (by: Side, target = "torso"): RecordedExchange => ({
  acts: [{ id: "a1", by, kind: "attack", target, end: "hit" }],
  open: false,
});

/** A plain rule set: points for a hit, a bonus for the answer. */
export const PLAIN = `name: Plain evening
touches:
  I hit: 1
rules:
  - name: Cover and answer
    when: they strike, then I parry, then I riposte and hit
    pays: 2 bonus to me
`;

/** Each fencer picks an opening in secret; a hit there pays at the end. */
export const SEALED = `name: Sealed opening
picks:
  secret target:
    by: each fencer
    from:
      - head
      - leg
    when: before the bout
    seen by: the fencer
    shown: at the end
touches:
  I hit: 1
rules:
  - name: Own secret
    when: I hit my secret target
    pays: 3 bonus to me
`;

export interface Stage {
  readonly bout: string;
  readonly red: string;
  readonly blue: string;
  readonly table: Device<TableView>;
  readonly judges: readonly Device<JudgeView>[];
  readonly redSeat: Device<FencerView>;
  readonly blueSeat: Device<FencerView>;
  readonly wall: Device<WallView>;
}

/** Two fencers with notes, a ring, a called bout, and somebody in every seat. The table has the pen. */
export async function setTheStage(hall: TestHall, ruleSet = PLAIN, judges = 2): Promise<Stage> {
  const { coach, running } = hall;
  must(await coach.command("meet", { type: "OpenEvening", name: "An evening" }));
  must(await coach.command("meet", { type: "AddRing", ring: "r1", name: "Ring 1" }));
  must(await coach.command("meet", { type: "AddRing", ring: "r2", name: "Ring 2" }));
  const saved = must(await coach.coach({ ask: "save rule set", text: ruleSet }));
  const person = async (name: string, shortName: string, notes: string): Promise<string> => {
    const id = await running.house.people.enter({ name, shortName, notes, consents: [] });
    must(await coach.command("meet", { type: "AddFencer", person: id }));
    return id;
  };
  const red = await person(
    "Mira Haldenquist",
    "Mira H.",
    "Asthma: spray in the blue bag.\nGear: check the bib.",
  );
  const blue = await person("Teo Brandtworth", "Teo B.", "Old knee injury.");
  const bout = "bout-one";
  const ruleSetHash = saved.hash ?? "";
  must(await coach.command("meet", { type: "PlanBout", bout, ring: "r1", red, blue, ruleSet: ruleSetHash }));
  must(await coach.coach({ ask: "call bout", bout }));
  const seat = async (request: Partial<Extract<CoachRequest, { ask: "issue seat" }>>): Promise<string> =>
    must(await coach.coach({ ask: "issue seat", kind: "wall", ...request })).path ?? "";
  const table = await hall.sit<TableView>(await seat({ kind: "table", ring: "r1" }));
  must(await table.takePen("r1"));
  const sat: Device<JudgeView>[] = [];
  for (let judge = 1; judge <= judges; judge += 1) {
    sat.push(await hall.sit<JudgeView>(await seat({ kind: "judge", ring: "r1", judge })));
  }
  return {
    bout,
    red,
    blue,
    table,
    judges: sat,
    redSeat: await hall.sit<FencerView>(await seat({ kind: "fencer", person: red })),
    blueSeat: await hall.sit<FencerView>(await seat({ kind: "fencer", person: blue })),
    wall: await hall.sit<WallView>(await seat({ kind: "wall" })),
  };
}

/** From called to a halt with one exchange on record. */
export async function fenceOnce(stage: Stage, exchange: string, record: RecordedExchange): Promise<void> {
  const on = { bout: stage.bout };
  must(await stage.table.command(on, { type: "StartFencing" }));
  must(await stage.table.command(on, { type: "CallHalt" }));
  must(await stage.table.command(on, { type: "RecordExchange", exchange, record }));
}
