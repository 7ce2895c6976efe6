/** The demo evening: an invented club, put into an empty ledger through the same commands that a coach and a table give. */
import { nanoid } from "nanoid";
import type { BoutCommand, Ending, MeetCommand, Millis } from "../../engine/index.ts";
import { SETS } from "../../rules/index.ts";
import type { Sitting } from "../wire/hall.ts";
import type { Answered } from "../wire/messages.ts";
import { BOUTS, FENCERS, PLANNED, RINGS, type DemoBout, type DemoExchange } from "./evening-data.ts";
import type { House } from "./house.ts";

const RULE_SET = "answer-from-above";
const MINUTE = 60_000;
/** From "Fence!" to the halt, and from the halt to the next "Fence!". */
const FENCED_MS = 9_000;
const HALTED_MS = 11_000;
/** What the rule set gives a bout: a finished one has fenced all of it. */
const BOUT_MS = 2 * MINUTE;

/** An evening that is an hour old: its own time runs ahead of every command. */
interface Told {
  readonly house: House;
  readonly coach: Sitting & { kind: "coach" };
  at: Millis;
}

class DemoRefused extends Error {}

function must(answer: Answered, what: string): void {
  if (!answer.ok)
    throw new DemoRefused(`The demo evening: "${what}" was refused: ${answer.refusal.sentence}`);
}

async function inMeet(told: Told, command: MeetCommand): Promise<void> {
  const sent = { id: nanoid(), on: "meet", at: told.at, command } as const;
  must(await told.house.bouts.give(told.coach, sent), command.type);
}

const inBout = (told: Told, bout: string, command: BoutCommand): Promise<Answered> =>
  told.house.bouts.give(told.coach, { id: nanoid(), on: { bout }, at: told.at, command });

async function step(told: Told, bout: string, command: BoutCommand): Promise<void> {
  must(await inBout(told, bout, command), command.type);
}

async function fence(told: Told, bout: string, { record }: DemoExchange, fencedMs: number): Promise<void> {
  await step(told, bout, { type: "StartFencing" });
  told.at += fencedMs;
  await step(told, bout, { type: "CallHalt" });
  await step(told, bout, { type: "RecordExchange", exchange: nanoid(10), record });
  told.at += HALTED_MS;
}

/** Ends by the score where the rule set lets it, else by the word that the score suggests. */
async function finish(told: Told, bout: string): Promise<void> {
  const byScore = await inBout(told, bout, { type: "EndBout" });
  if (!byScore.ok) {
    const { red = 0, blue = 0 } = told.house.streams.bout(bout)?.bout.tally.points ?? {};
    const ending: Ending = red === blue ? "draw" : red > blue ? "red wins" : "blue wins";
    await step(told, bout, { type: "EndBout", ending });
  }
  await step(told, bout, { type: "ConfirmResult" });
}

async function play(
  told: Told,
  demo: DemoBout,
  people: ReadonlyMap<string, string>,
  hash: string,
): Promise<void> {
  const { red, blue, ring, until, exchanges } = demo;
  const bout = nanoid(10);
  const person = (name: string): string => people.get(name) ?? "";
  await inMeet(told, {
    type: "PlanBout",
    bout,
    ring,
    red: person(red),
    blue: person(blue),
    ruleSet: hash,
  });
  if (until === "planned") return;
  must(await told.house.bouts.callBout(told.coach, bout, told.at), "call bout");
  if (until === "called") return;
  told.at += MINUTE;
  await step(told, bout, { type: "ConfirmCheck" });
  await step(told, bout, { type: "ComeOnGuard" });
  const fencedMs = until === "ended" ? Math.ceil(BOUT_MS / exchanges.length) : FENCED_MS;
  for (const exchange of exchanges) await fence(told, bout, exchange, fencedMs);
  if (until !== "ended") return;
  await finish(told, bout);
  told.at += MINUTE;
  await inMeet(told, { type: "ClearRing", ring });
}

async function seatAll({ house }: Told, people: ReadonlyMap<string, string>): Promise<void> {
  for (const { id: ring } of RINGS) {
    await house.seats.issue({ kind: "table", ring });
    await house.seats.issue({ kind: "judge", ring, judge: 1 });
    await house.seats.issue({ kind: "judge", ring, judge: 2 });
    await house.seats.issue({ kind: "judge", ring, judge: 3, referee: true });
  }
  for (const person of people.values()) await house.seats.issue({ kind: "fencer", person });
  await house.seats.issue({ kind: "wall" });
}

/** Opens the demo evening. The house must be new; a second start finds it in the ledger. */
export async function openDemoEvening(house: House): Promise<void> {
  const seat = house.seats.all().find(({ kind }) => kind === "coach");
  const text = SETS.find(({ id }) => id === RULE_SET)?.text ?? "";
  const read = house.shelf.read(text);
  if (seat === undefined || !read.ok) throw new DemoRefused("The demo evening's rule set cannot be read.");
  await house.shelf.keep(read.file);
  const told: Told = { house, coach: { kind: "coach", seat: seat.id }, at: house.now() - 55 * MINUTE };

  await inMeet(told, { type: "OpenEvening", name: "Thursday at Millrace", until: "21:30" });
  for (const { id, name } of RINGS) await inMeet(told, { type: "AddRing", ring: id, name });
  const people = new Map<string, string>();
  for (const { name, shortName, notes = "", consents = [] } of FENCERS) {
    const person = await house.people.enter({ name, shortName, notes, consents });
    people.set(name, person);
    await inMeet(told, { type: "AddFencer", person });
  }
  await inMeet(told, { type: "AdoptRuleSet", ruleSet: read.file.hash, name: read.file.ruleSet.name });
  for (const demo of [...BOUTS, ...PLANNED]) await play(told, demo, people, read.file.hash);
  await seatAll(told, people);
}
