/** A real Redis for tests: on a loopback port of its own, keeping nothing, so that a new start is empty. */
import { rmSync } from "node:fs";
import { createClient } from "@redis/client";
import { end, freePort, ownFolder, programPath, runProgram, untilReady, type Running } from "./services.ts";

export interface TestRedis {
  readonly port: number;
  /** "redis://..." */
  readonly address: string;
  /** Starts it again on the same port, empty; resolves once it answers. */
  start(): Promise<void>;
  /** Kills it (SIGKILL). */
  kill(): Promise<void>;
  /** Ends it and removes its folder. */
  stop(): Promise<void>;
}

/** Another program may take a free port before ours does. */
const TRIES = 5;

async function ping(address: string): Promise<void> {
  const client = createClient({ url: address, socket: { reconnectStrategy: false } });
  // A refused connection rejects below as well.
  client.on("error", () => undefined);
  try {
    await client.connect();
    await client.ping();
  } finally {
    client.destroy();
  }
}

class RedisServer implements TestRedis {
  readonly port: number;
  readonly address: string;
  readonly #folder: string;
  #service: Running | undefined;

  constructor(folder: string, port: number) {
    this.#folder = folder;
    this.port = port;
    this.address = `redis://127.0.0.1:${port}`;
  }

  async start(): Promise<void> {
    for (let tries = 1; tries <= TRIES; tries += 1) if (await this.tryToStart()) return;
    throw new Error(`Redis did not start: ${this.#service?.said()}`);
  }

  /** Whether it now answers; it does not where its port was taken. */
  async tryToStart(): Promise<boolean> {
    const program = programPath("redis-server");
    if (program === undefined) throw new Error("redis-server is not installed: apt-get install redis-server");
    const place = ["--port", String(this.port), "--bind", "127.0.0.1", "--dir", this.#folder];
    const keep = ["--save", "", "--appendonly", "no", "--protected-mode", "yes"];
    this.#service = runProgram(program, [...place, ...keep]);
    return (await untilReady(this.#service, () => ping(this.address))) === true;
  }

  async kill(): Promise<void> {
    if (this.#service !== undefined) await end(this.#service, "SIGKILL");
  }

  async stop(): Promise<void> {
    if (this.#service !== undefined) await end(this.#service, "SIGTERM");
    rmSync(this.#folder, { recursive: true, force: true });
  }
}

/** Starts a Redis of its own; needs Debian's package redis-server, see describeWith. */
export async function startRedis(): Promise<TestRedis> {
  const folder = ownFolder("redis", undefined);
  for (let tries = 1; ; tries += 1) {
    const server = new RedisServer(folder, await freePort());
    if (await server.tryToStart()) return server;
    if (tries < TRIES) continue;
    await server.start();
    return server;
  }
}
