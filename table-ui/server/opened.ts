/**
 * Where a running server can be asked, for commands of the same machine: `open.json` in the data folder (mode 0600) says
 * its address and process. Whoever finds an address there lets the server prove itself before a secret is sent to it.
 */
import { createHmac } from "node:crypto";
import { chmodSync, existsSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";

export interface OpenedAt {
  /** "http://127.0.0.1:8080". */
  readonly url: string;
  readonly pid: number;
}

const fileIn = (dir: string): string => join(dir, "open.json");

/** What a server answers to a number that nobody has used before: only whoever knows the coach's secret can. */
export const proofOf = (secret: string, nonce: string): string =>
  createHmac("sha256", secret).update(`open ${nonce}`).digest("hex");

/** Writes the file; the answer removes it, unless another server has written it since. */
export function sayOpened(dir: string, url: string): () => void {
  const file = fileIn(dir);
  const mine: OpenedAt = { url, pid: process.pid };
  try {
    const fresh = `${file}.${process.pid}`;
    writeFileSync(fresh, `${JSON.stringify(mine)}\n`, { mode: 0o600 });
    chmodSync(fresh, 0o600);
    renameSync(fresh, file);
  } catch {
    // Only commands on this machine need it: the evening goes on without.
    return () => undefined;
  }
  return () => {
    const now = openedIn(dir);
    if (now?.pid === mine.pid && now.url === url) rmSync(file, { force: true });
  };
}

/** What the file says, whoever wrote it; undefined where there is none or it says nothing. */
export function openedIn(dir: string): OpenedAt | undefined {
  try {
    const said: unknown = existsSync(fileIn(dir)) ? JSON.parse(readFileSync(fileIn(dir), "utf8")) : undefined;
    if (typeof said !== "object" || said === null || !("url" in said) || !("pid" in said)) return undefined;
    const { url, pid } = said;
    return typeof url === "string" && typeof pid === "number" ? { url, pid } : undefined;
  } catch {
    return undefined;
  }
}

/** Whether a process of this number runs; it may be another program's by now. */
export function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    // It runs and is not ours to signal.
    return error instanceof Error && "code" in error && error.code === "EPERM";
  }
}
