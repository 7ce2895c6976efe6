/**
 * The seeds from which chance is drawn. They follow from one secret beside the ledger, so that none is stored before it is
 * shown; a server that has lost the secret commits to a new seed before it draws again.
 */
import { createHmac, randomBytes } from "node:crypto";
import { existsSync, readFileSync, writeFileSync } from "node:fs";

/** The seed of a bout by its number, from 1. */
export type Seeds = (bout: string, no: number) => string;

function secretIn(file: string | undefined): string {
  if (file !== undefined && existsSync(file)) {
    const found = readFileSync(file, "utf8").trim();
    if (/^[0-9a-f]{64}$/.test(found)) return found;
  }
  const fresh = randomBytes(32).toString("hex");
  if (file !== undefined) writeFileSync(file, `${fresh}\n`, { mode: 0o600 });
  return fresh;
}

/** Opens the seeds; without a file they hold as long as this process. */
export function openSeeds(file?: string): Seeds {
  const secret = secretIn(file);
  return (bout, no) => createHmac("sha256", secret).update(`${bout}|${no}`).digest("hex");
}
