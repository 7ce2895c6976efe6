/** A ledger in a real PostgreSQL. */
import { afterAll, beforeAll, describe } from "vitest";
import { openLedger } from "../../../engine/ledger/open.ts";
import { ledgerContract } from "../../contracts/ledger.ts";
import { startPostgres, type TestPostgres } from "../../support/postgres.ts";

let postgres: TestPostgres;
beforeAll(async () => {
  postgres = await startPostgres();
});
afterAll(() => postgres.stop());

let schemas = 0;
let address: Promise<string> | undefined;

describe("with PostgreSQL", () => {
  ledgerContract("postgres", async () => {
    address ??= postgres.fresh();
    return openLedger({ postgres: await address, schema: `contract_${(schemas += 1)}` });
  });
});
