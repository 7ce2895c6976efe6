/**
 * The screens of one fan-out, in a process of their own: press by press, in rounds that take turns with bare servers that
 * send the same bytes to the same rooms.
 */
import { fileURLToPath } from "node:url";
import { answerParent, startChild, type Child, type Usage } from "../../support/child.ts";
import { sitAtSocketIo, sitAtWs, type BareCrowd } from "./bare-crowd.ts";
import { Crowd, exchangeNo, type Broadcast, type HallAsked, type HallOpened } from "./crowd.ts";

/** How many screens sit where. */
export interface FanoutAsked extends HallAsked {
  /** Devices on each ring's two fencers' links, half on each. */
  readonly fencerScreens: number;
  readonly walls: number;
  /** Rounds of one bout each. */
  readonly rounds: number;
  /** Whether the bare servers take their turns. */
  readonly bare: boolean;
}

/** What one server did. */
interface Measured {
  /** Milliseconds from the press to the last screen that has applied its patch, a press each. */
  readonly lastScreen: number[];
  /** Processor time of the server for one delivery, microseconds, a round each. */
  readonly cpuMicros: number[];
}

export interface FanoutFound {
  readonly garland: Measured;
  readonly socketIo?: Measured;
  readonly ws?: Measured;
  readonly screens: number;
  readonly deliveriesAPress: number;
  readonly bytesADelivery: number;
  /** What a screen adds to the server, bytes of resident memory. */
  readonly bytesAScreen: number;
}

const EXCHANGES = 10;
/** Bouts that each server tells its screens first, so that what is measured is an evening under way. */
const WARM_UP = 20;
/** Between presses: no table is faster, and a device may send 40 messages a second. */
const PAUSE_MS = 28;

/** A compiled program beside this one. */
const program = (name: string): string => fileURLToPath(new URL(`./${name}.js`, import.meta.url));
const pause = (): Promise<void> => new Promise((done) => setTimeout(done, PAUSE_MS));
const cpu = async (server: Child): Promise<number> => (await server.ask<Usage>("usage", false)).cpuMicros;
const nothing = (): Measured => ({ lastScreen: [], cpuMicros: [] });

class Fanout {
  private readonly asked: FanoutAsked;
  private readonly hall: Child;
  private crowd = new Crowd("");
  private round = 0;
  /** What the presses of the latest round sent, in order. */
  private script: Broadcast[] = [];
  private memoryBefore = 0;

  constructor(asked: FanoutAsked) {
    this.asked = asked;
    this.hall = startChild(program("hall"), "--expose-gc", ...profiling());
  }

  async open(): Promise<void> {
    const { rings, fencerScreens, walls } = this.asked;
    const { url, links } = await this.hall.ask<HallOpened>("open", this.asked);
    this.memoryBefore = (await this.hall.ask<Usage>("usage", true)).rssBytes;
    this.crowd = new Crowd(url);
    for (const link of links) {
      const fences = link.kind === "fencer" && link.waits !== true;
      await this.crowd.sit(link, link.kind === "wall" ? walls : fences ? fencerScreens / 2 : 1);
    }
    for (let no = 1; no <= rings; no += 1) await this.crowd.takePen(`ring-${no}`);
  }

  /** One bout of ten exchanges on one ring; rings take turns. */
  async bout(found: Measured): Promise<void> {
    const ring = `ring-${(this.round % this.asked.rings) + 1}`;
    this.round += 1;
    this.script = [];
    const bout = await this.hall.ask<string>("next bout", { ring });
    await pause();
    const hearing = this.crowd.hearing(ring).length;
    const before = await cpu(this.hall);
    for (let no = 1; no <= EXCHANGES; no += 1)
      for (const command of exchangeNo(no)) {
        const last = this.crowd.applied.after(hearing);
        const pressed = performance.now();
        await this.crowd.press(ring, bout, command);
        const at = await last;
        if (command.type === "RecordExchange") found.lastScreen.push(at - pressed);
        this.script.push(this.crowd.broadcastOn(ring));
        await pause();
      }
    found.cpuMicros.push(((await cpu(this.hall)) - before) / (this.script.length * hearing));
  }

  async run(): Promise<FanoutFound> {
    await this.open();
    await this.hall.ask("warm up", { ring: "ring-1", bouts: WARM_UP });
    await this.bout(nothing());
    const garland = nothing();
    const bare = this.asked.bare ? [new Bare("socket.io"), new Bare("ws")] : [];
    for (const each of bare) await each.open(this.script);
    for (let round = 0; round < this.asked.rounds; round += 1) {
      await this.bout(garland);
      for (const each of bare) await each.bout(this.script);
    }
    const memory = (await this.hall.ask<Usage>("usage", true)).rssBytes;
    for (const each of bare) await each.end();
    const deliveries = this.script.flat();
    const sent = deliveries.reduce((sum, { screens }) => sum + screens, 0);
    const bytes = deliveries.reduce((sum, { screens, text }) => sum + screens * text.length, 0);
    const screens = this.crowd.screens.length;
    this.crowd.leave();
    await this.hall.end();
    return {
      garland,
      ...(bare.length === 0 ? {} : { socketIo: bare[0]!.found, ws: bare[1]!.found }),
      screens,
      deliveriesAPress: sent / this.script.length,
      bytesADelivery: bytes / sent,
      bytesAScreen: (memory - this.memoryBefore) / screens,
    };
  }
}

class Bare {
  readonly found = nothing();
  private readonly server = startChild(program("bare"));
  private readonly kind: "socket.io" | "ws";
  private crowd: BareCrowd | undefined;

  constructor(kind: "socket.io" | "ws") {
    this.kind = kind;
  }

  async open(script: readonly Broadcast[]): Promise<void> {
    const address = await this.server.ask<string>("open", this.kind);
    const sit = this.kind === "ws" ? sitAtWs : sitAtSocketIo;
    this.crowd = await sit(address, script[0] ?? []);
    await this.server.ask("script", script);
    await this.server.ask("warm up", WARM_UP);
  }

  /** The same presses as Garland's last round. */
  async bout(script: readonly Broadcast[]): Promise<void> {
    const { crowd, found } = this;
    if (crowd === undefined) throw new Error("nobody sits before the bare server");
    await this.server.ask("script", script);
    const screens = (script[0] ?? []).reduce((sum, each) => sum + each.screens, 0);
    await pause();
    const before = await cpu(this.server);
    for (const no of script.keys()) {
      const last = crowd.applied.after(screens);
      const pressed = performance.now();
      await crowd.press(no);
      const at = await last;
      if (no % 3 === 2) found.lastScreen.push(at - pressed);
      await pause();
    }
    found.cpuMicros.push(((await cpu(this.server)) - before) / (script.length * screens));
  }

  async end(): Promise<void> {
    this.crowd?.leave();
    await this.server.end();
  }
}

/** With GARLAND_PROFILE=FOLDER the hall's processor profile is left there. */
function profiling(): readonly string[] {
  const folder = process.env["GARLAND_PROFILE"];
  return folder === undefined ? [] : ["--cpu-prof", `--cpu-prof-dir=${folder}`];
}

answerParent({ run: (asked: FanoutAsked) => new Fanout(asked).run() });
