/**
 * `npm test`: sets up what is missing (packages, a build, Debian's chromium), runs every test, and ends with the plain
 * line "N passed, N failed". `--long` runs the full counts; other arguments go to vitest (a file, -t "name").
 */
import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { needBuild, needNode, needPackages, refuse, root, run } from "../table-ui/cli/setup.mjs";

needNode();
needPackages();
needBuild();
needChromium();

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
const long = args.includes("--long");
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
    ...args.filter((arg) => arg !== "--long"),
  ],
  {
    cwd: root,
    stdio: ["ignore", "inherit", "inherit"],
    env: { ...process.env, ...(long ? { LONG: "1" } : {}) },
  },
);

// A runner that died, or ran nothing, has failed even though no test says so.
const counted = existsSync(report)
  ? JSON.parse(readFileSync(report, "utf8"))
  : { numPassedTests: 0, numFailedTests: 0, numPendingTests: 0 };
const passed = counted.numPassedTests;
const skipped = counted.numPendingTests;
const failed = Math.max(counted.numFailedTests, vitest.status === 0 && passed > 0 ? 0 : 1);
process.stdout.write(`${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ""}\n`);
process.exitCode = failed === 0 ? 0 : 1;
