/** An evening with somebody in every kind of seat, and a bout brought to any stage. Devices sit down when they are asked for. */
import type { BoutCommand, MeetCommand } from "../../../engine/index.ts";
import type { NewSeat } from "../../../table-ui/server/seats.ts";
import type { ServerOptions } from "../../../table-ui/server/start.ts";
import type { Sitting } from "../../../table-ui/wire/hall.ts";
import { hit, openTestHall, type Device, type TestHall } from "../../table-ui/server/hall.ts";

/** Chance, sealed choices and a value with assent in one rule set. */
export const EVERYTHING = `name: Everything at once
words:
  praise: a call
picks:
  secret target:
    by: each fencer
    from:
      - head
      - leg
    when: before the bout
    seen by: the fencer
    shown: at the end
  luck:
    by: chance
    from:
      - pays
      - pays nothing
    when: after each exchange
touches:
  I hit: 1
rules:
  - name: Own secret
    when: I hit my secret target
    pays: 3 bonus to me
  - name: Lucky
    when: I hit
    if: the luck is pays
    pays: 1 bonus to me
  - name: Praised
    if: the judge calls praise for me
    pays: between 0 and 2 bonus to me as the judge says
    watch: a second judge assents
`;
/** Fencers themselves say that they were hit. */
const ANOTHER = "name: Another\nbout:\n  panel: the one who is hit decides\ntouches:\n  I hit: 1\n";
/** Known to the hall, and not on the evening's shelf. */
const UNUSED = "name: Unused\ntouches:\n  I hit: 2\n";

export const STAGES = [
  "not open",
  "called",
  "checked",
  "on guard",
  "fencing",
  "halted",
  "praised",
  "halted where fencers say it",
  "paused",
  "ended",
  "clear",
] as const;
export type StageName = (typeof STAGES)[number];

export const SEATS = [
  "coach",
  "pen",
  "pen alone",
  "no pen",
  "other table",
  "judge",
  "other judge",
  "referee",
  "red",
  "blue",
  "other fencer",
  "wall",
  "revoked",
  "former coach",
] as const;
export type SeatName = (typeof SEATS)[number];

export const BOUT = "bout-one";
export const WAITING = "bout-two";
/** The ring where no bout is. */
export const FREE_RING = "r2";

export interface Evening {
  readonly hall: TestHall;
  readonly people: Readonly<Record<"red" | "blue" | "third" | "fourth" | "newcomer", string>>;
  readonly ruleSets: Readonly<Record<"inForce" | "another" | "unused", string>>;
  /** The device in this seat; it sits down the first time. */
  seat(name: SeatName): Promise<Device>;
  /** Everybody sits down, and "revoked" is; like "former coach" without being told: they still hold their sockets. */
  everybody(): Promise<ReadonlyMap<SeatName, Device>>;
  close(): Promise<void>;
}

class Stage {
  readonly hall: TestHall;
  readonly ids = new Map<string, string>();
  private readonly paths = new Map<string, string>();
  private count = 0;

  constructor(hall: TestHall) {
    this.hall = hall;
  }

  private get house() {
    return this.hall.running.house;
  }

  get coach(): Sitting {
    return { kind: "coach", seat: this.hall.coach.view.seat };
  }

  async say(command: BoutCommand | MeetCommand, by = this.coach, bout?: string): Promise<void> {
    const on = bout === undefined ? "meet" : { bout };
    const answer = await this.house.bouts.give(by, { id: `stage-${(this.count += 1)}`, on, command });
    if (!answer.ok) throw new Error(`${command.type}: ${answer.refusal.sentence}`);
  }

  async issue(name: string, seat: NewSeat): Promise<void> {
    const issued = await this.house.seats.issue(seat);
    this.ids.set(name, issued.seat.id);
    this.paths.set(name, issued.path);
    this.house.changed("seats");
  }

  pathOf(name: string): string {
    const path = this.paths.get(name);
    if (path === undefined) throw new Error(`no seat ${name}`);
    return path;
  }

  sitting(name: string): Sitting {
    const judge = { judge: 2, referee: false, ring: "r1" };
    return { kind: "judge", seat: this.ids.get(name) ?? "", ...judge };
  }

  async keep(text: string, adopted = true): Promise<string> {
    const read = this.house.shelf.read(text);
    if (!read.ok) throw new Error(read.faults.map(({ message }) => message).join("\n"));
    const { hash, ruleSet } = read.file;
    await this.house.shelf.keep(read.file);
    if (adopted) await this.say({ type: "AdoptRuleSet", ruleSet: hash, name: ruleSet.name });
    return hash;
  }

  async person(name: string, comes = true): Promise<string> {
    const id = await this.house.people.enter({ name, shortName: "", notes: "", consents: [] });
    if (comes) await this.say({ type: "AddFencer", person: id });
    return id;
  }
}

/** What is said to the bout to bring it to each stage, from the one before it on. */
const STEPS: readonly (readonly [StageName, readonly BoutCommand[]])[] = [
  ["checked", [{ type: "ConfirmCheck" }]],
  ["on guard", [{ type: "ComeOnGuard" }]],
  ["fencing", [{ type: "StartFencing" }]],
  ["halted", [{ type: "CallHalt" }, { type: "RecordExchange", exchange: "x1", record: hit("red") }]],
];

const PRAISE: BoutCommand = {
  type: "GiveFacts",
  exchange: "x1",
  facts: [{ fact: "call", call: { call: "praise", for: "red", value: 1 } }],
};

async function bring(stage: Stage, to: StageName): Promise<void> {
  if (to === "called" || to === "not open") return;
  for (const [name, commands] of STEPS) {
    for (const command of commands) await stage.say(command, stage.coach, BOUT);
    if (name === to) return;
  }
  if (to === "praised") await stage.say(PRAISE, stage.sitting("second judge"), BOUT);
  if (to === "paused") await stage.say({ type: "Pause", reason: "gear" }, stage.coach, BOUT);
  if (to === "ended" || to === "clear")
    await stage.say({ type: "EndBout", ending: "red wins" }, stage.coach, BOUT);
  if (to === "clear") await stage.say({ type: "ClearRing", ring: "r1" });
}

const PENNED: readonly SeatName[] = ["pen", "pen alone", "other table"];

/** Everybody's seat, a bout at this stage on ring r1, one more bout planned there; nobody has sat down but the coach. */
export async function openEvening(to: StageName, options: Partial<ServerOptions> = {}): Promise<Evening> {
  const limits = { burst: Infinity, patience: Infinity };
  const hall = await openTestHall({ limits, ...options });
  const stage = new Stage(hall);
  if (to !== "not open") await stage.say({ type: "OpenEvening", name: "An evening" });
  await stage.say({ type: "AddRing", ring: "r1", name: "Ring 1" });
  await stage.say({ type: "AddRing", ring: FREE_RING, name: "Ring 2" });
  const ruleSets = {
    inForce: await stage.keep(EVERYTHING),
    another: await stage.keep(ANOTHER),
    unused: await stage.keep(UNUSED, false),
  };
  const people = {
    red: await stage.person("Mira Halden"),
    blue: await stage.person("Teo Brandt"),
    third: await stage.person("Noor Castell"),
    fourth: await stage.person("Wim Derrick"),
    newcomer: await stage.person("Ada Finch", false),
  };
  const { red, blue, third, fourth } = people;
  const ruleSet = to === "halted where fencers say it" ? ruleSets.another : ruleSets.inForce;
  await stage.say({ type: "PlanBout", bout: BOUT, ring: "r1", red, blue, ruleSet });
  await stage.say({ type: "PlanBout", bout: WAITING, ring: "r1", red: third, blue: fourth, ruleSet });
  const called = await hall.running.house.bouts.callBout(stage.coach, BOUT);
  if (!called.ok) throw new Error(called.refusal.sentence);
  await stage.issue("pen", { kind: "table", ring: "r1" });
  await stage.issue("no pen", { kind: "table", ring: "r1" });
  await stage.issue("revoked", { kind: "table", ring: "r1" });
  await stage.issue("other table", { kind: "table", ring: FREE_RING });
  await stage.issue("judge", { kind: "judge", ring: "r1", judge: 1 });
  await stage.issue("second judge", { kind: "judge", ring: "r1", judge: 2 });
  await stage.issue("referee", { kind: "judge", ring: "r1", judge: 3, referee: true });
  await stage.issue("other judge", { kind: "judge", ring: FREE_RING, judge: 1 });
  await stage.issue("red", { kind: "fencer", person: red });
  await stage.issue("blue", { kind: "fencer", person: blue });
  await stage.issue("other fencer", { kind: "fencer", person: third });
  await stage.issue("wall", { kind: "wall" });
  await bring(stage, to);
  // The coach's link is issued anew; the device with the old one is not told.
  await hall.running.house.seats.reissue(hall.coach.view.seat);

  const sat = new Map<SeatName, Device>();
  async function sitDown(name: SeatName): Promise<Device> {
    if (name === "former coach") return hall.coach as unknown as Device;
    if (name === "coach") return hall.sit(hall.running.coachPath);
    return hall.sit(stage.pathOf(name === "pen alone" ? "pen" : name));
  }
  async function seat(name: SeatName): Promise<Device> {
    const known = sat.get(name);
    if (known !== undefined) return known;
    const device = await sitDown(name);
    sat.set(name, device);
    if (PENNED.includes(name)) await device.takePen(name === "other table" ? FREE_RING : "r1", name);
    return device;
  }
  return {
    hall,
    people,
    ruleSets,
    seat,
    async everybody() {
      for (const name of SEATS) if (name !== "pen alone") await seat(name);
      await hall.running.house.seats.revoke(stage.ids.get("revoked") ?? "");
      return sat;
    },
    close: () => hall.close(),
  };
}
