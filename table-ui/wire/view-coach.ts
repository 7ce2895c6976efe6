/** The coach's page: everything of the evening but other people's sealed choices and votes under way. */
import { nextOnTheHill, type Meet, type Millis, type PersonId } from "../../engine/index.ts";
import type { BoutOnFile, Hall, RuleSetOnFile, Sitting } from "./hall.ts";
import { keptFor } from "./kept.ts";
import { nameFor } from "./names.ts";
import { boutOnView, seatedBout } from "./view-bout.ts";
import { boutsOf, funnelOf } from "./view-fencer.ts";
import { votesOn } from "./view-table.ts";
import { seenBy } from "./view-wall.ts";
import type { BoutOnView, CoachView } from "./views.ts";

type AtCoach = Sitting & { kind: "coach" };

const ringName = (meet: Meet, ring: string): string => meet.rings.find(({ id }) => id === ring)?.name ?? ring;

/** When a bout was over: its last event up to the ending. */
const overAt = keptFor(
  (file: BoutOnFile): Millis | undefined =>
    file.events.findLast(({ data }) => /^Bout(Ended|Stopped|Forfeited)$/.test(data.type))?.data.at,
);

function doing(meet: Meet, person: PersonId, as: string, running: BoutOnFile | undefined): string {
  if (running !== undefined) return `on ${ringName(meet, running.bout.ring)}`;
  if (as !== "here") return as;
  const next = meet.planned.find(({ red, blue }) => red === person || blue === person);
  return next === undefined ? "waiting" : `next on ${ringName(meet, next.ring)}`;
}

function fencersOn(hall: Hall, since: Millis): CoachView["fencers"] {
  const onRing = new Set(hall.meet.rings.map((ring) => ring.bout));
  return hall.meet.fencers.map(({ person, as }) => {
    const bouts = boutsOf(hall, person);
    const running = bouts.find(({ bout }) => bout.stage !== "ended" && onRing.has(bout.id));
    const { cue, attempt, success } = funnelOf(bouts, person);
    const waits = running === undefined && as === "here";
    const over = bouts.flatMap((file) => overAt(file) ?? []);
    return {
      person,
      bouts: bouts.length,
      ...(waits ? { waitsSince: Math.max(since, ...over) } : {}),
      cue,
      tried: attempt,
      landed: success,
      doing: doing(hall.meet, person, as, running),
    };
  });
}

function waitsIn(hall: Hall, sitting: AtCoach, files: readonly BoutOnFile[]): CoachView["waits"] {
  return files.flatMap((file) => {
    const seen = seatedBout(hall, file, sitting)?.seen;
    return (seen?.bout.tally.questions ?? [])
      .filter(({ ask }) => ask === "coach" || ask === "table" || ask === "referee" || ask === "judge")
      .map((question) => ({ bout: file.bout.id, ring: ringName(hall.meet, file.bout.ring), question }));
  });
}

const ruleSetOnView = keptFor(({ text, ruleSet, explained }: RuleSetOnFile) => ({
  name: ruleSet.name,
  text,
  ...(ruleSet.weapon === undefined ? {} : { weapon: ruleSet.weapon }),
  explained: [
    ...explained.bout,
    ...explained.touches,
    ...explained.rules.map(({ name, sentence }) => `${name}: ${sentence}`),
    ...explained.watch,
  ],
  warnings: explained.warnings,
}));

function ruleSetsOn(hall: Hall): CoachView["ruleSets"] {
  const known = hall.meet.shelf.flatMap(({ ruleSet }) => hall.ruleSet(ruleSet) ?? []);
  return Object.fromEntries(known.map((file) => [file.hash, ruleSetOnView(file)]));
}

/** A long season in one folder must not travel with every press: the latest bouts, and those on rings. */
const BOUTS_ON_VIEW = 100;

const latestOf = keptFor((called: Meet["called"]) => called.slice(-BOUTS_ON_VIEW));

function boutsOnView({ meet, bout }: Hall): BoutOnFile[] {
  const latest = latestOf(meet.called).map((called) => called.bout);
  const onRings = meet.rings.flatMap((ring) => ring.bout ?? []);
  return [...new Set([...latest, ...onRings])].flatMap((id) => bout(id) ?? []);
}

/** Where a bout has ended and none is planned: who is next if the winner stays. */
function hillOn(hall: Hall): CoachView["hill"] {
  const bouts = (id: string) => hall.bout(id)?.bout;
  const { rings, called, planned } = hall.meet;
  return Object.fromEntries(
    rings.flatMap(({ id: ring }) => {
      const latest = called.findLast((each) => each.ring === ring);
      const over = latest !== undefined && bouts(latest.bout)?.stage === "ended";
      const pair = over ? nextOnTheHill(hall.meet, ring, bouts) : undefined;
      if (latest === undefined || pair === undefined) return [];
      if (planned.some((each) => each.ring === ring)) return [];
      return [[ring, { ...pair, ruleSet: latest.ruleSet }] as const];
    }),
  );
}

function votesUnderWay(hall: Hall, sitting: AtCoach, files: readonly BoutOnFile[]): CoachView["votes"] {
  return Object.fromEntries(
    files.flatMap((file) => {
      const votes = votesOn(hall, file, seatedBout(hall, file, sitting)?.seen.underVote);
      return votes.exchange === undefined ? [] : [[file.bout.id, votes] as const];
    }),
  );
}

export function coachView(hall: Hall, sitting: AtCoach): CoachView {
  const { claims: _, ...meet } = hall.meet;
  const files = boutsOnView(hall);
  const bouts = files.flatMap((file): [string, BoutOnView][] => {
    const view = boutOnView(hall, file, sitting);
    return view === undefined ? [] : [[file.bout.id, view]];
  });
  const people = meet.fencers.flatMap(({ person }) => {
    const { shortName = "", notes = "" } = hall.person(person) ?? {};
    return [[person, { name: nameFor(hall, person, sitting), shortName, notes }] as const];
  });
  return {
    ...seenBy(hall, sitting),
    kind: "coach",
    meet: { ...meet, called: latestOf(meet.called) },
    hill: hillOn(hall),
    people: Object.fromEntries(people),
    bouts: Object.fromEntries(bouts),
    votes: votesUnderWay(hall, sitting, files),
    waits: waitsIn(hall, sitting, files),
    fencers: fencersOn(hall, hall.since),
    ruleSets: ruleSetsOn(hall),
    seats: Object.fromEntries(hall.seats().map((seat) => [seat.id, seat])),
    ...(hall.status === undefined ? {} : { status: hall.status }),
  };
}
