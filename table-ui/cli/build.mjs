/** The build: words and ready sets into modules, TypeScript into .build/, the screens into .build/pages/. */
import { mkdirSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { needPackages, root, run, stamp } from "./setup.mjs";

needPackages();
const started = new Date();
const bin = (name, file) => join(root, "node_modules", name, file);
const node = (args, sentence) => run(process.execPath, args, sentence);

node([join(root, "rules", "generate.mjs")], "a lexicon or a ready rule set is at fault; see above.");
const projects = ["table-ui/cli", "table-ui/screens"];
node([bin("typescript", "bin/tsc"), "-b", ...projects], "the TypeScript build failed; see above.");
node(
  [bin("vite", "bin/vite.js"), "build", "--config", "table-ui/screens/vite.config.ts", "--logLevel", "warn"],
  "building the screens failed; see above.",
);
mkdirSync(dirname(stamp), { recursive: true });
writeFileSync(stamp, `${started.toISOString()}\n`);
