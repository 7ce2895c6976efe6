/**
 * Commands to events: one line of waiting a stream, decide, append with the expected version, acknowledge only after the
 * commit, then tell the rooms. The same command id gives the same answer however often it comes.
 */
import { createHash } from "node:crypto";
import {
  bringsOf,
  decideBout,
  decideMeet,
  isRefusal,
  penRefusal,
  refusal,
  type BoutCommand,
  type Given,
  type MeetCommand,
  type Millis,
  type PlannedBout,
  type Refusal,
  type SeatsHeld,
  type Source,
} from "../../engine/index.ts";
import { canonicalJson, type Ledger } from "../../engine/ledger/open.ts";
import type { Sitting } from "../wire/hall.ts";
import type { Answered, Sent } from "../wire/messages.ts";
import { openArbiter } from "./arbiter.ts";
import { commit, type CommitIn, type Work } from "./committing.ts";
import type { Following } from "./following.ts";
import { noSuchSeat, ringIn, whyNotMeet, whyNotRing } from "./may.ts";
import type { Queues } from "./queue.ts";
import type { Seeds } from "./seeds.ts";
import type { Shelf } from "./shelf.ts";
import { boutStream, MEET, type Streams } from "./streams.ts";

/** A device's time is believed only where it lies this far back: then the command waited in an outbox. */
const SENT_AT_ONCE_MS = 5_000;
/** ... and not further back than an evening. */
const EVENING_MS = 12 * 3_600_000;

/** What commands need of the house around them. */
export interface BoutsIn {
  readonly ledger: Ledger;
  readonly streams: Streams;
  readonly shelf: Shelf;
  readonly queues: Queues;
  readonly seeds: Seeds;
  readonly now: () => Millis;
  /** Who sits at a ring just now. */
  readonly held: (ring: string) => SeatsHeld;
  readonly knowsPerson: (id: string) => boolean;
  readonly following: Following;
  /** Called after every commit, with the stream that grew. */
  readonly grew: (stream: string) => void;
}

export interface Bouts {
  /** A command from a seat. `still`: whether the seat is still good when the command's turn has come. */
  give(sitting: Sitting, sent: Sent, still?: () => boolean): Promise<Answered>;
  /** Calls a planned bout: its stream opens, and the ring has it. `said` is the caller's time, if it waited. */
  callBout(sitting: Sitting, bout: string, said?: Millis): Promise<Answered>;
  /** Settles what a stop in the middle may have left: claims without an answer, fencers without their mark. */
  settle(): void;
}

const digestOf = (seat: string, { on, command }: Pick<Sent, "on" | "command">): string =>
  createHash("sha256").update(canonicalJson({ seat, on, command })).digest("hex");

export function openBouts(house: BoutsIn): Bouts {
  const { ledger, streams, shelf, queues, following } = house;
  const around: CommitIn = {
    ledger,
    streams,
    following,
    grew(stream) {
      house.grew(stream);
      arbiter.see(stream);
    },
  };
  const arbiter = openArbiter({ around, shelf, queues, timeOf: (stream) => timeOf(stream, undefined) });

  function sourceOf(sitting: Exclude<Sitting, { kind: "wall" }>): Source {
    const base = { seat: sitting.seat, kind: sitting.kind };
    switch (sitting.kind) {
      case "coach":
        return base;
      case "fencer":
        return { ...base, person: sitting.person };
      case "table": {
        const person = ringIn(streams.meet, sitting.ring)?.table;
        return { ...base, ...(person === undefined ? {} : { person }) };
      }
      case "judge": {
        const person = sitting.referee ? ringIn(streams.meet, sitting.ring)?.referee : undefined;
        return {
          ...base,
          judge: sitting.judge,
          ...(sitting.referee ? { referee: true } : {}),
          ...(person === undefined ? {} : { person }),
        };
      }
    }
  }

  /** The server's own time, or the outbox's; never before what the stream holds. */
  function timeOf(stream: string, said: Millis | undefined): Millis {
    const now = house.now();
    const waited = said !== undefined && said < now - SENT_AT_ONCE_MS && said > now - EVENING_MS;
    return Math.max(waited ? said : now, streams.lastAt(stream));
  }

  function decideInMeet(sitting: Sitting, sent: Sent, command: MeetCommand): ReturnType<Work["decide"]> {
    const no = whyNotMeet(sitting, command);
    if (no !== undefined) return no;
    // Nobody else learns whom the hall knows, or which rule sets.
    const unknown = sitting.kind === "coach" ? unknownIn(command) : undefined;
    if (unknown !== undefined) return unknown;
    if (sitting.kind === "wall") return refusal("not-your-seat", "A wall only shows.");
    const given: Given<MeetCommand> = {
      id: sent.id,
      at: timeOf(MEET, sent.at),
      by: sourceOf(sitting),
      ...(sent.pen === undefined ? {} : { pen: sent.pen }),
      command,
    };
    // Whoever takes the pen over may well show an old one.
    const needsPen = "ring" in command && command.type !== "TakePen";
    const penned = needsPen ? penRefusal(streams.meet, command.ring, given) : undefined;
    return penned ?? decideMeet(streams.meet, given, (id) => streams.bout(id)?.bout);
  }

  /** What only the ledger's tables know. */
  function unknownIn(command: MeetCommand): Refusal | undefined {
    if ("ruleSet" in command && shelf.get(command.ruleSet) === undefined) {
      return refusal("no-such-rule-set", "The hall does not know this rule set; save it first.");
    }
    if (command.type === "AddFencer" && !house.knowsPerson(command.person)) {
      return refusal("no-such-person", "The hall does not know this person; enter their name first.");
    }
    return undefined;
  }

  function decideInBout(
    sitting: Sitting,
    sent: Sent,
    bout: string,
    command: BoutCommand,
  ): ReturnType<Work["decide"]> {
    const stream = boutStream(bout);
    const file = streams.bout(bout);
    if (command.type === "CallBout") {
      return refusal(
        "bad-message",
        "A planned bout is called from the coach's page, both streams in one step.",
      );
    }
    if (file === undefined) return refusal("no-such-bout", "There is no such bout; call it first.");
    const no = whyNotRing(sitting, file.bout.ring);
    if (no !== undefined) return no;
    if (sitting.kind === "wall") return refusal("not-your-seat", "A wall only shows.");
    const given: Given<BoutCommand> = {
      id: sent.id,
      at: timeOf(stream, sent.at),
      by: sourceOf(sitting),
      ...(sent.pen === undefined ? {} : { pen: sent.pen }),
      seats: house.held(file.bout.ring),
      seeds: (no) => house.seeds(bout, no),
      command,
    };
    // [W16] A pen that was taken over writes no more.
    return penRefusal(streams.meet, file.bout.ring, given) ?? decideBout(file.bout, given, shelf.scorers);
  }

  const work = (job: Work): Promise<Answered> => commit(around, job);

  function give(sitting: Sitting, sent: Sent, still = (): boolean => true): Promise<Answered> {
    const { id, on } = sent;
    const digest = digestOf(sitting.seat, sent);
    if (on === "meet") {
      // The door's check has tied "meet" to commands of the evening.
      const command = sent.command as MeetCommand;
      const decide = (): ReturnType<Work["decide"]> =>
        still() ? decideInMeet(sitting, sent, command) : noSuchSeat;
      return queues.run(MEET, () => work({ id, stream: MEET, digest, decide }));
    }
    const stream = boutStream(on.bout);
    const command = sent.command as BoutCommand;
    const decide = (): ReturnType<Work["decide"]> =>
      still() ? decideInBout(sitting, sent, on.bout, command) : noSuchSeat;
    return queues.run(stream, () => work({ id, stream, digest, decide }));
  }

  /** Opens a planned bout's stream with what tonight's earlier bouts left; they are all read before. */
  async function openStream(by: Source, planned: PlannedBout, said: Millis | undefined): Promise<Answered> {
    const { bout, no, ring, red, blue, ruleSet } = planned;
    const stream = boutStream(bout);
    const call = { type: "CallBout", bout, no, ring, red, blue, ruleSet } as const;
    for (const earlier of streams.meet.called) await streams.need(boutStream(earlier.bout));
    const decide = (): ReturnType<Work["decide"]> => {
      const at = timeOf(stream, said);
      const file = shelf.get(ruleSet);
      const bouts = (id: string) => streams.bout(id)?.bout;
      const known = { meet: streams.meet, bouts, scorers: shelf.scorers, at };
      const brings = file === undefined ? {} : { brings: bringsOf(planned, file.ruleSet, known) };
      const seeds = (seed: number): string => house.seeds(bout, seed);
      const given = { id: `call-${bout}`, at, by, seeds, command: { ...call, ...brings } };
      return decideBout(bouts(bout), given, shelf.scorers);
    };
    // What it brings in follows from the evening: the call is the same call however often it is given.
    const digest = digestOf(by.seat, { on: { bout }, command: call });
    return queues.run(stream, () => work({ id: `call-${bout}-opens`, stream, digest, decide }));
  }

  /** The bout's stream first: after a crash between the two, calling again goes on where it stopped. */
  function callBout(sitting: Sitting, bout: string, said?: Millis): Promise<Answered> {
    const id = `call-${bout}`;
    if (sitting.kind !== "coach") {
      return Promise.resolve({
        ok: false,
        id,
        refusal: refusal("not-your-seat", "Only the coach calls bouts."),
      });
    }
    const by = sourceOf(sitting);
    const toRing = (): ReturnType<typeof decideMeet> =>
      decideMeet(
        streams.meet,
        { id, at: timeOf(MEET, said), by, command: { type: "CallToRing", bout } },
        (each) => streams.bout(each)?.bout,
      );
    return queues.run(MEET, async () => {
      await following.catchUp();
      const no = toRing();
      const planned = streams.meet.planned.find((each) => each.bout === bout);
      if (isRefusal(no)) return { ok: false, id, refusal: no };
      if (planned === undefined) {
        return { ok: false, id, refusal: refusal("no-such-bout", "There is no such planned bout.") };
      }
      const opened = await openStream(by, planned, said);
      if (!opened.ok && opened.refusal.refused !== "already-called") return { ...opened, id };
      const digest = digestOf(sitting.seat, { on: MEET, command: { type: "CallToRing", bout } });
      return work({ id, stream: MEET, digest, decide: toRing });
    });
  }

  function settle(): void {
    for (const { bout } of streams.bouts()) arbiter.see(boutStream(bout.id));
  }

  return { give, callBout, settle };
}
