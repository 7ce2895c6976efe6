/** Starts the server of one ledger: pages, sockets, seats. The ledger belongs to whoever opened it. */
import { Server } from "socket.io";
import type { Millis } from "../../engine/index.ts";
import type { Ledger } from "../../engine/ledger/open.ts";
import { LARGEST_MESSAGE } from "../wire/checks.ts";
import { openApp } from "./app.ts";
import { isOurHost, isOurOrigin } from "./door.ts";
import { openDemoEvening } from "./evening.ts";
import type { OpenHints } from "./hints.ts";
import { openHouse, type House } from "./house.ts";
import { openLog, type LogOptions } from "./log.ts";
import type { Pages } from "./pages.ts";
import { openSockets } from "./sockets.ts";
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
  readonly pagesAMinute?: number;
}

export interface Running {
  readonly port: number;
  /** "http://127.0.0.1:8080", the address for this machine. */
  readonly url: string;
  /** The path of the coach's link, "/seat/...". */
  readonly coachPath: string;
  readonly house: House;
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
  const house = await openHouse(ledger, {
    ...(options.secretFile === undefined ? {} : { secretFile: options.secretFile }),
    ...(options.houseFile === undefined ? {} : { houseFile: options.houseFile }),
    ...(options.hints === undefined ? {} : { hints: options.hints }),
    ...(options.now === undefined ? {} : { now: options.now }),
  });
  const door = { lan, hosts };
  const app = await openApp({
    house,
    pages,
    door,
    log,
    ...(options.assetsDir === undefined ? {} : { assetsDir: options.assetsDir }),
    ...(tls === undefined ? {} : { tls }),
    ...(options.pagesAMinute === undefined ? {} : { pagesAMinute: options.pagesAMinute }),
  });
  const io = new Server({
    serveClient: false,
    maxHttpBufferSize: LARGEST_MESSAGE,
    perMessageDeflate: false,
    httpCompression: false,
    // A screen must notice within seconds that the server is lost, and the server that a screen is.
    pingInterval: 6_000,
    pingTimeout: 6_000,
    allowRequest: (request, answer) => {
      const ours =
        isOurHost(request.headers.host, door) && isOurOrigin(request.headers.origin, request.headers.host);
      answer(ours ? null : "not our name", ours);
    },
  });
  io.attach(app.server);
  const sockets = openSockets(house, io, log);
  if (options.evening === true) await house.alone(() => openDemoEveningOnce(house));
  try {
    await app.listen({ host, port });
  } catch (error) {
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
  }
  return {
    port: bound,
    url: `${tls === undefined ? "http" : "https"}://${shownHost.includes(":") ? `[${shownHost}]` : shownHost}:${bound}`,
    get coachPath() {
      return house.seats.coachPath;
    },
    house,
    stop: () => (stopping ??= stop()),
  };
}
