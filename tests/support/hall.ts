/** The real command in its own process, on loopback, with its own data folder: what a club runs. */
import { spawn, type ChildProcess } from "node:child_process";
import { createServer } from "node:net";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { io, type Socket } from "socket.io-client";
import type { CoachView } from "../../table-ui/wire/views.ts";
import type { Shown } from "../../table-ui/wire/messages.ts";

/** The project's folder, also for the compiled copy of this file that the bench runs. */
const root = new URL("../..", import.meta.url).pathname.replace(/\.build\/$/, "");

export async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  const address = server.address();
  await new Promise((done) => server.close(done));
  if (address === null || typeof address === "string") throw new Error("no port");
  return address.port;
}

export interface Hall {
  readonly port: number;
  readonly data: string;
  /** http://127.0.0.1:PORT/seat/... of the coach. */
  readonly coach: string;
  readonly said: () => string;
  /** SIGKILL: nothing is flushed, nothing is said. */
  kill(): Promise<void>;
  /** SIGTERM, and the exit code. */
  stop(): Promise<number | null>;
}

export interface Opening {
  readonly data?: string;
  readonly port?: number;
  readonly args?: readonly string[];
}

/** Starts `garland serve --demo` and resolves once it has printed the coach's link. */
export async function openHall(opening: Opening = {}): Promise<Hall> {
  const data = opening.data ?? mkdtempSync(join(tmpdir(), "garland-"));
  const port = opening.port ?? (await freePort());
  const { child, said, left } = garland([
    "serve",
    "--demo",
    "--data",
    data,
    "--port",
    String(port),
    ...(opening.args ?? []),
  ]);
  const coach = await new Promise<string>((found, failed) => {
    const look = () => {
      const link = /http:\/\/\S+\/seat\/[\w-]{22}/.exec(said());
      if (link !== null) found(link[0]);
    };
    child.stdout?.on("data", look);
    void left.then((code) => failed(new Error(`garland serve ended with ${code}:\n${said()}`)));
  });
  return {
    port,
    data,
    coach,
    said,
    kill: async () => {
      child.kill("SIGKILL");
      await left;
    },
    stop: async () => {
      child.kill("SIGTERM");
      return left;
    },
  };
}

/** Runs the built command; `left` resolves to its exit code. */
export function garland(args: readonly string[]): {
  readonly child: ChildProcess;
  readonly said: () => string;
  readonly left: Promise<number | null>;
} {
  const child = spawn(process.execPath, [join(root, "table-ui", "cli", "launch.mjs"), ...args], {
    cwd: root,
    stdio: ["ignore", "pipe", "pipe"],
  });
  let text = "";
  child.stdout.on("data", (chunk: Buffer) => (text += chunk.toString()));
  child.stderr.on("data", (chunk: Buffer) => (text += chunk.toString()));
  const left = new Promise<number | null>((done) => child.on("close", (code) => done(code)));
  return { child, said: () => text, left };
}

export const forget = (hall: Hall): void => rmSync(hall.data, { recursive: true, force: true });

/** A socket with a seat's secret, taken from its link. */
export function sit(hall: Hall, link: string): Socket {
  const secret = link.slice(link.lastIndexOf("/") + 1);
  return io(`http://127.0.0.1:${hall.port}`, { auth: { secret }, transports: ["websocket"], forceNew: true });
}

/** The coach's first whole view: every seat's path is in it. */
export async function coachView(hall: Hall): Promise<CoachView> {
  const socket = sit(hall, hall.coach);
  try {
    const shown = await new Promise<Shown>((got, failed) => {
      socket.once("view", got);
      socket.once("connect_error", failed);
    });
    if (shown.view.kind !== "coach") throw new Error(`the coach's seat shows a ${shown.view.kind}`);
    return shown.view;
  } finally {
    socket.disconnect();
  }
}
