import { execFileSync } from "node:child_process";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { files, root } from "../support/tree.ts";

interface Cruised {
  readonly modules: readonly {
    readonly source: string;
    readonly dependencies: readonly { readonly resolved: string }[];
  }[];
  readonly summary: {
    readonly violations: readonly {
      readonly rule: { readonly name: string };
      readonly from: string;
      readonly to: string;
    }[];
  };
}

let cruised: Cruised;
const SOURCES = ["rules/*.ts", "engine/*.ts", "table-ui/*.ts", "table-ui/*.tsx"];

beforeAll(() => {
  const printed = execFileSync(
    process.execPath,
    [
      join(root, "node_modules/dependency-cruiser/bin/dependency-cruise.mjs"),
      "--config",
      ".dependency-cruiser.cjs",
      "--output-type",
      "json",
      "rules",
      "engine",
      "table-ui",
    ],
    { cwd: root, encoding: "utf8", maxBuffer: 1 << 28 },
  );
  cruised = JSON.parse(printed) as Cruised;
});

describe("rules <- engine <- wire <- {server, screens, cli}", () => {
  test("the check reads every source file, and what each imports", () => {
    const read = new Set(cruised.modules.map((module) => module.source));
    const missed = files(...SOURCES).filter((file) => !read.has(file));
    expect(missed).toEqual([]);
    expect(read.size).toBeGreaterThan(100);
    // A compiler that it cannot use would leave every file without imports.
    const scoring = cruised.modules.find((module) => module.source === "rules/award/score.ts");
    expect(scoring?.dependencies.length).toBeGreaterThan(2);
  });

  test("[D1] nothing imports against the direction, in a circle, or past a front door", () => {
    const broken = cruised.summary.violations.map(({ rule, from, to }) => `${rule.name}: ${from} -> ${to}`);
    expect(broken).toEqual([]);
  });
});
