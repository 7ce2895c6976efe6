/** A name that was given or taken in a folder lasts through a power cut once the folder is flushed. */
import { closeSync, fsyncSync, openSync } from "node:fs";

export function flushFolder(folder: string): void {
  if (process.platform === "win32") return; // folders cannot be opened there
  const handle = openSync(folder, "r");
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}
