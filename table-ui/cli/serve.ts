import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { isIP } from "node:net";
import { fileURLToPath } from "node:url";
import { InvalidArgumentError, Option, type Command } from "commander";
import { paintPages, readManifest, type Manifest } from "../screens/paint/page.ts";
import { hostNamed } from "../server/door.ts";
import { hallAddresses, serve, type ServeOptions } from "../server/main.ts";
import type { Running } from "../server/start.ts";
import { LOG_LEVELS, type LogLevel } from "../server/log.ts";
import { withoutPassword } from "../server/redis-hints.ts";
import { CannotDo, readText } from "./say.ts";

/** Where this file lies once built: .build/table-ui/cli. */
const root = fileURLToPath(new URL("../../..", import.meta.url));
const built = join(root, ".build", "pages");

interface Given {
  readonly data: string;
  readonly port: number;
  readonly lan?: boolean;
  readonly hostName?: readonly string[];
  readonly demo?: boolean;
  readonly tlsCert?: string;
  readonly tlsKey?: string;
  readonly log?: boolean;
  readonly logLevel?: LogLevel;
  readonly metricsTokenFile?: string;
  readonly ledger?: string;
  readonly fanout?: string;
}

function portNumber(text: string): number {
  const port = Number(text);
  if (!Number.isInteger(port) || port < 0 || port > 65_535)
    throw new InvalidArgumentError("a port is a whole number from 0 to 65535.");
  return port;
}

/** One more name that leads here, as a browser writes it; a port is no part of it. */
function nameInHall(text: string, before: readonly string[] = []): readonly string[] {
  const name = hostNamed(text);
  if (name === undefined || text.includes(":") || isIP(name) !== 0)
    throw new InvalidArgumentError(
      'a name in the hall is one like "hall.example", without http:// and without a port.',
    );
  return [...before, name];
}

/** The address of a service, or a clear word about what is wrong with it. */
const addressOf =
  (name: string, ...schemes: readonly string[]) =>
  (text: string): string => {
    const scheme = URL.canParse(text) ? new URL(text).protocol : "";
    if (!schemes.includes(scheme))
      throw new InvalidArgumentError(`${name} is an address that begins with ${schemes.join("// or ")}//.`);
    return text;
  };

/** Where the coach's link is when this process does not know it. */
const LINK_ELSEWHERE = [
  "Garland is open. Another process of this ledger gave out the coach's link: it lies in coach.seat in that one's data",
  "folder. Copy house.secret from there into this one's, and every link is shown here too.",
];

function painter(): ServeOptions["pages"] {
  const manifest = JSON.parse(readFileSync(join(built, "manifest.json"), "utf8")) as Manifest;
  return paintPages(readManifest(manifest));
}

/** Read when it is served, so that the other commands need no package beside them. */
function ownVersion(): string {
  const own = JSON.parse(readFileSync(join(root, "package.json"), "utf8")) as { readonly version: string };
  return own.version;
}

/** Shorter ones can be guessed. */
const SHORTEST_TOKEN = 16;

/** What stands in a token's file, without the line's end. */
function tokenIn(file: string): string {
  const token = readText(file).trim();
  if (!/^[\x21-\x7e]+$/.test(token) || token.length < SHORTEST_TOKEN)
    throw new CannotDo(
      `${file}: a token is one word of at least ${SHORTEST_TOKEN} letters, digits and signs, and nothing else stands in its file.`,
    );
  return token;
}

interface Opened {
  readonly running: Pick<Running, "url" | "coachPath" | "port">;
  readonly where: string;
  readonly lan: boolean;
  readonly hosts: readonly string[];
}

function invite({ running: { url, coachPath, port }, where, lan, hosts }: Opened): string {
  // Names first: a certificate is for a name.
  const scheme = new URL(url).protocol;
  const hall = [...hosts, ...hallAddresses()].map((name) => `  ${scheme}//${name}:${port}${coachPath}`);
  const open = lan
    ? hall.length === 0
      ? ["This machine has no address in a network: only it can open the links."]
      : ["From the hall:", ...hall]
    : ["Only this machine can open it. For the hall: npm start -- --lan"];
  const link =
    coachPath === ""
      ? [...LINK_ELSEWHERE, `  ${url}`]
      : [
          "Garland is open. The coach's page, which holds every other seat's link:",
          `  ${url}${coachPath}`,
          ...open,
        ];
  return [
    ...link,
    `The evening's data lies in ${where}`,
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
    .option("--lan", "open it to the hall, not only to this machine")
    .option(
      "--host-name <name>",
      "a further name that leads here, as in hall.example; may be said more than once",
      nameInHall,
    )
    .option("--demo", "load an invented evening if the ledger is empty")
    .option("--tls-cert <file>", "serve https with this certificate (PEM)")
    .option("--tls-key <file>", "and this key (PEM)")
    .option(
      "--ledger <address>",
      "keep the evening in a PostgreSQL that several processes share (postgres://...)",
      addressOf("a ledger", "postgres:", "postgresql:"),
    )
    .option(
      "--fanout <address>",
      "tell those processes at once what is new, by a Redis (redis://...)",
      addressOf("a fan-out", "redis:", "rediss:"),
    )
    .option("--log", "write a log to stderr, one JSON object a line")
    .addOption(
      new Option("--log-level <level>", "how much of it, beside --log's usual info").choices(LOG_LEVELS),
    )
    .option(
      "--metrics-token-file <file>",
      "let whoever shows the token in this file read /metrics; without it only this machine may",
    )
    .argument("[word...]")
    .addHelpText("after", "\nExample:\n  npm start -- --data thursday --port 9000 --lan")
    .action(async (words: readonly string[], given: Given) => {
      if (words.length > 0)
        throw new CannotDo(
          `"${words.join(" ")}" is not understood here. npm keeps options to itself: write them after --, as in "npm start -- --port 9000".`,
        );
      if ((given.tlsCert === undefined) !== (given.tlsKey === undefined))
        throw new CannotDo("--tls-cert and --tls-key belong together: name both files.");
      if (given.fanout !== undefined && given.ledger === undefined)
        throw new CannotDo(
          "--fanout is for several processes of one ledger: name that ledger too, with --ledger postgres://...",
        );
      const dir = resolve(given.data);
      const where =
        given.ledger === undefined ? dir : `${withoutPassword(given.ledger)}; the links' secrets in ${dir}`;
      const lan = given.lan === true;
      const hosts = given.hostName ?? [];
      process.exitCode = await serve(
        {
          dir,
          port: given.port,
          lan,
          pages: painter(),
          assetsDir: join(built, "assets"),
          evening: given.demo === true,
          hosts,
          ...(given.ledger === undefined ? {} : { ledger: given.ledger }),
          ...(given.fanout === undefined ? {} : { fanout: given.fanout }),
          ...(given.tlsCert !== undefined && given.tlsKey !== undefined
            ? { tls: { cert: given.tlsCert, key: given.tlsKey } }
            : {}),
          ...(given.metricsTokenFile === undefined ? {} : { metricsToken: tokenIn(given.metricsTokenFile) }),
          version: ownVersion(),
          log: { level: given.logLevel ?? (given.log === true ? "info" : "warn") },
          started: (running, ledger) => {
            if ("grown" in ledger && typeof ledger.grown === "string")
              process.stdout.write(`${ledger.grown}\n`);
            if ("cut" in ledger && typeof ledger.cut === "string") process.stdout.write(`${ledger.cut}\n`);
            process.stdout.write(invite({ running, where, lan, hosts }));
          },
        },
        (sentence) => process.stderr.write(`garland: ${sentence}\n`),
      );
    });
}
