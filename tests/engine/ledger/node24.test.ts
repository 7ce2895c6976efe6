/** The whole ledger suite once more under Node 24, whose own SQLite is then the preferred driver. */
import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, test } from "vitest";
import { openLedger } from "../../../engine/ledger/open.ts";
import { node24 } from "../../contracts/node24.ts";

const root = fileURLToPath(new URL("../../..", import.meta.url));
const inside = process.env["GARLAND_INSIDE_NODE24"] === "1";
const TITLE = "under Node 24 the ledger takes Node's own SQLite, and says nothing about it";

interface Report {
  readonly numPassedTests: number;
  readonly numFailedTests: number;
  readonly numPendingTests: number;
  readonly testResults: readonly {
    readonly name: string;
    readonly message: string;
    readonly assertionResults: readonly {
      readonly fullName: string;
      readonly status: string;
      readonly failureMessages: readonly string[];
    }[];
  }[];
}

if (inside) {
  test(TITLE, async () => {
    expect(process.version).toMatch(/^v24\./);
    const warned: string[] = [];
    const listen = (warning: Error): void => void warned.push(warning.message);
    process.on("warning", listen);
    const dir = mkdtempSync(join(tmpdir(), "garland-node24-"));
    const ledger = await openLedger({ dir });
    expect(ledger.driver).toBe("sqlite (node:sqlite)");
    await ledger.close();
    process.emitWarning("another experiment", "ExperimentalWarning");
    await new Promise((resolve) => setImmediate(resolve));
    process.off("warning", listen);
    rmSync(dir, { recursive: true });
    // Only the one warning is held back, and only while the driver is loaded.
    expect(warned).toEqual(["another experiment"]);
  });
} else {
  test("the ledger suite passes under Node 24 with both drivers", () => {
    const folder = mkdtempSync(join(tmpdir(), "garland-node24-"));
    const report = join(folder, "report.json");
    const { GARLAND_NODE24: _, ...env } = process.env;
    const run = spawnSync(
      node24(),
      [
        join(root, "node_modules", "vitest", "vitest.mjs"),
        "run",
        "--config",
        "tests/vitest.config.ts",
        "--reporter=json",
        `--outputFile=${report}`,
        // PostgreSQL speaks to every Node alike.
        "--exclude=tests/engine/ledger/postgres*",
        "tests/engine/ledger",
      ],
      { cwd: root, encoding: "utf8", env: { ...env, GARLAND_INSIDE_NODE24: "1" } },
    );
    if (!existsSync(report))
      throw new Error(`Nothing ran under Node 24:
${run.stdout}
${run.stderr}`);
    const told = JSON.parse(readFileSync(report, "utf8")) as Report;
    rmSync(folder, { recursive: true });

    const tests = told.testResults.flatMap(({ assertionResults }) => assertionResults);
    const failures = tests.flatMap(({ fullName, failureMessages }) =>
      failureMessages.map((m) => `${fullName}: ${m}`),
    );
    expect([...failures, ...told.testResults.map(({ message }) => message).filter(Boolean)]).toEqual([]);
    expect(told).toMatchObject({ numFailedTests: 0, numPendingTests: 0 });
    expect(run.status).toBe(0);
    const passed = tests.filter(({ status }) => status === "passed").map(({ fullName }) => fullName);
    // It really ran there: the version was asserted inside, and both drivers' contracts are among the tests.
    expect(passed).toContain(TITLE);
    for (const suite of ["memory", "sqlite (node:sqlite)", "sqlite (libsql)"]) {
      expect(passed.filter((name) => name.startsWith(`${suite}, as `)).length).toBeGreaterThan(15);
    }
  });
}
