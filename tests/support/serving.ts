/** Real server processes for tests: the program of serve-child.ts, bundled once, started and ended by its process id. */
import { spawn, type ChildProcess } from "node:child_process";
import { once } from "node:events";
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { createInterface } from "node:readline";
import { build } from "vite";

const root = fileURLToPath(new URL("../..", import.meta.url));

export interface Serving {
  readonly child: ChildProcess;
  readonly url: string;
  readonly coachPath: string;
  /** The ledger's file; missing where the ledger is a database. */
  readonly file?: string;
}

export interface ServerProgram {
  /** Starts it; `args` are serve-child's: folder, port, "evening" or "", ledger's address, fan-out's address. */
  start(args: readonly string[]): ChildProcess;
  /** Starts it and waits until it serves. */
  serve(args: readonly string[]): Promise<Serving>;
  /** Ends what still runs. */
  endAll(): Promise<void>;
  /** Ends what still runs, and forgets the program. */
  remove(): Promise<void>;
}

/** Ends a process that was started here; its exit code, or null after a kill. */
export async function end(child: ChildProcess, signal: NodeJS.Signals): Promise<number | null> {
  if (child.exitCode !== null || child.signalCode !== null) return child.exitCode;
  const exit = once(child, "exit");
  child.kill(signal);
  await exit;
  return child.exitCode;
}

/** Node 20 runs no TypeScript, so the program is bundled, inside node_modules so that it finds its packages. */
export async function bundleServer(): Promise<ServerProgram> {
  const cache = join(root, "node_modules", ".cache");
  mkdirSync(cache, { recursive: true });
  const bundle = mkdtempSync(join(cache, "garland-serve-"));
  await build({
    configFile: false,
    root,
    logLevel: "warn",
    build: {
      ssr: join(root, "tests/table-ui/server/serve-child.ts"),
      outDir: bundle,
      target: "node20",
      rolldownOptions: { output: { entryFileNames: "serve.mjs" } },
    },
  });
  const children: ChildProcess[] = [];
  function start(args: readonly string[]): ChildProcess {
    const child = spawn(process.execPath, [join(bundle, "serve.mjs"), ...args], {
      stdio: ["ignore", "pipe", "pipe"],
    });
    children.push(child);
    return child;
  }
  const endAll = async (): Promise<void> => {
    for (const child of children.splice(0)) await end(child, "SIGKILL");
  };
  return {
    start,
    endAll,
    async serve(args) {
      const child = start(args);
      let said = "";
      child.stderr?.on("data", (chunk: Buffer) => (said += chunk.toString()));
      if (child.stdout === null) throw new Error("no stdout");
      for await (const line of createInterface({ input: child.stdout })) {
        return { child, ...(JSON.parse(line) as Omit<Serving, "child">) };
      }
      throw new Error(`it ended without serving: ${said}`);
    },
    async remove() {
      await endAll();
      rmSync(bundle, { recursive: true, force: true });
    },
  };
}
