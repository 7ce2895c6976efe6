/**
 * A whole evening told through the server's own house: the demo evening, and after it a bout with everything that an
 * official may do to one. It uses only what the first whole Garland knew, so that ledgers of any version can tell it.
 */
import type { BoutCommand, MeetCommand, RecordedExchange } from "../../engine/index.ts";
import { openDemoEvening } from "../../table-ui/server/evening.ts";
import type { House } from "../../table-ui/server/house.ts";
import type { Sitting } from "../../table-ui/wire/hall.ts";
import type { Answered } from "../../table-ui/wire/messages.ts";

const SEALED = `name: Sealed opening
picks:
  secret target:
    by: each fencer
    from:
      - head
      - leg
    when: before the bout
    seen by: the fencer
    shown: at the end
touches:
  I hit: 1
rules:
  - name: Own secret
    when: I hit my secret target
    pays: 3 bonus to me
`;

type Answer = Answered;
type Acts = RecordedExchange["acts"];
type Facts = Extract<BoutCommand, { readonly type: "Vote" }>["facts"];

const recorded = (acts: Acts, more: Partial<RecordedExchange> = {}): RecordedExchange => ({
  acts,
  open: false,
  ...more,
});

export const cut = (by: "red" | "blue", target: string): RecordedExchange =>
  recorded([{ by, kind: "attack", form: "cut", target, end: "hit" }]);

/** A cut at the head, parried and answered; nobody says yet from where it came, nor how the answer ended. */
const answered = (by: "red" | "blue", end: "hit" | "perhaps"): RecordedExchange =>
  recorded([
    { id: "cut", by: by === "red" ? "blue" : "red", kind: "attack", form: "cut", target: "head" },
    { id: "parry", by, kind: "parry" },
    { id: "riposte", by, kind: "riposte", form: "thrust", target: "torso", end },
  ]);

const fromAbove: Facts = [{ fact: "attribute", act: "cut", key: "direction", value: "descending" }];

/** Gives commands from the seats that the demo evening issued. */
export class Teller {
  readonly house: House;
  private count = 0;

  constructor(house: House) {
    this.house = house;
  }

  /** Every command's answer must be yes. */
  async say(on: string, command: BoutCommand | MeetCommand, by: Sitting = this.coach()): Promise<void> {
    const id = `told-${(this.count += 1)}`;
    this.must(
      await this.house.bouts.give(by, { id, on: on === "meet" ? on : { bout: on }, command }),
      command.type,
    );
  }

  must(answer: Answer, what: string): void {
    if (!answer.ok) throw new Error(`"${what}" was refused: ${answer.refusal.sentence}`);
  }

  coach(): Sitting {
    const seat = this.house.seats.all().find(({ kind }) => kind === "coach");
    if (seat === undefined) throw new Error("The evening has no coach.");
    return { kind: "coach", seat: seat.id };
  }

  judge(ring: string, judge: number): Sitting {
    const seat = this.house.seats.all().find((each) => each.ring === ring && each.judge === judge);
    if (seat === undefined) throw new Error(`There is no judge ${judge} at ${ring}.`);
    return { kind: "judge", seat: seat.id, ring, judge, referee: seat.referee === true };
  }

  /** A person by name. */
  person(name: string): string {
    const found = this.house.people.all().find((each) => each.name === name);
    if (found === undefined) throw new Error(`There is no ${name}.`);
    return found.id;
  }

  async keep(text: string): Promise<string> {
    const read = this.house.shelf.read(text);
    if (!read.ok) throw new Error(read.faults.map(({ message }) => message).join("\n"));
    await this.house.shelf.keep(read.file);
    const { hash, ruleSet } = read.file;
    await this.say("meet", { type: "AdoptRuleSet", ruleSet: hash, name: ruleSet.name });
    return hash;
  }

  /** Plans a bout and calls it to a ring that is free. */
  async call(
    bout: string,
    [red, blue]: readonly [string, string],
    ruleSet: string,
    ring = "ring-1",
  ): Promise<void> {
    const pair = { red: this.person(red), blue: this.person(blue) };
    await this.say("meet", { type: "PlanBout", bout, ring, ...pair, ruleSet });
    this.must(await this.house.bouts.callBout(this.coach(), bout), "call");
    await this.say(bout, { type: "ConfirmCheck" });
    await this.say(bout, { type: "ComeOnGuard" });
  }

  async fence(bout: string, exchange: string, record: RecordedExchange): Promise<void> {
    await this.say(bout, { type: "StartFencing" });
    await this.say(bout, { type: "CallHalt" });
    await this.say(bout, { type: "RecordExchange", exchange, record });
  }

  /** Ends the bout by a word and makes the ring free. */
  async finish(bout: string, ring = "ring-1"): Promise<void> {
    await this.say(bout, { type: "EndBout", ending: "red wins" });
    await this.say(bout, { type: "ConfirmResult" });
    await this.say("meet", { type: "ClearRing", ring });
  }
}

/** Corrections, votes, facts, cards, a swap, another rule set, a pause, an end that is taken back. */
async function tellCorrections(told: Teller, taught: string, sealed: string): Promise<void> {
  const bout = "corrected";
  const by = (judge: number): Sitting => told.judge("ring-1", judge);
  await told.call(bout, ["Sam Adeyemi", "Jonas Ferro"], taught);
  await told.fence(bout, "x1", cut("red", "head"));
  await told.fence(bout, "x2", answered("red", "perhaps"));
  const hit: Facts = [{ fact: "end", act: "riposte", end: "hit" }];
  await told.say(bout, { type: "Vote", exchange: "x2", facts: [...fromAbove, ...hit], label: "Hit" }, by(1));
  await told.say(bout, { type: "Vote", exchange: "x2", facts: [], notSeen: true, label: "Not seen" }, by(2));
  await told.say(bout, { type: "GiveFacts", exchange: "x2", facts: hit }, by(3));
  await told.fence(bout, "x3", cut("blue", "arm"));
  const why = "It was the other fencer.";
  await told.say(bout, { type: "ChangeExchange", exchange: "x3", record: cut("red", "arm"), why });
  await told.say(bout, {
    type: "InsertExchange",
    exchange: "x0",
    after: "start",
    record: cut("blue", "torso"),
  });
  await told.say(bout, { type: "GivePenalty", side: "red", penalty: "warning", why: "Turned away." });
  await told.say(bout, {
    type: "GivePenalty",
    side: "red",
    penalty: "penalty hit",
    why: "Turned away again.",
  });
  await told.say(bout, { type: "Undo" });
  await told.say(bout, { type: "GivePenalty", side: "blue", penalty: "penalty hit", why: "Left the ring." });
  await told.say(bout, { type: "RemoveExchange", exchange: "x1" });
  await told.say(bout, { type: "SwapFencers" });
  await told.say(bout, { type: "Pause", reason: "gear", side: "blue" });
  await told.say(bout, { type: "Resume" });
  await told.say(bout, { type: "SetClock", leftMs: 60_000 });
  await told.say(bout, { type: "ChangeRuleSet", ruleSet: sealed });
  await told.say(bout, { type: "Undo" });
  await told.say(bout, { type: "EndBout", ending: "blue wins" });
  await told.say(bout, { type: "Reopen", why: "Two exchanges were left." });
  await told.fence(bout, "x4", answered("blue", "hit"));
  await told.finish(bout);
  // After the result was confirmed: flagged, never silent.
  await told.say(bout, { type: "GiveFacts", exchange: "x4", facts: fromAbove });
}

/** Choices that are sealed until the end, and a fencer who gives up. */
async function tellChoices(told: Teller, sealed: string): Promise<void> {
  const bout = "sealed";
  await told.call(bout, ["Lena Sorrel", "Wim Derrick"], sealed);
  await told.say(bout, { type: "SetPick", pick: "secret target", side: "red", value: "head" });
  await told.say(bout, { type: "SetPick", pick: "secret target", side: "blue", value: "leg" });
  await told.fence(bout, "s1", cut("red", "head"));
  await told.fence(bout, "s2", cut("blue", "head"));
  await told.say(bout, { type: "Forfeit", side: "blue", why: "A broken blade." });
  await told.say("meet", { type: "ClearRing", ring: "ring-1" });
}

/** Tells the evening in a new house; answers with its teller, so that more can follow. */
export async function tellEvening(house: House): Promise<Teller> {
  await openDemoEvening(house);
  const told = new Teller(house);
  const running = house.streams.meet.rings.find(({ id }) => id === "ring-1")?.bout ?? "";
  await told.finish(running);
  const taught = house.streams.meet.shelf[0]?.ruleSet ?? "";
  const sealed = await told.keep(SEALED);
  await tellCorrections(told, taught, sealed);
  await tellChoices(told, sealed);
  return told;
}
