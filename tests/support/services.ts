/** What the real services of tests share: where they live, who runs them, how they are started and ended. */
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { chmodSync, chownSync, existsSync, mkdtempSync, readdirSync, readFileSync } from "node:fs";
import { createServer, type AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { delimiter, join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";

/** Where the services of one run of the tests keep their data; services-folder.ts makes and removes it. */
export const FOLDER = "GARLAND_TEST_SERVICES";

/** Debian keeps PostgreSQL's programs off the path, a folder for each version. */
const DEBIAN = "/usr/lib/postgresql";

function foldersOfPrograms(): readonly string[] {
  const versions = existsSync(DEBIAN) ? readdirSync(DEBIAN) : [];
  const newestFirst = versions.map(Number).sort((a, b) => b - a);
  return [
    ...newestFirst.map((version) => join(DEBIAN, String(version), "bin")),
    ...(process.env["PATH"] ?? "").split(delimiter),
  ];
}

/** The whole path of a program, or undefined where it is not installed. */
export function programPath(name: string): string | undefined {
  return foldersOfPrograms()
    .map((folder) => join(folder, name))
    .find(existsSync);
}

/** A user and group to run as. */
export interface Account {
  readonly uid: number;
  readonly gid: number;
}

/** The account of that name; undefined where we are not root, and so stay who we are. */
export function accountOf(name: string): Account | undefined {
  if (process.getuid?.() !== 0) return undefined;
  const line = readFileSync("/etc/passwd", "utf8")
    .split("\n")
    .find((each) => each.startsWith(`${name}:`));
  if (line === undefined) throw new Error(`This machine has no account ${name}.`);
  const [, , uid, gid] = line.split(":");
  return { uid: Number(uid), gid: Number(gid) };
}

/** A new folder that belongs to that account. */
export function ownFolder(name: string, account: Account | undefined): string {
  const parent = process.env[FOLDER] ?? tmpdir();
  const folder = mkdtempSync(join(parent, `garland-${name}-`));
  chmodSync(folder, 0o700);
  if (account !== undefined) chownSync(folder, account.uid, account.gid);
  return folder;
}

/** A port of the loopback that was free a moment ago. */
export async function freePort(): Promise<number> {
  const server = createServer();
  server.listen(0, "127.0.0.1");
  await once(server, "listening");
  const { port } = server.address() as AddressInfo;
  server.close();
  await once(server, "close");
  return port;
}

/** A running program, with what it said, for the error when it ends too early. */
export interface Running {
  readonly child: ChildProcess;
  readonly said: () => string;
  readonly ended: () => boolean;
}

const running = new Set<ChildProcess>();
// A test process that ends early takes its services along. SIGQUIT: PostgreSQL then ends its own processes at once.
process.on("exit", () => running.forEach((child) => child.kill("SIGQUIT")));

export function runProgram(program: string, args: readonly string[], account?: Account): Running {
  const child = spawn(program, args, { ...account, stdio: ["ignore", "pipe", "pipe"] });
  let said = "";
  const hear = (chunk: Buffer): void => void (said = (said + chunk.toString()).slice(-8_000));
  child.stdout.on("data", hear);
  child.stderr.on("data", hear);
  running.add(child);
  child.on("exit", () => running.delete(child));
  return { child, said: () => said, ended: () => child.exitCode !== null || child.signalCode !== null };
}

/** Runs a program to its end; throws with what it said if it fails. */
export async function runToEnd(program: string, args: readonly string[], account?: Account): Promise<void> {
  const { child, said } = runProgram(program, args, account);
  const [code] = (await once(child, "close")) as [number | null];
  if (code !== 0) throw new Error(`${program} failed: ${said()}`);
}

export async function end({ child, ended }: Running, signal: NodeJS.Signals): Promise<void> {
  if (ended()) return;
  const exit = once(child, "exit");
  child.kill(signal);
  await exit;
}

/** Resolves once `ready` does; undefined where the program ended first, which happens when its port was taken. */
export async function untilReady(service: Running, ready: () => Promise<unknown>): Promise<true | undefined> {
  // The hook's own limit ends this where it never gets ready.
  for (;;) {
    if (service.ended()) return undefined;
    const answered = await ready().then(
      () => true,
      () => false,
    );
    if (answered && !service.ended()) return true;
    await wait(20);
  }
}
