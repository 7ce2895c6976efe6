#!/usr/bin/env node
/** The `garland` command: sets up what is missing, then hands over to main.ts. */
import { needBuild, needNode, needPackages, root } from "./setup.mjs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

needNode();
needPackages();
needBuild();
const { main } = await import(pathToFileURL(join(root, ".build", "table-ui", "cli", "main.js")).href);
await main(process.argv.slice(2));
