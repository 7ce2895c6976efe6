/** Starts the server of one ledger: pages, sockets, seats. The ledger belongs to whoever opened it. */
import { Server } from "socket.io";
import type { Millis } from "../../engine/index.ts";
import type { Ledger } from "../../engine/ledger/open.ts";
import { LARGEST_MESSAGE } from "../wire/checks.ts";
import { openApp } from "./app.ts";
import { isOurRequest } from "./door.ts";
import { openEntrance, openGuesses } from "./entrance.ts";
import { openDemoEvening } from "./evening.ts";
import type { OpenHints } from "./hints.ts";
import { openHouse, type House } from "./house.ts";
import { limitConnections, limitSockets } from "./crowding.ts";
import { LIMITS, type Limits } from "./limits.ts";
import { openLog, type LogOptions } from "./log.ts";
import { openObserver } from "./observer.ts";
import type { Pages } from "./pages.ts";
import { openSockets } from "./sockets.ts";
import type { Timing } from "./standing.ts";
import { gaugesOf, openStatus, type Status, type StatusIn } from "./status.ts";
import { MEET } from "./streams.ts";

export interface ServerOptions {
  readonly ledger: Ledger;
  readonly pages: Pages;
  /** The folder whose files are served under /assets/. */
  readonly assetsDir?: string;
  /** The address to listen at; default loopback. */
  readonly host?: string;
  /** 0: a free one. */
  readonly port?: number;
  /** Open to the hall: any numeric address and this machine's name are taken as Host. */
  readonly lan?: boolean;
  /** Further names that lead here. */
  readonly hosts?: readonly string[];
  readonly tls?: { readonly cert: string; readonly key: string };
  /** Where the coach's secret is kept between starts (mode 0600). */
  readonly secretFile?: string;
  /** Where the house's own secret is kept between starts (mode 0600): seats' links and draws by chance follow from it. */
  readonly houseFile?: string;
  /** The way to the other processes that serve the same ledger. */
  readonly hints?: OpenHints;
  /** Loads the demo evening if the ledger is empty. */
  readonly evening?: boolean;
  readonly log?: LogOptions;
  readonly now?: () => Millis;
  /** Runs its argument every few seconds: how a ledger that is not sound is tried. */
  readonly again?: Timing["again"];
  /** Runs its second argument every so many milliseconds: how the house is looked over for the coach's status. */
  readonly every?: StatusIn["every"];
  /** Which Garland this is. */
  readonly version?: string;
  /** Whoever shows it may read the metrics from another machine. */
  readonly metricsToken?: string;
  readonly pagesAMinute?: number;
  /** Where a hall needs other limits than the usual ones. */
  readonly limits?: Partial<Limits>;
}

export interface Running {
  readonly port: number;
  /** "http://127.0.0.1:8080", the address for this machine. */
  readonly url: string;
  /** The path of the coach's link, "/seat/...". */
  readonly coachPath: string;
  readonly house: House;
  readonly status: Status;
  /** Finishes what is under way, tells every screen, closes sockets and pages. The ledger stays open. */
  stop(): Promise<void>;
}

export const START_FAULTS = ["port-taken", "port-forbidden", "no-such-address"] as const;
export type StartFault = (typeof START_FAULTS)[number];

/** Why the server cannot start: one sentence for the person at the keyboard. */
export class ServerCannotStart extends Error {
  readonly code: StartFault;
  constructor(code: StartFault, sentence: string) {
    super(sentence);
    this.name = "ServerCannotStart";
    this.code = code;
  }
}

function asStartFault(error: unknown, host: string, port: number): unknown {
  const code = error instanceof Error && "code" in error ? error.code : undefined;
  if (code === "EADDRINUSE") {
    return new ServerCannotStart(
      "port-taken",
      `Port ${port} is taken by another program: end it, or choose another port with --port.`,
    );
  }
  if (code === "EACCES") {
    return new ServerCannotStart(
      "port-forbidden",
      `Port ${port} is not ours to open: choose one above 1023.`,
    );
  }
  if (code === "EADDRNOTAVAIL" || code === "ENOTFOUND") {
    return new ServerCannotStart("no-such-address", `This machine has no address ${host}.`);
  }
  return error;
}

/** Another process may have opened the evening meanwhile. */
async function openDemoEveningOnce(house: House): Promise<void> {
  await house.catchUp();
  if (house.streams.version(MEET) === 0) await openDemoEvening(house);
}

/** Starts and listens. Rejects with ServerCannotStart where the address cannot be had. */
export async function startServer(options: ServerOptions): Promise<Running> {
  const { ledger, pages, host = "127.0.0.1", port = 0, lan = false, hosts = [], tls } = options;
  const log = openLog(options.log);
  const limits = { ...LIMITS, ...options.limits };
  const now = options.now ?? Date.now;
  const { version = "unknown" } = options;
  const observer = openObserver(log, now);
  let status: Status | undefined;
  const house = await openHouse(observer.ledger(ledger), {
    status: () => status?.onView(),
    ...(options.secretFile === undefined ? {} : { secretFile: options.secretFile }),
    ...(options.houseFile === undefined ? {} : { houseFile: options.houseFile }),
    ...(options.hints === undefined ? {} : { hints: options.hints }),
    ...(options.now === undefined ? {} : { now: options.now }),
    ...(options.again === undefined ? {} : { again: options.again }),
  });
  status = openStatus({
    house,
    observer,
    ...(options.version === undefined ? {} : { version }),
    ...(options.every === undefined ? {} : { every: options.every }),
  });
  house.onChange((changed) => {
    if (changed === "standing") log.warn({ standing: house.standing() }, "the ledger's standing changed");
  });
  const door = { lan, hosts, secure: tls !== undefined };
  const enter = openEntrance(house, openGuesses(limits, now));
  const app = await openApp({
    house,
    pages,
    door,
    enter,
    log,
    observer,
    metrics: () => observer.metrics.text(gaugesOf(house, observer, sockets.rooms.size, version)),
    metricsToken: options.metricsToken,
    limits,
    ...(options.assetsDir === undefined ? {} : { assetsDir: options.assetsDir }),
    ...(tls === undefined ? {} : { tls }),
    ...(options.pagesAMinute === undefined ? {} : { pagesAMinute: options.pagesAMinute }),
  });
  const io = new Server({
    serveClient: false,
    maxHttpBufferSize: LARGEST_MESSAGE,
    perMessageDeflate: false,
    httpCompression: false,
    // Our pages ask for nothing else; long polling would bring bodies, and with them a second door.
    transports: ["websocket"],
    pingInterval: limits.pingEveryMs,
    pingTimeout: limits.pingAnswerMs,
    connectTimeout: limits.seatedMs,
    allowRequest: (request, answer) => {
      const ours = isOurRequest(request, door);
      if (!ours) observer.notLetIn("bad-host");
      answer(ours ? null : "not our name", ours);
    },
  });
  limitConnections(app.server, limits);
  io.attach(app.server, { destroyUpgrade: false });
  limitSockets(io, { limits, now: house.now, cut: observer.cut });
  const sockets = openSockets(house, io, observer, enter, limits);
  if (options.evening === true) await house.alone(() => openDemoEveningOnce(house));
  try {
    await app.listen({ host, port });
  } catch (error) {
    status.close();
    observer.close();
    await house.rest();
    io.engine.close();
    await app.close();
    throw asStartFault(error, host, port);
  }
  const address = app.server.address();
  const bound = typeof address === "object" && address !== null ? address.port : port;
  const shownHost = ["0.0.0.0", "::", "127.0.0.1"].includes(host) ? "127.0.0.1" : host;
  let stopping: Promise<void> | undefined;
  async function stop(): Promise<void> {
    // What has been taken in is written and acknowledged before the line is cut.
    sockets.stopTaking();
    await house.rest();
    sockets.sayGoodbye();
    await new Promise((done) => setImmediate(done));
    io.disconnectSockets(true);
    io.engine.close();
    await app.close();
    status?.close();
    observer.close();
    log.info("stopped");
  }
  const { driver } = ledger;
  const streams = (await ledger.streams()).length;
  log.info({ version, driver, address: { host, port: bound }, streams }, "started");
  return {
    port: bound,
    url: `${tls === undefined ? "http" : "https"}://${shownHost.includes(":") ? `[${shownHost}]` : shownHost}:${bound}`,
    get coachPath() {
      return house.seats.coachPath;
    },
    house,
    status,
    stop: () => (stopping ??= stop()),
  };
}
