/**
 * What concerns every ring, settled by the evening's own stream. A bout that grew says what it claims of limits that rings
 * share, and whom it retired or sent out; the evening answers every bout whose answer has changed. Each step states all
 * that holds, so that repeating it, or meeting another order, comes to the same.
 */
import { nanoid } from "nanoid";
import {
  answersKey,
  answersTo,
  claimsOf,
  claimsTheSame,
  decideBout,
  decideMeet,
  type Bout,
  type FencerMark,
  type MeetCommand,
  type Millis,
  type Side,
  type Source,
} from "../../engine/index.ts";
import { SIDES } from "../../rules/index.ts";
import { commit, type CommitIn } from "./committing.ts";
import type { Queues } from "./queue.ts";
import type { Shelf } from "./shelf.ts";
import { boutStream, MEET } from "./streams.ts";

/** The evening speaks for itself: no seat, no pen. */
const HALL: Source = { seat: "hall", kind: "hall" };

export interface Arbiter {
  /** A stream grew. What follows is queued behind what waits already. */
  see(stream: string): void;
}

interface ArbiterIn {
  readonly around: CommitIn;
  readonly shelf: Shelf;
  readonly queues: Queues;
  /** The time of the next event of a stream. */
  readonly timeOf: (stream: string) => Millis;
}

/** What became of a fencer in this bout, as far as the evening must know. */
function markOf(bout: Bout, side: Side): FencerMark | undefined {
  if (bout.penalties.some((each) => each.side === side && each.penalty === "out")) return "out for tonight";
  return bout.tally.retired?.[side] === true ? "retired" : undefined;
}

export function openArbiter({ around, shelf, queues, timeOf }: ArbiterIn): Arbiter {
  const { streams } = around;

  /** Another process may have said the same meanwhile. */
  const isSaid = (command: MeetCommand): boolean =>
    command.type === "ClaimOfHall" && claimsTheSame(streams.meet.claims ?? [], command.bout, command.claims);

  function inMeet(command: MeetCommand): void {
    void queues.run(MEET, () => {
      const id = nanoid();
      const decide = () =>
        isSaid(command)
          ? []
          : decideMeet(
              streams.meet,
              { id, at: timeOf(MEET), by: HALL, command },
              (each) => streams.bout(each)?.bout,
            );
      return commit(around, { id, stream: MEET, digest: id, decide });
    });
  }

  function claim(id: string): void {
    const bout = streams.bout(id)?.bout;
    if (bout === undefined) return;
    const claims = claimsOf(bout, shelf.scorers(bout.ruleSet));
    if (!claimsTheSame(streams.meet.claims ?? [], id, claims))
      inMeet({ type: "ClaimOfHall", bout: id, claims });
  }

  function mark(bout: Bout): void {
    for (const side of SIDES) {
      const person = bout[side];
      const fencer = streams.meet.fencers.find((each) => each.person === person);
      const as = markOf(bout, side);
      if (fencer === undefined) continue;
      if (as !== undefined) inMeet({ type: "MarkFencer", person, as, because: bout.id });
      else if (fencer.because === bout.id)
        inMeet({ type: "MarkFencer", person, as: "here", because: bout.id });
    }
  }

  function answer(id: string): void {
    const stream = boutStream(id);
    void queues.run(stream, () => {
      const key = nanoid();
      const decide = () => {
        const bout = streams.bout(id)?.bout;
        if (bout === undefined) return [];
        const command = { type: "AnswerClaims", granted: answersTo(streams.meet, id) } as const;
        return decideBout(bout, { id: key, at: timeOf(stream), by: HALL, command }, shelf.scorers);
      };
      return commit(around, { id: key, stream, digest: key, decide });
    });
  }

  return {
    see(stream) {
      if (stream !== MEET) {
        const id = stream.slice(boutStream("").length);
        claim(id);
        const bout = streams.bout(id)?.bout;
        if (bout !== undefined) mark(bout);
      }
      const claiming = new Set((streams.meet.claims ?? []).map(({ bout }) => bout));
      for (const { bout } of streams.bouts())
        if (
          (claiming.has(bout.id) || bout.granted !== undefined) &&
          answersKey(bout.granted ?? []) !== answersKey(answersTo(streams.meet, bout.id))
        )
          answer(bout.id);
    },
  };
}
