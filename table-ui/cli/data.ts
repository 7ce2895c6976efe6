import { join } from "node:path";
import { fileURLToPath } from "node:url";

/** The folder of the ledger where none is named. This file lies in .build/table-ui/cli once built. */
export const defaultData = join(fileURLToPath(new URL("../../..", import.meta.url)), ".data");
