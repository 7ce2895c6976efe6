/** The repository's own files, for the tests that read the house. */
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

export const root = fileURLToPath(new URL("../..", import.meta.url));

/** Files that git knows or would add, relative to the root, with "/" between. */
export function files(...patterns: readonly string[]): readonly string[] {
  const listed = execFileSync("git", ["ls-files", "-co", "--exclude-standard", "--", ...patterns], {
    cwd: root,
    encoding: "utf8",
  });
  return listed.split("\n").filter((line) => line !== "");
}

export const text = (file: string): string => readFileSync(join(root, file), "utf8");
