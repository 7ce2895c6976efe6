/** One ring of an evening in the server's own house, and a table's tablet before it: every message by hand, no socket. */
import {
  foldBout,
  isRefusal,
  type Bout,
  type BoutCommand,
  type MeetCommand,
  type Refusal,
} from "../../engine/index.ts";
import { openLedger } from "../../engine/ledger/open.ts";
import { compile, hashRuleSet, readRuleSet, type RuleSet } from "../../rules/index.ts";
import {
  answered,
  asSent,
  dropSetAside,
  emptyDesk,
  give,
  giveAgain,
  nextToSend,
  receive,
  type Desk,
  type PendingCommand,
  type SetAside,
} from "../../table-ui/screens/table/desk.ts";
import { seenAtTable } from "../../table-ui/screens/table/seen.ts";
import type { RuleSetInUse } from "../../table-ui/screens/table/station.ts";
import { openHouse, type House } from "../../table-ui/server/house.ts";
import { boutStream } from "../../table-ui/server/streams.ts";
import type { EventOnFile, Sitting } from "../../table-ui/wire/hall.ts";
import type { Answered } from "../../table-ui/wire/messages.ts";
import { boutOnView } from "../../table-ui/wire/view-bout.ts";
import { tableView } from "../../table-ui/wire/view-table.ts";
import type { BoutOnView, TableView } from "../../table-ui/wire/views.ts";

const COACH: Sitting = { kind: "coach", seat: "coach seat" };
const TABLE = { kind: "table", seat: "table seat", ring: "r1" } as const;
const DEVICE = "this tablet";
const START = 1_700_000_000_000;

const plain = <T>(value: T): T => JSON.parse(JSON.stringify(value)) as T;

export class Ring {
  readonly house: House;
  readonly time: { now: number };
  private count = 0;

  constructor(house: House, time: { now: number }) {
    this.house = house;
    this.time = time;
  }

  /** A command from any seat but the tablet's; it must be taken, unless `may` says that it may be refused. */
  async say(
    by: Sitting,
    command: BoutCommand | MeetCommand,
    on: "meet" | string,
    may = false,
  ): Promise<Answered> {
    this.time.now += 200;
    const id = `other-${(this.count += 1)}`;
    const answer = await this.house.bouts.give(by, { id, on: on === "meet" ? on : { bout: on }, command });
    if (!answer.ok && !may) throw new Error(answer.refusal.sentence);
    return answer;
  }

  coach(command: BoutCommand | MeetCommand, on: "meet" | string = "meet", may = false): Promise<Answered> {
    return this.say(COACH, command, on, may);
  }

  async call(bout: string): Promise<void> {
    const answer = await this.house.bouts.callBout(COACH, bout);
    if (!answer.ok) throw new Error(answer.refusal.sentence);
  }

  /** A judge who sits at the ring; the seat is held from now on. */
  async sitJudge(judge: number): Promise<Sitting> {
    const { seat } = await this.house.seats.issue({ kind: "judge", ring: "r1", judge });
    this.house.presence.came(seat.id);
    return { kind: "judge", seat: seat.id, ring: "r1", judge, referee: false };
  }

  takePen(device: string): Promise<Answered> {
    return this.say(TABLE, { type: "TakePen", ring: "r1", device }, "meet");
  }

  /** The table's view as it travels. */
  get view(): TableView {
    return plain(tableView(this.house.hall(), TABLE));
  }

  events(bout: string): readonly EventOnFile[] {
    return this.house.streams.bout(bout)?.events ?? [];
  }

  fold(bout: string): Bout | undefined {
    return foldBout(this.events(bout), this.house.shelf.scorers);
  }

  version = (bout: string): number => this.house.streams.version(boutStream(bout));

  /** The bout as the server shows it to the table. */
  shown(bout: string): BoutOnView | undefined {
    const file = this.house.streams.bout(bout);
    return file && boutOnView(this.house.hall(), file, TABLE);
  }
}

/** An evening with one ring, three bouts planned for it, and the first one called. */
export async function openRing(text: string, more: readonly string[] = []): Promise<Ring> {
  const time = { now: START };
  const house = await openHouse(await openLedger({ memory: true }), { now: () => time.now });
  const ring = new Ring(house, time);
  await ring.coach({ type: "OpenEvening", name: "An evening" });
  await ring.coach({ type: "AddRing", ring: "r1", name: "Ring one" });
  for (const each of [text, ...more]) {
    const read = house.shelf.read(each);
    if (!read.ok) throw new Error(read.faults.map(({ message }) => message).join("\n"));
    await house.shelf.keep(read.file);
    await ring.coach({ type: "AdoptRuleSet", ruleSet: read.file.hash, name: read.file.ruleSet.name });
  }
  const person = async (name: string, shortName: string): Promise<string> => {
    const id = await house.people.enter({ name, shortName, notes: "", consents: [] });
    await ring.coach({ type: "AddFencer", person: id });
    return id;
  };
  const red = await person("Mira Halden", "Mira H.");
  const blue = await person("Teo Brandt", "");
  for (const bout of ["b1", "b2", "b3"])
    await ring.coach({ type: "PlanBout", bout, ring: "r1", red, blue, ruleSet: hashOf(text) });
  await ring.call("b1");
  return ring;
}

export function hashOf(text: string): string {
  const read = readRuleSet(text);
  if (!read.ok) throw new Error(read.faults.map(({ message }) => message).join("\n"));
  return hashRuleSet(read.value);
}

/** What the table's page does around its desk: the outbox, one command at a time, the latest view. */
export class Tablet {
  desk: Desk = emptyDesk;
  view: TableView | undefined;
  /** What a reload finds again. */
  readonly outbox = new Map<string, PendingCommand>();
  readonly keptAside = new Map<string, SetAside>();
  /** Every command that was taken here, in order. */
  readonly taken: PendingCommand[] = [];
  private seq = 0;
  private readonly ring: Ring;

  constructor(ring: Ring) {
    this.ring = ring;
  }

  /** [W39] Compiled from the trees that the view brings, as the page does; a page that is loaded anew knows none. */
  private readonly inUse = new Map<string, RuleSetInUse>();

  private rulesOf(hash: string): RuleSetInUse | undefined {
    const known = this.inUse.get(hash);
    const tree = this.view?.ruleSetTrees?.[hash];
    if (known !== undefined || tree === undefined) return known;
    const ruleSet = JSON.parse(tree) as RuleSet;
    const made = { hash, ruleSet, scorer: compile(ruleSet) };
    this.inUse.set(hash, made);
    return made;
  }

  private get around() {
    return {
      scorers: (hash: string) => this.rulesOf(hash)?.scorer,
      by: { seat: TABLE.seat, kind: "table" } as const,
    };
  }

  private get stamp() {
    this.ring.time.now += 700;
    this.seq += 1;
    return { id: `tablet-${this.seq}`, seq: this.seq, at: this.ring.time.now };
  }

  private take(given: ReturnType<typeof give>): Refusal | undefined {
    if (isRefusal(given)) return given;
    this.desk = given.desk;
    this.outbox.set(given.queued.id, plain(given.queued));
    this.taken.push(given.queued);
    return undefined;
  }

  /** A press; undefined if it was taken. */
  give(command: BoutCommand): Refusal | undefined {
    return this.take(give(this.desk, command, this.stamp, this.around));
  }

  /** "Try again" on what was refused. */
  giveAgain(index: number): Refusal | undefined {
    const aside = this.desk.setAside[index];
    if (aside === undefined) throw new Error(`Nothing is set aside at ${index}.`);
    const refused = this.take(giveAgain(this.desk, aside, this.stamp, this.around));
    if (refused === undefined) this.keptAside.delete(aside.pending.id);
    return refused;
  }

  /** "Drop it" on what was refused. */
  drop(id: string): void {
    this.desk = dropSetAside(this.desk, id);
    this.keptAside.delete(id);
  }

  /** The server's news as they stand now, or as they stood. */
  receive(view: TableView = this.ring.view): void {
    this.view = view;
    this.desk = receive(this.desk, view, this.around);
  }

  get holdsPen(): boolean {
    return this.view?.pen?.device === DEVICE;
  }

  async takePen(): Promise<void> {
    await this.ring.takePen(DEVICE);
    this.receive();
  }

  /** Sends the oldest command without an answer; the answer is still on its way. Undefined if there is none to send. */
  async send(): Promise<Answered | undefined> {
    const next = nextToSend(this.desk);
    if (next === undefined || !this.holdsPen) return undefined;
    this.ring.time.now += 50;
    return this.ring.house.bouts.give(TABLE, asSent(next, this.view?.pen?.epoch ?? 0));
  }

  answer(answer: Answered): void {
    const pending = this.outbox.get(answer.id);
    this.desk = answered(this.desk, answer, this.around);
    this.outbox.delete(answer.id);
    if (!answer.ok && pending !== undefined)
      this.keptAside.set(answer.id, plain({ pending, refusal: answer.refusal }));
  }

  /** Sends all that waits, and hears every answer. */
  async sendAll(): Promise<void> {
    for (let answer = await this.send(); answer !== undefined; answer = await this.send())
      this.answer(answer);
  }

  /** The page is loaded anew: memory is empty, the outbox is read, the server has not been heard yet. */
  reload(): void {
    const pending = [...this.outbox.values()].sort((a, b) => a.seq - b.seq);
    this.desk = { ...emptyDesk, pending: plain(pending), setAside: [...this.keptAside.values()] };
    this.view = undefined;
    this.inUse.clear();
  }

  /** The bout on the tablet's screen. */
  get screen(): BoutOnView | undefined {
    const { bout } = this.desk;
    const { view } = this;
    const rules = bout && this.rulesOf(bout.ruleSet);
    if (bout === undefined || view === undefined || rules === undefined) return undefined;
    return seenAtTable(bout, view, rules, this.ring.time.now);
  }
}

/** A tablet at the ring with its pen. */
export async function openTablet(ring: Ring): Promise<Tablet> {
  const tablet = new Tablet(ring);
  tablet.receive();
  await tablet.takePen();
  return tablet;
}
