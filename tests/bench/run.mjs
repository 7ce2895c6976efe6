/**
 * `npm run bench`: runs every module in tests/bench that exports `rows()`; `-- fanout` runs that one; `-- --json` prints a
 * list of {name, value, unit, goal, ok}. Rates are ratios against a floor measured in the same run wherever there is a floor.
 */
import { spawnSync } from "node:child_process";
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { needBuild, needNode, needPackages, refuse, root } from "../../table-ui/cli/setup.mjs";

needNode();
needPackages();
needBuild();
const built = spawnSync(
  process.execPath,
  [join(root, "node_modules", "typescript", "bin", "tsc"), "-b", "tests"],
  {
    cwd: root,
    stdio: ["ignore", process.stderr, "inherit"],
  },
);
if (built.status !== 0) refuse("the benchmarks do not compile; see above.");

const wanted = process.argv.slice(2).filter((arg) => !arg.startsWith("--"));
const folder = join(root, ".build", "tests", "bench");
const rows = [];
for (const file of readdirSync(folder)
  .filter((name) => name.endsWith(".js"))
  .sort()) {
  if (wanted.length > 0 && !wanted.includes(file.replace(/\.js$/, ""))) continue;
  const module = await import(pathToFileURL(join(folder, file)).href);
  if (typeof module.rows === "function") rows.push(...(await module.rows()));
}

if (process.argv.includes("--json")) process.stdout.write(`${JSON.stringify(rows, null, 2)}\n`);
else
  for (const { name, value, unit, goal, ok } of rows)
    process.stdout.write(`${ok ? "ok  " : "MISS"} ${name}: ${value} ${unit} (goal ${goal})\n`);
