/**
 * The house's one secret, in a file beside the ledger (mode 0600). What must be kept secret and yet be known again after a
 * restart, or in another process, follows from it by HMAC-SHA-256 (RFC 2104): nothing of that is ever stored.
 */
import { createHmac, randomBytes } from "node:crypto";
import { readFileSync } from "node:fs";
import { keepOnce } from "./lasting-file.ts";

/** The HMAC of a label. Labels of different uses begin differently. */
export type HouseSecret = (label: string) => Buffer;

function find(file: string): string | undefined {
  try {
    const found = readFileSync(file, "utf8").trim();
    return /^[0-9a-f]{64}$/.test(found) ? found : undefined;
  } catch (error) {
    if (error instanceof Error && "code" in error && error.code === "ENOENT") return undefined;
    throw error;
  }
}

function findOrMake(file: string): string {
  const known = find(file);
  if (known !== undefined) return known;
  const fresh = randomBytes(32).toString("hex");
  try {
    keepOnce(file, `${fresh}\n`);
    return fresh;
  } catch (error) {
    // Another process was first, or what lies there is no secret of ours.
    const theirs = find(file);
    if (theirs !== undefined) return theirs;
    throw error;
  }
}

/** Opens the secret; without a file it holds as long as this process. */
export function openSecret(file?: string): HouseSecret {
  const secret = file === undefined ? randomBytes(32).toString("hex") : findOrMake(file);
  return (label) => createHmac("sha256", secret).update(label).digest();
}
