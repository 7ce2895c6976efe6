/**
 * The tablet's outbox: commands that the server has not acknowledged, kept through a reload and a flat battery.
 * IndexedDB, because it also works where the page is plain http in a hall.
 */
import { openDB, type DBSchema, type IDBPDatabase } from "idb";
import { nanoid } from "nanoid";
import type { Refusal } from "../../../engine/index.ts";
import type { PendingCommand, SetAside } from "./desk.ts";

/** A command with a refusal is set aside: it waits for a person, not for the server. */
type Kept = PendingCommand & { readonly seat: string; readonly refusal?: Refusal };

interface Stored extends DBSchema {
  pending: { key: string; value: Kept; indexes: { seat: string } };
  device: { key: string; value: string | number };
}

export interface Outbox {
  /** This device's own name for the pen; made once. */
  readonly device: string;
  /** What waits for this seat, oldest first. */
  load(seat: string): Promise<readonly PendingCommand[]>;
  /** What the server refused of this seat's, oldest first, until it is given again or dropped. */
  loadSetAside(seat: string): Promise<readonly SetAside[]>;
  put(seat: string, pending: PendingCommand): Promise<void>;
  setAside(seat: string, aside: SetAside): Promise<void>;
  remove(id: string): Promise<void>;
  /** A number that only grows, also across reloads. */
  nextSeq(): Promise<number>;
}

export async function openOutbox(): Promise<Outbox> {
  const db: IDBPDatabase<Stored> = await openDB<Stored>("garland-table", 1, {
    upgrade(fresh) {
      fresh.createObjectStore("pending", { keyPath: "id" }).createIndex("seat", "seat");
      fresh.createObjectStore("device");
    },
  });
  const known = await db.get("device", "id");
  const device = typeof known === "string" ? known : nanoid(12);
  if (known === undefined) await db.put("device", device, "id");

  const kept = async (seat: string): Promise<readonly Kept[]> =>
    (await db.getAllFromIndex("pending", "seat", seat)).sort((a, b) => a.seq - b.seq);

  return {
    device,
    load: async (seat) =>
      (await kept(seat)).flatMap(({ seat: _, refusal, ...pending }) =>
        refusal === undefined ? [pending] : [],
      ),
    loadSetAside: async (seat) =>
      (await kept(seat)).flatMap(({ seat: _, refusal, ...pending }) =>
        refusal === undefined ? [] : [{ pending, refusal }],
      ),
    setAside: async (seat, { pending, refusal }) => {
      await db.put("pending", { ...pending, seat, refusal });
    },
    put: async (seat, pending) => {
      await db.put("pending", { ...pending, seat });
    },
    remove: (id) => db.delete("pending", id),
    nextSeq: async () => {
      const step = db.transaction("device", "readwrite");
      const last = await step.store.get("seq");
      const next = (typeof last === "number" ? last : 0) + 1;
      await step.store.put(next, "seq");
      await step.done;
      return next;
    },
  };
}
