/** A ledger in another process: started, listened to, and killed by a test. */
import { spawn } from "node:child_process";
import type { ChildProcess } from "node:child_process";
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { build } from "vite";

const root = fileURLToPath(new URL("../..", import.meta.url));

export interface LedgerProcess {
  /** The next line it says, parsed; undefined when it has ended. */
  next(): Promise<unknown>;
  kill(): Promise<void>;
  /** Settles with everything it wrote to stderr once it has ended. */
  readonly ended: Promise<string>;
}

/**
 * Node 20 runs no TypeScript, so the program is bundled first, inside node_modules so that it finds its packages.
 * `remove` takes the bundle away.
 */
export async function bundleLedgerProcess(): Promise<{ readonly program: string; remove(): void }> {
  const cache = join(root, "node_modules", ".cache");
  mkdirSync(cache, { recursive: true });
  const outDir = mkdtempSync(join(cache, "garland-ledger-process-"));
  await build({
    configFile: false,
    root,
    logLevel: "warn",
    build: {
      ssr: join(root, "tests", "contracts", "ledger-child.ts"),
      outDir,
      target: "node20",
      rolldownOptions: { output: { entryFileNames: "child.mjs" } },
    },
  });
  return {
    program: join(outDir, "child.mjs"),
    remove: () => rmSync(outDir, { recursive: true, force: true }),
  };
}

/** Starts `node program ...args`; `wrapper` is a command to run it under. */
export function startLedgerProcess(
  program: string,
  args: readonly string[],
  wrapper: readonly string[] = [],
): LedgerProcess {
  const [command = "", ...rest] = [...wrapper, process.execPath, program, ...args];
  const child = spawn(command, rest, { stdio: ["pipe", "pipe", "pipe"] });
  const lines = createInterface({ input: child.stdout })[Symbol.asyncIterator]();
  const ended = ending(child);
  return {
    async next() {
      const line = await lines.next();
      return line.done === true ? undefined : JSON.parse(line.value);
    },
    async kill() {
      child.kill("SIGKILL");
      await ended;
    },
    ended,
  };
}

async function ending(child: ChildProcess): Promise<string> {
  let told = "";
  child.stderr?.setEncoding("utf8").on("data", (part: string) => {
    told += part;
  });
  return new Promise((resolve, reject) => {
    child.once("error", reject);
    child.once("close", () => resolve(told));
  });
}
