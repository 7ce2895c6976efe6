import { describe, expect, test } from "vitest";
import { files, text } from "../support/tree.ts";

const TOP = ["README.md", "DEVELOPERS.md", "package.json", "package-lock.json", "tsconfig.json", "LICENSE"];
const FOLDERS = ["rules", "engine", "table-ui", "tests"];

describe("the shape of the house", () => {
  test("only the agreed names stand at the top", () => {
    const names = new Set(files().map((file) => file.split("/")[0] ?? ""));
    const others = [...names].filter(
      (name) => !TOP.includes(name) && !FOLDERS.includes(name) && !name.startsWith("."),
    );
    expect(others).toEqual([]);
    for (const name of [...TOP, ...FOLDERS]) expect(names).toContain(name);
  });

  test("no source file is longer than 400 lines", () => {
    const sources = files("*.ts", "*.tsx", "*.mjs");
    expect(sources.length).toBeGreaterThan(150);
    const long = sources.filter((file) => text(file).split("\n").length > 401);
    expect(long).toEqual([]);
  });

  test("no code of ours makes code from text", () => {
    const made = files("rules/*.ts", "engine/*.ts", "table-ui/*.ts", "table-ui/*.tsx").filter((file) =>
      /\beval\s*\(|new Function\b/.test(text(file)),
    );
    expect(made).toEqual([]);
  });

  test("[D8] no page carries an inline style", () => {
    const styled = files("table-ui/screens/*.ts", "table-ui/screens/*.tsx").filter((file) =>
      /\sstyle=["{]|\.style\.|setAttribute\("style"/.test(text(file)),
    );
    expect(styled).toEqual([]);
  });

  test("every package is pinned to one version, and none runs a script when it is installed", () => {
    const lock = JSON.parse(text("package-lock.json")) as {
      packages: Record<string, { version?: string; hasInstallScript?: boolean; optional?: boolean }>;
    };
    const own = JSON.parse(text("package.json")) as Record<string, Record<string, string>>;
    const ranges = ["dependencies", "devDependencies", "optionalDependencies"].flatMap((kind) =>
      Object.entries(own[kind] ?? {}).filter(([, version]) => !/^\d+\.\d+\.\d+$/.test(version)),
    );
    expect(ranges).toEqual([]);
    const scripted = Object.entries(lock.packages)
      // macOS's file watcher is optional and never installed elsewhere.
      .filter(([name, entry]) => entry.hasInstallScript === true && !name.endsWith("/fsevents"))
      .map(([name]) => name);
    expect(scripted).toEqual([]);
  });
});
