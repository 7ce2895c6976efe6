/** Disks that can be filled or that turn read-only, and calls of a running process that fail; Linux and root only. */
import { execFileSync, spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  rmSync,
  truncateSync,
  writeFileSync,
  openSync,
  closeSync,
  writeSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";

export interface Disk {
  readonly dir: string;
  release(): void;
}

const run = (program: string, ...args: readonly string[]): string =>
  execFileSync(program, args, { encoding: "utf8", stdio: ["ignore", "pipe", "pipe"] });

const works = (work: () => void): boolean => {
  try {
    work();
    return true;
  } catch {
    return false;
  }
};

const mkdisk = (): string => mkdtempSync(join(tmpdir(), "garland-disk-"));

/** A disk of a few megabytes. */
export function smallDisk(megabytes: number): Disk & { fill(): void; free(): void } {
  const dir = mkdisk();
  run("mount", "-t", "tmpfs", "-o", `size=${megabytes}m`, "tmpfs", dir);
  const filler = join(dir, "filler");
  return {
    dir,
    fill() {
      const handle = openSync(filler, "a");
      // To the last page: first in large steps, then in pages.
      for (const size of [65_536, 4_096]) while (works(() => writeSync(handle, Buffer.alloc(size, 1))));
      closeSync(handle);
    },
    free: () => rmSync(filler, { force: true }),
    release() {
      // One of the drivers keeps a closed file open for a while (see connection.ts).
      run("umount", "--lazy", dir);
      rmSync(dir, { recursive: true });
    },
  };
}

/** A disk whose file system turns read-only by itself, as Linux does at a fault of the device (mount option errors=remount-ro, ext4(5)). */
export function faultyDisk(): Disk & { turnReadOnly(): void; mend(): void } {
  const place = mkdisk();
  const image = join(place, "image");
  const dir = join(place, "disk");
  mkdirSync(dir);
  closeSync(openSync(image, "w"));
  truncateSync(image, 32 << 20);
  run("mkfs.ext4", "-q", "-F", image);
  const mount = (): string => run("mount", "-o", "loop,errors=remount-ro", image, dir);
  mount();
  return {
    dir,
    turnReadOnly() {
      const device = basename(run("findmnt", "-n", "-o", "SOURCE", dir).trim());
      writeFileSync(`/sys/fs/ext4/${device}/trigger_fs_error`, "1");
    },
    mend() {
      run("umount", dir);
      // 1: faults were found and mended (e2fsck(8)).
      spawnSync("e2fsck", ["-fy", image]);
      mount();
    },
    release() {
      run("umount", dir);
      rmSync(place, { recursive: true });
    },
  };
}

/** Lets system calls of a running process fail from now on (strace(1), "Tampering"); resolves when it is in force. */
export async function failCalls(
  pid: number,
  calls: string,
  error: string,
): Promise<{ end(): Promise<void> }> {
  const tracing = spawn(
    "strace",
    [
      "-f",
      "-qq",
      "-o",
      "/dev/null",
      "-e",
      `trace=${calls}`,
      "-e",
      `inject=${calls}:error=${error}`,
      "-p",
      String(pid),
    ],
    { stdio: ["ignore", "ignore", "pipe"] },
  );
  const traced = `/proc/${pid}/status`;
  while (!/^TracerPid:\s*[1-9]/m.test(run("cat", traced))) {
    if (tracing.exitCode !== null) throw new Error(`strace ended with ${tracing.exitCode}`);
    await new Promise((done) => setTimeout(done, 5));
  }
  return {
    async end() {
      if (tracing.exitCode !== null) return;
      const exit = once(tracing, "exit");
      tracing.kill("SIGTERM");
      await exit;
    },
  };
}

const isRoot = process.getuid?.() === 0;

function mounts(make: () => Disk): boolean {
  return works(() => make().release());
}

/** Why a fault cannot be made here; undefined where it can. */
export const whyNot = {
  smallDisk: (): string | undefined =>
    isRoot && mounts(() => smallDisk(1)) ? undefined : "no tmpfs can be mounted here",
  faultyDisk: (): string | undefined =>
    isRoot && existsSync("/sys/fs/ext4") && mounts(faultyDisk)
      ? undefined
      : "no ext4 can be mounted from a file here",
  strace: (): string | undefined =>
    works(() => run("strace", "-e", "trace=none", "true"))
      ? undefined
      : "strace is not installed, or may not trace",
};
