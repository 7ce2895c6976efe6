/** A real PostgreSQL for tests: Debian's programs, its own account, data and port, with every flush to disk on. */
import { chownSync, existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { Client, type QueryResult } from "pg";
import {
  accountOf,
  end,
  FOLDER,
  freePort,
  ownFolder,
  programPath,
  runProgram,
  runToEnd,
  untilReady,
  type Account,
  type Running,
} from "./services.ts";

export type Row = Readonly<Record<string, unknown>>;

export interface TestPostgres {
  readonly port: number;
  /** The address of one empty database, "postgres://...". */
  readonly address: string;
  /** Makes one more empty database; its address. */
  fresh(): Promise<string>;
  /** Runs statements by hand, in the database at `address`; the rows of the last. */
  query(sql: string, address?: string): Promise<readonly Row[]>;
  /** Starts it again on the same port and data; resolves once it answers. */
  start(): Promise<void>;
  /** Kills it and all its own processes at once (SIGKILL), and waits until they are gone. */
  kill(): Promise<void>;
  /** Ends it and removes its data. */
  stop(): Promise<void>;
}

const USER = "postgres";
/** Another program may take a free port before ours does. */
const TRIES = 5;

function program(name: string): string {
  const path = programPath(name);
  if (path === undefined) throw new Error(`${name} is not installed: apt-get install postgresql`);
  return path;
}

/** New data folders cost a second, so that one is made for a run of the tests and copied from then on. */
async function newData(folder: string, account: Account | undefined): Promise<void> {
  const data = join(folder, "data");
  const shared = process.env[FOLDER];
  if (shared === undefined) {
    await initialise(data, account);
    return;
  }
  const first = await firstData(shared, account);
  await runToEnd("cp", ["-a", first, data], account);
}

async function firstData(shared: string, account: Account | undefined): Promise<string> {
  const folder = join(shared, "initial");
  const data = join(folder, "data");
  const ready = join(shared, "initial-is-ready");
  try {
    mkdirSync(folder, { mode: 0o700 });
  } catch {
    // Another test process makes it.
    while (!existsSync(ready)) await wait(50);
    return data;
  }
  if (account !== undefined) chownSync(folder, account.uid, account.gid);
  await initialise(data, account);
  writeFileSync(ready, "");
  return data;
}

const initialise = (data: string, account: Account | undefined): Promise<void> =>
  // Flushing is left to the servers that run on it: a copy of a fresh folder is worth nothing after a power cut.
  runToEnd(
    program("initdb"),
    ["-D", data, "-U", USER, "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--no-sync"],
    account,
  );

/** A process's children, by their parent's id in /proc (proc(5): the fourth field of stat, after the name in brackets). */
function childrenOf(pid: number): readonly number[] {
  return readdirSync("/proc")
    .map(Number)
    .filter((each) => each > 0 && parentOf(each) === pid);
}

function parentOf(pid: number): number | undefined {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, "utf8");
    return Number(stat.slice(stat.lastIndexOf(")") + 2).split(" ")[1]);
  } catch {
    return undefined; // It has ended meanwhile.
  }
}

/** Whether a process still runs: one that ended and waits for its parent does not. */
function runs(pid: number): boolean {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, "utf8");
    return stat.charAt(stat.lastIndexOf(")") + 2) !== "Z";
  } catch {
    return false;
  }
}

function killNow(pid: number): void {
  try {
    process.kill(pid, "SIGKILL");
  } catch {
    // It has ended meanwhile.
  }
}

async function run(sql: string, address: string): Promise<readonly Row[]> {
  const client = new Client({ connectionString: address, connectionTimeoutMillis: 10_000 });
  // A server that is killed in between fails the query; the connection's own word of it is not needed.
  client.on("error", () => undefined);
  await client.connect();
  try {
    // Several statements have as many results, which the driver's types do not tell.
    const results: readonly QueryResult<Row>[] = [await client.query<Row>(sql)].flat();
    return results.at(-1)?.rows ?? [];
  } finally {
    await client.end();
  }
}

class PostgresServer implements TestPostgres {
  readonly port: number;
  readonly address: string;
  readonly #folder: string;
  readonly #account: Account | undefined;
  #service: Running | undefined;
  #made = 0;

  constructor(folder: string, port: number, account: Account | undefined) {
    this.#folder = folder;
    this.port = port;
    this.#account = account;
    this.address = this.#addressOf(USER);
  }

  async fresh(): Promise<string> {
    this.#made += 1;
    const name = `fresh_${this.#made}`;
    await run(`CREATE DATABASE ${name}`, this.address);
    return this.#addressOf(name);
  }

  query(sql: string, address = this.address): Promise<readonly Row[]> {
    return run(sql, address);
  }

  async start(): Promise<void> {
    for (let tries = 1; tries <= TRIES; tries += 1) if (await this.tryToStart()) return;
    throw new Error(`PostgreSQL did not start: ${this.#service?.said()}`);
  }

  /** Whether it now answers; it does not where its port was taken, or the one that was killed is still going. */
  async tryToStart(): Promise<boolean> {
    const settings = [`port=${this.port}`, "listen_addresses=127.0.0.1", "unix_socket_directories="];
    this.#service = runProgram(
      program("postgres"),
      ["-D", join(this.#folder, "data"), ...settings.flatMap((each) => ["-c", each])],
      this.#account,
    );
    return (await untilReady(this.#service, () => run("SELECT 1", this.address))) === true;
  }

  async kill(): Promise<void> {
    const service = this.#service;
    const pid = service?.child.pid;
    if (service === undefined || pid === undefined) return;
    // Stopped first, so that it starts no child between the look and the kill.
    process.kill(pid, "SIGSTOP");
    const children = childrenOf(pid);
    for (const each of [...children, pid]) killNow(each);
    await end(service, "SIGKILL");
    while (children.some(runs)) await wait(5);
  }

  async stop(): Promise<void> {
    // An immediate shutdown: the data is removed anyway.
    if (this.#service !== undefined) await end(this.#service, "SIGQUIT");
    rmSync(this.#folder, { recursive: true, force: true });
  }

  #addressOf(database: string): string {
    return `postgres://${USER}@127.0.0.1:${this.port}/${database}`;
  }
}

/** Starts a PostgreSQL of its own; needs Debian's package postgresql, see describeWith. */
export async function startPostgres(): Promise<TestPostgres> {
  const account = accountOf(USER);
  const folder = ownFolder("postgres", account);
  await newData(folder, account);
  for (let tries = 1; ; tries += 1) {
    const server = new PostgresServer(folder, await freePort(), account);
    if (await server.tryToStart()) return server;
    if (tries < TRIES) continue;
    await server.start();
    return server;
  }
}
