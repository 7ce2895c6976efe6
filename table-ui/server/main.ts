/** Reads the process and runs the server until it is told to stop. */
import { mkdirSync, readFileSync } from "node:fs";
import { networkInterfaces } from "node:os";
import { join } from "node:path";
import { LedgerCannotOpen, LedgerFault, openLedger, type Ledger } from "../../engine/ledger/open.ts";
import { openLog, type LogOptions } from "./log.ts";
import { sayOpened } from "./opened.ts";
import type { Pages } from "./pages.ts";
import { redisHints } from "./redis-hints.ts";
import { ServerCannotStart, startServer, type Running } from "./start.ts";

/** What a start from a command line says. */
export interface ServeOptions {
  readonly dir: string;
  readonly port: number;
  /** Open to the hall; otherwise this machine only. */
  readonly lan: boolean;
  readonly pages: Pages;
  readonly assetsDir: string;
  /** Load the demo evening into an empty ledger. */
  readonly evening: boolean;
  readonly hosts?: readonly string[];
  /** Files of a certificate and its key: the pages are then served over https. */
  readonly tls?: { readonly cert: string; readonly key: string };
  readonly log?: LogOptions;
  /** Which Garland this is. */
  readonly version?: string;
  /** Whoever shows it may read the metrics from another machine. */
  readonly metricsToken?: string;
  /** A PostgreSQL that keeps the ledger instead of a file in `dir`, "postgres://..."; several processes may serve it. */
  readonly ledger?: string;
  /** The Redis over which those processes tell each other what is new, "redis://...". */
  readonly fanout?: string;
  /** Called when it listens. */
  readonly started?: (running: Running, ledger: Ledger) => void;
}

/** Exit codes: 0 stopped in good order, 2 could not start. */
export type ExitCode = 0 | 2;

/** This machine's addresses in the hall, for links that phones can open. */
export function hallAddresses(): readonly string[] {
  return Object.values(networkInterfaces())
    .flatMap((each) => each ?? [])
    .filter(({ family, internal }) => family === "IPv4" && !internal)
    .map(({ address }) => address);
}

/** Why it cannot start, in one sentence; undefined for what is a fault of ours. */
export function whyNotStarted(error: unknown): string | undefined {
  const said = [ServerCannotStart, LedgerCannotOpen, LedgerFault];
  if (said.some((each) => error instanceof each)) return error instanceof Error ? error.message : undefined;
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  if (["EACCES", "EROFS", "ENOTDIR", "EEXIST", "EPERM"].includes(code)) {
    return "The data folder cannot be written to: choose another with --data.";
  }
  if (code === "ENOENT") return "A file or folder that was named is not there: check the paths.";
  return undefined;
}

async function open(options: ServeOptions): Promise<{ running: Running; ledger: Ledger }> {
  const { dir, lan, pages, assetsDir, evening, port } = options;
  const tls = options.tls && {
    cert: readFileSync(options.tls.cert, "utf8"),
    key: readFileSync(options.tls.key, "utf8"),
  };
  mkdirSync(dir, { recursive: true });
  const ledger =
    options.ledger === undefined ? await openLedger({ dir }) : await openLedger({ postgres: options.ledger });
  try {
    const running = await startServer({
      ledger,
      pages,
      assetsDir,
      evening,
      port,
      lan,
      host: lan ? "0.0.0.0" : "127.0.0.1",
      secretFile: join(dir, "coach.seat"),
      houseFile: join(dir, "house.secret"),
      ...(options.hosts === undefined ? {} : { hosts: options.hosts }),
      ...(tls === undefined ? {} : { tls }),
      ...(options.fanout === undefined ? {} : { hints: redisHints(options.fanout, openLog(options.log)) }),
      ...(options.log === undefined ? {} : { log: options.log }),
      ...(options.version === undefined ? {} : { version: options.version }),
      ...(options.metricsToken === undefined ? {} : { metricsToken: options.metricsToken }),
    });
    return { running, ledger };
  } catch (error) {
    await ledger.close();
    throw error;
  }
}

/** Resolves at the first SIGTERM or SIGINT; a second one ends the process at once, as usual. */
function toldToStop(): Promise<void> {
  return new Promise((resolve) => {
    const stop = (): void => {
      process.off("SIGTERM", stop);
      process.off("SIGINT", stop);
      resolve();
    };
    process.on("SIGTERM", stop);
    process.on("SIGINT", stop);
  });
}

/**
 * Serves until told to stop. `say` gets the one sentence that explains why it could not start; faults of ours are thrown.
 */
export async function serve(options: ServeOptions, say: (sentence: string) => void): Promise<ExitCode> {
  let opened: Awaited<ReturnType<typeof open>>;
  try {
    opened = await open(options);
  } catch (error) {
    const why = whyNotStarted(error);
    if (why === undefined) throw error;
    say(why);
    return 2;
  }
  const stopped = toldToStop();
  const closed = sayOpened(options.dir, opened.running.url);
  options.started?.(opened.running, opened.ledger);
  await stopped;
  await opened.running.stop();
  closed();
  await opened.ledger.close();
  return 0;
}
