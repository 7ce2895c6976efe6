import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { InvalidArgumentError, type Command } from "commander";
import { paintPages, readManifest, type Manifest } from "../screens/paint/page.ts";
import { hallAddresses, serve, type ServeOptions } from "../server/main.ts";
import { CannotDo } from "./say.ts";

/** Where this file lies once built: .build/table-ui/cli. */
const root = fileURLToPath(new URL("../../..", import.meta.url));
const built = join(root, ".build", "pages");

interface Given {
  readonly data: string;
  readonly port: number;
  readonly lan?: boolean;
  readonly demo?: boolean;
  readonly tlsCert?: string;
  readonly tlsKey?: string;
  readonly log?: boolean;
}

function portNumber(text: string): number {
  const port = Number(text);
  if (!Number.isInteger(port) || port < 0 || port > 65_535)
    throw new InvalidArgumentError("a port is a whole number from 0 to 65535.");
  return port;
}

function painter(): ServeOptions["pages"] {
  const manifest = JSON.parse(readFileSync(join(built, "manifest.json"), "utf8")) as Manifest;
  return paintPages(readManifest(manifest));
}

function invite(url: string, coachPath: string, dir: string, lan: boolean, port: number): string {
  const hall = hallAddresses().map((address) => `  http://${address}:${port}${coachPath}`);
  const open = lan
    ? hall.length === 0
      ? ["This machine has no address in a network: only it can open the links."]
      : ["From the hall:", ...hall]
    : ["Only this machine can open it. For the hall: npm start -- --lan"];
  return [
    "Garland is open. The coach's page, which holds every other seat's link:",
    `  ${url}${coachPath}`,
    ...open,
    `The evening's data lies in ${dir}`,
    "Stop with Ctrl+C; a later start goes on with the same data.",
    "",
  ].join("\n");
}

/** Adds `garland serve`. */
export function serveCommand(program: Command): void {
  program
    .command("serve")
    .description("open the hall: pages and live screens over one ledger")
    .option("--data <dir>", "the folder of the ledger", join(root, ".data"))
    .option("--port <n>", "the port to listen at", portNumber, 8737)
    .option("--lan", "open it to the hall over http, not only to this machine")
    .option("--demo", "load an invented evening if the ledger is empty")
    .option("--tls-cert <file>", "serve https with this certificate (PEM)")
    .option("--tls-key <file>", "and this key (PEM)")
    .option("--log", "write a log to stderr, one JSON object a line")
    .argument("[word...]")
    .addHelpText("after", "\nExample:\n  npm start -- --data thursday --port 9000 --lan")
    .action(async (words: readonly string[], given: Given) => {
      if (words.length > 0)
        throw new CannotDo(
          `"${words.join(" ")}" is not understood here. npm keeps options to itself: write them after --, as in "npm start -- --port 9000".`,
        );
      if ((given.tlsCert === undefined) !== (given.tlsKey === undefined))
        throw new CannotDo("--tls-cert and --tls-key belong together: name both files.");
      const dir = resolve(given.data);
      const lan = given.lan === true;
      process.exitCode = await serve(
        {
          dir,
          port: given.port,
          lan,
          pages: painter(),
          assetsDir: join(built, "assets"),
          evening: given.demo === true,
          ...(given.tlsCert !== undefined && given.tlsKey !== undefined
            ? { tls: { cert: given.tlsCert, key: given.tlsKey } }
            : {}),
          log: { level: given.log === true ? "info" : "warn" },
          started: (running) =>
            process.stdout.write(invite(running.url, running.coachPath, dir, lan, running.port)),
        },
        (sentence) => process.stderr.write(`garland: ${sentence}\n`),
      );
    });
}
