/** What stands beside the streams (rule sets, people, seats), read again when another process has written some of it. */
import type { Ledger, StoredEvent } from "../../engine/ledger/open.ts";
import type { People } from "./people.ts";
import type { Seats } from "./seats.ts";
import type { Shelf } from "./shelf.ts";
import { MEET } from "./streams.ts";

export interface Beside {
  /** Reads all of it again if anything was written since. */
  refresh(): Promise<void>;
  /** Sees to it that whatever these events name is known. */
  knowFor(stream: string, events: readonly StoredEvent[]): Promise<void>;
}

interface BesideIn {
  readonly ledger: Ledger;
  readonly shelf: Shelf;
  readonly people: People;
  readonly seats: Seats;
  /** The ledger's `beside()` from before the parts were read. */
  readonly known: number;
  /** Something was read; `ended` are the seats whose old links open nothing any more. */
  readonly told: (ended: readonly string[]) => void;
}

const ruleSetIn = ({ data }: StoredEvent): string | undefined =>
  typeof data === "object" && data !== null && "ruleSet" in data && typeof data.ruleSet === "string"
    ? data.ruleSet
    : undefined;

export function openBeside({ ledger, shelf, people, seats, known, told }: BesideIn): Beside {
  let read = known;
  async function refresh(): Promise<void> {
    const mark = await ledger.beside();
    if (mark === read) return;
    const [ended] = await Promise.all([seats.reload(), people.reload(), shelf.reload()]);
    read = mark;
    told(ended);
  }
  return {
    refresh,
    async knowFor(stream, events) {
      if (!ledger.shared) return;
      const unknown = events.some((event) => {
        const hash = ruleSetIn(event);
        return hash !== undefined && shelf.get(hash) === undefined;
      });
      // The evening's events name people too.
      if (unknown || stream === MEET) await refresh();
    },
  };
}
