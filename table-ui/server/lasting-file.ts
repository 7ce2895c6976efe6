/**
 * Small files beside the ledger that must outlast a power cut: on disk before anything follows from them, whole or not at
 * all, and readable by their owner only.
 */
import {
  chmodSync,
  closeSync,
  constants,
  copyFileSync,
  fsyncSync,
  linkSync,
  openSync,
  renameSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { dirname } from "node:path";

function flush(path: string, flags = "r"): void {
  const handle = openSync(path, flags);
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

/** A new name in a folder lasts once the folder is flushed. */
function flushFolderOf(file: string): void {
  // Folders cannot be opened there.
  if (process.platform !== "win32") flush(dirname(file));
}

/** The text on disk beside `file`, under a name of this process. */
function writeAside(file: string, text: string): string {
  const aside = `${file}.${process.pid}.new`;
  writeFileSync(aside, text, { mode: 0o600 });
  // The mode above counts only for a file that was not there yet.
  chmodSync(aside, 0o600);
  // Windows flushes only what was opened for writing.
  flush(aside, "r+");
  return aside;
}

/** Puts the text in the file's place; a crash leaves the old text or the new one. */
export function keep(file: string, text: string): void {
  const aside = writeAside(file, text);
  try {
    renameSync(aside, file);
  } catch (error) {
    rmSync(aside, { force: true });
    throw error;
  }
  flushFolderOf(file);
}

/** The same for a file that is written once. Throws EEXIST where there is one, by whichever process. */
export function keepOnce(file: string, text: string): void {
  const aside = writeAside(file, text);
  try {
    linkSync(aside, file);
  } catch (error) {
    if (error instanceof Error && "code" in error && error.code === "EEXIST") throw error;
    // A file system without hard links, as on a memory stick.
    copyFileSync(aside, file, constants.COPYFILE_EXCL);
    flush(file, "r+");
  } finally {
    rmSync(aside, { force: true });
  }
  flushFolderOf(file);
}
