/**
 * What a fresh clone lacks before TypeScript can run: packages and a build. Plain JavaScript on Node alone, because it
 * runs before anything is installed. Everything it says goes to stderr: stdout belongs to the command.
 */
import { spawnSync } from "node:child_process";
import { existsSync, lstatSync, readdirSync, statSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

export const root = join(dirname(fileURLToPath(import.meta.url)), "..", "..");

const say = (sentence) => process.stderr.write(`${sentence}\n`);

/** Ends the process with one clear sentence and exit code 2. */
export function refuse(sentence) {
  say(`garland: ${sentence}`);
  process.exit(2);
}

/** Runs a program with its output on stderr; refuses with `sentence` if it fails. */
export function run(program, args, sentence) {
  const { status } = spawnSync(program, args, { cwd: root, stdio: ["ignore", process.stderr, "inherit"] });
  if (status !== 0) refuse(sentence);
}

export function needNode() {
  const [major, minor] = process.versions.node.split(".").map(Number);
  if (major < 20 || (major === 20 && minor < 19))
    refuse(`this is Node ${process.versions.node}; Garland needs Node 20.19 or newer.`);
}

const time = (path) => (existsSync(path) ? statSync(path).mtimeMs : 0);

/** npm writes node_modules/.package-lock.json last, so a broken install does not look whole. */
export function needPackages() {
  if (time(join(root, "node_modules", ".package-lock.json")) >= time(join(root, "package-lock.json"))) return;
  if (!existsSync(join(root, "package-lock.json"))) return; // installed as a package: npm has done it
  // A linked folder is somebody else's: npm ci would empty it.
  if (lstatSync(join(root, "node_modules"), { throwIfNoEntry: false })?.isSymbolicLink() === true) return;
  say("Installing packages (once) ...");
  run("npm", ["ci", "--no-audit", "--no-fund", "--loglevel=error"], "npm ci failed; see above.");
}

const SOURCES = ["rules", "engine", "table-ui"];
const SOURCE = /\.(ts|tsx|mjs|css|yaml|json|svg)$/;

function newest(folder) {
  let latest = 0;
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    if (entry.name.startsWith(".") || entry.name === "node_modules") continue;
    const path = join(folder, entry.name);
    if (entry.isDirectory()) latest = Math.max(latest, newest(path));
    else if (SOURCE.test(entry.name)) latest = Math.max(latest, statSync(path).mtimeMs);
  }
  return latest;
}

export const stamp = join(root, ".build", "built");

export function needBuild() {
  const sources = SOURCES.map((folder) => newest(join(root, folder)));
  if (time(stamp) > Math.max(...sources, time(join(root, "package-lock.json")))) return;
  say("Building (once, and after changes) ...");
  run(process.execPath, [join(root, "table-ui", "cli", "build.mjs")], "the build failed; see above.");
}
