/** What only the coach's page asks, beside commands. */
import { nanoid } from "nanoid";
import { refusal, type MeetCommand, type Refusal } from "../../engine/index.ts";
import { readSheet, scoreBout, type Fault, type Tally } from "../../rules/index.ts";
import type { RuleSetOnFile, Sitting } from "../wire/hall.ts";
import type { CoachAnswer, CoachRequest, FaultOnView } from "../wire/messages.ts";
import type { House } from "./house.ts";
import type { NewSeat } from "./seats.ts";

type AtCoach = Sitting & { kind: "coach" };
type Ask<K extends CoachRequest["ask"]> = CoachRequest & { readonly ask: K };

/** Told when a seat's secret opens nothing any more. */
type Gone = (seat: string) => void;

const no = (refused: Refusal, faults?: readonly FaultOnView[]): CoachAnswer => ({
  ok: false,
  refusal: refused,
  ...(faults === undefined ? {} : { faults }),
});

const onView = (fault: Fault): FaultOnView => ({
  line: fault.line,
  column: fault.column,
  severity: fault.severity,
  message: fault.message,
  source: fault.source,
});

const explainedIn = ({ explained }: RuleSetOnFile): readonly string[] => [
  ...explained.bout,
  ...explained.touches,
  ...explained.rules.map(({ name, sentence }) => `${name}: ${sentence}`),
  ...explained.watch,
  ...explained.warnings,
];

const faulty = (faults: readonly Fault[]): CoachAnswer =>
  no(
    refusal(
      "bad-message",
      `This rule set has ${faults.length === 1 ? "a fault" : `${faults.length} faults`}.`,
    ),
    faults.map(onView),
  );

function readRuleSetText(house: House, { text }: Ask<"read rule set">): CoachAnswer {
  const read = house.shelf.read(text);
  if (!read.ok) return faulty(read.faults);
  const { hash } = read.file;
  return { ok: true, hash, explained: explainedIn(read.file), faults: read.warnings.map(onView) };
}

async function saveRuleSet(house: House, at: AtCoach, { text }: Ask<"save rule set">): Promise<CoachAnswer> {
  const read = house.shelf.read(text);
  if (!read.ok) return faulty(read.faults);
  const { hash, ruleSet } = read.file;
  await house.shelf.keep(read.file);
  const answer = await command(house, at, { type: "AdoptRuleSet", ruleSet: hash, name: ruleSet.name });
  if (!answer.ok) return answer;
  return { ok: true, hash, explained: explainedIn(read.file), faults: read.warnings.map(onView) };
}

async function command(house: House, at: AtCoach, meetCommand: MeetCommand): Promise<CoachAnswer> {
  const answer = await house.bouts.give(at, { id: nanoid(), on: "meet", command: meetCommand });
  return answer.ok ? { ok: true } : no(answer.refusal);
}

async function addFencer(house: House, at: AtCoach, asked: Ask<"add fencer">): Promise<CoachAnswer> {
  const { name, shortName, consents } = asked;
  const id = await house.people.enter({ name, shortName, notes: "", consents });
  const answer = await command(house, at, { type: "AddFencer", person: id });
  house.changed("people");
  return answer.ok ? { ok: true, id } : answer;
}

async function eraseFencer(house: House, { person }: Ask<"erase fencer">, gone: Gone): Promise<CoachAnswer> {
  if (!(await house.people.erase(person))) {
    return no(refusal("no-such-person", "The hall does not know this person."));
  }
  // Whose name is gone has no seat to read it from.
  for (const seat of house.seats.all()) {
    if (seat.person !== person || seat.revoked) continue;
    await house.seats.revoke(seat.id);
    gone(seat.id);
  }
  house.changed("people");
  return { ok: true };
}

/** The seat as it will be stored, or why there can be none. */
function newSeat(house: House, asked: Ask<"issue seat">): NewSeat | Refusal {
  const { kind, ring, person } = asked;
  if (kind === "wall") return { kind };
  if (kind === "fencer") {
    const known = person !== undefined && house.people.get(person)?.erased === false;
    return known ? { kind, person } : refusal("no-such-person", "Say whose seat it is.");
  }
  if (ring === undefined || !house.streams.meet.rings.some(({ id }) => id === ring)) {
    return refusal("no-such-ring", "Say at which ring the seat stands.");
  }
  if (kind === "table") return { kind, ring };
  const taken = house.seats
    .all()
    .filter((seat) => seat.kind === "judge" && seat.ring === ring && !seat.revoked);
  const next = Math.max(0, ...taken.map(({ judge }) => judge ?? 0)) + 1;
  return { kind, ring, judge: asked.judge ?? next, ...(asked.referee === true ? { referee: true } : {}) };
}

async function issueSeat(house: House, asked: Ask<"issue seat">): Promise<CoachAnswer> {
  const seat = newSeat(house, asked);
  if ("refused" in seat) return no(seat);
  const issued = await house.seats.issue(seat);
  house.changed("seats");
  return { ok: true, id: issued.seat.id, path: issued.path };
}

const noSuchSeat = no(refusal("no-such-seat", "There is no such seat."));

async function reissueSeat(house: House, { seat }: Ask<"reissue seat">, gone: Gone): Promise<CoachAnswer> {
  const issued = await house.seats.reissue(seat);
  if (issued === undefined) return noSuchSeat;
  gone(seat);
  house.changed("seats");
  return { ok: true, id: seat, path: issued.path };
}

async function revokeSeat(house: House, { seat }: Ask<"revoke seat">, gone: Gone): Promise<CoachAnswer> {
  if (house.seats.get(seat)?.kind === "coach") {
    return no(refusal("not-your-seat", "The coach's own seat cannot be revoked; re-issue it instead."));
  }
  if ((await house.seats.revoke(seat)) === undefined) return noSuchSeat;
  gone(seat);
  house.changed("seats");
  return { ok: true, id: seat };
}

/** A tally in sentences: every award, then what is still open, then the score. */
function told(tally: Tally): readonly string[] {
  return [
    ...tally.awards.map(({ exchange, sentence }) => (exchange > 0 ? `${exchange}: ${sentence}` : sentence)),
    ...tally.questions.map(({ text }) => text),
    `Points ${tally.points.red} to ${tally.points.blue}, bonus ${tally.bonus.red} to ${tally.bonus.blue}.`,
  ];
}

function tryOut(house: House, { text, sheet }: Ask<"try">): CoachAnswer {
  const read = house.shelf.read(text);
  if (!read.ok) return faulty(read.faults);
  const lines = readSheet(sheet, read.file.ruleSet, "sheet");
  if (!lines.ok) {
    return no(refusal("bad-message", "This sheet cannot be read as it stands."), lines.faults.map(onView));
  }
  return { ok: true, said: told(scoreBout(read.file.scorer, lines.value)) };
}

/** Answers the coach's page. Nothing is changed by what is refused. */
export async function answerCoach(
  house: House,
  at: AtCoach,
  asked: CoachRequest,
  gone: Gone,
): Promise<CoachAnswer> {
  switch (asked.ask) {
    case "read rule set":
      return readRuleSetText(house, asked);
    case "save rule set":
      return saveRuleSet(house, at, asked);
    case "add fencer":
      return addFencer(house, at, asked);
    case "erase fencer":
      return eraseFencer(house, asked, gone);
    case "issue seat":
      return issueSeat(house, asked);
    case "reissue seat":
      return reissueSeat(house, asked, gone);
    case "revoke seat":
      return revokeSeat(house, asked, gone);
    case "call bout": {
      const answer = await house.bouts.callBout(at, asked.bout);
      return answer.ok ? { ok: true, id: asked.bout } : no(answer.refusal);
    }
    case "try":
      return tryOut(house, asked);
  }
}
