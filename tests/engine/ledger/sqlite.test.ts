import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect, test } from "vitest";
import { availableDrivers } from "../../../engine/ledger/connection.ts";
import { openLedger } from "../../../engine/ledger/open.ts";
import { ledgerContract } from "../../contracts/ledger.ts";
import { lastingLedgerContract } from "../../contracts/lasting-ledger.ts";

const folder = mkdtempSync(join(tmpdir(), "garland-ledgers-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

let made = 0;

// node:sqlite is not in Node 20: there node24.test.ts runs this file once more under Node 24, with both drivers.
for (const driver of availableDrivers()) {
  ledgerContract(`sqlite (${driver})`, () => openLedger({ dir: join(folder, String((made += 1))), driver }));
  lastingLedgerContract(driver);
}

test("every driver that this Node can have is tested here", () => {
  const [major = 0, minor = 0] = process.versions.node.split(".").map(Number);
  const builtIn = major > 22 || (major === 22 && minor >= 13);
  expect(availableDrivers()).toEqual(builtIn ? ["node:sqlite", "libsql"] : ["libsql"]);
});
