import { MemoryLedger } from "../../../engine/ledger/memory.ts";
import { ledgerContract } from "../../contracts/ledger.ts";

ledgerContract("memory", async () => new MemoryLedger());
