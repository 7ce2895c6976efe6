/** The program of a hall for the bench: the real server over a ledger on the project's disk, and rings to press on. */
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { join } from "node:path";
import { nanoid } from "nanoid";
import type { BoutCommand, MeetCommand } from "../../../engine/index.ts";
import { openLedger } from "../../../engine/ledger/open.ts";
import { SETS } from "../../../rules/index.ts";
import { startServer, type Running } from "../../../table-ui/server/start.ts";
import type { NewSeat } from "../../../table-ui/server/seats.ts";
import type { Sitting } from "../../../table-ui/wire/hall.ts";
import type { Answered } from "../../../table-ui/wire/messages.ts";
import { plainPages } from "../../table-ui/server/hall.ts";
import { answerParent, usage } from "../../support/child.ts";
import { exchangeNo, type HallAsked, type HallOpened, type SeatLink } from "./crowd.ts";

// On the project's disk: a temporary folder may lie in memory, where a flush costs nothing.
const built = join(process.cwd(), ".build");
mkdirSync(built, { recursive: true });
const dir = mkdtempSync(join(built, "bench-hall-"));
const ledger = await openLedger({ dir });

let running: Running | undefined;
let ruleSet = "";
/** Who fences on each ring, and who waits there. */
const people = new Map<string, { readonly red: string; readonly blue: string }>();

function hall(): Running {
  if (running === undefined) throw new Error("the hall is not open yet");
  return running;
}

function coach(): Sitting {
  const seat = hall()
    .house.seats.all()
    .find(({ kind }) => kind === "coach");
  return { kind: "coach", seat: seat?.id ?? "" };
}

/** By the coach's seat, without a socket. */
const say = (on: "meet" | string, command: MeetCommand | BoutCommand): Promise<Answered> =>
  hall().house.bouts.give(coach(), { id: nanoid(), on: on === "meet" ? on : { bout: on }, command });

/** The same; a refusal is a fault of the bench. */
async function give(on: "meet" | string, command: MeetCommand | BoutCommand): Promise<void> {
  const answer = await say(on, command);
  if (!answer.ok) throw new Error(`${command.type}: ${answer.refusal.sentence}`);
}

async function enter(name: string): Promise<string> {
  const person = await hall().house.people.enter({ name, shortName: name, notes: "", consents: [] });
  await give("meet", { type: "AddFencer", person });
  return person;
}

const link = async (kind: SeatLink["kind"], seat: Omit<NewSeat, "kind">): Promise<SeatLink> => {
  const { path } = await hall().house.seats.issue({ kind, ...seat });
  return { kind, path, ...seat };
};

async function openRing(no: number, { judges, waiting }: HallAsked): Promise<SeatLink[]> {
  const ring = `ring-${no}`;
  await give("meet", { type: "AddRing", ring, name: `Ring ${no}` });
  const [red, blue] = [await enter(`Red ${no}`), await enter(`Blue ${no}`)];
  people.set(ring, { red, blue });
  const links = [await link("table", { ring }), await link("judge", { ring, judge: 1, referee: true })];
  for (let judge = 2; judge <= judges; judge += 1) links.push(await link("judge", { ring, judge }));
  let last = red;
  links.push(await link("fencer", { ring, person: red }), await link("fencer", { ring, person: blue }));
  for (let each = 1; each <= waiting; each += 1) {
    const person = await enter(`Next ${no}-${each}`);
    links.push({ ...(await link("fencer", { ring, person })), waits: true });
    const bout = `next-${no}-${each}`;
    if (each % 2 === 0)
      await give("meet", { type: "PlanBout", bout, ring, red: last, blue: person, ruleSet });
    last = person;
  }
  return links;
}

/** Opens the server and an evening with this many rings. */
async function open(asked: HallAsked): Promise<HallOpened> {
  running = await startServer({ ledger, pages: plainPages, log: { level: "silent" } });
  const read = running.house.shelf.read(SETS.find(({ id }) => id === "answer-from-above")?.text ?? "");
  if (!read.ok) throw new Error("the rule set does not read");
  await running.house.shelf.keep(read.file);
  ruleSet = read.file.hash;
  await give("meet", { type: "OpenEvening", name: "Bench evening" });
  await give("meet", { type: "AdoptRuleSet", ruleSet, name: read.file.ruleSet.name });
  const links = [{ kind: "coach", path: running.coachPath } as SeatLink, await link("wall", {})];
  for (let no = 1; no <= asked.rings; no += 1) links.push(...(await openRing(no, asked)));
  return { url: running.url, links };
}

/** Ends the bout on a ring, if there is one, and calls the next; gives its id, on guard. */
async function nextBout({ ring }: { readonly ring: string }): Promise<string> {
  const { house } = hall();
  const before = house.streams.meet.rings.find(({ id }) => id === ring)?.bout;
  if (before !== undefined) {
    // By the score where the rule set lets it, else by the referee's word.
    const ended = await say(before, { type: "EndBout" });
    if (!ended.ok) await give(before, { type: "EndBout", ending: "draw" });
    await give(before, { type: "ConfirmResult" });
    await give("meet", { type: "ClearRing", ring });
  }
  const bout = nanoid(10);
  const pair = people.get(ring) ?? { red: "", blue: "" };
  await give("meet", { type: "PlanBout", bout, ring, ...pair, ruleSet });
  const called = await house.bouts.callBout(coach(), bout);
  if (!called.ok) throw new Error(called.refusal.sentence);
  await give(bout, { type: "ConfirmCheck" });
  await give(bout, { type: "ComeOnGuard" });
  return bout;
}

/** Fences whole bouts on a ring by the coach's word, as fast as the screens can be told. */
async function warmUp({ ring, bouts }: { readonly ring: string; readonly bouts: number }): Promise<void> {
  for (let left = bouts; left > 0; left -= 1) {
    const bout = await nextBout({ ring });
    for (let no = 1; no <= 10; no += 1)
      for (const command of exchangeNo(no)) {
        await give(bout, command);
        await new Promise((done) => setTimeout(done, 1));
      }
  }
}

const words = {
  open,
  "next bout": nextBout,
  "warm up": warmUp,
  usage: (collect: boolean) => usage(collect),
};
answerParent(words, async () => {
  await running?.stop();
  await ledger.close();
  rmSync(dir, { recursive: true, force: true });
});
