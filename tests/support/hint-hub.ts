/** The way between processes of one test: hints arrive, or are lost, doubled or late, as often as it is told. */
import type { Hint, Hints, OpenHints } from "../../table-ui/server/hints.ts";
import { chances } from "./chances.ts";

export interface HintHub {
  readonly open: OpenHints;
  /** While it is silent nothing arrives, and nobody knows. */
  silent: boolean;
  /** What became of the hints so far. */
  readonly told: { sent: number; lost: number; doubled: number; late: number };
}

/** `rate`: how often of 1 a hint is lost, doubled or late, each by itself. */
export function hintHub(rate = 0, seed = 1): HintHub {
  const listeners = new Set<(hint: Hint) => void>();
  const chance = chances(seed);
  const told = { sent: 0, lost: 0, doubled: 0, late: 0 };
  const hub: HintHub = { open, silent: false, told };

  function deliver(from: (hint: Hint) => void, hint: Hint): void {
    // As it comes over a line: a copy, and never at once.
    const copy = structuredClone(hint);
    const arrive = (): void => {
      for (const listener of listeners) if (listener !== from) listener(copy);
    };
    if (chance() >= rate) setImmediate(arrive);
    else {
      told.late += 1;
      setTimeout(arrive, 20);
    }
  }

  function open(heard: (hint: Hint) => void): Promise<Hints> {
    listeners.add(heard);
    return Promise.resolve({
      open: true,
      tell(hint) {
        told.sent += 1;
        if (hub.silent || chance() < rate) {
          told.lost += 1;
          return;
        }
        deliver(heard, hint);
        if (chance() >= rate) return;
        told.doubled += 1;
        deliver(heard, hint);
      },
      close: () => Promise.resolve(void listeners.delete(heard)),
    });
  }
  return hub;
}
