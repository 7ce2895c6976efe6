/**
 * Follows what other processes write to a shared ledger. Their hints say where to look; every two seconds it looks by
 * itself, so that a hint that was lost costs two seconds. Where nobody else writes, there is nothing to follow.
 */
import type { Ledger } from "../../engine/ledger/open.ts";
import type { Beside } from "./beside.ts";
import type { Hint } from "./hints.ts";
import { MEET, type Streams } from "./streams.ts";

export interface Following {
  /** Resolves when memory holds at least all that was committed before the call; rejects where the ledger cannot be read. */
  catchUp(): Promise<void>;
  /** The same for what a command to this stream is decided on. */
  freshFor(stream: string): Promise<void>;
  /** What another process tells. */
  heard(hint: Hint): void;
}

export interface FollowingIn {
  readonly ledger: Ledger;
  readonly streams: Streams;
  readonly beside: Beside;
  readonly changed: (what: string) => void;
}

const NOTHING: Following = {
  catchUp: () => Promise.resolve(),
  freshFor: () => Promise.resolve(),
  heard: () => undefined,
};

export function openFollowing(around: FollowingIn): Following {
  const { ledger, streams, changed } = around;
  if (!ledger.shared) return NOTHING;

  async function read(stream: string): Promise<void> {
    if (await streams.reload(stream)) changed(stream);
  }

  /** Heads before tables: whatever the streams name was stored before they named it. */
  async function readAll(): Promise<void> {
    const heads = await ledger.streams();
    await around.beside.refresh();
    // What has not been read since the start is read when somebody asks for it, and then it is fresh.
    const grown = heads.filter(
      ({ stream, version }) => version > streams.version(stream) && !streams.waits(stream),
    );
    // The evening first: it says on which ring a bout is.
    if (grown.some(({ stream }) => stream === MEET)) await read(MEET);
    for (const { stream } of grown) if (stream !== MEET) await read(stream);
  }

  let running: Promise<void> | undefined;
  let next: Promise<void> | undefined;
  /** A look that has begun may have missed what was committed since: whoever comes waits for the next one, together. */
  function catchUp(): Promise<void> {
    if (running === undefined) {
      running = readAll().finally(() => (running = undefined));
      return running;
    }
    next ??= running
      .catch(() => undefined)
      .then(() => {
        next = undefined;
        return catchUp();
      });
    return next;
  }

  const reading = new Map<string, number>();
  function grew(stream: string, version: number): void {
    if (version <= Math.max(streams.version(stream), reading.get(stream) ?? 0) || streams.waits(stream))
      return;
    reading.set(stream, version);
    read(stream)
      // Lost: the next look finds it.
      .catch(() => undefined)
      .finally(() => {
        if (reading.get(stream) === version) reading.delete(stream);
      });
  }

  return {
    catchUp,
    async freshFor(stream) {
      // The evening's own commands look at every bout; a bout's look at the evening too, for its pen.
      if (stream === MEET) return catchUp();
      await Promise.all([read(MEET), read(stream)]);
    },
    heard(hint) {
      if (hint.kind === "grew") grew(hint.stream, hint.version);
      if (hint.kind === "beside") around.beside.refresh().catch(() => undefined);
    },
  };
}
