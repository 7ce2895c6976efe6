/** Several servers over one shared ledger, as if each were a process of its own. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { openLedger, type Ledger } from "../../engine/ledger/open.ts";
import type { ServerOptions } from "../../table-ui/server/start.ts";
import type { View } from "../../table-ui/wire/views.ts";
import { openTestHall, type Device, type TestHall } from "../table-ui/server/hall.ts";
import { hintHub, type HintHub } from "./hint-hub.ts";

export interface Halls {
  readonly ledger: Ledger;
  readonly hub: HintHub;
  readonly all: readonly TestHall[];
  /** Sits down at the n-th server, from 0. */
  sit<V extends View>(at: number, path: string): Promise<Device<V>>;
  close(): Promise<void>;
}

export async function openHalls(
  count: number,
  hub = hintHub(),
  options: Partial<ServerOptions> = {},
): Promise<Halls> {
  const dir = mkdtempSync(join(tmpdir(), "garland-halls-"));
  const ledger = options.ledger ?? (await openLedger({ memory: true, shared: true }));
  const all: TestHall[] = [];
  for (let n = 0; n < count; n += 1) {
    const own = { ledger, hints: hub.open, houseFile: join(dir, "house.secret") };
    all.push(await openTestHall({ ...options, ...own }));
  }
  return {
    ledger,
    hub,
    all,
    sit(at, path) {
      const hall = all[at];
      if (hall === undefined) throw new Error(`there is no server ${at}`);
      return hall.sit(path);
    },
    async close() {
      for (const hall of all) await hall.close();
      rmSync(dir, { recursive: true });
    },
  };
}
