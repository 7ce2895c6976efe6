/** Two rings of one evening in the server's own house: every command by hand, no socket. */
import type { Bout, BoutCommand, MeetCommand, RecordedExchange, Side } from "../../engine/index.ts";
import { openLedger, type Ledger } from "../../engine/ledger/open.ts";
import { openHouse, type House } from "../../table-ui/server/house.ts";
import type { Sitting } from "../../table-ui/wire/hall.ts";
import type { Answered } from "../../table-ui/wire/messages.ts";
import { boutOnView } from "../../table-ui/wire/view-bout.ts";
import type { BoutOnView } from "../../table-ui/wire/views.ts";

const COACH: Sitting = { kind: "coach", seat: "coach seat" };

export const PEOPLE = ["mira", "teo", "lena", "omar"] as const;
export type Name = (typeof PEOPLE)[number];

/** A hit and nothing else. */
export const hits = (by: Side, target = "torso"): RecordedExchange => ({
  acts: [{ by, kind: "attack", form: "cut", target, end: "hit" }],
  open: false,
});

export class Hall {
  readonly house: House;
  readonly ids: Readonly<Record<Name, string>>;
  private readonly ruleSet: string;
  private count = 0;

  constructor(house: House, ids: Readonly<Record<Name, string>>, ruleSet: string) {
    this.house = house;
    this.ids = ids;
    this.ruleSet = ruleSet;
  }

  private must(answer: Answered): void {
    if (!answer.ok) throw new Error(answer.refusal.sentence);
  }

  give(on: "meet" | string, command: BoutCommand | MeetCommand, by: Sitting = COACH): Promise<Answered> {
    const id = `command-${(this.count += 1)}`;
    return this.house.bouts.give(by, { id, on: on === "meet" ? on : { bout: on }, command });
  }

  async say(on: "meet" | string, command: BoutCommand | MeetCommand, by: Sitting = COACH): Promise<void> {
    this.must(await this.give(on, command, by));
  }

  /** Plans a bout and calls it; the ring's bout before it has ended and makes room. */
  async call(bout: string, red: Name, blue: Name, ring = "r1"): Promise<void> {
    const on = this.house.streams.meet.rings.find(({ id }) => id === ring)?.bout;
    if (on !== undefined) await this.say("meet", { type: "ClearRing", ring });
    const { ids, ruleSet } = this;
    await this.say("meet", { type: "PlanBout", bout, ring, red: ids[red], blue: ids[blue], ruleSet });
    this.must(await this.house.bouts.callBout(COACH, bout));
  }

  async record(bout: string, exchange: string, record: RecordedExchange): Promise<void> {
    await this.say(bout, { type: "RecordExchange", exchange, record });
  }

  /** Nothing waits any more: every claim has its answer. */
  rest(): Promise<void> {
    return this.house.queues.idle();
  }

  bout(id: string): Bout {
    const found = this.house.streams.bout(id)?.bout;
    if (found === undefined) throw new Error(`There is no bout ${id}.`);
    return found;
  }

  shown(id: string): BoutOnView {
    const file = this.house.streams.bout(id);
    const view = file && boutOnView(this.house.hall(), file, COACH);
    if (view === undefined) throw new Error(`There is no bout ${id}.`);
    return view;
  }
}

/** An evening with two rings and four people, under one rule set. `ledger`: goes on with what stands in it. */
export async function openTwoRings(text: string, ledger?: Ledger): Promise<Hall> {
  let now = 1_700_000_000_000;
  const house = await openHouse(ledger ?? (await openLedger({ memory: true })), { now: () => (now += 500) });
  const read = house.shelf.read(text);
  if (!read.ok) throw new Error(read.faults.map(({ message }) => message).join("\n"));
  await house.shelf.keep(read.file);
  const ids = Object.fromEntries(
    await Promise.all(
      PEOPLE.map(async (name) => [
        name,
        await house.people.enter({ name, shortName: name, notes: "", consents: [] }),
      ]),
    ),
  ) as Record<Name, string>;
  const hall = new Hall(house, ids, read.file.hash);
  await hall.say("meet", { type: "OpenEvening", name: "An evening" });
  for (const ring of ["r1", "r2"]) await hall.say("meet", { type: "AddRing", ring, name: ring });
  for (const name of PEOPLE) await hall.say("meet", { type: "AddFencer", person: ids[name] });
  await hall.say("meet", { type: "AdoptRuleSet", ruleSet: read.file.hash, name: read.file.ruleSet.name });
  return hall;
}
