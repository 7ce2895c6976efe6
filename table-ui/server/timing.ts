/** How long things take: an append to the ledger, and a press at one device until another screen has painted it. */
import type { Millis } from "../../engine/index.ts";
import type { Ledger } from "../../engine/ledger/open.ts";

export interface LedgerTold {
  /** An append that came to an end, `seconds` after it was asked for. */
  done(seconds: number): void;
  /** An append was written. */
  wrote(): void;
  /** A whole copy was made. */
  backedUp(): void;
  /** A call to the ledger failed. */
  failed(error: unknown): void;
}

const isAppended = (result: unknown): boolean =>
  typeof result === "object" && result !== null && "outcome" in result && result.outcome === "appended";

/**
 * The same ledger; its appends are timed and its failures told. What is appended within a turn is not timed: it is
 * committed only when the turn ends.
 */
export function timedLedger<L extends Ledger>(ledger: L, tell: LedgerTold): L {
  async function timed(call: () => unknown): Promise<unknown> {
    const asked = performance.now();
    try {
      const result = await call();
      if (isAppended(result)) tell.wrote();
      return result;
    } finally {
      tell.done((performance.now() - asked) / 1000);
    }
  }
  async function copied(call: () => unknown): Promise<unknown> {
    const result = await call();
    tell.backedUp();
    return result;
  }
  function watched(call: () => unknown): unknown {
    const failed = (error: unknown): never => {
      tell.failed(error);
      throw error;
    };
    try {
      const result = call();
      return result instanceof Promise ? result.catch(failed) : result;
    } catch (error) {
      return failed(error);
    }
  }
  // Whatever a driver offers beyond the port stays callable.
  return new Proxy(ledger, {
    get(target, name) {
      const member: unknown = Reflect.get(target, name, target);
      if (typeof member !== "function") return member;
      return (...args: unknown[]): unknown => {
        const call = (): unknown => Reflect.apply(member, target, args);
        if (name === "append") return watched(() => timed(call));
        return watched(name === "backupTo" ? () => copied(call) : call);
      };
    },
  });
}

/** A command that says that it was pressed longer ago has waited in an outbox, or its device's clock is wrong. */
const AT_ONCE_MS = 5_000;
/** A screen's time may be this far beside the server's. */
const CLOCKS_APART_MS = 1_000;
/** What a screen reports later than this after it was sent says more about its clock than about the way. */
const LATEST_MS = 60_000;
/** Versions of a room whose press is remembered, and seconds that the slowest is looked for in. */
const REMEMBERED = 64;
const LOOK_BACK_MS = 60_000;
const MOST_SAMPLES = 2_000;

/** A press whose command was carried out. */
interface Press {
  readonly seat: string;
  /** Server time of the press. */
  readonly at: Millis;
}

interface Drawn extends Press {
  readonly v: number;
  readonly sentAt: Millis;
}

export interface Presses {
  /**
   * A command was carried out; `said` is the device's time of the press, in server time. Told after the rooms have heard of
   * the change and before they draw it, which they do all at once in the event loop's next round.
   */
  carriedOut(seat: string, arrived: Millis, said: Millis | undefined): void;
  /** A room was sent its version `v`. */
  drawn(room: string, v: number): void;
  /** Forgets a room that is no more. */
  left(room: string): void;
  /**
   * A seat says that it had painted version `v` of its room at `at`. Answers the seconds from the press that caused it;
   * undefined where no other seat's press did, or where what it says cannot be.
   */
  painted(seat: string, room: string, v: number, at: Millis): number | undefined;
  /** The slowest of the last minute, milliseconds; undefined where nothing was reported. */
  slowest(): number | undefined;
}

export function openPresses(now: () => Millis): Presses {
  let waiting: Press[] = [];
  let forgetting: NodeJS.Immediate | undefined;
  const rooms = new Map<string, Drawn[]>();
  const samples: { readonly at: Millis; readonly ms: number }[] = [];

  /** Where several presses are drawn at once, the first one has waited longest. */
  const first = (): Press | undefined =>
    waiting.reduce<Press | undefined>(
      (found, press) => (found !== undefined && found.at <= press.at ? found : press),
      undefined,
    );

  function keep(ms: number): void {
    const at = now();
    samples.push({ at, ms });
    while (samples.length > MOST_SAMPLES || (samples[0]?.at ?? at) < at - LOOK_BACK_MS) samples.shift();
  }

  return {
    carriedOut(seat, arrived, said = arrived) {
      // What waited in an outbox is told of by the table itself.
      if (said < arrived - AT_ONCE_MS) return;
      waiting.push({ seat, at: Math.min(said, arrived) });
      // Behind the drawing: a press that changed nothing must not be taken for the cause of what comes later.
      forgetting ??= setImmediate(() => {
        waiting = [];
        forgetting = undefined;
      });
    },
    drawn(room, v) {
      const press = first();
      if (press === undefined) return;
      const versions = rooms.get(room) ?? [];
      versions.push({ ...press, v, sentAt: now() });
      if (versions.length > REMEMBERED) versions.shift();
      rooms.set(room, versions);
    },
    left: (room) => void rooms.delete(room),
    painted(seat, room, v, at) {
      const drawn = rooms.get(room)?.find((each) => each.v === v);
      if (drawn === undefined || drawn.seat === seat) return undefined;
      const cannotBe =
        at < drawn.sentAt - CLOCKS_APART_MS || at > now() + CLOCKS_APART_MS || at > drawn.sentAt + LATEST_MS;
      if (cannotBe) return undefined;
      const ms = Math.max(0, at - drawn.at);
      keep(ms);
      return ms / 1000;
    },
    slowest() {
      const since = now() - LOOK_BACK_MS;
      const late = samples.filter(({ at }) => at >= since);
      return late.length === 0 ? undefined : Math.max(...late.map(({ ms }) => ms));
    },
  };
}
