/** `npm run check`: types, lint, format, directions and leftovers, all of them, then one line of what failed. */
import { spawnSync } from "node:child_process";
import { join } from "node:path";
import { needBuild, needNode, needPackages, root } from "../table-ui/cli/setup.mjs";

needNode();
needPackages();
needBuild();

const bin = (...path) => join(root, "node_modules", ...path);
const CHECKS = [
  ["types", [bin("typescript", "bin", "tsc"), "-b"]],
  ["lint", [bin("oxlint", "bin", "oxlint"), "--config", ".oxlintrc.json", "--deny-warnings"]],
  ["format", [bin("prettier", "bin", "prettier.cjs"), "--check", "--log-level", "warn", "."]],
  [
    "directions",
    [
      bin("dependency-cruiser", "bin", "dependency-cruise.mjs"),
      "--config",
      ".dependency-cruiser.cjs",
      "rules",
      "engine",
      "table-ui",
    ],
  ],
  ["leftovers", [bin("knip", "bin", "knip.js"), "--config", ".knip.json", "--no-progress"]],
];

const failed = CHECKS.filter(([name, args]) => {
  process.stdout.write(`${name} ...\n`);
  return spawnSync(process.execPath, args, { cwd: root, stdio: "inherit" }).status !== 0;
});
process.stdout.write(
  failed.length === 0 ? "All in order.\n" : `At fault: ${failed.map(([name]) => name).join(", ")}.\n`,
);
process.exitCode = failed.length === 0 ? 0 : 1;
