/** A fencer's own page: their bout, what they may choose, when they are on, and a private line of progress. */
import {
  FUNNEL,
  funnel,
  selfCalls,
  type Bout,
  type Funnel,
  type Meet,
  type PersonId,
} from "../../engine/index.ts";
import type { Pick, RuleSet, Side } from "../../rules/index.ts";
import { calledFor } from "./called.ts";
import type { BoutOnFile, Hall, Sitting } from "./hall.ts";
import { keptFor } from "./kept.ts";
import { nameFor } from "./names.ts";
import { sideOf } from "./sealed.ts";
import { times } from "./sentences.ts";
import { seatedBout } from "./view-bout.ts";
import { seenBy, viewOf } from "./view-wall.ts";
import type { FencerView } from "./views.ts";

type AtFencer = Sitting & { kind: "fencer" };

/** The bout on a ring, else the latest that was called. */
export function boutOf(meet: Meet, person: PersonId): string | undefined {
  const called = calledFor(meet, person);
  const onRing = new Set(meet.rings.flatMap((ring) => (ring.bout === undefined ? [] : [ring.bout])));
  return (called.findLast(({ bout }) => onRing.has(bout)) ?? called.at(-1))?.bout;
}

function nextFor(hall: Hall, sitting: AtFencer): FencerView["next"] {
  const { planned, rings } = hall.meet;
  const mine = ({ red, blue }: { red: string; blue: string }): boolean =>
    red === sitting.person || blue === sitting.person;
  const next = planned.find(mine);
  if (next === undefined) return undefined;
  const ring = rings.find(({ id }) => id === next.ring);
  const before = planned.filter((each) => each.ring === next.ring).indexOf(next);
  const running = ring?.bout !== undefined && hall.bout(ring.bout)?.bout.stage !== "ended" ? 1 : 0;
  const opponent = next.red === sitting.person ? next.blue : next.red;
  return {
    ring: ring?.name ?? next.ring,
    against: nameFor(hall, opponent, sitting),
    after: before + running,
  };
}

function choiceOf(bout: Bout, pick: Pick, side: Side): FencerView["choices"][number] {
  const chosen = bout.picks.findLast((set) => set.pick === pick.name && set.side === side)?.value;
  const beforeBout = "at" in pick.when && pick.when.at === "before the bout";
  const closed = bout.stage === "ended" || bout.stage === "fencing" || (beforeBout && bout.begun === true);
  const choice = { pick: pick.name, from: pick.from.map(({ text }) => text), closed };
  return chosen === undefined ? choice : { ...choice, chosen };
}

function choicesIn(bout: Bout, ruleSet: RuleSet, person: PersonId): FencerView["choices"] {
  const side = sideOf(bout, person);
  if (side === undefined) return [];
  return ruleSet.picks.filter(({ by }) => by === "each fencer").map((pick) => choiceOf(bout, pick, side));
}

/** What was met, tried and landed; a rule set that names no such phrases counts nothing, and nothing is said. */
function tellFunnel({ cue, attempt, success }: Funnel): string {
  if (cue === 0) return "The cue has not come to you yet.";
  const tried = attempt === 0 ? "did not try the answer" : `tried ${times(attempt)}`;
  const landed =
    attempt === 0 ? "" : success === 0 ? " and have not landed it yet" : `, landed ${times(success)}`;
  return `You met the cue ${times(cue)}, ${tried}${landed}.`;
}

/** The bouts of one person that have a stream, oldest first. */
export function boutsOf(hall: Hall, person: PersonId): readonly BoutOnFile[] {
  return calledFor(hall.meet, person).flatMap(({ bout }) => {
    const file = hall.bout(bout);
    return file !== undefined && sideOf(file.bout, person) !== undefined ? [file] : [];
  });
}

const funnelsIn = keptFor((file: BoutOnFile) => ({
  red: funnel([file], file.bout.red),
  blue: funnel([file], file.bout.blue),
}));

/** The funnel over these bouts of one person; each bout is counted when it has changed, not at every view. */
export function funnelOf(bouts: readonly BoutOnFile[], person: PersonId): Funnel {
  const sum = { cue: 0, attempt: 0, success: 0 };
  for (const file of bouts) {
    const side = sideOf(file.bout, person);
    if (side === undefined) continue;
    const counted = funnelsIn(file)[side];
    for (const phrase of FUNNEL) sum[phrase] += counted[phrase];
  }
  return sum;
}

function progressOf(hall: Hall, person: PersonId): string {
  const bouts = boutsOf(hall, person);
  if (bouts.length === 0) return "You have not fenced yet tonight.";
  const counted = bouts.some(({ bout }) =>
    hall
      .ruleSet(bout.ruleSet)
      ?.ruleSet.phrases.some(({ name }) => (FUNNEL as readonly string[]).includes(name)),
  );
  if (!counted) return bouts.length === 1 ? "Your first bout tonight." : `${bouts.length} bouts tonight.`;
  return `${tellFunnel(funnelOf(bouts, person))} Only you and your coach see this.`;
}

export function fencerView(hall: Hall, sitting: AtFencer): FencerView {
  const id = boutOf(hall.meet, sitting.person);
  const file = id === undefined ? undefined : hall.bout(id);
  const ruleSet = file && hall.ruleSet(file.bout.ruleSet);
  const bout = viewOf(hall, id, sitting);
  const side = file && sideOf(file.bout, sitting.person);
  // As this seat may know it: no vote under way shows in what is asked.
  const seated = file && seatedBout(hall, file, sitting);
  const next = nextFor(hall, sitting);
  const notes = hall.person(sitting.person)?.notes ?? "";
  return {
    ...seenBy(hall, sitting),
    kind: "fencer",
    name: nameFor(hall, sitting.person, sitting),
    ...(bout === undefined ? {} : { bout }),
    ...(side === undefined ? {} : { side }),
    ...(next === undefined ? {} : { next }),
    calls: seated && side ? selfCalls(seated.seen.bout, side) : [],
    choices: file && ruleSet ? choicesIn(file.bout, ruleSet.ruleSet, sitting.person) : [],
    progress: progressOf(hall, sitting.person),
    ...(notes === "" ? {} : { notes }),
  };
}
