/** The evening in memory: every stream folded from the ledger, and grown only by what the ledger has committed. */
import {
  emptyMeet,
  evolveBout,
  evolveMeet,
  foldBout,
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
  /** How often a bout that has ended at least once has changed: only such a bout can move what others brought in. */
  readonly settledChanges: number;
  version(stream: string): number;
  /** The time of a stream's latest event, so that none is dated before it. */
  lastAt(stream: string): Millis;
  /** Takes in what was committed; events already known are passed over. */
  grow(stream: string, events: readonly StoredEvent[]): void;
  /** Reads what the ledger holds beyond what is known, `through` a turn where one is taken; tells whether there was any. */
  reload(stream: string, through?: Pick<Ledger, "read">): Promise<boolean>;
  /** Reads a stream that has not been read yet. */
  need(stream: string): Promise<void>;
  /** Whether a stream was there at the start and has not been read yet. */
  waits(stream: string): boolean;
  /** Reads all that is left, without keeping anybody waiting; resolves when it has, or when `stopped` says so. */
  readOn(stopped: () => boolean): Promise<void>;
}

/** Bouts that are read before the first answer: those on rings, and this many of the latest. */
const AT_ONCE = 100;

const dataOf = <E>({ version, data }: StoredEvent): { version: number; data: E } => ({
  version,
  // What the ledger holds went through `decide`; its chain shows whether it was changed since.
  data: data as E,
});

/**
 * Reads the evening and its latest bouts; older ones when they are asked for, or by and by. `beforeTaking` sees to it that
 * what the events name (rule sets, people) is known when they are taken in.
 */
export async function openStreams(
  ledger: Ledger,
  scorers: Scorers,
  beforeTaking: (stream: string, events: readonly StoredEvent[]) => Promise<void>,
): Promise<Streams> {
  let meet: Meet = emptyMeet;
  let since: Millis = 0;
  const files = new Map<string, BoutOnFile>();
  const times = new Map<string, Millis>();

  const settled = new Set<string>();
  let settledChanges = 0;

  const versionOf = (stream: string): number =>
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
    // A whole stream is scored once, at its end.
    if (bout === undefined) bout = foldBout(fresh, scorers);
    else for (const { version, data } of fresh) bout = evolveBout(bout, data, version, scorers);
    if (bout !== undefined) files.set(stream, { bout, events: [...(before?.events ?? []), ...fresh] });
    if (bout?.stage === "ended") settled.add(stream);
    if (settled.has(stream)) settledChanges += 1;
  }

  function grow(stream: string, events: readonly StoredEvent[]): void {
    const known = versionOf(stream);
    const fresh = events.filter((event) => event.version > known);
    const last = fresh.at(-1);
    if (last === undefined) return;
    times.set(stream, last.at);
    if (stream === MEET) growMeet(fresh);
    else growBout(stream, fresh);
  }

  const reload = async (stream: string, through: Pick<Ledger, "read"> = ledger): Promise<boolean> => {
    const before = versionOf(stream);
    const events = await through.read(stream, before);
    if (events.length === 0) return false;
    await beforeTaking(stream, events);
    grow(stream, events);
    return versionOf(stream) > before;
  };
  const unread = new Set((await ledger.streams()).map(({ stream }) => stream));
  const need = async (stream: string): Promise<void> => {
    if (!unread.has(stream)) return;
    await reload(stream);
    unread.delete(stream);
  };
  await need(MEET);
  const onRings = meet.rings.flatMap((ring) => ring.bout ?? []);
  const latest = meet.called.slice(-AT_ONCE).map(({ bout }) => bout);
  for (const bout of new Set([...onRings, ...latest])) await need(boutStream(bout));

  async function readOn(stopped: () => boolean): Promise<void> {
    for (const stream of [...unread].reverse()) {
      if (stopped()) return;
      await need(stream);
      await new Promise((done) => setImmediate(done));
    }
  }

  return {
    get meet() {
      return meet;
    },
    get since() {
      return since;
    },
    bout: (id) => files.get(boutStream(id)),
    bouts: () => [...files.values()],
    get settledChanges() {
      return settledChanges;
    },
    version: versionOf,
    lastAt: (stream) => times.get(stream) ?? 0,
    grow,
    reload,
    need,
    waits: (stream) => unread.has(stream),
    readOn,
  };
}
