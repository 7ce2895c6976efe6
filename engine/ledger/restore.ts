/** A backup is looked at in a copy of its own, and put in place whole or not at all. */
import { chmodSync, copyFileSync, existsSync, mkdirSync, mkdtempSync, renameSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { placeAs } from "./backup.ts";
import type { SqliteDriver } from "./connection.ts";
import { flushFolder } from "./flush.ts";
import { settle } from "./hold.ts";
import type { LastingLedger } from "./ledger.ts";
import { LedgerCannotOpen } from "./ledger.ts";
import { LEDGER_FILE } from "./schema.ts";
import { openSqlite } from "./sqlite.ts";

/** A ledger opened from a copy of a file, so that looking at it changes nothing in the file. */
export interface OpenedCopy {
  readonly ledger: LastingLedger;
  /** Closes it and removes the copy. */
  remove(): Promise<void>;
}

/** What SQLite may keep beside a file. */
const BESIDE = ["-wal", "-shm", "-journal"] as const;

/** Opens a copy of a ledger's file that nobody holds; rejects with LedgerCannotOpen, which names the file itself. */
export async function openCopy(path: string, driver?: SqliteDriver): Promise<OpenedCopy> {
  const file = resolve(path);
  const folder = mkdtempSync(join(tmpdir(), "garland-copy-"));
  const copy = join(folder, LEDGER_FILE);
  const clear = (): void => rmSync(folder, { recursive: true, force: true });
  try {
    copyFileSync(file, copy);
    chmodSync(copy, 0o600);
    // What a stopped process left in its log belongs to the file.
    if (existsSync(`${file}-wal`)) copyFileSync(`${file}-wal`, `${copy}-wal`);
    const ledger = await openSqlite(copy, driver);
    return {
      ledger,
      async remove() {
        await ledger.close();
        clear();
      },
    };
  } catch (error) {
    clear();
    if (!(error instanceof LedgerCannotOpen)) throw error;
    throw new LedgerCannotOpen(error.code, error.message.replaceAll(copy, file));
  }
}

/** Why nothing was restored: one sentence, with what to do. */
export class CannotRestore extends Error {}

export interface Restored {
  readonly file: string;
  /** Where the ledger lies that was there before. */
  readonly aside?: string;
}

/**
 * Writes a whole ledger into a data folder (made if missing), on disk before it takes its name. One that lies there is moved
 * aside under a dated name with `replace`, else nothing is done (CannotRestore); one that is held is refused ("held").
 */
export async function restoreInto(
  dir: string,
  ledger: LastingLedger,
  { replace, at }: { readonly replace: boolean; readonly at: number },
): Promise<Restored> {
  mkdirSync(dir, { recursive: true, mode: 0o700 });
  const file = join(resolve(dir), LEDGER_FILE);
  const part = `${file}.restoring`;
  const there = existsSync(file);
  if (there) await settle(file);
  if (there && !replace)
    throw new CannotRestore(
      `There is a ledger in ${dir} already: add --replace to move it aside, or name another folder with --data.`,
    );
  rmSync(part, { force: true });
  await ledger.backupTo(part);
  const aside = moveAside(file, at);
  placeAs(part, file);
  return { file, ...(aside === undefined ? {} : { aside }) };
}

/** Moves a ledger and what lies beside it to a dated name; undefined where there was none. */
function moveAside(file: string, at: number): string | undefined {
  const stamp = new Date(at).toISOString().slice(0, 16).replace("T", "-").replace(":", "");
  const first = `${file}.replaced-${stamp}`;
  let aside = first;
  for (let n = 2; existsSync(aside); n += 1) aside = `${first}-${n}`;
  const moved = ["", ...BESIDE].filter((ending) => existsSync(`${file}${ending}`));
  for (const ending of moved) renameSync(`${file}${ending}`, `${aside}${ending}`);
  flushFolder(join(file, ".."));
  return moved.includes("") ? aside : undefined;
}
