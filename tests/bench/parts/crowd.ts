/** A crowd of screens over real sockets: each keeps its view by patches, as the pages do. */
import { io, type Socket } from "socket.io-client";
import type { BoutCommand, RecordedExchange } from "../../../engine/index.ts";
import type { Answered, Patch, Shown } from "../../../table-ui/wire/messages.ts";
import { applyPatch } from "../../../table-ui/wire/patch.ts";
import type { TableView } from "../../../table-ui/wire/views.ts";

/** What a hall is opened with, each ring alike. */
export interface HallAsked {
  readonly rings: number;
  /** Judges a ring, the referee among them. */
  readonly judges: number;
  /** Fencers a ring who wait for their bout: drawn anew at every press, and seldom sent anything. */
  readonly waiting: number;
}

/** A seat's link, and whose. */
export interface SeatLink {
  readonly kind: "coach" | "table" | "judge" | "fencer" | "wall";
  readonly path: string;
  readonly ring?: string;
  readonly waits?: true;
}

export interface HallOpened {
  readonly url: string;
  readonly links: readonly SeatLink[];
}

/** One kind of message to one room: how many screens get it, and its bytes. */
export interface Delivery {
  readonly room: string;
  readonly screens: number;
  readonly text: string;
}

/** What one press sent to the rooms. */
export type Broadcast = readonly Delivery[];

export const until = async (holds: () => boolean, what: string): Promise<void> => {
  const end = performance.now() + 60_000;
  while (!holds()) {
    if (performance.now() > end) throw new Error(`the bench waited a minute for ${what}`);
    await new Promise((done) => setTimeout(done, 5));
  }
};

/** Waits for a number of messages, with the time of the last. */
export class Applied {
  private left = 0;
  private done: ((at: number) => void) | undefined;

  one(): void {
    this.left -= 1;
    if (this.left === 0) this.done?.(performance.now());
  }

  /** Said before the press: resolves to when the last was applied, in milliseconds of performance.now(). */
  after(count: number): Promise<number> {
    this.left = count;
    return new Promise((done, failed) => {
      const tooLong = setTimeout(() => failed(new Error(`${this.left} of ${count} never came`)), 30_000);
      this.done = (at) => {
        clearTimeout(tooLong);
        done(at);
      };
    });
  }
}

class Screen {
  readonly socket: Socket;
  readonly link: SeatLink;
  view: unknown;
  v = -1;
  latest: Patch | undefined;

  constructor(url: string, link: SeatLink, applied: Applied) {
    this.link = link;
    this.socket = io(url, {
      transports: ["websocket"],
      auth: { secret: link.path.replace("/seat/", "") },
      forceNew: true,
      reconnection: false,
    });
    this.socket.on("view", ({ v, view }: Shown) => {
      this.v = v;
      this.view = view;
    });
    this.socket.on("patch", (patch: Patch) => {
      if (patch.from !== this.v) throw new Error("a screen of the bench has missed a patch");
      this.view = applyPatch(this.view, patch.patch);
      this.v = patch.v;
      this.latest = patch;
      applied.one();
    });
  }
}

/** The answer of the taught technique, or a plain hit: what a table records most. */
export const recordNo = (no: number): RecordedExchange => ({
  acts:
    no % 2 === 0
      ? [{ id: "a1", by: "red", kind: "attack", form: "thrust", target: "torso", end: "hit" }]
      : [
          { id: "a1", by: "red", kind: "attack", form: "cut", direction: "descending", target: "head" },
          { id: "a2", by: "blue", kind: "parry" },
          { id: "a3", by: "blue", kind: "riposte", form: "thrust", target: "arm", end: "hit" },
        ],
  open: false,
});

/** The commands of one exchange; the last is the press that is timed. */
export const exchangeNo = (no: number): readonly BoutCommand[] => [
  { type: "StartFencing" },
  { type: "CallHalt" },
  { type: "RecordExchange", exchange: `exchange-${no}`, record: recordNo(no) },
];

/** All who sit in a hall; one of each ring's tables presses. */
export class Crowd {
  readonly applied = new Applied();
  private leaving = false;
  readonly screens: Screen[] = [];
  private readonly url: string;
  private readonly pens = new Map<string, { epoch: number; seq: number }>();
  private count = 0;

  constructor(url: string) {
    this.url = url;
  }

  /** So many screens take this seat; a few at a time, as a hall fills. */
  async sit(link: SeatLink, screens: number): Promise<void> {
    for (let left = screens; left > 0; left -= 20) {
      const some = Array.from({ length: Math.min(20, left) }, () => new Screen(this.url, link, this.applied));
      this.screens.push(...some);
      for (const { socket } of some) socket.on("disconnect", (why) => this.lost(why));
      await until(() => some.every(({ v }) => v > 0), `a ${link.kind} to be let in`);
    }
  }

  /** A screen that is cut off while it is measured would only be waited for. */
  private lost(why: string): void {
    if (!this.leaving)
      throw new Error(`a screen of the bench lost its line (${why}): the machine is too busy`);
  }

  tableOf(ring: string): Screen {
    const table = this.screens.find(({ link }) => link.kind === "table" && link.ring === ring);
    if (table === undefined) throw new Error(`nobody sits at the table of ${ring}`);
    return table;
  }

  async takePen(ring: string): Promise<void> {
    const table = this.tableOf(ring);
    await this.send(table, "meet", { type: "TakePen", ring, device: "bench" });
    await until(() => (table.view as TableView).pen?.device === "bench", "the pen");
    this.pens.set(ring, { epoch: (table.view as TableView).pen?.epoch ?? 0, seq: 0 });
  }

  private async send(table: Screen, on: object | "meet", command: object, more: object = {}): Promise<void> {
    this.count += 1;
    const id = `bench-${this.count}`.padEnd(21, "x");
    const answer = (await table.socket.emitWithAck("command", { id, on, command, ...more })) as Answered;
    if (!answer.ok) throw new Error(`${JSON.stringify(command)}: ${answer.refusal.sentence}`);
  }

  /** The ring's table presses; resolves when it is acknowledged. */
  async press(ring: string, bout: string, command: BoutCommand): Promise<void> {
    const pen = this.pens.get(ring) ?? { epoch: 0, seq: 0 };
    pen.seq += 1;
    await this.send(this.tableOf(ring), { bout }, command, { pen: { ...pen } });
  }

  /** The screens that hear of a press on this ring: its own, and those that show every ring. */
  hearing(ring: string): readonly Screen[] {
    return this.screens.filter(
      ({ link }) =>
        link.waits !== true && (link.ring === ring || link.kind === "coach" || link.kind === "wall"),
    );
  }

  /** The latest patch as each room got it. */
  broadcastOn(ring: string): Broadcast {
    const rooms = new Map<string, { screens: number; text: string }>();
    for (const { link, latest } of this.hearing(ring)) {
      const before = rooms.get(link.path);
      rooms.set(link.path, { screens: (before?.screens ?? 0) + 1, text: JSON.stringify(latest) });
    }
    return [...rooms].map(([room, each]) => ({ room, ...each }));
  }

  leave(): void {
    this.leaving = true;
    for (const { socket } of this.screens) socket.disconnect();
  }
}
