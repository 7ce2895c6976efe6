/** One command to one stream: decide, append with the expected version, acknowledge only after the commit. */
import { isRefusal, refusal, type BoutEvent, type MeetEvent, type Refusal } from "../../engine/index.ts";
import { LedgerFault, type AppendResult, type Ledger, type NewEvent } from "../../engine/ledger/open.ts";
import type { Answered } from "../wire/messages.ts";
import { notRecorded } from "../wire/standing.ts";
import type { Following } from "./following.ts";
import { troubleIn } from "./standing.ts";
import type { Streams } from "./streams.ts";

/** Tries of one command against a stream that another process keeps moving, before it takes a turn of its own there. */
const TRIES = 3;

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
  readonly following: Following;
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

/** Appends what is decided on the stream as it stands in memory; `stale` where it stands further on in the ledger. */
async function attempt(around: CommitIn, job: Work, to: Pick<Ledger, "append">): Promise<Tried> {
  const decided = job.decide();
  if (isRefusal(decided)) return { answer: { ok: false, id: job.id, refusal: decided } };
  const version = around.streams.version(job.stream);
  if (decided.length === 0) return { answer: { ok: true, id: job.id, version } };
  const { id, digest } = job;
  return to.append(job.stream, version, decided.map(asStored), { id, digest });
}

type Tried = { readonly answer: Answered } | AppendResult;

/** Takes in what was written; undefined where the stream had moved. */
async function settle(around: CommitIn, job: Work, tried: Tried): Promise<Answered | undefined> {
  const { streams, grew } = around;
  const { id, stream } = job;
  // Nothing was written now; the same command may have been carried out before.
  if ("answer" in tried) return (await answeredBefore(around, job)) ?? tried.answer;
  switch (tried.outcome) {
    case "appended":
      streams.grow(stream, tried.events);
      grew(stream);
      return { ok: true, id, version: tried.version };
    case "repeated":
      // Another process may have carried it out.
      await streams.reload(stream);
      return { ok: true, id, version: tried.version, repeated: true };
    case "key-reused":
      return { ok: false, id, refusal: keyReused };
    case "stale":
      await streams.reload(stream);
      return undefined;
  }
}

/** On a stream that many write to at once: the turn is taken, then nobody is in between. */
async function inTurn(around: CommitIn, job: Work): Promise<Answered> {
  const { ledger, streams } = around;
  const tried = await ledger.inTurn(job.stream, async (held) => {
    await streams.reload(job.stream, held);
    return attempt(around, job, held);
  });
  return (await settle(around, job, tried)) ?? { ok: false, id: job.id, refusal: movedOn };
}

const movedOn = refusal("stale", "The bout moved on meanwhile; send it again.");

/** Carries a command out; a ledger that fails is a refusal. */
export async function commit(around: CommitIn, job: Work): Promise<Answered> {
  try {
    await around.streams.need(job.stream);
    await around.following.freshFor(job.stream);
    for (let tries = 0; tries < TRIES; tries += 1) {
      const answer = await settle(around, job, await attempt(around, job, around.ledger));
      if (answer !== undefined) return answer;
    }
    return await inTurn(around, job);
  } catch (error) {
    if (!(error instanceof LedgerFault)) throw error;
    const trouble = troubleIn(error);
    if (trouble !== undefined) return { ok: false, id: job.id, refusal: notRecorded(trouble) };
    const sentence = `The ledger did not take it: ${error.message}`;
    return { ok: false, id: job.id, refusal: refusal("read-only", sentence) };
  }
}
