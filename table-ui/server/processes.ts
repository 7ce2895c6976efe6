/** One of several processes that serve a shared ledger: tells the others what it did and who is here, and follows them. */
import { nanoid } from "nanoid";
import type { Ledger } from "../../engine/ledger/open.ts";
import type { Changed } from "./changed.ts";
import type { Following } from "./following.ts";
import type { Hint, Hints, OpenHints } from "./hints.ts";
import type { Presence } from "./presence.ts";
import type { Streams } from "./streams.ts";

/** How often a process looks by itself; so long may a lost hint cost. */
const LOOK_MS = 2_000;
/** Looks between two signs of life, and between two settlings of what a process that ended left half done. */
const LOOKS_A_SIGN = 2;
const LOOKS_A_SETTLING = 5;

export interface Processes {
  /** This process has committed to a stream. */
  grew(stream: string): void;
  /** This process has written a rule set, a person or a seat. */
  wroteBeside(): void;
  /** Somebody sat down here, or left. */
  presenceChanged(): void;
  /** What another process does not tell it looks for itself. */
  look(): Promise<void>;
  close(): Promise<void>;
}

interface ProcessesIn {
  readonly ledger: Ledger;
  readonly streams: Streams;
  readonly presence: Presence;
  readonly following: Following;
  readonly changed: (what: Changed) => void;
  readonly settle: () => void;
  readonly openHints: OpenHints;
}

const ALONE: Processes = {
  grew: () => undefined,
  wroteBeside: () => undefined,
  presenceChanged: () => undefined,
  look: () => Promise.resolve(),
  close: () => Promise.resolve(),
};

export async function openProcesses(around: ProcessesIn): Promise<Processes> {
  const { ledger, streams, presence, following, changed } = around;
  if (!ledger.shared) return ALONE;
  const process = nanoid(10);
  let hints: Hints | undefined;
  let looks = 0;

  const sign = (): void => hints?.tell({ kind: "here", process, seats: presence.own() });

  function heard(hint: Hint): void {
    if (hint.kind === "here") {
      if (presence.elsewhere(hint.process, hint.seats)) changed("judges");
    } else following.heard(hint);
  }

  async function look(): Promise<void> {
    looks += 1;
    if (looks % LOOKS_A_SIGN === 0) sign();
    // While nothing can be heard, silence means nothing.
    if (hints?.open === true && presence.forgetSilent()) changed("judges");
    await following.catchUp();
    if (looks % LOOKS_A_SETTLING === 0) around.settle();
  }

  hints = await around.openHints(heard);
  sign();
  const timer = setInterval(() => {
    // A ledger that is out of reach is looked at again; whoever asks for something is told.
    look().catch(() => undefined);
  }, LOOK_MS);
  timer.unref();
  return {
    grew: (stream) => hints.tell({ kind: "grew", stream, version: streams.version(stream) }),
    wroteBeside: () => hints.tell({ kind: "beside" }),
    presenceChanged: sign,
    look,
    async close() {
      clearInterval(timer);
      hints.tell({ kind: "here", process, seats: {} });
      await hints.close();
    },
  };
}
