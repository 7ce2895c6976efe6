/**
 * Evenings that are the same in everything but one secret: same seed, same clock, same commands. Whoever may not know the
 * secret must be sent the same frames, byte for byte and one after the other, in both of them: then nothing that could be
 * seen, summed up, counted or waited for tells it.
 */
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Writable } from "node:stream";
import type { BoutCommand, MeetCommand, RecordedExchange } from "../../../engine/index.ts";
import type { NewSeat } from "../../../table-ui/server/seats.ts";
import { openTestHall, type Device, type TestHall } from "../../table-ui/server/hall.ts";
import { seeded, type Random } from "../../support/random-bouts.ts";
import { EVERYTHING } from "./evening.ts";

export const WATCHERS = [
  "coach",
  "table",
  "judge 1",
  "judge 2",
  "referee",
  "red",
  "blue",
  "other fencer",
  "wall",
  "other table",
  "other judge",
] as const;
export type Watcher = (typeof WATCHERS)[number];

/** What may differ between two evenings. */
export interface Secrets {
  readonly choice: "head" | "leg";
  readonly vote: "hit" | "no hit" | "not yet";
  readonly health: string;
  readonly fullName: string;
  readonly gear: string;
}

/** Unmistakable: none of them is part of a word that any page says. */
export const SECRETS: Secrets = {
  choice: "leg",
  vote: "hit",
  health: "Zqhealthzq asthma",
  fullName: "Mira Zqfullnamezq",
  gear: "zqgearzq bib",
};

export interface Told {
  /** Every frame that each seat was sent before the bout ended, ids put into words. */
  readonly frames: ReadonlyMap<Watcher, readonly string[]>;
  readonly hall: TestHall;
  readonly devices: ReadonlyMap<Watcher, Device>;
  /** Every line of the log. */
  readonly log: readonly string[];
  /** Commands that were carried out. */
  readonly done: number;
  /** Ends the bout, by which choices and seeds are shown. */
  end(): Promise<void>;
  close(): Promise<void>;
}

const BOUT = "bout-one";
const on = { bout: BOUT } as const;
const TARGETS = ["head", "torso", "leg", "arm"] as const;

const struck = (random: Random): RecordedExchange => ({
  acts: [
    {
      id: "a1",
      by: random.pick(["red", "blue"] as const),
      kind: "attack",
      form: random.pick(["cut", "thrust"] as const),
      target: random.pick(TARGETS),
      end: "hit",
    },
  ],
  open: false,
});

class Telling {
  readonly random: Random;
  readonly devices = new Map<Watcher, Device>();
  readonly names = new Map<string, string>();
  readonly hall: TestHall;
  readonly time: { now: number };
  done = 0;
  private count = 0;

  constructor(hall: TestHall, time: { now: number }, seed: number) {
    this.hall = hall;
    this.time = time;
    this.random = seeded(seed);
  }

  device(name: Watcher): Device {
    const found = this.devices.get(name);
    if (found === undefined) throw new Error(`nobody sits at ${name}`);
    return found;
  }

  /** Everybody has been sent what is to be sent. */
  async settle(): Promise<void> {
    await this.hall.running.house.queues.idle();
    await Promise.all([...this.devices.values()].map((device) => device.ask("view", {})));
  }

  async say(
    name: Watcher,
    command: BoutCommand | MeetCommand,
    where: "meet" | typeof on = on,
  ): Promise<void> {
    this.time.now += 700;
    const answer = await this.device(name).command(where, command, { id: `told-${(this.count += 1)}-long` });
    if (answer.ok) this.done += 1;
    await this.settle();
  }

  async person(name: string, shortName: string, notes: string): Promise<string> {
    const id = await this.hall.running.house.people.enter({ name, shortName, notes, consents: [] });
    this.names.set(id, `(${shortName})`);
    await this.say("coach", { type: "AddFencer", person: id }, "meet");
    return id;
  }

  async sit(name: Watcher, seat: NewSeat): Promise<void> {
    const issued = await this.hall.running.house.seats.issue(seat);
    this.hall.running.house.changed("seats");
    this.names.set(issued.seat.id, `(${name})`);
    this.names.set(issued.path.replace("/seat/", ""), `(${name}'s link)`);
    this.devices.set(name, await this.hall.sit(issued.path));
    await this.settle();
  }

  /** The frames as text that two evenings have in common. */
  plain(frame: string): string {
    let text = frame;
    for (const [id, name] of this.names) text = text.replaceAll(id, name);
    return text;
  }

  async exchange(no: number): Promise<void> {
    const { random } = this;
    await this.say("table", { type: "StartFencing" });
    await this.say("table", { type: "CallHalt" });
    await this.say("table", { type: "RecordExchange", exchange: `x${no}`, record: struck(random) });
    const what = random.below(7);
    if (what === 0)
      await this.say("table", { type: "ChangeExchange", exchange: `x${no}`, record: struck(random) });
    if (what === 1)
      await this.say("referee", { type: "GivePenalty", side: "blue", penalty: "warning", why: "late" });
    if (what === 2) await this.say("table", { type: "Undo" });
    if (what === 3) await this.say("table", { type: "DrawPick", pick: "luck" });
    if (what === 4) await this.say("judge 2", praise(no));
    if (what === 5)
      await this.say("table", {
        type: "InsertExchange",
        exchange: `y${no}`,
        after: `x${no}`,
        record: struck(random),
      });
  }
}

const praise = (no: number): BoutCommand => ({
  type: "GiveFacts",
  exchange: `x${no}`,
  facts: [{ fact: "call", call: { call: "praise", for: "red", value: 1 } }],
});

async function openIt(telling: Telling, secrets: Secrets): Promise<void> {
  const { hall } = telling;
  const { house } = hall.running;
  telling.devices.set("coach", hall.coach as unknown as Device);
  telling.names.set(hall.coach.view.seat, "(coach)");
  telling.names.set(hall.running.coachPath.replace("/seat/", ""), "(coach's link)");
  await telling.say("coach", { type: "OpenEvening", name: "An evening" }, "meet");
  for (const ring of ["r1", "r2"])
    await telling.say("coach", { type: "AddRing", ring, name: `Ring ${ring}` }, "meet");
  const saved = await hall.coach.coach({ ask: "save rule set", text: EVERYTHING });
  const ruleSet = saved.ok ? (saved.hash ?? "") : "";
  const red = await telling.person(secrets.fullName, "Mira Z.", `${secrets.health}\nGear: ${secrets.gear}`);
  const blue = await telling.person("Teo Brandt", "Teo B.", "");
  const third = await telling.person("Noor Castell", "Noor C.", "");
  await telling.say("coach", { type: "PlanBout", bout: BOUT, ring: "r1", red, blue, ruleSet }, "meet");
  await hall.coach.coach({ ask: "call bout", bout: BOUT });
  await telling.sit("table", { kind: "table", ring: "r1" });
  await telling.sit("judge 1", { kind: "judge", ring: "r1", judge: 1 });
  await telling.sit("judge 2", { kind: "judge", ring: "r1", judge: 2 });
  await telling.sit("referee", { kind: "judge", ring: "r1", judge: 3, referee: true });
  await telling.sit("red", { kind: "fencer", person: red });
  await telling.sit("blue", { kind: "fencer", person: blue });
  await telling.sit("other fencer", { kind: "fencer", person: third });
  await telling.sit("wall", { kind: "wall" });
  await telling.sit("other table", { kind: "table", ring: "r2" });
  await telling.sit("other judge", { kind: "judge", ring: "r2", judge: 1 });
  await telling.device("table").takePen("r1");
  await telling.settle();
  for (const { id, secretHash } of house.seats.all()) telling.names.set(secretHash, `(hash of ${id})`);
}

interface Frame {
  readonly view?: object;
  readonly patch?: object;
}

/**
 * How the evening is run goes to the coach alone, now and then and with the machine's own numbers, which no two evenings
 * have in common; it is left out, and with it the count of the coach's patches.
 */
function withoutStatus(name: Watcher, frames: readonly string[]): readonly string[] {
  if (name !== "coach") return frames;
  return frames.flatMap((text) => {
    const [event, { view, patch }] = JSON.parse(text) as [string, Frame];
    const rest: object = { ...(view ?? patch), status: undefined, at: undefined };
    const said = JSON.stringify([event, rest]);
    return said === `["${event}",{}]` ? [] : [said];
  });
}

/** One evening up to a vote that is under way; the same for the same seed, but for its secrets. */
export async function tell(seed: number, secrets: Secrets): Promise<Told> {
  const dir = mkdtempSync(join(tmpdir(), "twins-"));
  const houseFile = join(dir, "house.secret");
  // The house's own secret is the same in all of them, and so is chance.
  writeFileSync(houseFile, `${"5a".repeat(32)}\n`);
  const log: string[] = [];
  const stream = new Writable({
    write(chunk: Buffer, _, next) {
      log.push(chunk.toString());
      next();
    },
  });
  const time = { now: 1_900_000_000_000 };
  const limits = { burst: Infinity, patience: Infinity };
  const hall = await openTestHall({
    now: () => time.now,
    houseFile,
    limits,
    log: { level: "trace", stream },
  });
  rmSync(dir, { recursive: true });
  const telling = new Telling(hall, time, seed);
  await openIt(telling, secrets);
  const choose = (side: "red" | "blue", value: string): Promise<void> =>
    telling.say(side, { type: "SetPick", pick: "secret target", side, value });
  await choose("blue", "head");
  await choose("red", secrets.choice);
  for (let no = 1; no <= 4; no += 1) await telling.exchange(no);
  await telling.say("table", { type: "StartFencing" });
  await telling.say("table", { type: "CallHalt" });
  await telling.say("table", { type: "RecordExchange", exchange: "x9", record: struck(telling.random) });
  if (secrets.vote !== "not yet") {
    const facts = [{ fact: "end", act: "a1", end: secrets.vote }] as const;
    await telling.say("judge 1", { type: "Vote", exchange: "x9", facts, label: `zqvotezq ${secrets.vote}` });
  }
  await telling.settle();
  const framesOf = (name: Watcher): readonly string[] =>
    withoutStatus(name, telling.device(name).frames).map((frame) => telling.plain(frame));
  const frames = new Map(WATCHERS.map((name) => [name, framesOf(name)]));
  return {
    frames,
    hall,
    devices: telling.devices,
    log,
    done: telling.done,
    async end() {
      await telling.say("table", { type: "EndBout", ending: "red wins" });
      await telling.say("coach", { type: "EndBout", ending: "red wins" });
    },
    close: () => hall.close(),
  };
}
