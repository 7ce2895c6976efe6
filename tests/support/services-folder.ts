/** One folder for the data of all services of one run; whatever still runs from it at the end is ended by its id. */
import { chmodSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { FOLDER } from "./services.ts";

/** The process ids that services left in the folder: a test process that was killed could not end them. */
function leftOver(folder: string): readonly number[] {
  return readdirSync(folder)
    .map((name) => join(folder, name, "data", "postmaster.pid"))
    .filter(existsSync)
    .map((file) => Number(readFileSync(file, "utf8").split("\n")[0]));
}

export default function makeFolder(): () => void {
  const folder = mkdtempSync(join(tmpdir(), "garland-services-"));
  // The services run under accounts of their own and must come through.
  chmodSync(folder, 0o711);
  process.env[FOLDER] = folder;
  return () => {
    for (const pid of leftOver(folder)) {
      try {
        process.kill(pid, "SIGQUIT");
      } catch {
        // It is gone; only its file is left.
      }
    }
    rmSync(folder, { recursive: true, force: true });
  };
}
