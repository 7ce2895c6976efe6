/**
 * `npm test`: sets up what is missing (packages, a build, Debian's chromium, PostgreSQL and Redis), runs every test, and ends
 * with the plain line "N passed, N failed", which also says why suites were skipped. `--long` runs the full counts,
 * `--kills N` and `--commands N` set one of them; other arguments go to vitest (a file, -t "name").
 */
import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { needBuild, needNode, needPackages, refuse, root, run } from "../table-ui/cli/setup.mjs";
import { needServices, reasonsIn } from "./support/needs.mjs";

needNode();
needPackages();
needBuild();
needChromium();
needServices();

function needChromium() {
  const wanted = process.env.CHROME_PATH ?? "/usr/bin/chromium";
  if (existsSync(wanted)) return;
  if (process.env.CHROME_PATH !== undefined) refuse(`CHROME_PATH names ${wanted}, which does not exist.`);
  if (process.getuid?.() !== 0 || !existsSync("/usr/bin/apt-get"))
    refuse("the browser tests need Chromium: install the package chromium, or set CHROME_PATH.");
  process.stderr.write("Installing chromium (once) ...\n");
  run("apt-get", ["update", "-qq"], "apt-get update failed; install the package chromium by hand.");
  run("apt-get", ["install", "-y", "-qq", "chromium"], "apt-get could not install chromium; see above.");
}

const args = process.argv.slice(2);
const long = takeFlag("--long");
const counts = { KILLS: takeNumber("--kills"), COMMANDS: takeNumber("--commands") };

function takeFlag(name) {
  const at = args.indexOf(name);
  return at >= 0 && args.splice(at, 1).length > 0;
}

function takeNumber(name) {
  const at = args.indexOf(name);
  if (at < 0) return undefined;
  const [, number] = args.splice(at, 2);
  return /^[1-9]\d*$/.test(number ?? "") ? number : refuse(`${name} wants a number after it.`);
}
const report = join(root, ".build", "tests.json");
mkdirSync(join(root, ".build"), { recursive: true });
rmSync(report, { force: true });

const vitest = spawnSync(
  process.execPath,
  [
    join(root, "node_modules", "vitest", "vitest.mjs"),
    "run",
    "--config",
    "tests/vitest.config.ts",
    "--reporter=default",
    "--reporter=json",
    `--outputFile.json=${report}`,
    ...args,
  ],
  {
    cwd: root,
    stdio: ["ignore", "inherit", "inherit"],
    env: { ...process.env, ...(long ? { LONG: "1" } : {}), ...given(counts) },
  },
);

/** What was said, without what was not. */
function given(values) {
  return Object.fromEntries(Object.entries(values).filter(([, value]) => value !== undefined));
}

// A runner that died, or ran nothing, has failed even though no test says so.
const counted = existsSync(report)
  ? JSON.parse(readFileSync(report, "utf8"))
  : { numPassedTests: 0, numFailedTests: 0, numPendingTests: 0 };
const passed = counted.numPassedTests;
const skipped = counted.numPendingTests;
const failed = Math.max(counted.numFailedTests, vitest.status === 0 && passed > 0 ? 0 : 1);
const reasons = reasonsIn(counted);
const why = reasons.length > 0 ? ` (${reasons.join("; ")})` : "";
process.stdout.write(
  `${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped${why}` : ""}\n`,
);
process.exitCode = failed === 0 ? 0 : 1;
