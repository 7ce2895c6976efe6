/** The evening in memory: every stream folded from the ledger, and grown only by what the ledger has committed. */
import {
  emptyMeet,
  evolveBout,
  evolveMeet,
  type Bout,
  type BoutEvent,
  type Meet,
  type MeetEvent,
  type Millis,
  type Scorers,
} from "../../engine/index.ts";
import type { Ledger, StoredEvent } from "../../engine/ledger/open.ts";
import type { BoutOnFile } from "../wire/hall.ts";

export const MEET = "meet";
export const boutStream = (bout: string): string => `bout/${bout}`;

export interface Streams {
  readonly meet: Meet;
  /** Server time of the evening's first event; 0 before it. */
  readonly since: Millis;
  bout(id: string): BoutOnFile | undefined;
  bouts(): readonly BoutOnFile[];
  version(stream: string): number;
  /** The time of a stream's latest event, so that none is dated before it. */
  lastAt(stream: string): Millis;
  /** Takes in what was committed; events already known are passed over. */
  grow(stream: string, events: readonly StoredEvent[]): void;
  /** Reads what the ledger holds beyond what is known. */
  reload(stream: string): Promise<void>;
}

const dataOf = <E>({ version, data }: StoredEvent): { version: number; data: E } => ({
  version,
  // What the ledger holds went through `decide`; its chain shows whether it was changed since.
  data: data as E,
});

/** Reads all streams of the ledger. */
export async function openStreams(ledger: Ledger, scorers: Scorers): Promise<Streams> {
  let meet: Meet = emptyMeet;
  let since: Millis = 0;
  const files = new Map<string, BoutOnFile>();
  const times = new Map<string, Millis>();

  const version = (stream: string): number =>
    stream === MEET ? meet.version : (files.get(stream)?.events.at(-1)?.version ?? 0);

  function growMeet(events: readonly StoredEvent[]): void {
    for (const event of events) {
      const { version, data } = dataOf<MeetEvent>(event);
      if (version === 1) since = event.at;
      meet = evolveMeet(meet, data, version);
    }
  }

  function growBout(stream: string, events: readonly StoredEvent[]): void {
    const fresh = events.map((event) => ({ ...dataOf<BoutEvent>(event), command: event.command }));
    const before = files.get(stream);
    let bout: Bout | undefined = before?.bout;
    for (const { version, data } of fresh) bout = evolveBout(bout, data, version, scorers);
    if (bout !== undefined) files.set(stream, { bout, events: [...(before?.events ?? []), ...fresh] });
  }

  function grow(stream: string, events: readonly StoredEvent[]): void {
    const known = version(stream);
    const fresh = events.filter((event) => event.version > known);
    const last = fresh.at(-1);
    if (last === undefined) return;
    times.set(stream, last.at);
    if (stream === MEET) growMeet(fresh);
    else growBout(stream, fresh);
  }

  const reload = async (stream: string): Promise<void> =>
    grow(stream, await ledger.read(stream, version(stream)));
  for (const { stream } of await ledger.streams()) await reload(stream);

  return {
    get meet() {
      return meet;
    },
    get since() {
      return since;
    },
    bout: (id) => files.get(boutStream(id)),
    bouts: () => [...files.values()],
    version,
    lastAt: (stream) => times.get(stream) ?? 0,
    grow,
    reload,
  };
}
