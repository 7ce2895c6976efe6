/** One command to one stream: decide, append with the expected version, acknowledge only after the commit. */
import { isRefusal, refusal, type BoutEvent, type MeetEvent, type Refusal } from "../../engine/index.ts";
import { LedgerFault, type Ledger, type NewEvent } from "../../engine/ledger/open.ts";
import type { Answered } from "../wire/messages.ts";
import type { Streams } from "./streams.ts";

/** Tries of one command against a stream that another process moved. */
const TRIES = 4;

/** A command on its way: who gave it, to which stream, and what it would do there. */
export interface Work {
  readonly id: string;
  readonly stream: string;
  readonly digest: string;
  readonly decide: () => readonly (BoutEvent | MeetEvent)[] | Refusal;
}

export interface CommitIn {
  readonly ledger: Ledger;
  readonly streams: Streams;
  /** Called after every commit, with the stream that grew. */
  readonly grew: (stream: string) => void;
}

const asStored = (event: BoutEvent | MeetEvent): NewEvent => ({
  type: event.type,
  at: event.at,
  data: event,
});

const keyReused = refusal(
  "key-reused",
  "This command's id was used for another command; nothing was changed.",
);

/** The answer that this command id had before, if it had one. */
async function answeredBefore({ ledger }: CommitIn, job: Work): Promise<Answered | undefined> {
  const { id, stream, digest } = job;
  const before = await ledger.outcomeOf(id);
  if (before === undefined || !("events" in before)) return undefined;
  // The ledger itself compares the digests; the events are only there to ask with.
  const first = before.events[0];
  const events = before.events.map(({ type, at, data }) => ({ type, at, data }));
  const asked = await ledger.append(first?.stream ?? stream, (first?.version ?? 1) - 1, events, {
    id,
    digest,
  });
  if (asked.outcome === "key-reused") return { ok: false, id, refusal: keyReused };
  return { ok: true, id, version: before.version, repeated: true };
}

async function attempt(around: CommitIn, job: Work): Promise<Answered | "stale"> {
  const { ledger, streams, grew } = around;
  const { id, stream, digest } = job;
  const decided = job.decide();
  if (isRefusal(decided)) return (await answeredBefore(around, job)) ?? { ok: false, id, refusal: decided };
  const version = streams.version(stream);
  if (decided.length === 0) return (await answeredBefore(around, job)) ?? { ok: true, id, version };
  const result = await ledger.append(stream, version, decided.map(asStored), { id, digest });
  switch (result.outcome) {
    case "appended":
      streams.grow(stream, result.events);
      grew(stream);
      return { ok: true, id, version: result.version };
    case "repeated":
      return { ok: true, id, version: result.version, repeated: true };
    case "key-reused":
      return { ok: false, id, refusal: keyReused };
    case "stale":
      await streams.reload(stream);
      return "stale";
  }
}

/** Carries a command out; a ledger that fails and a stream that keeps moving are refusals. */
export async function commit(around: CommitIn, job: Work): Promise<Answered> {
  try {
    await around.streams.need(job.stream);
    for (let tries = 0; tries < TRIES; tries += 1) {
      const answer = await attempt(around, job);
      if (answer !== "stale") return answer;
    }
  } catch (error) {
    if (error instanceof LedgerFault) {
      const sentence = `The ledger did not take it: ${error.message}`;
      return { ok: false, id: job.id, refusal: refusal("read-only", sentence) };
    }
    throw error;
  }
  return { ok: false, id: job.id, refusal: refusal("stale", "The bout moved on meanwhile; send it again.") };
}
