/** An evening: who is there, the rings, what is planned and called, and who holds a ring's pen. */
import type { Bout } from "../bout/bout.ts";
import type { Given } from "../bout/commands.ts";
import type { Refusal } from "../bout/refusals.ts";
import type { BoutId, PersonId, RingId } from "../ids.ts";
import { claimsTheSame, grantsAfter, withClaims, withGrants } from "./claims.ts";
import type { FencerHere, FencerMark, Meet, MeetCommand, MeetEvent, PlannedBout, Ring } from "./events.ts";
import {
  alreadyOpen,
  alreadyPlanned,
  emptyRelay,
  fencerExists,
  fencerIsBusy,
  fencerIsOut,
  fencerRests,
  nobodyHoldsPen,
  noSuchFencer,
  noSuchPlan,
  noSuchRing,
  notOnShelf,
  oneFencer,
  oneTeam,
  onlyCoachOrTable,
  onlyTheCoach,
  onlyTheHall,
  penIsTaken,
  ringExists,
  ringIsBusy,
  ringIsEmpty,
} from "./refusals.ts";

/** Finds a bout by its id; undefined where its stream has not been opened. */
export type Bouts = (id: BoutId) => Bout | undefined;

type CommandOf<T extends MeetCommand["type"]> = Extract<MeetCommand, { readonly type: T }>;

/** The evening before it is opened. */
export const emptyMeet: Meet = {
  version: 0,
  name: "",
  rings: [],
  fencers: [],
  shelf: [],
  planned: [],
  called: [],
};

const ringOf = (meet: Meet, id: RingId): Ring | undefined => meet.rings.find((ring) => ring.id === id);
const markOf = (meet: Meet, person: PersonId) => meet.fencers.find((each) => each.person === person)?.as;

/** A bout that was called goes on until it has ended; one whose stream is not open yet goes on too. */
function isGoingOn(id: BoutId, bouts: Bouts): boolean {
  return bouts(id)?.stage !== "ended";
}

/** Bouts that occupy a ring or a fencer: on a ring and not ended. */
function running(meet: Meet, bouts: Bouts): readonly PlannedBout[] {
  const onRings = new Set(meet.rings.map((ring) => ring.bout));
  return meet.called.filter((called) => onRings.has(called.bout) && isGoingOn(called.bout, bouts));
}

const fences = (planned: PlannedBout, person: PersonId): boolean =>
  planned.red === person || planned.blue === person;

function whyNotPlan(meet: Meet, command: CommandOf<"PlanBout">): Refusal | undefined {
  const { bout, ring, red, blue, ruleSet } = command;
  if ([...meet.planned, ...meet.called].some((each) => each.bout === bout)) return alreadyPlanned;
  if (red === blue) return oneFencer;
  if (ringOf(meet, ring) === undefined) return noSuchRing;
  const marks = new Set([markOf(meet, red), markOf(meet, blue)]);
  if (marks.has(undefined)) return noSuchFencer;
  if (marks.has("out for tonight")) return fencerIsOut;
  return meet.shelf.some((each) => each.ruleSet === ruleSet) ? undefined : notOnShelf;
}

function whyNotCall(meet: Meet, planned: PlannedBout, bouts: Bouts): Refusal | undefined {
  const ring = ringOf(meet, planned.ring);
  if (ring === undefined) return noSuchRing;
  if (ring.bout !== undefined && isGoingOn(ring.bout, bouts)) return ringIsBusy;
  const marks = new Set([markOf(meet, planned.red), markOf(meet, planned.blue)]);
  if (marks.has("out for tonight")) return fencerIsOut;
  if (marks.has("resting") || marks.has("retired")) return fencerRests;
  const busy = running(meet, bouts).some((each) => fences(each, planned.red) || fences(each, planned.blue));
  return busy ? fencerIsBusy : undefined;
}

/** The next bout's number: numbers are never given twice, dropped ones included. */
const nextNo = (meet: Meet): number =>
  1 + Math.max(meet.lastNo ?? 0, 0, ...[...meet.planned, ...meet.called].map((each) => each.no));

/** Why the one who gives a command may not give it to this evening. */
function whyNot(given: Given<MeetCommand>): Refusal | undefined {
  const { by, command } = given;
  const halls =
    command.type === "ClaimOfHall" || (command.type === "MarkFencer" && command.because !== undefined);
  if (by.kind === "hall" || halls) return by.kind === "hall" && halls ? undefined : onlyTheHall;
  if (by.kind === "coach") return undefined;
  if (command.type === "TakePen") return by.kind === "table" ? undefined : onlyCoachOrTable;
  // A table alone must be able to clear its own ring and say who sits there.
  const tables = command.type === "ClearRing" || command.type === "SetOfficial";
  return tables && by.kind === "table" && given.pen !== undefined ? undefined : onlyTheCoach;
}

type Answer = MeetEvent | readonly MeetEvent[] | Refusal;
type Base = Pick<MeetEvent, "at" | "by">;

function planRelay(meet: Meet, command: CommandOf<"PlanRelay">, base: Base): Answer {
  const { ring, ruleSet, redTeam, blueTeam, bouts } = command;
  if (redTeam === blueTeam) return oneTeam;
  if (bouts.length === 0 || new Set(bouts.map(({ bout }) => bout)).size < bouts.length) return emptyRelay;
  const events: MeetEvent[] = [];
  for (const { bout, red, blue } of bouts) {
    const bad = whyNotPlan(meet, { type: "PlanBout", bout, ring, red, blue, ruleSet });
    if (bad !== undefined) return bad;
    const no = nextNo(meet) + events.length;
    events.push({ ...base, type: "BoutPlanned", bout, no, ring, red, blue, ruleSet, redTeam, blueTeam });
  }
  return events;
}

/** What a bout did to a fencer is taken in once; taken back, it frees only whom that bout itself had marked. */
function markFencer(meet: Meet, { person, as, because }: CommandOf<"MarkFencer">, base: Base): Answer {
  const fencer = meet.fencers.find((each) => each.person === person);
  if (fencer === undefined) return noSuchFencer;
  const event = { ...base, type: "FencerMarked", person, as } as const;
  if (because === undefined) return event;
  const known = fencer.after?.includes(because) === true;
  const isTheirs = fencer.because === because;
  if (as === "here" ? !isTheirs : known && (!isTheirs || fencer.as === as)) return [];
  return { ...event, because };
}

/** The first claim in the stream has it first; the same claims again change nothing. */
function claimOfHall(meet: Meet, { bout, claims }: CommandOf<"ClaimOfHall">, base: Base): Answer {
  const before = meet.claims ?? [];
  if (claimsTheSame(before, bout, claims)) return [];
  const grants = grantsAfter(before, bout, claims, base.at);
  const claimed = { ...base, type: "HallClaimed", bout, claims } as const;
  return grants.length === 0 ? [claimed] : [claimed, { ...base, type: "HallAnswered", grants }];
}

function plan(meet: Meet, command: CommandOf<"PlanBout">, base: Base): Answer {
  const { bout, ring, red, blue, ruleSet } = command;
  const bad = whyNotPlan(meet, command);
  return bad ?? { ...base, type: "BoutPlanned", bout, no: nextNo(meet), ring, red, blue, ruleSet };
}

function choose(meet: Meet, given: Given<MeetCommand>, bouts: Bouts): Answer {
  const { command, at, by } = given;
  const base = { at, by };
  switch (command.type) {
    case "OpenEvening": {
      const until = command.until === undefined ? {} : { until: command.until };
      return meet.version > 0 && meet.name !== ""
        ? alreadyOpen
        : { ...base, type: "EveningOpened", name: command.name, ...until };
    }
    case "AddRing":
      if (ringOf(meet, command.ring) !== undefined) return ringExists;
      return { ...base, type: "RingAdded", ring: command.ring, name: command.name };
    case "AddFencer":
      if (markOf(meet, command.person) !== undefined) return fencerExists;
      return { ...base, type: "FencerAdded", person: command.person };
    case "MarkFencer":
      return markFencer(meet, command, base);
    case "SetFencer":
      if (markOf(meet, command.person) === undefined) return noSuchFencer;
      return { ...base, type: "FencerSet", person: command.person, facts: command.facts };
    case "PlanRelay":
      return planRelay(meet, command, base);
    case "ClaimOfHall":
      return claimOfHall(meet, command, base);
    case "AdoptRuleSet":
      return { ...base, type: "RuleSetAdopted", ruleSet: command.ruleSet, name: command.name };
    case "PlanBout":
      return plan(meet, command, base);
    case "DropPlannedBout":
      if (!meet.planned.some((each) => each.bout === command.bout)) return noSuchPlan;
      return { ...base, type: "PlannedBoutDropped", bout: command.bout };
    case "CallToRing": {
      const planned = meet.planned.find((each) => each.bout === command.bout);
      if (planned === undefined) return noSuchPlan;
      return (
        whyNotCall(meet, planned, bouts) ?? {
          ...base,
          type: "BoutCalledToRing",
          bout: planned.bout,
          ring: planned.ring,
        }
      );
    }
    case "ClearRing": {
      const ring = ringOf(meet, command.ring);
      if (ring === undefined) return noSuchRing;
      if (ring.bout === undefined) return ringIsEmpty;
      return isGoingOn(ring.bout, bouts) ? ringIsBusy : { ...base, type: "RingCleared", ring: ring.id };
    }
    case "TakePen": {
      const ring = ringOf(meet, command.ring);
      if (ring === undefined) return noSuchRing;
      const epoch = (ring.pen?.epoch ?? 0) + 1;
      return { ...base, type: "PenTaken", ring: ring.id, device: command.device, seat: by.seat, epoch };
    }
    case "SetOfficial":
      if (ringOf(meet, command.ring) === undefined) return noSuchRing;
      return {
        ...base,
        type: "OfficialSet",
        ring: command.ring,
        office: command.office,
        person: command.person,
      };
  }
}

/** Decides one command for the evening. `bouts` finds the bouts that were called, to know which have ended. */
export function decideMeet(
  meet: Meet,
  given: Given<MeetCommand>,
  bouts: Bouts,
): readonly MeetEvent[] | Refusal {
  const answer = whyNot(given) ?? choose(meet, given, bouts);
  if ("refused" in answer) return answer;
  return "type" in answer ? [answer] : answer;
}

/**
 * Whether a command was written with the pen that the ring knows now: undefined, or why not. Seats that write without a
 * pen pass.
 */
export function penRefusal(meet: Meet, ring: RingId, given: Given<unknown>): Refusal | undefined {
  if (given.pen === undefined) return undefined;
  const held = ringOf(meet, ring)?.pen;
  if (held === undefined) return nobodyHoldsPen;
  return held.epoch === given.pen.epoch && held.seat === given.by.seat ? undefined : penIsTaken(held.epoch);
}

const withRing = (meet: Meet, id: RingId, change: (ring: Ring) => Ring): Meet => ({
  ...meet,
  rings: meet.rings.map((ring) => (ring.id === id ? change(ring) : ring)),
});

function cleared(ring: Ring): Ring {
  const { bout: _, ...rest } = ring;
  return rest;
}

const withFencer = (meet: Meet, person: PersonId, change: (fencer: FencerHere) => FencerHere): Meet => ({
  ...meet,
  fencers: meet.fencers.map((each) => (each.person === person ? change(each) : each)),
});

function marked(fencer: FencerHere, as: FencerMark, because: BoutId | undefined): FencerHere {
  const { because: _, after = [], ...rest } = fencer;
  if (because === undefined) return { ...rest, as, ...(after.length === 0 ? {} : { after }) };
  // Taken back: should the bout do it again, it is taken in again.
  if (as === "here") return { ...rest, as, after: after.filter((each) => each !== because) };
  return { ...rest, as, because, after: [...new Set([...after, because])] };
}

function apply(meet: Meet, event: MeetEvent): Meet {
  switch (event.type) {
    case "EveningOpened":
      return { ...meet, name: event.name, ...(event.until === undefined ? {} : { until: event.until }) };
    case "RingAdded":
      return { ...meet, rings: [...meet.rings, { id: event.ring, name: event.name }] };
    case "FencerAdded":
      return { ...meet, fencers: [...meet.fencers, { person: event.person, as: "here" }] };
    case "FencerMarked":
      return withFencer(meet, event.person, (fencer) => marked(fencer, event.as, event.because));
    case "FencerSet":
      return withFencer(meet, event.person, ({ person, as, because, after }) => ({
        person,
        as,
        ...(because === undefined ? {} : { because }),
        ...(after === undefined ? {} : { after }),
        ...event.facts,
      }));
    case "HallClaimed":
      return { ...meet, claims: withClaims(meet.claims ?? [], event.bout, event.claims, event.at) };
    case "HallAnswered":
      return { ...meet, claims: withGrants(meet.claims ?? [], event.grants) };
    case "RuleSetAdopted":
      return { ...meet, shelf: [...meet.shelf, { name: event.name, ruleSet: event.ruleSet }] };
    case "BoutPlanned": {
      const { type: _, at: _at, by: _by, ...planned } = event;
      return { ...meet, lastNo: planned.no, planned: [...meet.planned, planned] };
    }
    case "PlannedBoutDropped":
      return { ...meet, planned: meet.planned.filter((each) => each.bout !== event.bout) };
    case "BoutCalledToRing": {
      const planned = meet.planned.filter((each) => each.bout === event.bout);
      const waiting = meet.planned.filter((each) => each.bout !== event.bout);
      const called = planned.map((each) => ({ ...each, calledAt: event.at }));
      const next = { ...meet, planned: waiting, called: [...meet.called, ...called] };
      return withRing(next, event.ring, (ring) => ({ ...ring, bout: event.bout }));
    }
    case "RingCleared":
      return withRing(meet, event.ring, cleared);
    case "PenTaken": {
      const { device, seat, epoch } = event;
      return withRing(meet, event.ring, (ring) => ({ ...ring, pen: { device, seat, epoch } }));
    }
    case "OfficialSet":
      return withRing(meet, event.ring, (ring) => ({ ...ring, [event.office]: event.person }));
  }
}

/** The evening after one more event; `version` is the event's in its stream. Cannot refuse. */
export const evolveMeet = (meet: Meet, event: MeetEvent, version: number): Meet => ({
  ...apply(meet, event),
  version,
});
